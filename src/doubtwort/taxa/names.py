"""Scientific names: genus, epithet, ranks below the species, hybrids, doubts; authors and years left aside.

Forms follow the International Code of Nomenclature for algae, fungi, and plants (Shenzhen 2018): binomials Art. 23,
ranks below the species Art. 24, hybrids and the multiplication sign Art. H.1-H.3; family endings Art. 18.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from doubtwort.errors import CallError
from doubtwort.model import Taxon
from doubtwort.text import fold, one_line

_LONGEST: Final = 200
_MOST_NAMES: Final = 200
_GENUS = re.compile(r"[A-Z][a-zëïöüé]{1,30}(?:-[a-zëïöüé]{2,30})?")
_ABBREVIATED = re.compile(r"[A-Z][a-z]{0,2}\.")
_EPITHET = re.compile(r"[a-zëïöüé]{2,40}(?:-[a-zëïöüé]{1,40}){0,3}")

# How a rank is printed → its standard form.
RANKS: Final = {
    "subsp": "subsp.", "ssp": "subsp.", "subspecies": "subsp.", "var": "var.", "variety": "var.", "varietas": "var.",
    "f": "f.", "fo": "f.", "forma": "f.", "form": "f.", "convar": "convar.", "subvar": "subvar.", "subf": "subf.",
    "nothosubsp": "nothosubsp.", "nothovar": "nothovar.", "cv": "cv.", "f.sp": "f.sp.",
}  # fmt: skip
_WIDTHS: Final = {"s.l", "s.lat", "sensu", "s.str", "s.s", "agg", "aggr", "group", "complex"}
_GENUS_WIDE: Final = {"sp", "spp", "species"}
_DOUBTS: Final = {"cf": "cf.", "aff": "aff.", "nr": "aff."}

# Conserved old family names beside their modern ones (Shenzhen Code, Art. 18.5).
OLD_FAMILIES: Final = {
    "compositae": "asteraceae", "cruciferae": "brassicaceae", "gramineae": "poaceae", "guttiferae": "clusiaceae",
    "labiatae": "lamiaceae", "leguminosae": "fabaceae", "palmae": "arecaceae", "umbelliferae": "apiaceae",
    "papilionaceae": "fabaceae",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ParsedName:
    """A scientific name in its parts.

    ``epithet`` is "" for a genus alone. ``infraspecific`` holds (rank, epithet) pairs, outermost first. ``doubt`` is
    "", "cf." or "aff."; ``genus_wide`` is set by "spp." and "sp."; ``abbreviated`` by "U. dioica".
    """

    genus: str
    epithet: str = ""
    infraspecific: tuple[tuple[str, str], ...] = ()
    hybrid: bool = False
    intergeneric: bool = False
    abbreviated: bool = False
    genus_wide: bool = False
    doubt: str = ""
    cultivar: str = ""

    @property
    def binomial(self) -> str:
        """Genus and epithet without a hybrid's sign, "" for a genus alone."""
        return f"{self.genus} {self.epithet}" if self.epithet else ""

    @property
    def canonical(self) -> str:
        """The name without author, year, width, doubt and cultivar.

        >>> parse_name("Fictaria x silvana (L.) Alder 1801 ssp. minor").canonical
        'Fictaria × silvana subsp. minor'
        """
        words = [f"× {self.genus}" if self.intergeneric else self.genus]
        if self.epithet:
            words += ["×", self.epithet] if self.hybrid else [self.epithet]
        for rank, epithet in self.infraspecific:
            words += [rank, epithet]
        return " ".join(words)


