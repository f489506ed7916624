"""Fetches one address, or says in a typed reason why not: redirects, robots, retries, several threads."""

from __future__ import annotations

import hashlib
import threading
import time
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar, cast

from doubtwort.citing.urls import host_of, join_parts, resolve, resolve_reference, split_reference, web_address
from doubtwort.fetching.addresses import addresses_to_try
from doubtwort.fetching.failures import FETCH_ERRORS, Failure, cut_off, failure_of_error, failure_of_status
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
from doubtwort.fetching.wire import Budget
from doubtwort.model import Citation, Fetched, Fetcher, NotFetched, UnreadReason
from doubtwort.settings import Settings
from doubtwort.text import one_line

_REDIRECTS = (300, 301, 302, 303, 307, 308)  # RFC 9110 §15.4
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
        self._session = Session(settings, cache, self._before_sending, self._peer_seen)
        self._robots = RobotsBook(self._robots_file, self._clock)
        self._one = OneAtATime()

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
        address = web_address(url)
        if not address:
            return self._not(_shown(url), "", UnreadReason.ADDRESS_NOT_ALLOWED, "not an http or https address")
        current, seen = address, {address}
        budget = self._budget(self._settings.max_body)
        for _ in range(self._settings.max_redirects + 1):
            answer = self._visit(current, budget)
            if isinstance(answer, Failure):
                return self._not(address, current, answer.reason, answer.detail)
            target = _redirect_target(current, answer)
            if target is None:
                return self._judged(address, current, answer)
            if not web_address(target):
                scheme = one_line(split_reference(target).scheme or "nowhere", 20)
                detail = f"redirects to {scheme}, not to an http or https address"
                return self._not(address, current, UnreadReason.ADDRESS_NOT_ALLOWED, detail)
            current = web_address(target)
            if current in seen:
                return self._not(address, current, UnreadReason.REDIRECT_LOOP, "redirects in a circle")
            seen.add(current)
        detail = f"more than {self._settings.max_redirects} redirects"
        return self._not(address, current, UnreadReason.REDIRECT_LOOP, detail)

    # ----------------------------------------------------------------------- one address, without redirects

    def _visit(self, url: str, budget: Budget) -> Answer | Failure:
        if self._settings.offline:
            return self._session.kept(url) or Failure(UnreadReason.UNREACHABLE, "offline, and not kept")
        return self._one.do(("page", url), lambda: self._allowed_visit(url, budget))

    def _allowed_visit(self, url: str, budget: Budget) -> Answer | Failure:
        parts = split_reference(url)
        origin = f"{parts.scheme}://{parts.authority}"
        if parts.path != "/robots.txt":  # which is always allowed, RFC 9309 §2.2.2
            asked_at = time.monotonic()
            robots = self._one.do(("robots", origin), lambda: self._robots.rules(origin))
            budget.deadline += time.monotonic() - asked_at  # which has a budget of its own
            refusal = robots.refusal(url)
            if refusal:
                return Failure(refusal.reason, refusal.detail)
            self._pauses.slow_down(host_of(url), robots.crawl_delay)
        return self._ask(url, budget)

    def _ask(self, url: str, budget: Budget, no_older_than: timedelta | None = None) -> Answer | Failure:
        """Asks until there is an answer that is not "busy", as often as the settings allow."""
        host, retries, reconnected = host_of(url), 0, False
        while True:
            try:
                answer = self._session.get(url, budget, no_older_than)
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
            target = _redirect_target(current, answer)
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
        return Budget(deadline, most_bytes, self._settings.read_timeout, truncate)

    def _before_sending(self, url: str) -> float:
        return self._pauses.wait(host_of(url))

    def _peer_seen(self, url: str, address: str) -> None:
        self._pauses.peer_seen(host_of(url), address)

    def _judged(self, address: str, current: str, answer: Answer) -> Fetched | NotFetched:
        failure = failure_of_status(answer.status)
        if failure:
            return self._not(address, current, failure.reason, failure.detail)
        return Fetched(
            url=address,
            final_url=current,
            status=answer.status,
            headers=answer.headers,
            body=answer.body,
            fetched_at=_iso(answer.at),
            sha256=hashlib.sha256(answer.body).hexdigest(),
            archived="memento-datetime" in answer.headers,  # RFC 7089 §2.1.1: only kept copies carry it
        )

    def _not(self, address: str, current: str, reason: UnreadReason, detail: str) -> NotFetched:
        return NotFetched(address, reason, one_line(detail, 200), current, _iso(self._clock.now()))


def fetch_work(fetcher: Fetcher, citation: Citation) -> Fetched | NotFetched:
    """A cited work from the first of its addresses that gives it; else why the first one did not."""
    failed: NotFetched | None = None
    for each in addresses_to_try(citation):
        got = fetcher.fetch(each.url)
        if isinstance(got, Fetched):
            return replace(got, archived=True) if each.archived else got
        failed = failed or got
    return failed or NotFetched("", UnreadReason.OFFLINE_WORK, "cited without a link")


def _redirect_target(current: str, answer: Answer) -> str | None:
    """Where an answer sends the reader on, None when it does not. May be no address that can be fetched."""
    location = answer.headers.get("location", "").strip()
    if answer.status not in _REDIRECTS or not location:
        return None
    with suppress(UnicodeError):
        location = location.encode("latin-1").decode("utf-8")  # http.client reads headers as Latin-1
    return resolve(current, location) or resolve_reference(current, location)


def _shown(url: str) -> str:
    """An address that cannot be fetched, fit to be shown: without credentials, in one line."""
    parts = split_reference(url.strip())
    if parts.authority is not None and "@" in parts.authority:
        parts = parts._replace(authority=parts.authority.rpartition("@")[2])
    return one_line(join_parts(parts), _LONGEST_SHOWN)


def _iso(moment: datetime) -> str:
    """Such as "2026-11-25T09:30:00Z"."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
