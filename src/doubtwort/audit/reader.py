"""Fetches and reads cited works: a few workers, each at one host at a time, results in the order asked for."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from queue import Empty, SimpleQueue

from doubtwort.audit.keeper import Keeper
from doubtwort.audit.shelf import Shelf, on_page, told_by_hand, work_digest
from doubtwort.audit.works import Work, through_resolver
from doubtwort.citing.urls import host_of
from doubtwort.fetching import fetch_cited
from doubtwort.model import Citation, Document, Fetched, Fetcher, NotFetched, Reading, Taxon, Unreadable, UnreadReason
from doubtwort.settings import Settings

WORKERS = 4


@dataclass(frozen=True, slots=True)
class Readers:
    """The two functions that turn bytes into text and text into statements."""

    read: Callable[[Fetched, Settings], Document | Unreadable]
    read_document: Callable[[Document, Taxon], Reading]


@dataclass(frozen=True, slots=True)
class Copy:
    """One work as read: ``document`` and the fetch it came from, or the first ``reason`` why there is none."""

    document: Document | None = None
    fetched: Fetched | None = None
    reason: UnreadReason | None = None
    detail: str = ""
    final_url: str = ""
    fetched_at: str = ""


class WorkReader:
    """Reads works through the fetcher, the keeper and a time limit. ``ran_out`` tells that the limit was reached."""

    def __init__(
        self,
        fetcher: Fetcher,
        keeper: Keeper,
        read: Callable[[Fetched, Settings], Document | Unreadable],
        settings: Settings,
        clock: Callable[[], float],
    ) -> None:
        self._fetcher, self._keeper, self._read, self._settings, self._clock = fetcher, keeper, read, settings, clock
        self._until = clock() + settings.max_seconds
        self._one_at_a_time = threading.Lock()
        self._shelf = keeper if isinstance(keeper, Shelf) else None
        self.ran_out = False

    def read_all(self, works: Sequence[Work], done: Callable[[Work], None]) -> list[Copy]:
        """The works as read, in their order. ``done`` is called in this thread as each is finished."""
        by_host: dict[str, list[int]] = {}
        for number, work in enumerate(works):
            by_host.setdefault(host_of(work.url), []).append(number)
        jobs: SimpleQueue[list[int]] = SimpleQueue()
        finished: SimpleQueue[tuple[int, Copy | BaseException]] = SimpleQueue()
        for numbers in by_host.values():
            jobs.put(numbers)
        stop = threading.Event()

        def work_off() -> None:
            while not stop.is_set():
                try:
                    numbers = jobs.get_nowait()
                except Empty:
                    return
                for number in numbers:
                    if stop.is_set():
                        return
                    try:
                        finished.put((number, self.read_work(works[number])))
                    except BaseException as error:  # handed to the caller's thread, raised there
                        finished.put((number, error))

        copies: dict[int, Copy] = {}
        for _ in range(min(WORKERS, len(by_host))):
            threading.Thread(target=work_off, name="doubtwort-reader", daemon=True).start()
        try:
            while len(copies) < len(works):
                number, result = finished.get()
                if isinstance(result, BaseException):
                    raise result
                copies[number] = result
                done(works[number])
        finally:
            stop.set()
        return [copies[number] for number in range(len(works))]

    def read_work(self, work: Work) -> Copy:
        """Tries the addresses of a work in order, its archived copy, and then what was transcribed of it by hand. The
        first failure is the reason given: it is that of the address that the work is cited by."""
        copy = self._read_online(work) if work.url else Copy(reason=UnreadReason.OFFLINE_WORK)
        return copy if copy.document is not None else self.read_by_hand(work.citation) or copy

    def read_by_hand(self, citation: Citation) -> Copy | None:
        """What a person transcribed of the work for this claim; None: nothing, or nothing that can be read."""
        with self._one_at_a_time:
            transcript = self._shelf.transcript(work_digest(citation)) if self._shelf else None
        document = self._read(transcript, self._settings) if transcript else None
        if transcript is None or not isinstance(document, Document):
            return None
        fetched = replace(transcript, body=b"")
        return Copy(
            on_page(document, transcript), fetched, detail=told_by_hand(transcript), fetched_at=transcript.fetched_at
        )

    def _read_online(self, work: Work) -> Copy:
        failure: Copy | None = None
        for address in work.addresses:
            if self._clock() > self._until:
                self.ran_out = True
                limit = f"the audit's {self._settings.max_seconds:g} s were used up"
                failure = failure or Copy(reason=UnreadReason.TIMEOUT, detail=limit)
                break
            copy = self.read_url(address.url, archived=address.archived, citation=work.citation)
            if copy.document is not None:
                return copy
            failure = failure or copy
        assert failure is not None  # a work with an address was tried at least once
        if len(work.addresses) > 1:
            more = f"{len(work.addresses)} addresses"
            failure = replace(failure, detail=f"{failure.detail}; {more}" if failure.detail else more)
        return failure

    def read_url(self, url: str, *, archived: bool = False, citation: Citation | None = None) -> Copy:
        """One address: what was kept of it, or what the fetcher gives, as read. Of a page that is gone, the copy
        nearest to the day on which the citation says that it was read."""
        with self._one_at_a_time:
            result = self._keeper.kept(url)
        if result is None:
            asked = through_resolver(url, self._settings.resolvers)
            result = fetch_cited(self._fetcher, asked, citation)
            if asked != url:
                result = replace(result, url=url)
            with self._one_at_a_time:
                self._keeper.keep_fetch(result)
        if isinstance(result, NotFetched):
            return Copy(None, None, result.reason, result.detail, result.final_url, result.fetched_at)
        document = self._read(result, self._settings)
        if isinstance(document, Unreadable):
            return Copy(None, None, document.reason, document.detail, result.final_url, result.fetched_at)
        fetched = replace(result, body=b"", archived=result.archived or archived)
        return Copy(document, fetched, final_url=result.final_url, fetched_at=result.fetched_at)
