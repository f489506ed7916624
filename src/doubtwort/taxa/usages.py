"""Names as a public names service uses them, read from its answers. Every field of an answer may be anything at all.

Fields are those of the species API, version 1, of the Global Biodiversity Information Facility
(techdocs.gbif.org/en/openapi/v1/species; classes NameUsageMatch, NameUsage, VernacularName, PagingResponse of
gbif.github.io/gbif-api/apidocs). Terms are those of Darwin Core (dwc.tdwg.org/terms): taxonomicStatus, vernacularName.
"""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import dataclass
from typing import Any, Final, NoReturn

from doubtwort.errors import CallError
from doubtwort.taxa.languages import language_tag
from doubtwort.taxa.names import RANKS, parse_name, reads_as_english
from doubtwort.text import one_line

MOST_LISTED: Final = 1_000  # entries read from one list of one answer
_MOST_ALTERNATIVES: Final = 20
_LONGEST: Final = 200
_ACCEPTED: Final = ("ACCEPTED", "DOUBTFUL")
# A misapplied name was used for this taxon by mistake, and a pro parte synonym belongs to several taxa.
_PLAIN_SYNONYMS: Final = ("SYNONYM", "HETEROTYPIC_SYNONYM", "HOMOTYPIC_SYNONYM")
_MATCHED: Final = ("EXACT", "FUZZY", "VARIANT")
_WORD = re.compile(r"[A-Z][A-Z_]{0,39}")
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn"))  # Unicode general categories


class Unreadable(ValueError):
    """An answer that is not what the documentation describes. ``str()`` is a clause."""


@dataclass(frozen=True, slots=True)
class Usage:
    """One scientific name in its use by the service. ``scientific_name`` has its author, ``canonical_name`` has none;
    ``accepted_key`` is 0 where the answer gives none. ``vernacular_names`` only come with a search."""

    key: int
    scientific_name: str
    canonical_name: str = ""
    authorship: str = ""
    rank: str = ""
    taxonomic_status: str = ""
    family: str = ""
    kingdom: str = ""
    accepted_key: int = 0
    vernacular_names: tuple[VernacularName, ...] = ()

    @property
    def is_synonym(self) -> bool:
        """TaxonomicStatus: all but ACCEPTED and DOUBTFUL are kinds of synonym."""
        return self.taxonomic_status not in _ACCEPTED if self.taxonomic_status else bool(self.accepted_key)

    @property
    def is_plain_synonym(self) -> bool:
        """A synonym whose every use means the accepted taxon."""
        return self.taxonomic_status in _PLAIN_SYNONYMS

    @property
    def concept(self) -> int:
        """The key of the accepted name."""
        return self.accepted_key or self.key

    @property
    def name(self) -> str:
        """The name as this program keeps names, "" when it cannot be read surely.

        >>> Usage(1, "Fictaria silvana subsp. minor (L.) Alder", "Fictaria silvana minor").name
        'Fictaria silvana subsp. minor'
        >>> Usage(1, "Fictaria silvana minor", "Fictaria silvana minor").name
        ''
        """
        said = _bare(self.canonical_name)
        of_genus = len(said) == 1 and _bare(self.scientific_name)[:1] == said  # authors and years need no reading then
        try:
            parsed = parse_name(self.canonical_name if of_genus else self.scientific_name)
        except CallError:
            return ""
        if parsed.abbreviated or parsed.doubt or parsed.genus_wide or parsed.cultivar or reads_as_english(parsed):
            return ""
        return parsed.canonical if _bare(parsed.canonical) == said and not _rank_is_missing(self, said) else ""


@dataclass(frozen=True, slots=True)
class VernacularName:
    """A common name. ``language`` is a tag such as "en" (RFC 5646), "" when the service gives none."""

    name: str
    language: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """What the service took a name for. ``confidence`` is its number, None where it gives none."""

    match_type: str
    confidence: int | None
    usage: Usage | None
    alternatives: tuple[Usage, ...] = ()
    note: str = ""

    @property
    def found(self) -> bool:
        return self.usage is not None and self.match_type in _MATCHED


@dataclass(frozen=True, slots=True)
class Page:
    """A page of a list. ``items`` are objects, ``received`` counts what came, ``last`` is None where it is not said."""

    items: tuple[dict[str, Any], ...]
    received: int
    last: bool | None


@dataclass(frozen=True, slots=True)
class LookedUp:
    """All that was found under one name. ``match`` is None when the taxon was named by its key. ``source`` is the
    accepted name's address, ``retrieved`` the oldest moment of its answers; ``left_off`` names lists that go on."""

    asked: str
    match: Match | None
    usage: Usage
    accepted: Usage
    synonyms: tuple[Usage, ...]
    vernacular_names: tuple[VernacularName, ...]
    source: str
    retrieved: str
    from_cache: bool
    left_off: tuple[str, ...] = ()

    @property
    def is_exact(self) -> bool:
        """Whether the service means the very name that was asked for."""
        return self.match is None or (self.match.match_type == "EXACT" and self.usage.name == self.asked)

    @property
    def homonyms(self) -> tuple[Usage, ...]:
        """Other taxa that bear the same name by other authors."""
        others = self.match.alternatives if self.match else ()
        return tuple(each for each in others if each.name == self.asked and each.concept != self.accepted.key)


