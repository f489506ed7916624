"""Works that no program can fetch: a slip for the shelf says what to look for, and what a person writes down from it
is read like any other source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Final, Protocol, runtime_checkable

from doubtwort.audit.works import work_of
from doubtwort.model import Citation, Claim, Document, Fetched, UnreadReason, Wording

# What a person with a library card may read where a program could not. A page that is merely late or down is asked
# again, one that is too deep is a matter of --depth.
BY_HAND: Final = (
    UnreadReason.OFFLINE_WORK,
    UnreadReason.NOT_FOUND,
    UnreadReason.GONE,
    UnreadReason.REFUSED,
    UnreadReason.ROBOTS,
    UnreadReason.NO_TEXT,
    UnreadReason.UNSUPPORTED_TYPE,
    UnreadReason.TOO_LARGE,
)
PAGE_HEADER: Final = "printed-page"  # of a transcribed passage, beside its content-type
_SAYS: Final = {
    Wording.EDIBLE: "eaten",
    Wording.NON_TOXIC: "harmless",
    Wording.UNPALATABLE: "not worth eating",
    Wording.INEDIBLE: "not edible",
    Wording.TOXIC: "poisonous",
}


@runtime_checkable
class Shelf(Protocol):
    """Holds what was transcribed by hand for the claim that is being audited."""

    def transcript(self, work: str, /) -> Fetched | None:
        """The passage of the work with this digest; None: nothing was transcribed."""


@dataclass(frozen=True, slots=True)
class Slip:
    """One work to be looked up for one claim. ``names`` are all names of the taxon, ``work`` is the digest under which
    the transcript is found again."""

    id: str
    claim: str
    taxon: str
    names: tuple[str, ...]
    source: str
    work: str
    reason: UnreadReason
    citation: Citation
    look_for: str


def slip_of(claim: Claim, source: str, citation: Citation, reason: UnreadReason) -> Slip:
    """The slip for a source of a claim that could not be read.

    >>> from doubtwort.model import Taxon
    >>> claim = Claim("c1", Taxon("Fictaria silvana"), Wording.EDIBLE, "Leaves are eaten raw.", "", ("leaf",), ("raw",))
    >>> slip = slip_of(claim, "s1", Citation("r1", "Alder 1998", pages="112"), UnreadReason.OFFLINE_WORK)
    >>> slip.id, slip.look_for
    ('b12786bd8e6', 'Does p. 112 say that the leaf of Fictaria silvana is eaten raw?')
    """
    work = work_digest(citation)
    label = "b" + sha256(f"{claim.id}\n{work}".encode()).hexdigest()[:10]
    taxon = claim.taxon
    names = (taxon.scientific_name, *taxon.synonyms, *taxon.common_names)
    said = look_for(claim, citation)
    return Slip(label, claim.id, taxon.scientific_name, names, source, work, reason, citation, said)


def work_digest(citation: Citation) -> str:
    """16 hexadecimal digits for the work that a citation means, the same on every machine."""
    return sha256("\n".join(sorted(work_of(citation).keys)).encode()).hexdigest()[:16]


def look_for(claim: Claim, citation: Citation) -> str:
    """The question to the work, about exactly what is claimed."""
    pages = citation.pages.replace("-", "–")
    where = f"{'pp.' if '–' in pages else 'p.'} {pages}" if pages else "it"
    does = "Do" if "–" in pages else "Does"
    stages = f"{' or '.join(claim.stages)} " if claim.stages else ""
    parts = " and ".join(f"the {stages}{each}" for each in claim.parts if each != "whole plant")
    names = claim.taxon.scientific_name
    if claim.taxon.common_names:
        names += f" ({', '.join(claim.taxon.common_names[:3])})"
    who = f"{parts} of {names}" if parts else f"{stages}{names}"
    how = f" {' or '.join(claim.preparations)}" if claim.preparations else ""
    are = "are" if " and the " in parts else "is"
    said = f"{does} {where} say that {who} {are} {_SAYS[claim.wording]}{how}?"
    if not pages and not citation.urls:
        index = ", ".join((claim.taxon.scientific_name, *claim.taxon.synonyms[:3], *claim.taxon.common_names[:3]))
        said += f" No page is cited: look in its index under {index}."
    return said


def told_by_hand(transcript: Fetched) -> str:
    """How a transcribed source is marked: "transcribed by hand on 2026-11-25, p. 112"."""
    page = transcript.headers.get(PAGE_HEADER, "")
    return f"transcribed by hand on {transcript.fetched_at[:10]}{f', p. {page}' if page else ''}"


def on_page(document: Document, transcript: Fetched) -> Document:
    """The document with its printed page on every passage, where one was given."""
    page = transcript.headers.get(PAGE_HEADER, "")
    if not (page.isascii() and page.isdecimal()):
        return document
    return replace(document, passages=tuple(replace(each, page=int(page)) for each in document.passages))
