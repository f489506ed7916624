"""The chase: breadth-first from the claim to the ends of its trail, every work read once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Final

from doubtwort.audit.keeper import Keeper, Progress
from doubtwort.audit.reader import Copy, Readers, WorkReader
from doubtwort.audit.works import Work, page_key, work_of
from doubtwort.citing.intake import Attached
from doubtwort.citing.urls import registrable_domain
from doubtwort.model import (
    About,
    Citation,
    Claim,
    Document,
    Outcome,
    Reading,
    Source,
    Statement,
    UnreadReason,
    Wording,
)
from doubtwort.settings import Settings
from doubtwort.support import CLAIM
from doubtwort.support.copies import Sketch, copied_pages, runs, same_runs, sketch_of, words
from doubtwort.support.outcome import Verdict, judge
from doubtwort.support.reasons import reason

# Statements kept of one source: all that decide anything, and a few on other taxa as evidence of "other-taxon".
MOST_STATEMENTS: Final = 200
MOST_OF_OTHERS: Final = 10
_TOXIC: Final = Wording.TOXIC


@dataclass(slots=True, eq=False)
class Found:
    """One source while the chase goes on. ``beyond``: it cites works that were not followed because a ceiling was
    reached. ``keys`` are all that lead to it; ``own`` is what its metadata says of it as a work."""

    work: Work
    depth: int
    id: str = ""
    cited_by: list[Found | None] = field(default_factory=list)
    copy: Copy = field(default_factory=Copy)
    reading: Reading = field(default_factory=lambda: Reading(()))
    verdict: Verdict = field(default_factory=lambda: Verdict(Outcome.UNREAD, ()))
    citations: tuple[Citation, ...] = ()
    title: str = ""
    beyond: bool = False
    keys: set[str] = field(default_factory=set)
    own: Citation | None = None
    sketch: Sketch | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """The claim's own page: what was read of it, None where the claim is not from a page that was read."""

    url: str
    final_url: str = ""
    document: Document | None = None
    reading: Reading = field(default_factory=lambda: Reading(()))
    copy: Copy = field(default_factory=Copy)


@dataclass(slots=True)
class Chased:
    """What the chase brought home. ``edges`` are (citing, cited), None for the claim, in order of discovery."""

    found: list[Found] = field(default_factory=list)
    edges: dict[tuple[Found | None, Found | None], None] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


