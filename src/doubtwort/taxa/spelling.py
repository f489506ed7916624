"""Which misspelt name is still the same name. Cut-offs stated here, argued for in tests/taxa/test_spelling.py.

Two kinds of difference are told apart:

- a *slip*: what scanning and writing do to letters (rn/m, cl/d, l/1/I, doubled letters, long s read as f, gender
  endings of an epithet). The name is the same at any length over 4 letters.
- an *edit*: any other letter changed, left out, put in, or two swapped. One from 8 letters of an epithet or a genus
  on, two from 13; in common names one from 9 letters on, two from 15. The first letter is never edited. Only one of
  the two words of a binomial may be edited, and never the genus into one that is a genus itself.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from enum import IntEnum
from functools import lru_cache
from typing import Final

from rapidfuzz.distance import OSA

SLIP_FROM: Final = 5
EPITHET_EDITS: Final = ((8, 1), (13, 2))
GENUS_EDITS: Final = ((8, 1), (13, 2))
COMMON_EDITS: Final = ((9, 1), (15, 2))

_DOUBLED = re.compile(r"([a-z])\1+")
_GENDER = re.compile(r"(?:us|um|os|on|is|a|e)$")
_JOINED: Final = (("rn", "m"), ("cl", "d"), ("vv", "w"))
_LOOKS: Final = (
    ("ae", "e"), ("oe", "e"), ("ph", "f"), ("0", "o"), ("1", "l"), ("|", "l"), ("i", "l"), ("y", "l"), ("j", "l"),
    ("-", ""), (" ", ""),
)  # fmt: skip


class Nearness(IntEnum):
    """How near a printed name is to the true one."""

    OTHER = 0
    EDIT = 1
    SLIP = 2
    SAME = 3


@lru_cache(maxsize=8192)
def skeleton(word: str) -> str:
    """The word as scanning and hurried writing leave it: equal skeletons differ by slips alone.

    >>> skeleton("Cornmon") == skeleton("common") and skeleton("D1oica") == skeleton("dioica")
    True
    """
    bare = word.lower()
    for seen, reads in _JOINED:
        bare = bare.replace(seen, reads)
    for seen, reads in _LOOKS:
        bare = bare.replace(seen, reads)
    return _DOUBLED.sub(r"\1", bare)


def allowed(length: int, steps: tuple[tuple[int, int], ...]) -> int:
    """Edits allowed in a word of ``length`` letters by a table of (from length, edits)."""
    edits = 0
    for least, number in steps:
        if length >= least:
            edits = number
    return edits


def near_word(printed: str, true: str, steps: tuple[tuple[int, int], ...]) -> Nearness:
    """How near one printed word is to the true word."""
    first, second = printed.lower(), true.lower()
    if first == second:
        return Nearness.SAME
    if len(true) >= SLIP_FROM and abs(len(first) - len(second)) <= 2:
        looks, meant = skeleton(first), skeleton(second)
        if looks == meant or _long_s(looks, meant):
            return Nearness.SLIP
    edits = allowed(min(len(first), len(second)), steps)
    if edits and first[0] == second[0] and OSA.distance(first, second, score_cutoff=edits) <= edits:
        return Nearness.EDIT
    return Nearness.OTHER


def _long_s(printed: str, true: str) -> bool:
    """Is every difference an f printed where an s is meant, as a long s is read?"""
    return len(printed) == len(true) and all(
        a == b or (a == "f" and b == "s") for a, b in zip(printed, true, strict=True)
    )


def near_epithet(printed: str, true: str) -> Nearness:
    """As ``near_word``, with the gender of the ending let go ("alba" for "album").

    >>> near_epithet("silvanum", "silvana").name, near_epithet("rubra", "rubus").name
    ('SLIP', 'OTHER')
    """
    near = near_word(printed, true, EPITHET_EDITS)
    if near >= Nearness.SLIP:
        return near
    bare, meant = _GENDER.sub("", printed.lower()), _GENDER.sub("", true.lower())
    if len(meant) >= 4 and bare == meant:
        return Nearness.SLIP
    if printed.lower().rstrip("i") == true.lower().rstrip("i") and len(true) >= SLIP_FROM:
        return Nearness.SLIP
    return near


def near_binomial(
    printed: tuple[str, str],
    true: tuple[str, str],
    *,
    genera: Collection[str] = (),
    named: Collection[tuple[str, str]] = (),
) -> Nearness:
    """How near a printed (genus, epithet) is to the true one.

    ``genera`` are known genera (any case): a known genus is never a misspelling of another. ``named`` are binomials
    named on the same page: where the true name is among them, an edit is another name, a slip is not.

    >>> near_binomial(("Fictarla", "silvana"), ("Fictaria", "silvana")).name
    'SLIP'
    >>> near_binomial(("Lepista", "nuda"), ("Lepiota", "nuda"), genera={"Lepista"}).name
    'OTHER'
    """
    genus = near_word(printed[0], true[0], GENUS_EDITS)
    if genus is Nearness.OTHER:
        return Nearness.OTHER
    if genus is not Nearness.SAME and (printed[0] in genera or printed[0].capitalize() in genera):
        return Nearness.OTHER
    epithet = near_epithet(printed[1], true[1])
    worst = min(genus, epithet)
    if worst is Nearness.EDIT and (max(genus, epithet) is Nearness.EDIT or true in named):
        return Nearness.OTHER
    if genus is Nearness.EDIT and epithet is not Nearness.SAME:
        return Nearness.OTHER
    return worst


def near_common(printed: str, true: str, *, known: Collection[str] = (), named: Collection[str] = ()) -> Nearness:
    """How near a printed common name is to the true one; ``known`` names of other plants are never misspellings.

    >>> near_common("stining nettle", "stinging nettle").name, near_common("barberry", "bearberry").name
    ('EDIT', 'OTHER')
    """
    first, second = printed.lower(), true.lower()
    if first == second:
        return Nearness.SAME
    if first in known:
        return Nearness.OTHER
    letters = len(second.replace(" ", "").replace("-", ""))
    if letters < 6:
        return Nearness.OTHER
    if skeleton(first) == skeleton(second) or _long_s(skeleton(first), skeleton(second)):
        return Nearness.SLIP
    edits = allowed(min(letters, len(first)), COMMON_EDITS)
    if not edits or first[0] != second[0] or second in named or first[:-1] == second or second[:-1] == first:
        return Nearness.OTHER
    return Nearness.EDIT if OSA.distance(first, second, score_cutoff=edits) <= edits else Nearness.OTHER
