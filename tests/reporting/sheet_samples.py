"""Hand-made field sheets of invented taxa: a few telling entries, five hundred, other scripts, hostile text."""

from __future__ import annotations

from dataclasses import fields, replace
from random import Random

from large_audits import ARABIC, CHINESE, HOSTILE

from doubtwort.reporting.sheet import FieldEntry, FieldSheet, SetApart, Warned

ALIKE = Warned(
    "Fictaria silvana has been confused with Apocrypharia nigra, which is dangerous (young plant, leaf; the stem of "
    "the one is round, that of the other has edges).",
    "An invented list of confusions (1979)",
)
TOXIC = Warned("s2 says that this taxon is toxic (root, raw): “The raw roots are poisonous.”", "claim c1, s2")
ILL = Warned("Own reaction (2026-05-02, leaf, raw): mouth burned for an hour", "note n2")
LEAF = FieldEntry(
    id="v1",
    taxon="Fictaria silvana",
    common_names=("fictwort", "wood fictary"),
    synonyms=("Fictaria ficta",),
    part="leaf",
    preparation="boiled",
    months=(4, 5, 6),
    conditions=("young",),
    look_alikes=(ALIKE,),
    dangers=(TOXIC, ILL),
    beside=("root, raw: rejected",),
    despite="",
    against=(),
    reason="Two floras of independent authors; I have known the stand for years.",
    notes=("2026-05-01, leaf, boiled: prepared: boiled twice; taste: mild, like wet paper",),
    grounds=("claim cdd002eb3e78a: corroborated",),
    decided_by="the keeper",
    decided_on="2026-06-01",
    review_on="2031-06-01",
    overdue=False,
)
AGAINST_THE_RULE = replace(
    LEAF,
    id="v2",
    taxon="Vaguelia aspera",
    common_names=("rough vaguewort",),
    synonyms=(),
    part="fruit",
    preparation="",
    months=(1, 11, 12),
    conditions=(),
    look_alikes=(),
    dangers=(Warned("The claim that it is edible is disputed.", "claim c7"),),
    beside=(),
    despite="Eaten in my family for three generations, always cooked.",
    against=("claim c7 is disputed",),
    reason="",
    notes=(),
    grounds=("claim c7: disputed",),
    review_on="2026-07-01",
    overdue=True,
)
PLAIN = replace(
    LEAF,
    id="v3",
    taxon="Hesitanthus palustris",
    common_names=(),
    synonyms=(),
    part="",
    preparation="",
    months=(),
    conditions=(),
    look_alikes=(),
    dangers=(),
    beside=(),
    notes=(),
    reason="",
)
REJECTED = SetApart(
    "v4",
    "Fictaria silvana",
    ("fictwort", "wood fictary"),
    (),
    "root",
    "raw",
    "rejected",
    "Two sources call it poisonous.",
)
WAITING = SetApart(
    "v5",
    "Apocrypharia nigra",
    ("black apocry",),
    (),
    "shoot",
    "",
    "waiting",
    "claim c9 was supported when this was accepted on 2026-06-01 and is contradicted since 2026-11-01.",
)
FEW = FieldSheet((AGAINST_THE_RULE, LEAF, PLAIN), (WAITING, REJECTED), "2026-11-25")
SCRIPTS = FieldSheet(
    (
        replace(LEAF, id="v6", common_names=(CHINESE, ARABIC), reason=ARABIC, notes=(CHINESE * 4,)),
        replace(LEAF, id="v7", taxon="Longissimaria " + "praeterlongissimeque" * 9, part="whole plant"),
        replace(LEAF, id="v8", look_alikes=(ALIKE,) * 30, dangers=(TOXIC,) * 30, notes=LEAF.notes * 30),
    ),
    (replace(WAITING, why=ARABIC * 20), replace(REJECTED, why="Schrödingerscheunentorverschlussklappe" * 30)),
    "2026-11-25",
)
NOTHING = FieldSheet((), (), "2026-11-25")


def hostile() -> FieldSheet:
    """Every text of every field, and everything that is a tuple of texts, is hostile and 10,000 characters long."""
    text = (HOSTILE + ARABIC) * (10_000 // len(HOSTILE + ARABIC))

    def filled(kind, **values):
        for each in fields(kind):
            if each.type == "str":
                values.setdefault(each.name, text)
            elif each.type == "tuple[str, ...]":
                values.setdefault(each.name, (text,) * 9)
            elif each.type == "tuple[Warned, ...]":
                values.setdefault(each.name, (Warned(text, text),) * 40)
        return kind(**values)

    entries = tuple(filled(FieldEntry, id=f"{HOSTILE}{n}", months=(4,), overdue=True) for n in range(3))
    return FieldSheet(entries, tuple(filled(SetApart, id=f"{HOSTILE}x{n}") for n in range(3)), text, text)


def large(count: int, apart: int = 100, seed: int = 1) -> FieldSheet:
    """So many entries with two or three warnings, names and notes each."""
    chance = Random(seed)
    genera = [
        f"{a}{b}ia" for a in ("Fict", "Vagu", "Hesit", "Apocr", "Imag") for b in ("ar", "el", "anth", "yph", "in")
    ]
    kinds = ["silvana", "aspera", "palustris", "nigra", "montana", "littoralis", "pumila", "fallax"]
    parts, ways = ["leaf", "root", "fruit", "shoot", "flower", ""], ["raw", "boiled", "dried", ""]

    def taxon(number: int) -> str:
        return f"{genera[number % len(genera)]} {kinds[number // len(genera) % len(kinds)]}"

    entries = []
    for number in range(count):
        first = chance.randint(1, 12)
        entries.append(
            replace(
                LEAF,
                id=f"v{number + 1}",
                taxon=taxon(number),
                common_names=(f"invented herb {number}", f"false wort {number}"),
                part=chance.choice(parts),
                preparation=chance.choice(ways),
                months=tuple(sorted({(first + step - 1) % 12 + 1 for step in range(chance.randint(0, 5))})),
                look_alikes=(ALIKE,) * chance.randint(0, 2),
                dangers=(TOXIC, ILL, Warned(TOXIC.text.replace("s2", "s3"), "claim c1, s3"))[: chance.randint(0, 3)],
                notes=LEAF.notes * chance.randint(0, 3),
            )
        )
    others = [
        replace(chance.choice((REJECTED, WAITING)), id=f"v{count + number + 1}", taxon=taxon(number))
        for number in range(apart)
    ]
    return FieldSheet(tuple(entries), tuple(others), "2026-11-25")