def parse_name(text: str) -> ParsedName:
    """Reads one scientific name.

    >>> parse_name("U. dioica L. subsp. galeopsifolia (Wierzb. ex Opiz) Chrtek").infraspecific
    (('subsp.', 'galeopsifolia'),)
    >>> parse_name("stinging nettle")
    Traceback (most recent call last):
    doubtwort.errors.CallError: 'stinging nettle' is no scientific name: the genus comes first, with a capital letter.
    """
    shown = one_line(text, 60)
    if len(text) > _LONGEST:
        raise CallError(f"'{shown}' is too long for a scientific name.")
    tokens = fold(text.replace("_", " ")).text.replace("×", " × ").split()
    if not tokens:
        raise CallError("The scientific name is empty: give genus and species, for example 'Genus species'.")
    letters = [token for token in tokens if any(c.isalpha() for c in token)]
    if len(letters) >= 2 and all(token.isupper() for token in letters[:2]) and len(letters[0].rstrip(".")) > 1:
        tokens = [tokens[0].capitalize(), *(token.lower() for token in tokens[1:])]
    intergeneric = tokens[0] in {"×", "x", "X"}
    if intergeneric:
        tokens = tokens[1:]
    if not tokens:
        raise CallError(f"'{shown}' is no scientific name.")
    genus, rest = tokens[0], tokens[1:]
    abbreviated = bool(_ABBREVIATED.fullmatch(genus))
    if not abbreviated and not _GENUS.fullmatch(genus):
        if genus[:1].islower() and _EPITHET.fullmatch(genus):
            raise CallError(f"'{shown}' is no scientific name: the genus comes first, with a capital letter.")
        raise CallError(f"'{shown}' is no scientific name: '{one_line(genus, 30)}' is no genus.")
    return _parse_rest(shown, genus, rest, abbreviated=abbreviated, intergeneric=intergeneric)


def _parse_rest(shown: str, genus: str, rest: list[str], *, abbreviated: bool, intergeneric: bool) -> ParsedName:
    """What follows the genus: epithet, ranks, hybrid sign, doubt, width; authors are passed over."""
    hybrid = genus_wide = False
    epithet = doubt = cultivar = rank = ""
    below: list[tuple[str, str]] = []
    for at, token in enumerate(rest):
        word = token.rstrip(".,;").lower()
        if token in {"×", "x", "X"}:
            hybrid = True
            if epithet and at + 1 < len(rest) and (rest[at + 1][:1].isupper() or _EPITHET.fullmatch(rest[at + 1])):
                raise CallError(f"'{shown}' is a hybrid formula: give the name of one taxon.")
        elif token[0] in "'\"" and len(token) > 1:
            cultivar = " ".join(rest[at:]).strip("'\"")
            break
        elif word in RANKS and (token.endswith(".") or word == "forma") and epithet:
            rank = RANKS[word]
        elif word in _DOUBTS and not rank:
            doubt = _DOUBTS[word]
        elif word in _GENUS_WIDE and not epithet:
            genus_wide = True
        elif word in _WIDTHS:
            continue
        elif rank and rank != "cv." and _EPITHET.fullmatch(token):
            below.append((rank, token))
            rank = ""
        elif not epithet and not genus_wide and _EPITHET.fullmatch(token) and token not in {"ex", "et", "and", "in"}:
            if at > sum(each in {"×", "x", "X", "cf.", "aff.", "cf", "aff", "nr."} for each in rest[:at]):
                raise CallError(f"'{shown}' is no scientific name: the species comes right after the genus.")
            epithet = token
        elif not epithet and token[0].isdigit():
            raise CallError(f"'{shown}' is no scientific name: '{one_line(token, 30)}' is no species.")
    if rest and not (epithet or genus_wide or doubt) and not _is_author(rest[0]):
        raise CallError(f"'{shown}' is no scientific name: '{one_line(rest[0], 30)}' is no species.")
    if abbreviated and not epithet:
        raise CallError(f"'{shown}' is no scientific name: an abbreviated genus needs its species.")
    return ParsedName(
        genus=genus,
        epithet=epithet,
        infraspecific=tuple(below),
        hybrid=hybrid,
        intergeneric=intergeneric,
        abbreviated=abbreviated,
        genus_wide=genus_wide,
        doubt=doubt,
        cultivar=cultivar,
    )


