"""Every status and every failure of the network has its reason; nothing is raised."""

from __future__ import annotations

import hashlib
import re
from dataclasses import fields

import pytest
from fetch_help import FakeClock, fetching, local, why

from doubtwort.model import Citation, Fetched, NotFetched, UnreadReason
from loopback import Exchange, LoopbackWeb, free_port


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        yield served


def test_a_page_comes_with_all_that_is_known_of_it(web):
    web.page("/a", "nettle söup", headers={"X-One": "1", "ETag": '"x"'})
    with fetching() as fetcher:
        got = fetcher.fetch(web.url("/a") + "#leaf")
    assert isinstance(got, Fetched)
    assert (got.url, got.final_url, got.status) == (web.url("/a"), web.url("/a"), 200)
    assert got.body == "nettle söup".encode()
    assert got.sha256 == hashlib.sha256(got.body).hexdigest()
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", got.fetched_at)
    assert got.content_type == "text/html; charset=utf-8"
    assert got.headers["x-one"] == "1"
    assert all(name == name.lower() for name in got.headers)
    assert not got.archived


# RFC 9110 §15 for what the statuses mean, RFC 7725 for 451.
@pytest.mark.parametrize(
    ("status", "reason"),
    [
        (404, "not-found"), (410, "gone"), (401, "refused"), (402, "refused"), (403, "refused"), (451, "refused"),
        (400, "refused"), (418, "refused"), (429, "refused"), (408, "timeout"), (500, "unreachable"),
        (502, "unreachable"), (503, "unreachable"), (504, "unreachable"), (206, "unreachable"), (304, "unreachable"),
        (302, "unreachable"), (999, "unreachable"),
    ],
)  # fmt: skip
def test_statuses(web, status, reason):
    web.page("/a", "text", status)
    with fetching() as fetcher:
        result = fetcher.fetch(web.url("/a"))
    assert why(result) == (reason, f"HTTP {status}")
    assert result.final_url == web.url("/a")
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", result.fetched_at)


@pytest.mark.parametrize("status", [200, 201, 203, 204])
def test_statuses_that_bring_a_page(web, status):
    web.page("/a", b"" if status == 204 else b"text", status)
    with fetching() as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


def test_the_body_of_an_error_is_not_waited_for(web):
    web.handle("/a", lambda exchange: exchange.raw(b"HTTP/1.1 404 No\r\nContent-Length: 9000000000\r\n\r\nx"))
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("not-found", "HTTP 404")


@pytest.mark.parametrize(
    "url",
    ["", "herb.example", "ftp://herb.example/x", "javascript:alert(1)", "file:///etc/passwd", "http://", "http://[::1",
     "data:text/html,x", "\x00", "http://a b/", "http://" + "a" * 9_000],
)  # fmt: skip
def test_what_is_no_web_address(url):
    with fetching() as fetcher:
        assert why(fetcher.fetch(url)) == ("address-not-allowed", "not an http or https address")


def test_nothing_listens():
    with fetching() as fetcher:
        assert why(fetcher.fetch(f"http://127.0.0.1:{free_port()}/")) == ("unreachable", "connection refused")


def test_no_such_name():
    # RFC 6761 §6.4: names under .invalid are never found.
    with fetching() as fetcher:
        assert why(fetcher.fetch("http://herb.invalid/")) == ("unreachable", "host name not found")


def cut(exchange: Exchange) -> None:
    exchange.raw(b"HTTP/1.1 200 OK\r\nContent-Length: 1000\r\n\r\nhalf a page")
    exchange.cut()


