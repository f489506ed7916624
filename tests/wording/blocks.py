"""Labelled sentences in blocks, as they were written: one plant or fungus a block, one item a line.

    # Fictaria silvana | fictwort, wood fict | Fictaria silvana
    E	The young shoots are peeled and eaten like asparagus.
    E~,T	It is said to be edible when boiled, but several families fell ill after eating the raw root.
    T@o	Marsh brindle, with which it grows, is deadly poisonous.
    -	Leaves alternate, lanceolate.

A head gives the scientific name, the common names and the page's title. A code is a wording (E edible, N non-toxic, U
unpalatable, I inedible, T toxic; "-" none), "?" when hedged, "~" when heard from others, and "@g", "@f" or "@o" when it
is said of the genus, the family or another plant. Parts and preparations are not labelled. All taxa are invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from doubtwort.model import About, Certainty, Taxon, Wording

CODES = {
    "E": Wording.EDIBLE, "N": Wording.NON_TOXIC, "U": Wording.UNPALATABLE, "I": Wording.INEDIBLE, "T": Wording.TOXIC,
}  # fmt: skip
WHOSE = {"": About.TAXON, "g": About.GENUS, "f": About.FAMILY, "o": About.OTHER}


@dataclass(frozen=True)
class Said:
    """One statement of an item."""

    wording: Wording
    about: About
    certainty: Certainty


@dataclass(frozen=True)
class Item:
    """One labelled text of one to five sentences, with the plant asked about."""

    file: str
    line: int
    text: str
    title: str
    taxon: Taxon
    said: tuple[Said, ...]

    @property
    def wordings(self) -> frozenset[Wording]:
        return frozenset(each.wording for each in self.said)


def items(path: Path) -> Iterator[Item]:
    """Every item of a file, in order. ValueError names a line that cannot be read."""
    taxon, title = None, ""
    for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1):
        if line.startswith("#"):
            name, common, title = (each.strip() for each in line[1:].split("|"))
            taxon = Taxon(name, (), tuple(each.strip() for each in common.split(",") if each.strip()))
        elif line.strip():
            codes, tab, text = line.partition("\t")
            if not tab or taxon is None:
                raise ValueError(f"{path.name}, line {number}: an item is its codes, a tab and its text, under a head")
            said = tuple(_said(code, f"{path.name}, line {number}") for code in codes.split(",") if code != "-")
            yield Item(path.name, number, text.strip(), title, taxon, said)


def _said(code: str, where: str) -> Said:
    letter, _, whose = code.partition("@")
    doubt = letter[1:]
    if letter[:1] not in CODES or whose not in WHOSE or doubt.strip("?~"):
        raise ValueError(f"{where}: {code!r} is no code")
    certainty = Certainty.HEARSAY if "~" in doubt else Certainty.HEDGED if "?" in doubt else Certainty.STATED
    return Said(CODES[letter[0]], WHOSE[whose], certainty)