def read_match(body: bytes) -> Match:
    """The answer of /species/match (NameUsageMatch).

    >>> read_match(b'{"matchType": "NONE", "confidence": 100, "note": "No match"}')
    Match(match_type='NONE', confidence=100, usage=None, alternatives=(), note='No match')
    """
    said = read_object(body)
    match_type = _word(said.get("matchType"))
    if not match_type:
        raise Unreadable("it names no matchType")
    confidence = said.get("confidence")
    known = isinstance(confidence, int) and not isinstance(confidence, bool) and abs(confidence) <= 1_000
    others = [_matched(each) for each in _objects(said.get("alternatives"))[:_MOST_ALTERNATIVES]]
    return Match(
        match_type,
        confidence if known else None,
        _matched(said),
        tuple(each for each in others if each is not None),
        _text(said.get("note")),
    )


def read_usage(body: bytes, key: int) -> Usage:
    """The answer of /species/{key} (NameUsage)."""
    usage = usage_of(read_object(body))
    if usage is None:
        raise Unreadable("it names no key or no scientificName")
    if usage.key != key:
        raise Unreadable(f"it tells of key {usage.key}")
    return usage


def read_page(body: bytes) -> Page:
    """A page of a list (PagingResponse).

    >>> read_page(b'{"offset": 0, "limit": 20, "endOfRecords": true, "results": [{"key": 7}, null]}')
    Page(items=({'key': 7},), received=2, last=True)
    """
    said = read_object(body)
    results, last = said.get("results"), said.get("endOfRecords")
    if not isinstance(results, list):
        raise Unreadable("it has no list of results")
    return Page(tuple(_objects(results)), len(results), last if isinstance(last, bool) else None)


def read_object(body: bytes) -> dict[str, Any]:
    """A JSON object (RFC 8259) from bytes; ``Unreadable`` says what else came."""
    try:
        value = json.loads(body.decode("utf-8-sig"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise Unreadable("it is not JSON") from None
    if not isinstance(value, dict):
        raise Unreadable("it is no JSON object")
    return value


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number of JSON")


def usage_of(said: dict[str, Any]) -> Usage | None:
    """A NameUsage, None when it has no key or no name."""
    key, name = _key(said.get("key")), _text(said.get("scientificName"))
    if not key or not name:
        return None
    return Usage(
        key,
        name,
        _text(said.get("canonicalName")),
        _text(said.get("authorship")),
        _word(said.get("rank")),
        _word(said.get("taxonomicStatus")),
        _text(said.get("family")),
        _text(said.get("kingdom")),
        _key(said.get("acceptedKey")),
        vernacular_names(_objects(said.get("vernacularNames"))),
    )


def _matched(said: dict[str, Any]) -> Usage | None:
    """NameUsageMatch has other words for key, acceptedKey and taxonomicStatus."""
    renamed = {
        "key": said.get("usageKey"),
        "acceptedKey": said.get("acceptedUsageKey"),
        "taxonomicStatus": said.get("status"),
    }
    return usage_of(said | renamed | {"vernacularNames": None})


def vernacular_names(items: list[dict[str, Any]]) -> tuple[VernacularName, ...]:
    """Names that can be names, each once in a language, in the order in which they came.

    >>> vernacular_names([{"vernacularName": " fict\\x1bwort ", "language": "eng"}, {"vernacularName": 7}])
    (VernacularName(name='fictwort', language='en'),)
    """
    found: dict[tuple[str, str], VernacularName] = {}
    for each in items:
        name = _text(each.get("vernacularName")).strip(" ,;.\"'")
        if len(name) <= 80 and len(name) >= (3 if name.isascii() else 2) and any(c.isalpha() for c in name):
            kept = VernacularName(name, language_tag(_text(each.get("language"))))
            found.setdefault((name.casefold(), kept.language), kept)
    return tuple(found.values())


def _objects(value: Any) -> list[dict[str, Any]]:
    return [each for each in value[:MOST_LISTED] if isinstance(each, dict)] if isinstance(value, list) else []


def _key(value: Any) -> int:
    return value if type(value) is int and 0 < value < 2**63 else 0


def _word(value: Any) -> str:
    """A word of an enumeration, such as "HOMOTYPIC_SYNONYM"."""
    return value if isinstance(value, str) and _WORD.fullmatch(value) else ""


def _text(value: Any) -> str:
    """One line of text without characters that nobody sees, "" for what is no text or far too long for a name."""
    if not isinstance(value, str) or len(value) > 20 * _LONGEST:
        return ""
    line = " ".join(value.split())
    return one_line("".join(each for each in line if unicodedata.category(each) not in _UNSEEN), _LONGEST)


def _bare(name: str) -> list[str]:
    """The words of a name without ranks and hybrid signs, in lower case."""
    words = name.replace("×", " ").split()
    return [each.lower() for each in words if each.rstrip(".").lower() not in RANKS and each not in ("x", "X")]


def _rank_is_missing(usage: Usage, words: list[str]) -> bool:
    """Is it called a species though its name has three words, or the other way round?"""
    if usage.rank == "SPECIES":
        return len(words) != 2
    return usage.rank in ("SUBSPECIES", "VARIETY", "FORM") and len(words) < 3
