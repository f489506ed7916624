"""A page's claim about a taxon, with the citations attached to it."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from doubtwort.citing.urls import canonical_url
from doubtwort.errors import NoClaimFound
from doubtwort.model import (
    About,
    Certainty,
    CitationMark,
    Claim,
    Document,
    Eater,
    Passage,
    Reading,
    Statement,
    Taxon,
    Wording,
)
from doubtwort.text import one_line

GENERAL_SOURCES: Final = (
    "No sentence of the claim's page has a citation mark; the sources that the page lists in general "
    "were taken as the claim's sources."
)
_ROWS: Final = ("table-row", "definition")
# The text of a mark that stands for a reference, "[1]", "(2, 3)", "12", "†"; other marked text is a link in a sentence.
_NOTE = re.compile(r"\s*[\[(]?\s*(?:[\d,;\s–-]{1,12}|[a-z]|[*†‡§¹²³⁰⁴-⁹]{1,4})\s*[\])]?\s*")
_STOP = re.compile(r"[.!?][\"'”’)\]]{0,3}(?=\s|$|\d|\[)")
_FILLING = re.compile(r"[\s.,;:!?()\[\]\d*†‡↑^–-]*")


@dataclass(frozen=True, slots=True)
class Intake:
    """The claim and what is to be said about how it was taken in."""

    claim: Claim
    statement: Statement
    notes: tuple[str, ...] = ()


def claim_from(
    document: Document,
    reading: Reading,
    taxon: Taxon,
    wording: Wording,
    parts: tuple[str, ...] = (),
    preparations: tuple[str, ...] = (),
) -> Claim:
    """The page's claim of this wording about the taxon. Raises NoClaimFound."""
    return take_in(document, reading, taxon, wording, parts, preparations).claim


def take_in(
    document: Document,
    reading: Reading,
    taxon: Taxon,
    wording: Wording,
    parts: tuple[str, ...] = (),
    preparations: tuple[str, ...] = (),
) -> Intake:
    """The claim with notes on how it was found.

    Of several statements that fit, the one is taken that names the wanted part and preparation; then one with
    citations; then one that is stated, not hedged or hearsay; then the first. What the call names (``parts``,
    ``preparations``) stands in the claim instead of what the statement names.
    """
    fitting = [
        each
        for each in reading.statements
        if each.wording is wording and each.about is About.TAXON and each.eater is Eater.PEOPLE
    ]
    if not fitting:
        raise NoClaimFound(_nothing_found(document, reading, taxon, wording))
    cited = [citation_keys(document, each, reading.statements) for each in fitting]

    def order(number: int) -> tuple[bool, bool, bool, bool, int]:
        said = fitting[number]
        return (
            bool(parts) and not set(parts) & set(said.parts),
            bool(preparations) and not set(preparations) & set(said.preparations),
            not cited[number],
            said.certainty is not Certainty.STATED,
            number,
        )

    chosen = min(range(len(fitting)), key=order)
    statement, keys = fitting[chosen], cited[chosen]
    notes: tuple[str, ...] = ()
    if not keys and not any(passage.marks for passage in document.passages):
        keys = tuple(key for key, citation in document.citations.items() if not citation.further_reading)
        notes = (GENERAL_SOURCES,) if keys else ()
    claimed_parts, claimed_preparations = parts or statement.parts, preparations or statement.preparations
    claim = Claim(
        id=claim_id(document.url, taxon, wording, claimed_parts, claimed_preparations),
        taxon=taxon,
        wording=wording,
        quote=statement.quote,
        url=document.url,
        parts=claimed_parts,
        preparations=claimed_preparations,
        stages=statement.stages,
        citations=tuple(document.citations[key] for key in keys),
        certainty=statement.certainty,
    )
    return Intake(claim, statement, notes)


