"""A web of a few lines: each page is a list of statements in shorthand, each with what it cites.

``edible leaf > http://b.example/ doi:10.5555/1`` is a sentence that says so and cites two works. ``=`` before a page
leads on to another address, ``!`` before it says why nothing comes.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from doubtwort.audit import Readers
from doubtwort.model import (
    Citation,
    CitationMark,
    Document,
    Fetched,
    NotFetched,
    Passage,
    Place,
    Reading,
    Statement,
    Taxon,
    Unreadable,
    UnreadReason,
)
from doubtwort.settings import Settings
from doubtwort.taxa.hazards import Hazards
from support.shorthand import TAXON, reading

NO_HAZARDS = Hazards((), (), (), (), {})
CLAIM = "http://claims.example/fictaria"


@dataclass
class SmallWeb:
    """A fetcher over a dictionary. ``asked`` are the addresses asked for."""

    pages: Mapping[str, str]
    asked: list[str] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def fetch(self, url: str) -> Fetched | NotFetched:
        with self._lock:
            self.asked.append(url)
        final, page = url, self.pages.get(url)
        while page is not None and page.startswith("="):
            final = page[1:]
            page = self.pages.get(final)
        if page is None:
            return NotFetched(url, UnreadReason.NOT_FOUND, "HTTP 404")
        if page.startswith("!"):
            return NotFetched(url, UnreadReason(page[1:]))
        return Fetched(
            url, final, 200, {"content-type": "text/plain"}, page.encode(), "2026-11-25T09:00:00Z", "ab" * 32
        )


def read(fetched: Fetched, settings: Settings) -> Document | Unreadable:
    text = fetched.body.decode()
    if not text.strip():
        return Unreadable(fetched.final_url, UnreadReason.NO_TEXT)
    passages: list[Passage] = []
    citations: dict[str, Citation] = {}
    start = 0
    for line in text.splitlines():
        said, _, cited = line.partition(">")
        marks = []
        for work in cited.split():
            citations[work] = citation(work)
            marks.append(CitationMark(len(said.strip()), len(said.strip()), work))
        passages.append(Passage(said.strip(), start=start, marks=tuple(marks)))
        start += len(said.strip()) + 2
    return Document(fetched.final_url, f"Page at {fetched.final_url}", tuple(passages), citations)


def citation(work: str) -> Citation:
    """``url1,url2``, ``doi:…``, ``old:url@archive`` or a book's title."""
    if work.startswith("doi:"):
        return Citation(work, work, doi=work[4:])
    if work.startswith("old:"):
        url, _, archived = work[4:].partition("@")
        return Citation(work, work, (url,), archived_url=archived)
    urls = tuple(work.split(",")) if work.startswith("http") else ()
    return Citation(work, f"Muster, {work}.", urls)


def read_document(document: Document, taxon: Taxon) -> Reading:
    assert taxon.scientific_name == TAXON.scientific_name
    said: list[Statement] = []
    for passage in document.passages:
        if passage.text.split()[0] in ("edible", "non-toxic", "unpalatable", "inedible", "toxic"):
            place = Place((), passage.start, passage.end)
            said += [replace(each, place=place) for each in reading(passage.text).statements]
    named = bool(said) or "Fictaria silvana" in document.text
    return Reading(tuple(said), named=named)


READERS = Readers(read, read_document)
