"""Pauses between requests to one host, Retry-After in both forms, Crawl-delay. No test waits."""

from __future__ import annotations

import threading
from datetime import UTC, datetime

import pytest
from fetch_help import FakeClock, fetching, local, why
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.fetching.politeness import Pauses, retry_after
from doubtwort.model import Fetched
from loopback import Exchange, LoopbackWeb

NOW = datetime(1994, 11, 6, 8, 49, 30, tzinfo=UTC)


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        yield served


# RFC 9110 §10.2.3 for the two forms; §5.6.7 for the three spellings of a date, which are its own example.
@pytest.mark.parametrize(
    ("value", "seconds"),
    [
        ("120", 120.0),
        (" 0 ", 0.0),
        ("Sun, 06 Nov 1994 08:49:37 GMT", 7.0),
        ("Sunday, 06-Nov-94 08:49:37 GMT", 7.0),
        ("Sun Nov  6 08:49:37 1994", 7.0),
        ("Sun, 06 Nov 1994 08:49:00 GMT", 0.0),
        ("9" * 400, 999_999_999_999.0),
        ("-5", None), ("1.5", None), ("soon", None), ("", None), ("٣", None), ("Mon, 99 Foo 99999 99:99:99 GMT", None),
    ],
)  # fmt: skip
def test_retry_after(value, seconds):
    assert retry_after(value, NOW) == seconds


@given(st.text(max_size=60))
def test_any_retry_after_is_read_without_error(value):
    seconds = retry_after(value, NOW)
    assert seconds is None or seconds >= 0


def busy(times: int, status: int, headers: dict[str, str]):
    """A page that is busy so many times before it comes."""
    left = [times]

    def handler(exchange: Exchange) -> None:
        left[0] -= 1
        if left[0] >= 0:
            exchange.answer(status, "", headers)
        else:
            exchange.answer(200, "text")

    return handler


@pytest.mark.parametrize("status", [429, 503])
@pytest.mark.parametrize(
    ("field", "waited"), [("7", 7.0), ("Fri, 01 May 2026 12:00:09 GMT", 9.0), ("Fri, 01 May 2026 11:00:00 GMT", 0.0)]
)
def test_a_busy_host_is_asked_again_after_the_time_it_named(web, status, field, waited):
    clock = FakeClock()
    web.handle("/a", busy(1, status, {"Retry-After": field}))
    with fetching(clock=clock) as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)
    assert sum(clock.slept) == pytest.approx(waited)
    assert web.asked("/a") == 2


@pytest.mark.parametrize(("status", "reason"), [(429, "refused"), (503, "unreachable")])
def test_it_is_not_asked_for_ever(web, status, reason):
    clock = FakeClock()
    web.handle("/a", busy(100, status, {"Retry-After": "3"}))
    with fetching(local(retries=2), clock=clock) as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == (reason, f"HTTP {status}, asks to wait 3 s")
    assert web.asked("/a") == 3
    assert clock.slept == [3.0, 3.0]


def test_no_one_waits_longer_than_the_limit(web):
    clock = FakeClock()
    web.handle("/a", busy(1, 429, {"Retry-After": "86400"}))
    with fetching(local(retry_after_max=30.0), clock=clock) as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("refused", "HTTP 429, asks to wait 86400 s")
    assert clock.slept == []
    assert web.asked("/a") == 1


def test_no_retries_when_none_are_wanted(web):
    web.handle("/a", busy(1, 503, {"Retry-After": "0"}))
    with fetching(local(retries=0)) as fetcher:
        assert why(fetcher.fetch(web.url("/a")))[0] == "unreachable"
    assert web.asked("/a") == 1


def test_waiting_does_not_eat_the_time_for_the_page(web):
    clock = FakeClock()
    web.handle("/a", busy(2, 503, {"Retry-After": "30"}))
    with fetching(local(total_timeout=2.0, retries=2), clock=clock) as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)
    assert clock.slept == [30.0, 30.0]


# --------------------------------------------------------------------------- pauses between requests


