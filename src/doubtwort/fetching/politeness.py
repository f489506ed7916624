"""Robots exclusion (RFC 9309), pauses between requests to one host, and Retry-After (RFC 9110 §10.2.3)."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from protego import Protego

from doubtwort.fetching.addresses import is_loopback, is_never_real
from doubtwort.fetching.freshness import http_date
from doubtwort.model import UnreadReason
from doubtwort.settings import Settings

PRODUCT_TOKEN = "doubtwort"  # RFC 9309 §2.2.1
ROBOTS_BYTES = 512_000  # 500 KiB are to be parsed, RFC 9309 §2.5
ROBOTS_SECONDS = 86_400.0  # a copy is not used for longer than 24 hours, RFC 9309 §2.4
ROBOTS_REDIRECTS = 5  # RFC 9309 §2.3.1.2
_FAILED_SECONDS = 300.0  # a robots.txt that could not be had is asked for again after this
_USER_AGENT = re.compile(r"user[-\s]*agent(?:\s*:\s*|\s+)(.*)", re.IGNORECASE)
# With the misspellings that the reference parser reads (common practice), and Crawl-delay.
_RULE = re.compile(r"(?:allow|dis*al+ow|diasllow|disallaw|crawl[-\s]*delay)\b", re.IGNORECASE)
_TOKEN = re.compile(r"\*(?![\w-])|[A-Za-z_-]*")


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Clock:
    """Time, passed in so that tests do not wait. ``monotonic`` and ``sleep`` in seconds."""

    monotonic: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep
    now: Callable[[], datetime] = _now


def retry_after(value: str, now: datetime) -> float | None:
    """Seconds to wait by a Retry-After field, in either of its forms; None when it is neither.

    >>> retry_after("120", _now())
    120.0
    >>> retry_after("Sun, 06 Nov 1994 08:49:37 GMT", datetime(1994, 11, 6, 8, 49, 30, tzinfo=UTC))
    7.0
    """
    value = value.strip()
    if re.fullmatch(r"[0-9]+", value):
        return float(int(value[:12]))
    moment = http_date(value)
    return None if moment is None else max(0.0, (moment - now).total_seconds())


class Pauses:
    """When the next request to a host may start, and that no more than ``host_connections`` are under way at once.
    No pause for hosts that are never real, and for this machine, unless the host itself asked to wait."""

    def __init__(self, settings: Settings, clock: Clock) -> None:
        self._settings, self._clock = settings, clock
        self._lock = threading.Lock()
        self._free_at: dict[str, float] = {}
        self._pause: dict[str, float] = {}
        self._gates: dict[str, threading.Semaphore] = {}

    @contextmanager
    def turn(self, host: str) -> Iterator[float]:
        """The host's next turn, held until the answer has come; gives the seconds waited for it."""
        with self._lock:
            gate = self._gates.setdefault(host, threading.Semaphore(max(1, self._settings.host_connections)))
        asked_at = time.monotonic()
        with gate:
            queued = time.monotonic() - asked_at
            yield queued + self.wait(host)

    def pause_of(self, host: str) -> float:
        """Seconds between the starts of two requests to a host."""
        return self._pause.get(host, 0.0 if is_never_real(host) else self._settings.delay)

    def wait(self, host: str) -> float:
        """Takes the host's next turn and sleeps until then; gives the seconds slept."""
        with self._lock:
            now = self._clock.monotonic()
            start = max(now, self._free_at.get(host, now))
            self._free_at[host] = start + self.pause_of(host)
        if start > now:
            self._clock.sleep(start - now)
        return start - now

    def hold(self, host: str, seconds: float) -> None:
        """No request to the host before so many seconds have passed: it asked for that."""
        with self._lock:
            until = self._clock.monotonic() + seconds
            self._free_at[host] = max(until, self._free_at.get(host, until))

    def slow_down(self, host: str, crawl_delay: float | None) -> None:
        """Keeps to a Crawl-delay (common practice, no standard), up to the longest Retry-After that is waited for."""
        if crawl_delay is not None and not is_never_real(host):
            wanted = min(crawl_delay, self._settings.retry_after_max)
            self._pause[host] = max(self._settings.delay, wanted)

    def peer_seen(self, host: str, address: str) -> None:
        """A host that turned out to be this machine needs no pause."""
        if is_loopback(address) and self.pause_of(host):
            self._pause[host] = 0.0
            with self._lock:
                self._free_at.pop(host, None)


