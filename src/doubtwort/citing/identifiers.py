"""Identifiers of works, found in free text and checked: DOI, ISBN, ISSN, PMID, handle. Addresses are in ``urls``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import quote, unquote

from doubtwort.citing.urls import canonical_url, registrable_domain, resolve, resolve_reference, web_address

__all__ = [
    "Identifier",
    "IdentifierKind",
    "canonical_url",
    "doi_url",
    "find_identifiers",
    "handle_url",
    "normalise_doi",
    "normalise_isbn",
    "normalise_issn",
    "pmid_url",
    "registrable_domain",
    "resolve",
    "resolve_reference",
    "web_address",
]

_DASH = r"\-\u2010\u2011\u2012\u2013"
_GAP = rf"[ \u00a0{_DASH}]?"
# ISO 26324: prefix "10.", registrant code, "/", suffix of any graphic characters. Codes have 4 to 9 digits.
_DOI = re.compile(r"(?<![\d.])10\.\d{4,9}(?:\.\d{1,9}){0,4}(?:/|%2[Ff])[^\s\"“”‘’«»\u0000-\u001f]{1,500}")
_NEXT_DOI = re.compile(r"[,;](?=(?:https?://|doi:|10\.\d{4,9}/))", re.IGNORECASE)
_BEFORE_DOI = re.compile(r"https?://[^\s\"<>]{0,300}$", re.IGNORECASE)
_PAGE_OF_DOI = re.compile(
    r"/(?:full|fulltext|abstract|abs|pdf|epdf|html|meta|summary|references)(?:/.*)?$|\.pdf$", re.I
)
_CLOSERS = {")": "(", "]": "[", "}": "{", ">": "<"}
_ISBN = re.compile(rf"(?<![\d{_DASH}])(?:97[89]{_GAP}(?:\d{_GAP}){{9}}\d|(?:\d{_GAP}){{9}}[\dXx])(?![{_DASH}]?\d|[Xx])")
_ISBN_LABEL = re.compile(r"\bISBN[^\n]{0,60}$", re.IGNORECASE)
_ISSN = re.compile(
    rf"\b[ep]?-?ISSN(?:-?L)?[\s:#]{{0,3}}(?:\([a-z]{{2,10}}\)[\s:]{{0,3}})?(\d{{4}}[{_DASH}]?\d{{3}}[\dXx])\b", re.I
)
_PMID = re.compile(
    r"(?:\bPMID[\s:#]{0,3}|\bpubmed\.ncbi\.nlm\.nih\.gov/|\bncbi\.nlm\.nih\.gov/(?:m/)?pubmed/)([1-9]\d{0,7})\b",
    re.IGNORECASE,
)
# RFC 3651 section 2: naming authority of digits and dots, "/", local name; only labelled or with the resolver's host,
# since "1/2" is no handle.
_HANDLE = re.compile(
    r"(?:\b(?:hdl|handle)[\s:]{1,3}|\bhdl\.handle\.net/|/handle/)(\d{2,9}(?:\.[\w.-]{1,40})?/[^\s\"“”‘’«»<>?#]{1,300})",
    re.IGNORECASE,
)


class IdentifierKind(StrEnum):
    DOI = "doi"
    ISBN = "isbn"
    ISSN = "issn"
    PMID = "pmid"
    HANDLE = "handle"


@dataclass(frozen=True, slots=True)
class Identifier:
    """One identifier at [start, end) of the text it was found in; ``value`` is its one normal form."""

    kind: IdentifierKind
    value: str
    start: int
    end: int


def find_identifiers(text: str) -> tuple[Identifier, ...]:
    """All identifiers in a text, in order. Check digits that are wrong are not identifiers.

    >>> [each.value for each in find_identifiers("Ex. 2009, doi:10.1136/bmj.b2680. ISBN 0-306-40615-2")]
    ['10.1136/bmj.b2680', '9780306406157']
    """
    dois = list(_dois(text))
    others = [
        *_isbns(text),
        *_labelled(text, _ISSN, IdentifierKind.ISSN),
        *_labelled(text, _PMID, IdentifierKind.PMID),
        *_labelled(text, _HANDLE, IdentifierKind.HANDLE),
    ]
    free = (each for each in others if not any(doi.start <= each.start < doi.end for doi in dois))
    return tuple(sorted([*dois, *free], key=lambda each: each.start))


def _dois(text: str) -> Iterator[Identifier]:
    at = 0
    while match := _DOI.search(text, at):
        raw = match.group()
        following = _NEXT_DOI.search(raw)
        if following:
            raw = raw[: following.start()]
        leading = _BEFORE_DOI.search(text, max(0, match.start() - 308), match.start())
        if leading:
            raw = re.split(r"[?#&]", raw)[0]
        raw = _without_closing_marks(raw)
        if leading and not re.match(r"https?://(?:dx\.)?doi\.org/", leading.group(), re.IGNORECASE):
            raw = _PAGE_OF_DOI.sub("", raw)
        value = (unquote(raw) if leading else raw).lower()
        at = match.start() + max(len(raw), 1)
        if value.partition("/")[2]:
            yield Identifier(IdentifierKind.DOI, value, match.start(), match.start() + len(raw))


def _without_closing_marks(doi: str) -> str:
    """Without the sentence's own marks: final punctuation, and closing brackets that were opened before the DOI.

    >>> _without_closing_marks("10.1016/S0196-0644(99)70280-5).")
    '10.1016/S0196-0644(99)70280-5'
    """
    while doi:
        last = doi[-1]
        opener = _CLOSERS.get(last)
        if last in ".,;:!?'*_…" or (opener and doi.count(last) > doi.count(opener)):
            doi = doi[:-1]
        else:
            break
    return doi


def _isbns(text: str) -> Iterator[Identifier]:
    """ISBN-13 anywhere; ten digits alone are too often something else, and need the label ISBN before them."""
    for match in _ISBN.finditer(text):
        value = normalise_isbn(match.group())
        thirteen = sum(c.isdigit() for c in match.group()) == 13
        if value and (thirteen or _ISBN_LABEL.search(text, max(0, match.start() - 70), match.start())):
            yield Identifier(IdentifierKind.ISBN, value, match.start(), match.end())


def _labelled(text: str, pattern: re.Pattern[str], kind: IdentifierKind) -> Iterator[Identifier]:
    for match in pattern.finditer(text):
        value = match[1]
        if kind is IdentifierKind.ISSN:
            value = normalise_issn(value)
        elif kind is IdentifierKind.HANDLE:
            value = _without_closing_marks(unquote(value))
        if value:
            yield Identifier(kind, value, match.start(1), match.end(1))


def normalise_doi(text: str) -> str:
    """The DOI that a whole string is, in lower case (ISO 26324: case-insensitive), or "".

    >>> normalise_doi("https://doi.org/10.1371/Journal.pone.0184727")
    '10.1371/journal.pone.0184727'
    """
    text = text.strip()
    found = next(_dois(text), None)
    before = "" if found is None else text[: found.start]
    whole = re.fullmatch(r"(?:https?://\S+|(?:https?://)?(?:dx\.)?doi\.org/|(?:urn:|info:)?doi[:/]?\s*|)", before, re.I)
    return found.value if found and whole and not re.search(r"\s", text[found.end :]) else ""


def doi_url(doi: str) -> str:
    """The address at the public resolver, "" when it is no DOI. The DOI's own marks are encoded
    (DOI Handbook §2.5.2.4).

    >>> doi_url("10.1016/S0196-0644(99)70280-5")
    'https://doi.org/10.1016/s0196-0644(99)70280-5'
    """
    value = normalise_doi(doi)
    return f"https://doi.org/{quote(value, safe='/:;()._-~!*,=@')}" if value else ""


def pmid_url(pmid: str) -> str:
    """The public address of a PubMed record, "" when it is no PMID.

    >>> pmid_url("12345678"), pmid_url("012")
    ('https://pubmed.ncbi.nlm.nih.gov/12345678/', '')
    """
    return f"https://pubmed.ncbi.nlm.nih.gov/{pmid}/" if re.fullmatch(r"[1-9]\d{0,7}", pmid) else ""


def handle_url(handle: str) -> str:
    """The address of a handle at the public resolver, "" when it is none.

    >>> handle_url("10919/12345")
    'https://hdl.handle.net/10919/12345'
    """
    good = re.fullmatch(r"\d[\w.-]{1,50}/[^\s\"<>]{1,300}", handle)
    return f"https://hdl.handle.net/{quote(handle, safe='/:;()._-~!*,=@')}" if good else ""


def normalise_isbn(text: str) -> str:
    """ISBN-13 as thirteen digits from an ISBN-10 or ISBN-13 (ISO 2108), or "" when the check digit is wrong.

    >>> normalise_isbn("0-306-40615-2")
    '9780306406157'
    """
    digits = re.sub(rf"^ISBN(?:[{_DASH}]?1[03])?:?|[\s{_DASH}]", "", text.strip(), flags=re.IGNORECASE).upper()
    if re.fullmatch(r"[0-9]{9}[0-9X]", digits):
        weighed = sum(weight * _digit(each) for weight, each in zip(range(10, 0, -1), digits, strict=True))
        return "978" + digits[:9] + _check_13("978" + digits[:9]) if weighed % 11 == 0 else ""
    # 979-0 is for printed music (ISMN, ISO 10957), not for books.
    if re.fullmatch(r"97[89][0-9]{10}", digits) and not digits.startswith("9790"):
        return digits if digits[12] == _check_13(digits[:12]) else ""
    return ""


def normalise_issn(text: str) -> str:
    """ISSN as "2070-1721" (ISO 3297), or "" when the check digit is wrong.

    >>> normalise_issn("20701721")
    '2070-1721'
    """
    digits = re.sub(rf"^ISSN:?|[\s{_DASH}]", "", text.strip(), flags=re.IGNORECASE).upper()
    if not re.fullmatch(r"[0-9]{7}[0-9X]", digits):
        return ""
    weighed = sum(weight * _digit(each) for weight, each in zip(range(8, 0, -1), digits, strict=True))
    return f"{digits[:4]}-{digits[4:]}" if weighed % 11 == 0 else ""


def _digit(character: str) -> int:
    return 10 if character == "X" else int(character)


def _check_13(twelve: str) -> str:
    weighed = sum(int(each) * (3 if at % 2 else 1) for at, each in enumerate(twelve))
    return str((10 - weighed % 10) % 10)
