"""Names found, looked at once more: what is no name after all, and the last word of the plant's own common name."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames
from doubtwort.model import About
from doubtwort.taxa.lexicon import singulars

# "Black berries" are berries that are black; "blackberries" are another plant's.
_KINDS = frozenset(
    "cactus tree bush shrub plant vine fern mushroom fungus grass palm flower herb weed trees plants".split()
)
# Last words of names that are parts or any plant: "the shoots" are not the eel-shoots' genus.
_NO_TAILS = _KINDS | frozenset(
    "root roots shoot shoots leaf leaves stem stems berry berries fruit fruits seed seeds nut nuts bulb bulbs"
    " cap caps wood bark head heads bell bells tail tails foot star stars bane wort thing".split()
)
_INDEFINITE = re.compile(r"\b(?:an?|any|another|other|no|every|each)\s(?:[a-z-]+\s){0,3}$")
_COLOURED = frozenset({"black berry", "black berries", "blue berry", "blue berries", "red berry", "red berries"})


def names_in(text: str, finder: Finder, names: PageNames | None) -> list[Mention]:
    """The mentions of a folded text. A name that only ends like the taxon's own ("mosswort" where the taxon is the
    marsh mosswort) is read as its genus."""
    found = finder.find(text, names)
    if not found:
        return found
    tails = _tails(finder.common)
    reviewed = []
    for mention in found:
        lower = mention.name.lower()
        if lower in _COLOURED:
            continue
        if mention.rule == "short common name" and _INDEFINITE.search(text[max(mention.start - 30, 0) : mention.start]):
            continue  # "a fine edible agaric" is any agaric
        plural = mention.rule == "short common name" and singulars(lower.rpartition(" ")[2])
        if mention.whose is About.TAXON and (plural or _is_genus_name(lower, finder)):
            mention = replace(mention, whose=About.GENUS, rule="genus name")
        elif mention.whose is About.OTHER and _is_own_with_kind(lower, finder):
            mention = replace(mention, whose=About.TAXON, rule="common name with its kind")
        elif tails and mention.whose is About.OTHER and _ends_own_name(lower, tails):
            mention = replace(mention, whose=About.GENUS, rule="end of the common name")
        reviewed.append(mention)
    return reviewed


def _is_genus_name(name: str, finder: Finder) -> bool:
    """The genus's own name, or its plural, is no short form of a common name that ends in it."""
    genus = finder.taxon.genus.lower()
    return name in {genus, genus + "s"} - finder.common and " " in finder.taxon.scientific_name


def _is_own_with_kind(name: str, finder: Finder) -> bool:
    """ "Fictwort bush" where the taxon is fictwort."""
    first, _, kind = name.rpartition(" ")
    return kind in _KINDS and first in finder.common


def ends_own_name(name: str, finder: Finder) -> bool:
    """Is the name a shorter end of one of the taxon's common names: "Mosswort" of "marsh mosswort"?"""
    return _ends_own_name(name.lower(), _tails(finder.common))


@lru_cache(maxsize=256)
def _tails(common: frozenset[str]) -> frozenset[str]:
    """Every shorter end of the taxon's common names: "wood sorrel" and "sorrel" of "yellow wood sorrel"."""
    tails = set()
    for name in common:
        words = name.replace("-", " ").split()
        tails |= {" ".join(words[at:]) for at in range(1, len(words))}
    return frozenset(tails) - _NO_TAILS


def _ends_own_name(name: str, tails: frozenset[str]) -> bool:
    plain = name.replace("-", " ")
    first, _, last = plain.rpartition(" ")
    forms = {plain, *(f"{first} {single}".strip() for single in singulars(last))}
    return not forms.isdisjoint(tails)
