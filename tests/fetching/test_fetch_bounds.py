"""Size and time are bounded whatever a server does: decoded size, wire size, slow headers, slow bodies."""

from __future__ import annotations

import gzip
import threading
import time
import tracemalloc
import zlib

import pytest
from fetch_help import fetching, local, why

from doubtwort.fetching.wire import CHUNK, inflated
from doubtwort.model import Fetched
from loopback import Exchange, LoopbackWeb


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        yield served


def endless(piece: bytes, head: bytes = b"HTTP/1.1 200 OK\r\n\r\n", pause: float = 0.0):
    """A handler that sends ``head`` and then ``piece`` again and again until the other side has gone."""
    stop = threading.Event()

    def handler(exchange: Exchange) -> None:
        exchange.close_connection = True
        if not exchange.raw(head):
            return
        until = time.monotonic() + 8
        while time.monotonic() < until and exchange.raw(piece):
            stop.wait(pause)

    return handler


@pytest.mark.parametrize(
    "handler",
    [
        endless(b"x" * 10_000),
        endless(b"x" * 10_000, b"HTTP/1.1 200 OK\r\nContent-Length: 199999\r\n\r\n" + b"x" * 300_000),
        endless(b"2710\r\n" + b"x" * 10_000 + b"\r\n", b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n"),
    ],
    ids=["endless", "longer than said", "endless chunks"],
)
def test_bodies_without_end(web, handler):
    web.handle("/a", handler)
    with fetching() as fetcher:
        result = fetcher.fetch(web.url("/a"))
    if isinstance(result, Fetched):  # what the length promised, and not a byte more
        assert len(result.body) == 199_999
    else:
        assert why(result) == ("too-large", "more than 200000 bytes")


@pytest.mark.parametrize(
    "head",
    [
        b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n",
        b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n",
    ],
    ids=["chunk size", "trailer"],
)
def test_framing_without_end(web, head):
    # Neither a chunk size nor a trailer section has a length of its own: RFC 9112 §7.1.
    web.handle("/a", endless(b"0" * 60_000, head))
    with fetching() as fetcher:
        reason, _ = why(fetcher.fetch(web.url("/a")))
    assert reason in ("too-large", "unreachable")


def test_a_flood_of_interim_answers_is_stopped_by_its_size(web):
    # RFC 9110 §15.2: a client reads any number of 1xx answers before the final one.
    web.handle("/a", endless(b"HTTP/1.1 100 Continue\r\n\r\n" * 1_000, b""))
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("too-large", "more than 200000 bytes")


def test_a_declared_length_that_is_too_large_is_not_read(web):
    web.handle("/a", endless(b"", b"HTTP/1.1 200 OK\r\nContent-Length: 200001\r\n\r\n", pause=0.2))
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("too-large", "more than 200000 bytes")


def test_exactly_the_limit_is_allowed(web):
    web.page("/a", b"x" * 200_000)
    web.page("/b", gzip.compress(b"x" * 200_000), headers={"Content-Encoding": "gzip"})
    web.page("/c", b"x" * 200_001)
    with fetching() as fetcher:
        assert len(fetcher.fetch(web.url("/a")).body) == 200_000
        assert len(fetcher.fetch(web.url("/b")).body) == 200_000
        assert why(fetcher.fetch(web.url("/c")))[0] == "too-large"


def raw_deflate(data: bytes) -> bytes:
    packer = zlib.compressobj(wbits=-15)
    return packer.compress(data) + packer.flush()


@pytest.mark.parametrize(
    ("coding", "pack"),
    [("gzip", gzip.compress), ("x-gzip", gzip.compress), ("deflate", zlib.compress), ("deflate", raw_deflate)],
)
def test_codings_are_undone(web, coding, pack):
    text = ("nettle söup " * 30_000).encode()[:150_000]
    web.page("/a", pack(text), headers={"Content-Encoding": coding.upper()})
    with fetching() as fetcher:
        got = fetcher.fetch(web.url("/a"))
    assert got.body == text
    assert "content-encoding" not in got.headers


@pytest.mark.parametrize(("coding", "pack"), [("gzip", gzip.compress), ("deflate", zlib.compress)])
def test_a_bomb_is_stopped_while_it_unfolds(web, coding, pack):
    bomb = pack(b"\0" * 150_000_000)
    assert len(bomb) < 200_000
    web.page("/a", bomb, headers={"Content-Encoding": coding})
    with fetching() as fetcher:
        tracemalloc.start()
        try:
            result = fetcher.fetch(web.url("/a"))
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
    assert why(result) == ("too-large", "more than 200000 bytes")
    assert peak < 5_000_000


@pytest.mark.parametrize("coding", ["br", "gzip, gzip", "zstd", "nonsense\x07", "aes128gcm"])
def test_codings_that_were_not_asked_for(web, coding):
    web.page("/a", gzip.compress(gzip.compress(b"text")), headers={"Content-Encoding": coding})
    with fetching() as fetcher:
        reason, detail = why(fetcher.fetch(web.url("/a")))
    assert reason == "unsupported-type"
    assert detail.startswith("content coding ")
    assert detail.isprintable()


def test_only_codings_that_can_be_undone_are_asked_for(web):
    with fetching() as fetcher:
        fetcher.fetch(web.url("/a"))
    assert web.seen[0].headers["accept-encoding"] == "gzip, deflate"


@pytest.mark.parametrize("cut", [1, 9, 100, 1_000])
def test_a_coded_body_that_is_cut_short_is_no_page(web, cut):
    packed = gzip.compress(bytes(range(256)) * 40 + b"toxic raw" * 50, mtime=0)
    part = packed[: max(len(packed) - cut, 5)]
    web.handle(
        "/a",
        lambda exchange: exchange.raw(b"HTTP/1.1 200 OK\r\nContent-Encoding: gzip\r\n\r\n" + part) and exchange.cut(),
    )
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a")))[0] == "unreachable"


def test_a_coded_body_that_is_damaged_is_no_page(web):
    web.page("/a", b"\x1f\x8b\x08\x00 this is not gzip at all", headers={"Content-Encoding": "gzip"})
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("unreachable", "damaged content coding")


def test_gzip_of_several_members_with_padding():
    # RFC 1952 §2.2: a gzip file is a series of members. Padding after them is common practice.
    packed = gzip.compress(b"one ") + gzip.compress(b"two")
    assert b"".join(inflated([packed])) == b"one two"
    assert b"".join(inflated([packed[:7], packed[7:30], packed[30:] + b"\0" * 64])) == b"one two"
    assert b"".join(inflated(bytes([octet]) for octet in packed)) == b"one two"
    assert b"".join(inflated([])) == b""
    assert max(map(len, inflated([gzip.compress(b"x" * 1_000_000)]))) <= CHUNK


QUICK = {"connect_timeout": 0.3, "read_timeout": 0.3, "total_timeout": 0.6}


@pytest.mark.parametrize(
    "handler",
    [
        lambda exchange: time.sleep(0.9),
        endless(b"", b"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\nhalf", pause=0.2),
        endless(b"x", b"HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n", pause=0.05),
        endless(b"1\r\nx\r\n", b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n", pause=0.05),
        endless(b"X: y\r\n", b"HTTP/1.1 200 OK\r\n", pause=0.05),
        endless(b"x", b"HTTP/1.1 200 OK\r\nX: ", pause=0.05),
        endless(b"HTTP/1.1 100 Continue\r\n\r\n", b"", pause=0.05),
    ],
    ids=[
        "silence",
        "stalled body",
        "dripping body",
        "dripping chunks",
        "dripping headers",
        "dripping header",
        "continue",
    ],
)
def test_slow_servers(web, handler):
    web.handle("/a", handler)
    with fetching(local(**QUICK)) as fetcher:
        web.page("/robots.txt", "", 404)
        started = time.monotonic()
        assert why(fetcher.fetch(web.url("/a"))) == ("timeout", "no whole answer in time")
        assert time.monotonic() - started < 5


def test_the_time_is_for_all_redirects_together(web):
    def slow(exchange: Exchange) -> None:
        time.sleep(0.12)
        exchange.answer(302, b"", {"Location": f"/{int(exchange.path[1:]) + 1}"})

    for number in range(40):
        web.handle(f"/{number}", slow)
    with fetching(local(**{**QUICK, "max_redirects": 30})) as fetcher:
        assert why(fetcher.fetch(web.url("/0")))[0] == "timeout"
    assert len(web.seen) < 15
