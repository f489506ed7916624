"""Fetches one address, or says in a typed reason why not: redirects, robots, retries, several threads."""

from __future__ import annotations

import hashlib
import threading
import time
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import Future
from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Any, Protocol, TypeVar, cast, runtime_checkable

from doubtwort.citing.urls import canonical_url, host_of, join_parts, resolve, split_reference, web_address
from doubtwort.errors import CallError
from doubtwort.fetching.addresses import addresses_to_try
from doubtwort.fetching.archive import Landed, gate_address, kept_copy, linked, memento_moment
from doubtwort.fetching.cited_on import cited_on
from doubtwort.fetching.failures import FETCH_ERRORS, Failure, cut_off, failure_of_error, failure_of_status
from doubtwort.fetching.landing import is_front_page_instead, original_address, redirect_target, refresh_target
from doubtwort.fetching.outline import Outline, outline
from doubtwort.fetching.politeness import (
    ROBOTS_BYTES,
    ROBOTS_REDIRECTS,
    ROBOTS_SECONDS,
    Clock,
    Pauses,
    RobotsBook,
    RobotsFile,
    retry_after,
)
from doubtwort.fetching.session import Answer, Session
from doubtwort.fetching.walls import wall_of
from doubtwort.fetching.wire import Budget
from doubtwort.model import Citation, Fetched, Fetcher, NotFetched, UnreadReason
from doubtwort.settings import Settings
from doubtwort.text import one_line

# What says that the page is no more where it was; a refusal or a large page is there.
_GONE = (UnreadReason.NOT_FOUND, UnreadReason.GONE, UnreadReason.UNREACHABLE)
_BUSY = (429, 503)
_LONGEST_SHOWN = 2_000  # characters of an address that is no address
T = TypeVar("T")