def claim_id(
    url: str, taxon: Taxon, wording: Wording, parts: Iterable[str] = (), preparations: Iterable[str] = ()
) -> str:
    """ "c" and the first 12 hexadecimal digits of the SHA-256 of canonical URL, scientific name, wording, sorted parts
    and sorted preparations, a line feed between them: the same claim has the same id on every machine.

    >>> claim_id("http://herb.example/x", Taxon("Fictaria silvana"), Wording.EDIBLE)
    'ce9d25e0bf726'
    """
    fields = (
        canonical_url(url),
        " ".join(taxon.scientific_name.split()).lower(),
        wording.value,
        ",".join(sorted(parts)),
        ",".join(sorted(preparations)),
    )
    return "c" + hashlib.sha256("\n".join(fields).encode()).hexdigest()[:12]


def citation_keys(document: Document, statement: Statement, others: Iterable[Statement] = ()) -> tuple[str, ...]:
    """Keys of the citations that belong to a statement, in the order of their marks; never of further reading.

    To it belong the marks of its sentence, those right after its stop, and all of its table row. Marks at the end of
    a paragraph serve an earlier sentence that has none of its own if the paragraph has no others.
    """
    keys = list(statement.citations)
    passage = _passage_of(document, statement)
    if passage is not None and statement.place is not None:
        if passage.kind in _ROWS:
            keys += [mark.key for mark in passage.marks]
        else:
            start, end = statement.place.start - passage.start, statement.place.end - passage.start
            keys += _keys_of_sentence(passage, start, end)
            if not keys and _one_group_at_end(passage):
                keys += [mark.key for mark in passage.marks]
    known = (key for key in dict.fromkeys(keys) if key in document.citations)
    return tuple(key for key in known if not document.citations[key].further_reading)


def _passage_of(document: Document, statement: Statement) -> Passage | None:
    if statement.place is None:
        return None
    at = statement.place.start
    return next((each for each in document.passages if each.start <= at < max(each.end, each.start + 1)), None)


def _keys_of_sentence(passage: Passage, start: int, end: int) -> list[str]:
    """Marks whose text lies in the sentence that holds [start, end), or right behind its stop."""
    text = passage.text
    stops = [match.end() for match in _STOP.finditer(text)]
    begins = max((stop for stop in stops if stop <= start), default=0)
    ends = next((stop for stop in stops if stop >= end), len(text))
    return [mark.key for mark in passage.marks if begins < _anchor(text, mark) <= ends or begins == 0 == mark.start]


def _anchor(text: str, mark: CitationMark) -> int:
    """Offset behind the text that a mark belongs to: a note to what stands before it, a link to itself."""
    if mark.end > mark.start and not _NOTE.fullmatch(text[mark.start : mark.end]):
        return mark.end
    before = text[: mark.start]
    while trimmed := re.search(r"(?:\s+|\[[^\[\]]{1,12}\])$", before):
        before = before[: trimmed.start()]
    return len(before)


def _one_group_at_end(passage: Passage) -> bool:
    """Whether all marks of the paragraph stand in one group at its end."""
    if not passage.marks:
        return False
    first = min(mark.start for mark in passage.marks)
    rest, at = "", first
    for mark in sorted(passage.marks, key=lambda each: each.start):
        rest += passage.text[at : mark.start]
        at = max(at, mark.end)
    return _FILLING.fullmatch(rest + passage.text[at:]) is not None


def _nothing_found(document: Document, reading: Reading, taxon: Taxon, wording: Wording) -> str:
    where = one_line(document.url, 200)
    name = one_line(taxon.scientific_name, 100)
    own = [each for each in reading.statements if each.about is About.TAXON and each.eater is Eater.PEOPLE]
    said = ", ".join(dict.fromkeys(each.wording.value for each in own))
    if said:
        return f"{where} does not call {name} {wording.value}; it says: {said}. Ask for that with --wording."
    if reading.named:
        return f"{where} names {name} but says nothing of people eating it. Give the page that makes the claim."
    return (
        f"{where} does not name {name}. Check the spelling, or add the names that the page uses "
        "with --common-name or --synonym."
    )