class Chase:
    """One claim's chase."""

    def __init__(
        self,
        claim: Claim,
        page: Page,
        reader: WorkReader,
        readers: Readers,
        settings: Settings,
        keeper: Keeper,
        progress: Callable[[Progress], None] | None,
    ) -> None:
        self._claim, self._page, self._reader, self._readers = claim, page, reader, readers
        self._settings, self._keeper, self._progress = settings, keeper, progress
        self._own_keys = {key for url in (page.url, page.final_url) if (key := page_key(url))}
        self._own_runs = runs(words(page.document.text)) if page.document is not None else set()
        self._by_key: dict[str, Found] = {}
        self._cut = 0
        self.result = Chased()

    def run(self) -> Chased:
        """Follows the trail level by level until nothing new is cited or the depth is reached."""
        citing: list[tuple[Found | None, tuple[Citation, ...]]] = [(None, self._claim.citations)]
        depth = 1
        while citing:
            fresh = self._discover(citing, depth)
            self._read(fresh, depth)
            kept = self._merge(fresh)
            citing = [(found, found.citations) for found in kept if found.citations]
            depth += 1
        self._note_ceilings()
        return self.result

    def _discover(self, citing: Iterable[tuple[Found | None, tuple[Citation, ...]]], depth: int) -> list[Found]:
        """Rows for works not met before, and the edges to all."""
        fresh: list[Found] = []
        for origin, citations in citing:
            for citation in citations:
                if citation.further_reading:
                    continue
                work = work_of(citation)
                known = next((self._by_key[key] for key in sorted(work.keys) if key in self._by_key), None)
                if known is None and self._own_keys & work.keys and origin is not None:
                    self._edge(origin, None)
                    continue
                if known is None:
                    if len(self.result.found) + len(fresh) >= self._settings.max_sources:
                        self._cut += 1
                        if origin is not None:
                            origin.beyond = True
                        continue
                    known = Found(work, depth)
                    fresh.append(known)
                self._by_key.update(dict.fromkeys(work.keys, known))
                known.keys |= work.keys
                self._edge(origin, known)
        return fresh

    def _edge(self, origin: Found | None, target: Found | None) -> None:
        if (origin, target) not in self.result.edges:
            self.result.edges[origin, target] = None
            if target is not None:
                target.cited_by.append(origin)

    def _read(self, fresh: list[Found], depth: int) -> None:
        """Fetches and reads the rows of one level, but not beyond the depth, nor the claim's own page again."""
        wanted = []
        for found in fresh:
            if found.work.keys & self._own_keys:
                found.copy = self._page.copy
            elif not found.work.url:
                found.copy = self._reader.read_work(found.work)
            elif depth > self._settings.depth:
                found.copy = Copy(reason=UnreadReason.DEPTH_LIMIT, detail=f"deeper than {self._settings.depth}")
            else:
                wanted.append(found)
        already, known = len(self.result.found) + len(fresh) - len(wanted), len(self.result.found) + len(fresh)
        done = 0

        def tell(work: Work) -> None:
            nonlocal done
            done += 1
            if self._progress:
                self._progress(Progress(already + done, known, depth, work.url))

        copies = self._reader.read_all([found.work for found in wanted], tell)
        for found, copy in zip(wanted, copies, strict=True):
            found.copy = copy

    def _merge(self, fresh: list[Found]) -> list[Found]:
        """Judges the rows in order; one whose address led to a page already met becomes that one."""
        kept = []
        became: dict[Found, Found] = {}
        for found in fresh:
            final = page_key(found.copy.final_url) if found.copy.document is not None else ""
            same = self._by_key.get(final) if final else None
            same = same if same is not None and same.id else self._by_canonical(found)
            if same is not None and same is not found and same.id:
                became[found] = same
                continue
            if final:
                self._by_key[final] = found
                found.keys.add(final)
            self.result.found.append(found)
            found.id = f"s{len(self.result.found)}"
            self._judge(found)
            kept.append(found)
        self._join(became)
        for found in kept:
            self._keeper.keep_source(source_of(found, found.verdict.outcome))
        return kept

    def _by_canonical(self, found: Found) -> Found | None:
        """The source that is this page under the address which the page itself calls canonical (RFC 6596): only within
        one registrable domain, and only if both carry the same text, for sites give wrong ones."""
        document = found.copy.document
        stated = document.work.urls if document is not None and document.work is not None else ()
        same = self._by_key.get(page_key(stated[0])) if stated else None
        if document is None or same is None or same is found or same.sketch is None:
            return None
        if registrable_domain(stated[0]) != registrable_domain(found.copy.final_url):
            return None
        return same if any(copied_pages([same.sketch, sketch_of(document.text)])) else None

    def _join(self, became: dict[Found, Found]) -> None:
        """Those that turned out to be a source met before become that one: its keys and its edges."""
        if not became:
            return
        for found, same in became.items():
            self._by_key.update(dict.fromkeys(found.keys, same))
            same.keys |= found.keys
        edges, self.result.edges = self.result.edges, {}
        for origin, target in edges:
            if target is None or target not in became:
                self.result.edges[origin, target] = None
            elif (origin, became[target]) not in edges:
                self._edge(origin, became[target])

    def _judge(self, found: Found) -> None:
        """Outcome of one row by itself; the trail is looked at later."""
        copy, page = found.copy, self._page
        own = bool(found.work.keys & self._own_keys) or page_key(copy.final_url) in self._own_keys
        if own:
            found.reading, found.title = page.reading, page.document.title if page.document else ""
            found.verdict = Verdict(Outcome.CIRCULAR, (reason("own-page"),))
            return
        if copy.document is None:
            why = copy.reason.value if copy.reason else ""
            said = f"{why} ({copy.detail})" if copy.detail else why
            found.verdict = Verdict(Outcome.UNREAD, (reason("not-read", conditions=said),))
            return
        document = copy.document
        found.title = document.title
        found.reading = self._readers.read_document(document, self._claim.taxon)
        found.own = document.work
        if self._own_runs and same_runs(self._own_runs, runs(words(document.text))):
            found.verdict = Verdict(Outcome.CIRCULAR, (reason("copy-of-claim"),))
        else:
            found.verdict = judge(self._claim, found.reading)
            if copy.detail:  # nothing but a passage transcribed by hand is read and has a detail
                by_hand = reason("by-hand", conditions=copy.detail)
                found.verdict = replace(found.verdict, reasons=(*found.verdict.reasons, by_hand))
            found.citations = _followed(document, found.verdict.affirming)
            found.sketch = sketch_of(document.text)
        found.copy = Copy(None, copy.fetched, None, copy.detail, copy.final_url, copy.fetched_at)

    def _note_ceilings(self) -> None:
        if self._cut:
            self.result.notes.append(
                f"{self._cut} citations were not followed: the ceiling of {self._settings.max_sources} sources was "
                "reached."
            )
        if self._reader.ran_out:
            self.result.notes.append(
                f"Some sources were not read: the ceiling of {self._settings.max_seconds:g} seconds was reached."
            )


def _followed(document: Document, affirming: Iterable[Statement]) -> tuple[Citation, ...]:
    """What the affirming statements cite for themselves."""
    attached = Attached(document)
    keys = (key for said in affirming for key in attached.keys(said))
    return tuple(document.citations[key] for key in dict.fromkeys(keys))


def source_of(found: Found, outcome: Outcome) -> Source:
    """The row of the result, as far as it is known without the trail."""
    copy, fetched = found.copy, found.copy.fetched
    return Source(
        id=found.id,
        url=found.work.url,
        title=found.title or found.work.citation.title,
        depth=found.depth,
        cited_by=tuple(CLAIM if each is None else each.id for each in found.cited_by),
        outcome=outcome,
        final_url=copy.final_url,
        reason=copy.reason if outcome is Outcome.UNREAD else None,
        detail=copy.detail,
        main_subject=found.reading.main_subject,
        fetched_at=copy.fetched_at,
        sha256=fetched.sha256 if fetched else "",
        archived=fetched.archived if fetched else False,
        statements=_kept_statements(found.reading.statements),
        notices=found.reading.notices[:MOST_STATEMENTS],
        citation=found.work.citation,
    )


def _kept_statements(said: tuple[Statement, ...]) -> tuple[Statement, ...]:
    """Statements that bear on the taxon, warnings before all, and a few of the others; in their order on the page."""
    ours = sorted((each for each in said if each.about is not About.OTHER), key=lambda each: each.wording is not _TOXIC)
    others = [each for each in said if each.about is About.OTHER][:MOST_OF_OTHERS]
    chosen = set(map(id, (*ours[:MOST_STATEMENTS], *others)))
    return tuple(each for each in said if id(each) in chosen)
