"""The values that pass between the rooms: frozen, without behaviour, without input or output.

Words are those of the design: a *claim* says something about eating a *taxon* and cites *sources*; a *statement*
is one verbatim span of a source with one wording about one taxon; a *trail* leads from a claim to its *roots*.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol


class Wording(StrEnum):
    """What a statement says about eating."""

    EDIBLE = "edible"
    NON_TOXIC = "non-toxic"
    UNPALATABLE = "unpalatable"
    INEDIBLE = "inedible"
    TOXIC = "toxic"


class About(StrEnum):
    """Whose statement it is, seen from the claim's taxon."""

    TAXON = "taxon"
    GENUS = "genus"
    FAMILY = "family"
    OTHER = "other"
    UNCLEAR = "unclear"


class Eater(StrEnum):
    PEOPLE = "people"
    ANIMALS = "animals"


class Certainty(StrEnum):
    STATED = "stated"
    HEDGED = "hedged"
    HEARSAY = "hearsay"


class Outcome(StrEnum):
    """What one source is worth to one claim."""

    SUPPORTS = "supports"
    NARROWER = "narrower"
    WEAKER = "weaker"
    ELSEWHERE = "elsewhere"
    OVERSTATES = "overstates"
    MIXED = "mixed"
    CONTRADICTS = "contradicts"
    OTHER_TAXON = "other-taxon"
    SILENT = "silent"
    ABSENT = "absent"
    CIRCULAR = "circular"
    UNREAD = "unread"


class UnreadReason(StrEnum):
    """Why a source was not read."""

    NOT_FOUND = "not-found"
    GONE = "gone"
    REFUSED = "refused"
    ROBOTS = "robots"
    TIMEOUT = "timeout"
    UNREACHABLE = "unreachable"
    TOO_LARGE = "too-large"
    UNSUPPORTED_TYPE = "unsupported-type"
    ADDRESS_NOT_ALLOWED = "address-not-allowed"
    REDIRECT_LOOP = "redirect-loop"
    NO_TEXT = "no-text"
    OFFLINE_WORK = "offline-work"
    DEPTH_LIMIT = "depth-limit"


class Rating(StrEnum):
    """How far the claim is supported. A word, never a number; none of them means that anything is safe to eat."""

    UNCITED = "uncited"
    UNVERIFIABLE = "unverifiable"
    DISPUTED = "disputed"
    CONTRADICTED = "contradicted"
    CORROBORATED = "corroborated"
    SUPPORTED = "supported"
    PARTLY_SUPPORTED = "partly-supported"
    STRETCHED = "stretched"
    UNSUPPORTED = "unsupported"


class Grounds(StrEnum):
    """On what a supporting statement rests."""

    OWN_WORD = "own-word"
    UNCHECKED = "unchecked"
    TRACED = "traced"


class Shift(StrEnum):
    """The citing statement's wording beside that of the cited one."""

    STRENGTHENED = "strengthened"
    KEPT = "kept"
    WEAKENED = "weakened"


@dataclass(frozen=True, slots=True)
class Taxon:
    """A plant or fungus, named as in Darwin Core (scientificName, vernacularName, family).

    >>> Taxon("Urtica exempla", synonyms=("Urtica ficta",), common_names=("mock nettle",)).genus
    'Urtica'
    """

    scientific_name: str
    synonyms: tuple[str, ...] = ()
    common_names: tuple[str, ...] = ()
    family: str = ""

    @property
    def genus(self) -> str:
        """First word of the scientific name, "" when there is none."""
        words = self.scientific_name.replace("×", " ").split()
        return words[0] if words else ""


# --------------------------------------------------------------------------- what was fetched


@dataclass(frozen=True, slots=True)
class Fetched:
    """Bytes that came from an address. ``fetched_at`` is ISO 8601 in UTC; ``headers`` have lower-case names."""

    url: str
    final_url: str
    status: int
    headers: Mapping[str, str]
    body: bytes
    fetched_at: str
    sha256: str
    archived: bool = False

    @property
    def content_type(self) -> str:
        return self.headers.get("content-type", "")


@dataclass(frozen=True, slots=True)
class NotFetched:
    """Why nothing came from an address: a reason of the table and one clause of detail ("HTTP 404")."""

    url: str
    reason: UnreadReason
    detail: str = ""
    final_url: str = ""
    fetched_at: str = ""


class Fetcher(Protocol):
    """Gives the bytes of one address, or a typed reason why not. Never raises for what the web does."""

    def fetch(self, url: str) -> Fetched | NotFetched: ...


# --------------------------------------------------------------------------- what was read


@dataclass(frozen=True, slots=True)
class Citation:
    """One entry that a page refers to: a reference-list item or a link in the running text.

    ``key`` is unique in its document. ``urls`` are absolute and in order of preference. ``further_reading`` marks
    entries of lists that cite nothing in particular.
    """

    key: str
    text: str
    urls: tuple[str, ...] = ()
    doi: str = ""
    isbn: str = ""
    authors: tuple[str, ...] = ()
    year: str = ""
    title: str = ""
    pages: str = ""
    archived_url: str = ""
    further_reading: bool = False