def _is_author(token: str) -> bool:
    return bool(re.fullmatch(r"\(?[A-Z][\w.'-]*\)?[.,]?", token)) or token in {"&", "agg.", "s.l.", "s.str."}


def taxon_from_user(name: str, synonyms: Iterable[str] = (), common_names: Iterable[str] = ()) -> Taxon:
    """A taxon from what a user typed. A genus alone is allowed; doubts, abbreviations and common names are not.

    >>> taxon_from_user("Fictaria silvana (L.) Alder", ["FICTARIA MOLLIS"], ["fictwort ", "Fictwort"])
    Taxon(scientific_name='Fictaria silvana', synonyms=('Fictaria mollis',), common_names=('fictwort',), family='')
    """
    accepted = _scientific(name)
    others: dict[str, None] = {}
    for each in synonyms:
        canonical = _scientific(each)
        if canonical != accepted:
            others[canonical] = None
    commons: dict[str, str] = {}
    for each in common_names:
        common = one_line(fold(each).text).strip(" ,;.\"'")
        if not any(c.isalpha() for c in common) or len(common) < 3 or len(common) > 80:
            raise CallError(f"'{one_line(each, 60)}' is no common name: give 3 to 80 characters with letters.")
        commons.setdefault(common.lower(), common)
    if len(others) > _MOST_NAMES or len(commons) > _MOST_NAMES:
        raise CallError(f"Too many names: at most {_MOST_NAMES} synonyms and {_MOST_NAMES} common names.")
    return Taxon(accepted, tuple(others), tuple(commons.values()))


def _scientific(name: str) -> str:
    parsed = parse_name(name)
    shown = one_line(name, 60)
    if parsed.abbreviated:
        raise CallError(f"'{shown}' is abbreviated: write the genus in full.")
    if parsed.doubt:
        raise CallError(f"'{shown}' is a doubtful name: leave out '{parsed.doubt}' or give the genus alone.")
    words = name.split()
    if not parsed.epithet and not parsed.genus_wide and len(words) == 2 and re.fullmatch(r"[A-Z][a-z]{3,}", words[1]):
        raise CallError(f"'{shown}': write the species with a small letter, '{words[0]} {words[1].lower()}'.")
    if reads_as_english(parsed):
        raise CallError(f"'{shown}' reads as a common name: give the scientific name, and this with --common-name.")
    return parsed.canonical


_ENGLISH_EPITHETS = re.compile(
    r"(?:.*(?:berry|berries|wort|weed|bane|leaved|flower|grass|thorn|nettle|parsley|parsnip|mushroom|nightshade)"
    r"|(?:.{3,})?(?:root|leaf|nut|wood|seed)|apple|ash|bark|bean|beans|bolete|bush|cabbage|cap|carrot|chanterelle|cherry"
    r"|clover|cress|dock|ear|elder|fern|fir|foot|fungus|garlic|hemlock|ivy|lettuce|lily|mint|morel|oak|onion|palm|parasol"
    r"|pea|pine|plant|plants|plum|puffball|rose|sage|sorrel|spinach|tail|thistle|tree|trees|vetch|vine|violet|yam"
    r"|leaves|the|and|with|of|is|are|for)"
)


def reads_as_english(parsed: ParsedName) -> bool:
    """Is it a common name in the form of a binomial ("Stinging nettle")?"""
    return bool(parsed.epithet) and bool(_ENGLISH_EPITHETS.fullmatch(parsed.epithet))


def same_family(one: str, other: str) -> bool:
    """Equal family names, old ones included.

    >>> same_family("Umbelliferae", "APIACEAE")
    True
    """
    first, second = one.strip().lower(), other.strip().lower()
    return bool(first) and OLD_FAMILIES.get(first, first) == OLD_FAMILIES.get(second, second)
