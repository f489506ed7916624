"""Which parts, preparations and stages hold which: the relations as data.

Two relations are kept apart on purpose. *Covering* is strict: a statement bears a claim out only where it surely
speaks of the same thing. *Touching* is wide: a warning reaches a claim wherever it may speak of the same thing.
"""

from __future__ import annotations

from typing import Final

WHOLE_PLANT: Final = "whole plant"

# A statement on the part at the left covers the parts at the right, and a claim of the left is borne out in part by
# a statement on the right. "fruit" does not cover "seed": many edible fruits have poisonous seeds.
PORTIONS: Final[dict[str, frozenset[str]]] = {
    "fruit": frozenset({"flesh", "skin", "aril"}),
    "fruit body": frozenset({"cap", "gills", "stem", "flesh", "skin"}),
    "flower": frozenset({"pollen"}),
}
# The left covers these, too: a statement on the fruit speaks of its flesh, not surely of skin or aril.
COVERED: Final[dict[str, frozenset[str]]] = {
    "fruit": frozenset({"flesh"}),
    "fruit body": frozenset({"cap", "gills", "stem", "flesh"}),
}
# Parts that a warning does not tell apart: members of one set touch each other. Authors use "root" for any organ
# below ground and "shoot" for stem, leaf and bud together; skin and aril are eaten with the fruit. Fruit and seed are
# not listed: the poisonous seed of an edible fruit is a part not claimed, and shown as such.
TOUCHING: Final[tuple[frozenset[str], ...]] = (
    frozenset({"root", "tuber", "bulb", "corm", "rhizome", "stolon"}),
    *(frozenset({"shoot", each}) for each in ("stem", "leaf", "bud")),
    *(frozenset({"flower", each}) for each in ("bud", "pollen")),
    *(frozenset({"fruit", each}) for each in ("flesh", "skin", "aril", "pod", "nut")),
    *(frozenset({"fruit body", each}) for each in ("cap", "gills", "stem", "flesh", "skin", "spores")),
    *(frozenset({"cap", each}) for each in ("gills", "flesh", "skin")),
    frozenset({"seed", "nut"}),
)

RAW: Final = "raw"
COOKED: Final = "cooked"
KINDS_OF_COOKED: Final = frozenset({"boiled", "parboiled", "steamed", "fried", "roasted", "baked"})
# Done before eating to take something out: beside another preparation they are a condition of their own.
TAKES_OUT: Final = frozenset({"leached", "soaked", "peeled", "fermented"})
# What no heat and no water has changed: a warning about the raw plant reaches these as well.
RAW_STILL: Final = frozenset(
    {"raw", "dried", "ground", "peeled", "soaked", "salted", "pickled", "infused", "with alcohol"}
)

# Stages of one axis exclude each other; those of different axes do not.
AXES: Final[tuple[dict[str, str], ...]] = (
    {"young": "young", "mature": "grown", "old": "grown"},
    {"ripe": "ripe", "unripe": "unripe"},
    {"spring": "spring", "summer": "summer", "autumn": "autumn", "winter": "winter"},
    {"flowering": "flowering"},
)


def part_includes(stated: str, claimed: str) -> bool:
    """Whether a statement on ``stated`` surely speaks of ``claimed``.

    >>> part_includes("whole plant", "leaf"), part_includes("fruit", "seed")
    (True, False)
    """
    return stated in (claimed, WHOLE_PLANT) or claimed in COVERED.get(stated, ())


def parts_touch(one: str, other: str) -> bool:
    """Whether a warning about one part may speak of the other."""
    if WHOLE_PLANT in (one, other) or one == other:
        return True
    return any(one in each and other in each for each in TOUCHING)


def preparation_covers(stated: str, claimed: str) -> bool:
    """Whether what is stated of one preparation holds for the claimed one.

    >>> preparation_covers("cooked", "boiled"), preparation_covers("boiled", "cooked")
    (True, False)
    """
    return stated == claimed or (stated == COOKED and claimed in KINDS_OF_COOKED)


def preparations_touch(warned: str, claimed: str) -> bool:
    """Whether a warning about one preparation reaches the claimed one. Raw reaches what is merely dried or ground."""
    if preparation_covers(warned, claimed) or preparation_covers(claimed, warned):
        return True
    return warned == RAW and claimed in RAW_STILL


def stages_by_axis(stages: tuple[str, ...]) -> dict[int, frozenset[str]]:
    """Stages sorted by the axis that they lie on; an unknown stage is an axis of its own (-1).

    >>> stages_by_axis(("old", "ripe"))
    {0: frozenset({'grown'}), 1: frozenset({'ripe'})}
    """
    found: dict[int, set[str]] = {}
    for stage in stages:
        for number, axis in enumerate(AXES):
            if stage in axis:
                found.setdefault(number, set()).add(axis[stage])
                break
        else:
            found.setdefault(-1, set()).add(stage)
    return {number: frozenset(found[number]) for number in sorted(found)}