@dataclass(frozen=True, slots=True)
class CitationMark:
    """Where a citation is invoked: a span of its passage's text, of no length where the mark itself was taken out
    (footnote numbers). ``key`` is that of a ``Citation`` of the same document."""

    start: int
    end: int
    key: str


@dataclass(frozen=True, slots=True)
class Passage:
    """A block of running text. ``start`` is its offset in ``Document.text``.

    ``kind`` is one of heading, paragraph, list-item, table-row, definition, caption, quote, preformatted.
    Rows and definitions read as "label: value" ("Edibility: not edible"). ``headings`` is the path from the top of
    the page down to this passage, without the page's title; a heading's own text is not in its own path.
    """

    text: str
    kind: str = "paragraph"
    headings: tuple[str, ...] = ()
    start: int = 0
    page: int | None = None
    marks: tuple[CitationMark, ...] = ()

    @property
    def end(self) -> int:
        return self.start + len(self.text)


@dataclass(frozen=True, slots=True)
class Document:
    """A page as read. ``subjects`` are names that the page gives as its own subject (structured data, metadata).
    ``work`` is what its metadata says of it as a work: DOI, ISBN, title, authors, its canonical address in ``urls``."""

    url: str
    title: str
    passages: tuple[Passage, ...]
    citations: Mapping[str, Citation] = field(default_factory=dict)
    subjects: tuple[str, ...] = ()
    language: str = ""
    work: Citation | None = None

    @property
    def text(self) -> str:
        """All passages in order, two line feeds between them; every ``Passage.start`` is an offset into it."""
        return "\n\n".join(passage.text for passage in self.passages)


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Bytes came, but no text: ``no-text`` or ``unsupported-type``."""

    url: str
    reason: UnreadReason
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a statement stands: heading path, span in ``Document.text``, page number of a PDF (from 1)."""

    headings: tuple[str, ...]
    start: int
    end: int
    page: int | None = None


@dataclass(frozen=True, slots=True)
class Statement:
    """One wording about one taxon, with everything that it was read from.

    ``subject`` is the name of the taxon that the statement was given to, as printed, or "". ``except_parts`` are
    parts that the statement leaves out ("all parts except the flesh"). ``citations`` are keys of the document's
    citations that belong to the statement's sentence.
    """

    quote: str
    wording: Wording
    about: About = About.UNCLEAR
    eater: Eater = Eater.PEOPLE
    certainty: Certainty = Certainty.STATED
    parts: tuple[str, ...] = ()
    preparations: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    amount: str = ""
    except_parts: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    place: Place | None = None
    subject: str = ""
    citations: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Notice:
    """Something read that is no statement of the table, kept as a caution: skin irritation, a plant poisonous to
    animals only. ``code`` is the caution's code."""

    code: str
    quote: str
    about: About
    rules: tuple[str, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """All that one document says about one taxon. ``named`` tells whether the taxon occurs at all; ``main_subject``
    is the name of the page's own subject, or ""."""

    statements: tuple[Statement, ...]
    notices: tuple[Notice, ...] = ()
    named: bool = False
    main_subject: str = ""


# --------------------------------------------------------------------------- what was claimed and found


@dataclass(frozen=True, slots=True)
class Claim:
    """A statement about eating a taxon, the place where it stands, and the sources that it cites."""

    id: str
    taxon: Taxon
    wording: Wording
    quote: str
    url: str
    parts: tuple[str, ...] = ()
    preparations: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    citations: tuple[Citation, ...] = ()
    certainty: Certainty = Certainty.STATED


@dataclass(frozen=True, slots=True)
class Source:
    """One cited work after the chase. ``id`` is "s1", "s2", … in order of discovery. ``cited_by`` holds "claim" or
    ids of sources. ``reason`` is set when ``outcome`` is ``unread``, ``grounds`` when it supports."""

    id: str
    url: str
    title: str
    depth: int
    cited_by: tuple[str, ...]
    outcome: Outcome
    final_url: str = ""
    reason: UnreadReason | None = None
    detail: str = ""
    grounds: Grounds | None = None
    main_subject: str = ""
    fetched_at: str = ""
    sha256: str = ""
    archived: bool = False
    statements: tuple[Statement, ...] = ()
    notices: tuple[Notice, ...] = ()
    citation: Citation | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One edge of the trail. ``origin`` is "claim" or a source id."""

    origin: str
    target: str
    shift: Shift | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning with its code, one sentence, and where that is known from."""

    code: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Audit:
    """One claim through all stages. ``root_groups`` are ids of roots; those in one group are not independent."""

    claim: Claim
    rating: Rating
    reasons: tuple[str, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    trail: tuple[Step, ...]
    root_groups: tuple[tuple[str, ...], ...] = ()
    audited_at: str = ""
    notes: tuple[str, ...] = ()