def test_hosts_that_may_be_real_get_a_pause_between_requests(web):
    clock = FakeClock()
    for path in ("/a", "/b"):
        web.page(f"http://flora.herb.internal{path}", "text", headers={"Cache-Control": "no-store"})
        web.page(f"http://other.herb.internal{path}", "text")
    with fetching(local(proxies=web.proxies, delay=1.5), clock=clock) as fetcher:
        fetcher.fetch("http://flora.herb.internal/a")  # robots.txt first, then the page
        assert clock.slept == [1.5]
        fetcher.fetch("http://flora.herb.internal/b")
        assert clock.slept == [1.5, 1.5]
        fetcher.fetch("http://other.herb.internal/a")
        assert clock.slept == [1.5, 1.5, 1.5]
        fetcher.fetch("http://other.herb.internal/a")  # comes from the cache
        assert clock.slept == [1.5, 1.5, 1.5]
        clock.seconds += 60
        fetcher.fetch("http://flora.herb.internal/a")
        assert clock.slept == [1.5, 1.5, 1.5]


@pytest.mark.parametrize("host", ["flora.herb.example", "herb.test", "www.example.com"])
def test_hosts_that_are_never_real_get_none(web, host):
    clock = FakeClock()
    for path in ("/a", "/b"):
        web.page(f"http://{host}{path}", "text")
    web.page(f"http://{host}/robots.txt", "User-agent: *\nCrawl-delay: 20")
    with fetching(local(proxies=web.proxies), clock=clock) as fetcher:
        assert fetcher.fetch(f"http://{host}/a").body == b"text"
        assert fetcher.fetch(f"http://{host}/b").body == b"text"
    assert clock.slept == []


def test_this_machine_gets_none_under_any_name(web, monkeypatch):
    import socket

    from fetch_help import resolver

    clock = FakeClock()
    monkeypatch.setattr(socket, "getaddrinfo", resolver({"box.herb.internal": [["127.0.0.1"]]}, socket.getaddrinfo))
    for path in ("/a", "/b"):
        web.page(path, "text")
    with fetching(clock=clock) as fetcher:
        for url in (web.url("/a"), f"http://box.herb.internal:{web.port}/a", f"http://box.herb.internal:{web.port}/b"):
            assert isinstance(fetcher.fetch(url), Fetched)
    assert clock.slept == []


@pytest.mark.parametrize(("stated", "kept"), [("5", 5.0), ("0.1", 1.0), ("99999", 30.0), ("never", 1.0), ("-3", 1.0)])
def test_crawl_delay_is_kept_to_within_bounds(web, stated, kept):
    clock = FakeClock()
    web.page("http://flora.herb.internal/robots.txt", f"User-agent: doubtwort\nCrawl-delay: {stated}\nDisallow: /x")
    for path in ("/a", "/b"):
        web.page(f"http://flora.herb.internal{path}", "text")
    with fetching(local(proxies=web.proxies, delay=1.0, retry_after_max=30.0), clock=clock) as fetcher:
        fetcher.fetch("http://flora.herb.internal/a")
        clock.slept.clear()
        fetcher.fetch("http://flora.herb.internal/b")
    assert clock.slept == [kept]


def test_threads_take_turns_at_one_host():
    clock = FakeClock()
    starts: list[float] = []
    lock = threading.Lock()

    def sleep(seconds: float) -> None:  # without moving the time, so that every thread asks at the same moment
        with lock:
            starts.append(seconds)

    from doubtwort.fetching import Clock

    pauses = Pauses(local(delay=2.0), Clock(lambda: clock.seconds, sleep))
    threads = [threading.Thread(target=pauses.wait, args=("flora.herb.internal",)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(starts) == [2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0]


def test_backing_off_without_a_named_time_grows(web):
    clock = FakeClock()
    web.handle("http://flora.herb.internal/a", busy(100, 503, {}))
    with fetching(local(proxies=web.proxies, delay=1.0, retries=3), clock=clock) as fetcher:
        assert why(fetcher.fetch("http://flora.herb.internal/a")) == ("unreachable", "HTTP 503")
    assert clock.slept == [1.0, 1.0, 2.0, 4.0]
