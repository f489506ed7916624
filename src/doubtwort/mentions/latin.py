"""Latin names as printed: every capitalised word that could be a genus or a family, with what follows it.

Told from English by endings, a list of English words with such endings, and the genera that are known. What a name
means for a taxon is settled in ``find``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from doubtwort.taxa.lexicon import lexicon
from doubtwort.taxa.names import OLD_FAMILIES

_CAPITAL: Final = re.compile(
    r"(?<![\w@/&])(?P<cross>×\s?)?"
    r"(?:(?P<letter>[A-Z][a-z]{0,2})\.\s?(?P<sign>×\s?|x\s)?(?P<abbreviated>[a-zëï]{3,40}(?:-[a-zëï]{1,30}){0,3})(?![\w@]|\.\w)"
    r"|(?P<genus>[A-Z](?:[a-z01ëïöüé]{2,30}(?:-[a-z]{3,30})?|[A-ZËÏÖ]{3,30}))(?![\w@']))"
)
_CAPITALISED: Final = re.compile(r"[A-Z][\w-]*\.?")
_AFTER: Final = re.compile(
    r"\s(?:\((?:=\s?)?[A-Z][a-z]{2,30}\)\s)?(?:(?P<wide>spp?\.|spp\b|ssp\.(?=\s[a-z]{1,3}\s)|species\b)"
    r"|(?:(?P<doubt>cf|aff|nr)\.?\s)?(?P<hybrid>×\s?|x\s)?(?P<epithet>[a-zëïöüé][a-zëïöüé01|]{2,40}(?:-[a-zëï]{1,30}){0,3})(?![\w@']))"
)
_AFTER_CAPITALS: Final = re.compile(
    r"\s(?:(?P<wide>SPP?\.|SPP\b|SPECIES\b)|(?P<doubt>(?!))|(?P<hybrid>[×X]\s?)?(?P<epithet>[A-ZËÏÖ]{3,40}(?:-[A-Z]{1,30})?)(?![\w@']))"
)
_BELOW: Final = re.compile(
    r"(?:,?\s(?:\([^()]{1,50}\)|[A-Z][\w.&'-]{0,20}|ex|et|&)){0,6}?"
    r"\s(?P<rank>subsp|ssp|subspecies|var|variety|f|fo|forma|convar|nothosubsp|SUBSP|SSP|VAR)\.?\s"
    r"(?P<below>[a-zëï]{3,40}(?:-[a-z]{2,30})?|[A-Z]{4,40})(?![\w@'])"
)
_FORMULA: Final = re.compile(r"\s(?:×|x)\s(?:[A-Z][a-z]*\.?\s)?[a-z]{3,40}(?![\w'])")
_FAMILY: Final = re.compile(r"[a-z]{3,}aceae")
_GENUS_END: Final = re.compile(r"(?:a|(?<!o)us|um|is|on|es|as|os|ys|ix|ax|ex|yx|e)$")
_EPITHET_END: Final = re.compile(r"(?:a|(?<!o)us|um|is|i|ae|ans|ens|oides|opsis|fer|ger|x|yx|color|minor|major)$")
_NEUTER_END: Final = re.compile(r"(?:are|ale|ile|ense|estre|ustre|bile|cre|dule|mune|dulce|enne|olle)$")
_PLURALS: Final = (("s", ""), ("es", ""), ("i", "us"), ("ae", "a"), ("mycetes", "myces"))
_NO_GENUS: Final = frozenset({"St", "Mr", "Dr", "Mrs", "No", "Vol", "Mt", "Fig", "Var", "Ssp", "Syn", "Cf", "Ca", "Ex"})


@dataclass(frozen=True, slots=True)
class LatinName:
    """One Latin name as printed. ``genus`` is capitalised ("Urtica", "U"), ``epithet`` and ``below`` in lower case.

    ``form`` is one of binomial, abbreviated, genus, genus-wide ("Urtica spp."), family, hybrid, formula.
    """

    start: int
    end: int
    form: str
    genus: str
    epithet: str = ""
    below: str = ""
    doubt: str = ""


def looks_epithet(word: str, *, known_genus: bool, neuter: bool = False) -> bool:
    """Could the lower-case word be an epithet, not English?

    >>> looks_epithet("silvana", known_genus=False), looks_epithet("leaves", known_genus=True)
    (True, False)
    """
    if len(word) < (3 if known_genus else 4) or word in lexicon().not_latin:
        return False
    if _EPITHET_END.search(word):
        return True
    if word.endswith(("ster", "cer")):
        return known_genus
    return bool(_NEUTER_END.search(word)) and (neuter or known_genus)


def looks_genus(word: str) -> bool:
    """Could the capitalised word be a genus that is not known?"""
    lower = word.lower()
    return len(word) >= 4 and lower not in lexicon().not_latin and bool(_GENUS_END.search(lower))


@lru_cache(maxsize=50_000)
def _may_begin(word: str) -> bool:
    """Could a name of a genus that is not known begin with the capitalised word, a full stop behind it included?"""
    if "-" in word or word[-1] == "." or len(word) > 30:
        return True
    lower = word.lower()
    return looks_genus(word) or lower.endswith("aceae") or lower in OLD_FAMILIES


def _singular(word: str, genera: Collection[str], further: Collection[str]) -> str:
    """The known genus of which a word is the plural: "Fictarias", "Boleti", "Suilli"; "" for none."""
    for ending, singular in _PLURALS:
        if word.endswith(ending):
            genus = word[: -len(ending)] + singular
            if genus in genera or genus in further:
                return genus
    return ""


def may_hold_name(text: str, genera: Collection[str], further: Collection[str]) -> bool:
    """Could a Latin name stand in the text? Most sentences have a capital at their beginning alone."""
    for word in _CAPITALISED.findall(text):
        if _may_begin(word) or (genus := word.capitalize()) in genera or genus in further:
            return True
        if _singular(genus, genera, further):
            return True
    return False


def scan(text: str, genera: Collection[str], further: Collection[str] = ()) -> Iterator[LatinName]:
    """Latin names in a folded text, in order. ``genera`` and ``further`` are those taken as known, capitalised.

    >>> [(name.form, name.genus, name.epithet) for name in scan("The leaves of Fictaria silvana, F. mollis", ())]
    [('binomial', 'Fictaria', 'silvana'), ('abbreviated', 'F', 'mollis')]
    """
    if not may_hold_name(text, genera, further):
        return
    at = 0
    while match := _CAPITAL.search(text, at):
        name = _abbreviated(match) if match["letter"] else _full(text, match, genera, further)
        if name is None:
            at = max(match.end("genus") if match["letter"] is None else match.start("letter") + 1, match.start() + 1)
            continue
        yield name
        at = name.end


def _abbreviated(match: re.Match[str]) -> LatinName | None:
    epithet = match["abbreviated"]
    if not looks_epithet(epithet, known_genus=True) or match["letter"] in {
        "St",
        "Mr",
        "Dr",
        "Mrs",
        "No",
        "Vol",
        "Mt",
        "Fig",
    }:
        return None
    below = _BELOW.match(match.string, match.end())
    form = "hybrid" if match["sign"] else "abbreviated"
    end = match.end()
    if formula := _FORMULA.match(match.string, end):
        return LatinName(match.start("letter"), formula.end(), "formula", match["letter"], epithet)
    return LatinName(
        match.start("letter"),
        below.end() if below else end,
        form,
        match["letter"],
        epithet,
        below["below"].lower() if below else "",
    )


def _full(text: str, match: re.Match[str], genera: Collection[str], further: Collection[str]) -> LatinName | None:
    word = match["genus"]
    start, end = match.start("genus"), match.end()
    lower = word.lower()
    if _FAMILY.fullmatch(lower) or lower in OLD_FAMILIES:
        return LatinName(start, end, "family", word.capitalize())
    genus = word.capitalize() if word.isupper() else word
    known = genus in genera or genus in further
    if not known and (one := _singular(genus, genera, further)):
        return LatinName(start, end, "genus-wide", one)
    if not known and (not _may_begin(word) or not looks_genus(genus)):
        return None
    after = (_AFTER_CAPITALS if word.isupper() else _AFTER).match(text, end)
    if after is None:
        return LatinName(start, end, "genus", genus) if known else None
    if after["wide"]:
        if not known and after["wide"].lower() == "species":
            return None
        return LatinName(start, after.end() if after["wide"].lower() != "species" else end, "genus-wide", genus)
    epithet = after["epithet"].lower()
    plain = epithet.replace("1", "l").replace("|", "l").replace("0", "o")
    neuter = genus.endswith(("um", "on", "ma"))
    if not looks_epithet(plain, known_genus=known, neuter=neuter) and not after["hybrid"] and not after["doubt"]:
        return LatinName(start, end, "genus", genus) if known else None
    if formula := _FORMULA.match(text, after.end()):
        return LatinName(start, formula.end(), "formula", genus, epithet)
    below = _BELOW.match(text, after.end())
    return LatinName(
        match.start() if match["cross"] else start,
        below.end() if below else after.end(),
        "hybrid" if after["hybrid"] or match["cross"] else "binomial",
        genus,
        epithet,
        below["below"].lower() if below else "",
        after["doubt"] or "",
    )