class OneAtATime:
    """Lets one thread do a piece of work; others that want the same wait for it and share what comes out."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._under_way: dict[Hashable, Future[Any]] = {}

    def do(self, key: Hashable, work: Callable[[], T]) -> T:
        with self._lock:
            shared = self._under_way.get(key)
            mine: Future[Any] | None = None
            if shared is None:
                mine = self._under_way[key] = Future()
        if mine is None:
            return cast(T, cast("Future[Any]", shared).result())
        try:
            result = work()
        except BaseException as error:
            mine.set_exception(error)
            raise
        else:
            mine.set_result(result)
            return result
        finally:
            with self._lock:
                del self._under_way[key]


class WebFetcher:
    """Fetches from the live web. For use in a ``with`` block; ``fetch`` may be called from several threads."""

    def __init__(self, settings: Settings, cache: Path | None = None, clock: Clock | None = None) -> None:
        self._settings = settings
        self._clock = clock or Clock()
        self._pauses = Pauses(settings, self._clock)
        self._session = Session(settings, cache, self._turn, self._peer_seen)
        self._robots = RobotsBook(self._robots_file, self._clock)
        self._one = OneAtATime()
        self._spellings: dict[str, str] = {}
        if settings.memento_gate and not web_address(settings.memento_gate.replace("{uri}", "")):
            raise CallError(
                f"{one_line(settings.memento_gate, 200)} is no address of a gate. Give an http or https one."
            )

    def __enter__(self) -> WebFetcher:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self._session.close()

    def fetch(self, url: str) -> Fetched | NotFetched:
        """The bytes at an address after all redirects, or why there are none. Credentials in it are left out."""
        return self.fetch_near(url, None)

    def fetch_near(self, url: str, moment: datetime | None) -> Fetched | NotFetched:
        """As ``fetch``; of a page that is gone, the kept copy nearest to a moment (None: now), if a gate is set."""
        address = web_address(url)
        if not address:
            return self._not(_shown(url), "", UnreadReason.ADDRESS_NOT_ALLOWED, "not an http or https address")
        page = canonical_url(address)
        # Another spelling of a page that came before: the same work, asked for in the same words.
        landed = self._follow(self._spellings.get(page, address))
        if isinstance(landed.result, Fetched):
            self._spellings.setdefault(page, landed.result.url)
            return replace(landed.result, url=address)
        failed = replace(landed.result, url=address)
        if not self._settings.memento_gate or self._settings.offline or failed.reason not in _GONE:
            return failed
        # The original's own server may name a gate even for what it has no more (RFC 7089 §4.5.2).
        gates = linked(landed.headers, landed.url, "timegate")[:1]
        gates += (gate_address(self._settings.memento_gate, original_address(address) or address),)
        copy = kept_copy(gates, moment or self._clock.now(), self._follow)
        if copy is None:
            return replace(failed, detail=one_line(f"{failed.detail}; no kept copy found", 200))
        return replace(copy, url=address, archived=True)

    def _follow(self, address: str, accept: str = "") -> Landed:
        """What an address leads to, after redirects in headers and in pages. ``accept`` is sent to the first address
        that does not merely redirect to another one, and to those before it (RFC 7089 §4.2)."""
        current, seen = address, {address}
        budget = self._budget(self._settings.max_body)
        headers: Mapping[str, str] = {}
        for _ in range(self._settings.max_redirects + 1):
            answer = self._visit(current, budget, accept)
            if isinstance(answer, Failure):
                return Landed(self._not(address, current, answer.reason, answer.detail), current, {})
            headers = answer.headers
            page = outline(answer.body, headers) if 200 <= answer.status < 300 else None
            target = redirect_target(current, answer.status, headers) or refresh_target(current, headers, page)
            if target is None:
                return Landed(self._judged(address, current, answer, page), current, headers)
            if not web_address(target):
                scheme = one_line(split_reference(target).scheme or "nowhere", 20)
                detail = f"redirects to {scheme}, not to an http or https address"
                return Landed(self._not(address, current, UnreadReason.ADDRESS_NOT_ALLOWED, detail), current, headers)
            if "accept-datetime" in headers.get("vary", "").lower():
                accept = ""  # this was the gate
            current = web_address(target)
            if current in seen:
                detail = "redirects in a circle"
                return Landed(self._not(address, current, UnreadReason.REDIRECT_LOOP, detail), current, headers)
            seen.add(current)
        detail = f"more than {self._settings.max_redirects} redirects"
        return Landed(self._not(address, current, UnreadReason.REDIRECT_LOOP, detail), current, headers)

    # ----------------------------------------------------------------------- one address, without redirects

    def _visit(self, url: str, budget: Budget, accept: str = "") -> Answer | Failure:
        if self._settings.offline:
            return self._session.kept(url) or Failure(UnreadReason.UNREACHABLE, "offline, and not kept")
        return self._one.do(("page", url, accept), lambda: self._allowed_visit(url, budget, accept))

    def _allowed_visit(self, url: str, budget: Budget, accept: str) -> Answer | Failure:
        parts = split_reference(url)
        origin = f"{parts.scheme}://{parts.authority}"
        if parts.path != "/robots.txt":  # which is always allowed, RFC 9309 §2.2.2
            asked_at = time.monotonic()
            robots = self._one.do(("robots", origin), lambda: self._robots.rules(origin))
            # Which has a budget of its own; but a way over many hosts with slow ones ends all the same.
            spent = min(time.monotonic() - asked_at, budget.grace)
            budget.deadline, budget.grace = budget.deadline + spent, budget.grace - spent
            refusal = robots.refusal(url)
            if refusal:
                return Failure(refusal.reason, refusal.detail)
            self._pauses.slow_down(host_of(url), robots.crawl_delay)
        return self._ask(url, budget, accept=accept)

    def _ask(
        self, url: str, budget: Budget, no_older_than: timedelta | None = None, accept: str = ""
    ) -> Answer | Failure:
        """Asks until there is an answer that is not "busy", as often as the settings allow."""
        host, retries, reconnected = host_of(url), 0, False
        while True:
            try:
                answer = self._session.get(url, budget, no_older_than, accept)
            except FETCH_ERRORS as error:
                # A kept connection that the server has closed meanwhile says nothing about the page.
                if cut_off(error) and not budget.peer and not reconnected:
                    reconnected = True
                    continue
                return failure_of_error(error, budget.most_bytes)
            if answer.status not in _BUSY:
                return answer
            asked = retry_after(answer.headers.get("retry-after", ""), self._clock.now())
            pause = self._pauses.pause_of(host) * 2.0**retries if asked is None else asked
            if retries >= self._settings.retries or pause > self._settings.retry_after_max:
                # Coming back earlier than asked would be worse than not coming back.
                detail = f"HTTP {answer.status}" + ("" if asked is None else f", asks to wait {asked:.0f} s")
                return failure_of_status(answer.status, detail) or answer
            retries += 1
            self._pauses.hold(host, pause)

    def _robots_file(self, url: str) -> RobotsFile:
        current = url
        budget = self._budget(ROBOTS_BYTES, truncate=True)
        for _ in range(ROBOTS_REDIRECTS + 1):
            answer = self._ask(current, budget, timedelta(seconds=ROBOTS_SECONDS))
            if isinstance(answer, Failure):
                if 400 <= answer.status < 500:
                    return RobotsFile()
                whole_host = answer.whole_host and current == url
                return RobotsFile(None, answer.detail, answer.reason if whole_host else UnreadReason.ROBOTS)
            target = redirect_target(current, answer.status, answer.headers)
            if target is None:
                if 200 <= answer.status < 300:
                    return RobotsFile(answer.body)
                return RobotsFile() if 400 <= answer.status < 500 else RobotsFile(None, f"HTTP {answer.status}")
            current = web_address(target)
            if not current:
                return RobotsFile(None, "redirects to no http or https address")
        return RobotsFile()

    # ----------------------------------------------------------------------- results and small parts

    def _budget(self, most_bytes: int, truncate: bool = False) -> Budget:
        deadline = time.monotonic() + self._settings.total_timeout
        return Budget(deadline, most_bytes, self._settings.read_timeout, truncate, self._settings.total_timeout)

    def _turn(self, url: str) -> AbstractContextManager[float]:
        return self._pauses.turn(host_of(url))

    def _peer_seen(self, url: str, address: str) -> None:
        self._pauses.peer_seen(host_of(url), address)

    def _judged(self, address: str, current: str, answer: Answer, page: Outline | None) -> Fetched | NotFetched:
        failure = failure_of_status(answer.status)
        if failure:
            return self._not(address, current, failure.reason, failure.detail)
        wall = wall_of(page) if page is not None else None
        if wall is not None:
            return self._not(address, current, wall.reason, f"{wall.detail} (rule {wall.id})")
        if is_front_page_instead(address, current, answer.body):
            return self._not(address, current, UnreadReason.NOT_FOUND, "the site answers with its front page")
        moment = memento_moment(answer.headers)
        if moment is not None:  # a gate that answers with the copy itself names the copy's place (RFC 7089 §4.2.2)
            current = web_address(resolve(current, answer.headers.get("content-location", ""))) or current
        return Fetched(
            url=address,
            final_url=current,
            status=answer.status,
            headers=answer.headers,
            body=answer.body,
            fetched_at=_iso(answer.at),
            sha256=hashlib.sha256(answer.body).hexdigest(),
            archived=moment is not None or bool(original_address(current)),
        )

    def _not(self, address: str, current: str, reason: UnreadReason, detail: str) -> NotFetched:
        return NotFetched(address, reason, one_line(detail, 200), current, _iso(self._clock.now()))


@runtime_checkable
class DatedFetcher(Protocol):
    """A fetcher that can look for the copy nearest to a moment."""

    def fetch(self, url: str) -> Fetched | NotFetched: ...

    def fetch_near(self, url: str, moment: datetime | None) -> Fetched | NotFetched: ...


def fetch_cited(fetcher: Fetcher, url: str, citation: Citation | None = None) -> Fetched | NotFetched:
    """One address of a citation, as near as a copy can be to the day on which the citation says that it was read."""
    moment = cited_on(citation) if citation is not None else None
    return fetcher.fetch_near(url, moment) if moment and isinstance(fetcher, DatedFetcher) else fetcher.fetch(url)


def fetch_work(fetcher: Fetcher, citation: Citation, moment: datetime | None = None) -> Fetched | NotFetched:
    """A cited work from the first of its addresses that gives it; else why the first one did not. ``moment`` is the
    day on which it was cited; None: as the citation itself says."""
    failed: NotFetched | None = None
    for each in addresses_to_try(citation):
        if moment is not None and isinstance(fetcher, DatedFetcher):
            got = fetcher.fetch_near(each.url, moment)
        else:
            got = fetch_cited(fetcher, each.url, citation)
        if isinstance(got, Fetched):
            return replace(got, archived=True) if each.archived else got
        failed = failed or got
    return failed or NotFetched("", UnreadReason.OFFLINE_WORK, "cited without a link")


def _shown(url: str) -> str:
    """An address that cannot be fetched, fit to be shown: without credentials, in one line."""
    parts = split_reference(url.strip())
    if parts.authority is not None and "@" in parts.authority:
        parts = parts._replace(authority=parts.authority.rpartition("@")[2])
    return one_line(join_parts(parts), _LONGEST_SHOWN)


def _iso(moment: datetime) -> str:
    """Such as "2026-11-25T09:30:00Z"."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
