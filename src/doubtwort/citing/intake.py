"""A page's claim about a taxon, with the citations attached to it."""

from __future__ import annotations

import hashlib
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from doubtwort.citing.urls import canonical_url, host_of
from doubtwort.errors import NoClaimFound
from doubtwort.model import (
    About,
    Certainty,
    CitationMark,
    Claim,
    Document,
    Eater,
    Passage,
    Place,
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
FURTHER_READING: Final = (
    "The claim's page lists {count} as further reading. Such a list cites nothing in particular and was not followed."
)
_ROWS: Final = ("table-row", "definition")
# The text of a mark that stands for a reference, "[1]", "(2, 3)", "12", "†"; other marked text is a link in a sentence.
_NOTE = re.compile(r"\s*[\[(]?\s*(?:[\d,;\s–-]{1,12}|[a-z]|[*†‡§¹²³⁰⁴-⁹]{1,4})\s*[\])]?\s*")
_STOP = re.compile(r"[.!?][\"'”’)\]]{0,3}(?=\s|$|\d|\[)")
_LONGEST_NOTES: Final = 80
_NOTES_BEFORE = re.compile(r"(?:\s|\[[^\[\]]{1,12}\])+\Z")
# A bracket that stands alone behind a stop and holds nothing but a reference belongs to the sentence before it.
_REFERENCE_WORDS = re.compile(
    r"(?:\b(?:see(?: also)?|sources?|refs?|references?|cf|via|from|after|link|and|in|pp?|accessed|retrieved)\b"
    r"|[\W\d_])*",
    re.IGNORECASE,
)
_OPENING = re.compile(r"[.!?][\"'”’)\]]{0,3}(\s+)[(\[]")
_LONGEST_BRACKET: Final = 300
_UNRESOLVED = re.compile(r"\[\s*\d{1,3}(?:\s*[,;–-]\s*\d{1,3})*\s*\]")
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
    attached = Attached(document)
    cited = [attached.keys(each) for each in fitting]

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
    here = host_of(document.url)
    further = sum(
        citation.further_reading and not (citation.urls and host_of(citation.urls[0]) == here)
        for citation in document.citations.values()
    )
    if further:
        notes += (FURTHER_READING.format(count="1 work" if further == 1 else f"{further} works"),)
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


class Attached:
    """Which citations of a document belong to a statement of it.

    To it belong the marks of its sentence, those right after its stop, and all of its table row. Marks at the end of
    a paragraph serve an earlier sentence that has none of its own if the paragraph has no others.
    """

    def __init__(self, document: Document) -> None:
        self._citations = document.citations
        self._passages = sorted(document.passages, key=lambda each: each.start)
        self._starts = [each.start for each in self._passages]
        self._seen: dict[int, _Marked] = {}

    def keys(self, statement: Statement) -> tuple[str, ...]:
        """Keys of its citations in the order of their marks; never of further reading."""
        keys = list(statement.citations)
        marked = self._marked(statement.place)
        if marked is not None and statement.place is not None:
            if marked.passage.kind in _ROWS:
                keys += marked.all
            else:
                keys += marked.of_sentence(statement.place)
                if not keys and marked.one_group_at_end and not _UNRESOLVED.search(marked.sentence(statement.place)):
                    keys += marked.all
        known = (key for key in dict.fromkeys(keys) if key in self._citations)
        return tuple(key for key in known if not self._citations[key].further_reading)

    def _marked(self, place: Place | None) -> _Marked | None:
        number = -1 if place is None else bisect_right(self._starts, place.start) - 1
        if number < 0 or not self._passages[number].marks:
            return None
        if number not in self._seen:
            self._seen[number] = _Marked(self._passages[number])
        return self._seen[number]


class _Marked:
    """One passage: its sentences and where its marks belong, worked out once."""

    def __init__(self, passage: Passage) -> None:
        self.passage = passage
        self.all = [mark.key for mark in passage.marks]
        self.one_group_at_end = _one_group_at_end(passage)
        self._stops = [match.end() for match in _STOP.finditer(passage.text)]
        self._anchors = _anchors(passage)

    def sentence(self, place: Place) -> str:
        """The text of the sentence that holds the place."""
        begins, ends = self._around(place)
        return self.passage.text[max(begins, 0) : ends]

    def of_sentence(self, place: Place) -> list[str]:
        """Marks whose text lies in the sentence that holds the place, or right behind its stop."""
        begins, ends = self._around(place)
        return [key for key, anchor in zip(self.all, self._anchors, strict=True) if begins < anchor <= ends]

    def _around(self, place: Place) -> tuple[int, int]:
        start, end = place.start - self.passage.start, place.end - self.passage.start
        before, behind = bisect_right(self._stops, start), bisect_left(self._stops, end)
        begins = self._stops[before - 1] if before else -1
        return begins, self._stops[behind] if behind < len(self._stops) else len(self.passage.text)


def _anchors(passage: Passage) -> list[int]:
    """Where each mark belongs. Marks of a bracket that stands behind a stop belong to the sentence before it."""
    found = [_anchor(passage.text, mark) for mark in passage.marks]
    order = sorted(range(len(found)), key=lambda number: passage.marks[number].start)
    starts = [passage.marks[number].start for number in order]
    for opening in _OPENING.finditer(passage.text) if found else ():
        at = opening.end() - 1
        closing = _closing(passage.text, at)
        inside = order[bisect_right(starts, at) : bisect_right(starts, closing)] if closing > 0 else []
        if not inside:
            continue
        words, done = "", at + 1
        for mark in (passage.marks[number] for number in inside):
            words += passage.text[done : mark.start]
            done = max(done, mark.end)
        if _REFERENCE_WORDS.fullmatch(words + passage.text[done:closing]):
            for number in inside:
                found[number] = opening.start(1)
    return found


def _closing(text: str, at: int) -> int:
    """Offset of the bracket that closes the one at ``at``, -1 when it is far or missing."""
    closes = {"(": ")", "[": "]"}[text[at]]
    depth = 0
    for offset in range(at, min(len(text), at + _LONGEST_BRACKET)):
        depth += (text[offset] == text[at]) - (text[offset] == closes)
        if not depth:
            return offset
    return -1


def _anchor(text: str, mark: CitationMark) -> int:
    """Offset behind the text that a mark belongs to: a note to what stands before it, a link to itself."""
    if mark.end > mark.start and not _NOTE.fullmatch(text[mark.start : mark.end]):
        return mark.end
    notes = _NOTES_BEFORE.search(text, max(0, mark.start - _LONGEST_NOTES), mark.start)
    return notes.start() if notes else mark.start


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