# --------------------------------------------------------------------------- robots.txt


@dataclass(frozen=True, slots=True)
class RobotsFile:
    """What asking for robots.txt gave: ``body`` when it is there, else ``unreachable`` says why it could not be had.
    Neither: the host has none (4xx, or too many redirects; RFC 9309 §2.3.1.3). ``reason`` is another one than
    ``robots`` when not the file failed but the whole host."""

    body: bytes | None = None
    unreachable: str = ""
    reason: UnreadReason = UnreadReason.ROBOTS


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why an address may not be fetched."""

    reason: UnreadReason
    detail: str


class Robots:
    """The rules of one robots.txt for this program.

    >>> rules = Robots(RobotsFile(b"User-agent: *\\nDisallow: /private"))
    >>> rules.refusal("http://herb.example/private/x").detail
    'robots.txt forbids it'
    """

    def __init__(self, file: RobotsFile) -> None:
        self._unreachable, self._reason = file.unreachable, file.reason
        self._rules = Protego.parse(_own_groups(file.body)) if file.body is not None else None

    @property
    def reached(self) -> bool:
        return not self._unreachable

    def refusal(self, url: str) -> Refusal | None:
        """Why an address may not be fetched, None when it may. Unreachable rules forbid all (RFC 9309 §2.3.1.4)."""
        if self._unreachable:
            about = "robots.txt not available: " if self._reason is UnreadReason.ROBOTS else ""
            return Refusal(self._reason, about + self._unreachable)
        if self._rules is None or self._rules.can_fetch(url, PRODUCT_TOKEN):
            return None
        return Refusal(UnreadReason.ROBOTS, "robots.txt forbids it")

    @property
    def crawl_delay(self) -> float | None:
        return None if self._rules is None else self._rules.crawl_delay(PRODUCT_TOKEN)


def _own_groups(body: bytes) -> str:
    """The text to parse: 500 KiB to the last whole line, byte order mark off, and every group's user agents said as
    "doubtwort", "*" or "other". Product tokens are compared as a whole (RFC 9309 §2.2.1), and a file that lists
    thousands of agents costs no more than one that lists three."""
    if len(body) >= ROBOTS_BYTES:
        body = body[: max(body.rfind(b"\n", 0, ROBOTS_BYTES), 0)]
    return "\n".join(_simplified(re.split(r"\r\n|\r|\n", body.decode("utf-8-sig", errors="replace"))))


def _simplified(lines: list[str]) -> Iterator[str]:
    agents: dict[str, None] = {}
    for line in lines:
        rule = line.partition("#")[0].strip()
        agent = _USER_AGENT.fullmatch(rule)
        if agent:
            token = _TOKEN.match(agent[1])
            name = token.group().lower() if token else ""
            agents[name if name in (PRODUCT_TOKEN, "*") else "other"] = None
        elif _RULE.match(rule):  # other records part no group (RFC 9309 §2.2.4)
            yield from (f"User-agent: {name}" for name in agents)
            agents.clear()
            yield rule
    yield from (f"User-agent: {name}" for name in agents)


class RobotsBook:
    """The robots.txt of every origin asked so far. ``ask`` gets one; each copy is used for 24 hours at most."""

    def __init__(self, ask: Callable[[str], RobotsFile], clock: Clock) -> None:
        self._ask, self._clock = ask, clock
        self._kept: dict[str, tuple[float, Robots]] = {}

    def rules(self, origin: str) -> Robots:
        """Rules of an origin such as "https://herb.example:8443"."""
        found = self._kept.get(origin)
        now = self._clock.monotonic()
        if found and now < found[0]:
            return found[1]
        robots = Robots(self._ask(f"{origin}/robots.txt"))
        self._kept[origin] = (now + (ROBOTS_SECONDS if robots.reached else _FAILED_SECONDS), robots)
        return robots