def cut_chunked(exchange: Exchange) -> None:
    exchange.raw(b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n64\r\nhalf a page")
    exchange.cut()


def cut_between_chunks(exchange: Exchange) -> None:
    exchange.raw(b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n4\r\nhalf\r\n")
    exchange.cut()


@pytest.mark.parametrize("handler", [cut, cut_chunked, cut_between_chunks, Exchange.cut])
def test_a_connection_that_is_cut_gives_no_half_page(web, handler):
    web.handle("/a", handler)
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("unreachable", "connection cut")


@pytest.mark.parametrize(
    "octets",
    [
        b"SSH-2.0-nothing\r\n\r\n",
        b"HTTP/1.1 abc OK\r\n\r\n",
        b"HTTP/1.1 200 OK\r\n" + b"X: y\r\n" * 500 + b"\r\n",
        b"HTTP/1.1 200 OK\r\nX: " + b"y" * 70_000 + b"\r\n\r\n",
        b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\nno chunk\r\n",
        b"\x00" * 100,
    ],
)
def test_what_is_no_http(web, octets):
    def handler(exchange: Exchange) -> None:
        exchange.raw(octets)
        exchange.cut()

    web.handle("/a", handler)
    with fetching() as fetcher:
        reason, detail = why(fetcher.fetch(web.url("/a")))
    assert reason == "unreachable"
    assert detail in ("not an HTTP answer", "connection cut")


# Headers that parsers of dates, numbers and lists have choked on.
@pytest.mark.parametrize(
    "header",
    [
        "Cache-Control: max-age=99999999999999999999",
        'Cache-Control: max-age=1, max-age=2, =,;"',
        "Cache-Control: max-age=٣",
        "Expires: Mon, 99 Foo 99999 99:99:99 GMT",
        "Expires: Thu, 01 Jan 9999 00:00:00 -2359",
        "Expires: Thu, 01 Jan 0001 00:00:00 +2359",
        "Last-Modified: x",
        "Age: 99999999999999999999999999999999",
        "Vary: *",
        "Vary: é,,",
        "ETag: \x01\xe9\x7f",
        "Content-Type: text/html; charset=\x00none",
        "Location: http://[::1",
        "Link: <<<>>>",
        "Content-Length: 4\r\nContent-Length: 4",
        "Date: never",
        "no colon in it",
    ],
)
def test_odd_headers_do_no_harm(web, header):
    web.handle(
        "/a",
        lambda exchange: exchange.raw(f"HTTP/1.1 200 OK\r\n{header}\r\n\r\ntext".encode()) and exchange.cut(),
    )
    with fetching() as fetcher:
        for _ in range(2):
            got = fetcher.fetch(web.url("/a"))
            assert isinstance(got, Fetched)
            assert got.body == b"text"
            assert not any(re.search(r"[\x00-\x1f\x7f]", value) for value in got.headers.values())


@pytest.mark.parametrize("length", ["-5", "abc", "5, 6", "1e3", "9" * 40])
def test_a_content_length_that_is_none(web, length):
    web.handle(
        "/a",
        lambda exchange: (
            exchange.raw(f"HTTP/1.1 200 OK\r\nContent-Length: {length}\r\n\r\ntext".encode()) and exchange.cut()
        ),
    )
    with fetching() as fetcher:
        got = fetcher.fetch(web.url("/a"))
    if isinstance(got, Fetched):
        assert got.body == b"text"
    else:
        assert why(got)[0] in ("unreachable", "too-large")


def test_more_than_the_content_length_says_is_not_part_of_the_page(web):
    web.handle(
        "/a",
        lambda exchange: exchange.raw(b"HTTP/1.1 200 OK\r\nContent-Length: 4\r\n\r\ntextHTTP/1.1 200 OK\r\n\r\nforged"),
    )
    web.page("/b", "other")
    with fetching() as fetcher:
        assert fetcher.fetch(web.url("/a")).body == b"text"
        assert fetcher.fetch(web.url("/b")).body == b"other"


def test_every_result_says_why_in_one_clean_line(web):
    web.redirect("/a", "gopher\x1b[31m://x/\r\n")
    with fetching() as fetcher:
        result = fetcher.fetch(web.url("/a"))
    assert isinstance(result, NotFetched)
    for each in fields(result):
        assert not re.search(r"[\x00-\x1f\x7f]", str(getattr(result, each.name)))


def test_a_kept_copy_is_known_by_its_memento_header(web):
    # RFC 7089 §2.1.1: "Memento-Datetime" is sent with mementos only.
    web.page("/kept", "text", headers={"Memento-Datetime": "Wed, 30 May 2007 18:47:52 GMT"})
    with fetching() as fetcher:
        assert fetcher.fetch(web.url("/kept")).archived


def test_a_work_is_fetched_from_the_first_address_that_gives_it(web):
    from doubtwort.fetching import fetch_work

    web.page("/kept", "text")
    citation = Citation("1", "Ficta 2001", urls=(web.url("/gone"),), archived_url=web.url("/kept"))
    with fetching() as fetcher:
        got = fetch_work(fetcher, citation)
        assert isinstance(got, Fetched)
        assert (got.body, got.archived) == (b"text", True)
        assert why(fetch_work(fetcher, Citation("1", "x", urls=(web.url("/gone"),))))[0] == "not-found"
        assert why(fetch_work(fetcher, Citation("1", "A book")))[0] == UnreadReason.OFFLINE_WORK


def test_offline_never_asks_the_network(web, tmp_path):
    web.page("/a", "text")
    cache = tmp_path / "pages.sqlite"
    with fetching(cache=cache) as fetcher:
        fetcher.fetch(web.url("/a"))
    asked = len(web.seen)
    with fetching(local(offline=True), cache) as fetcher:
        assert fetcher.fetch(web.url("/a")).body == b"text"
        assert why(fetcher.fetch(web.url("/b"))) == ("unreachable", "offline, and not kept")
    assert len(web.seen) == asked


def test_a_closed_kept_connection_is_opened_again(web):
    def once(exchange: Exchange) -> None:
        exchange.answer(200, "text")
        exchange.cut()

    web.handle("/a", once)
    web.handle("/b", once)
    with fetching(clock=FakeClock()) as fetcher:
        assert fetcher.fetch(web.url("/a")).body == b"text"
        assert fetcher.fetch(web.url("/b")).body == b"text"
