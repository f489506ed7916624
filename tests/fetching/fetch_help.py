"""What the tests of fetching share: settings with limits of tenths of a second, and a clock that does not wait."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from doubtwort.fetching import Clock, WebFetcher, open_fetcher
from doubtwort.model import Fetched, NotFetched
from doubtwort.settings import Settings


@dataclass
class FakeClock:
    """Sleeping moves it on at once. ``slept`` holds every sleep in seconds."""

    seconds: float = 1_000.0
    start: datetime = datetime(2026, 5, 1, 12, 0, 0, tzinfo=UTC)
    slept: list[float] = field(default_factory=list)

    def sleep(self, seconds: float) -> None:
        self.slept.append(seconds)
        self.seconds += seconds

    def clock(self) -> Clock:
        return Clock(lambda: self.seconds, self.sleep, lambda: self.start + timedelta(seconds=self.seconds - 1_000.0))


def local(**changes: Any) -> Settings:
    """Settings for a server on loopback, without proxies whatever the environment says."""
    values: dict[str, Any] = {
        "allow_private": True,
        "proxies": {},
        "connect_timeout": 2.0,
        "read_timeout": 2.0,
        "total_timeout": 4.0,
        "max_body": 200_000,
    }
    return Settings(**{**values, **changes})


@contextmanager
def fetching(
    settings: Settings | None = None, cache: Path | None = None, clock: FakeClock | None = None
) -> Iterator[WebFetcher]:
    with open_fetcher(settings or local(), cache, clock=(clock or FakeClock()).clock()) as fetcher:
        yield fetcher


def why(result: Fetched | NotFetched) -> tuple[str, str]:
    """Reason and detail of a failure."""
    assert isinstance(result, NotFetched), result
    return result.reason.value, result.detail


def resolver(answers: dict[str, list[list[str]]], real: Callable[..., Any]) -> Callable[..., Any]:
    """A stand-in for ``socket.getaddrinfo``: each look-up of a name gives the next list of addresses, the last one
    for good. Literal addresses and other names go to the real one."""

    def look_up(host: str, port: int, *args: Any, **kwargs: Any) -> Any:
        if host not in answers:
            return real(host, port, *args, **kwargs)
        given = answers[host]
        addresses = given.pop(0) if len(given) > 1 else given[0]
        return [each for address in addresses for each in real(address, port, *args, **kwargs)]

    return look_up
