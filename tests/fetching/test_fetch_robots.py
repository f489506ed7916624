"""Robots exclusion by RFC 9309: what a file says, and what it means when there is none to be had."""

from __future__ import annotations

import time
import tracemalloc

import pytest
from fetch_help import FakeClock, fetching, local, why

from doubtwort.fetching.politeness import ROBOTS_BYTES, Robots, RobotsFile
from doubtwort.model import Fetched
from loopback import Exchange, LoopbackWeb, free_port

MERGED = "User-agent: doubtwort\nDisallow: /a\n\nUser-agent: o\nDisallow: /b\n\nUser-agent: doubtwort\nDisallow: /c"
FORBIDS = ("robots", "robots.txt forbids it")


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        served.page("/a", "text")
        yield served


def allowed(robots: str | bytes, path: str) -> bool:
    body = robots.encode() if isinstance(robots, str) else robots
    return Robots(RobotsFile(body)).refusal(f"http://herb.example{path}") is None


# The sections are those of RFC 9309.
@pytest.mark.parametrize(
    ("robots", "path", "expected"),
    [
        # §2.2.2: the longest match wins; of two as long, Allow.
        ("User-agent: *\nDisallow: /x/page.html\nAllow: /x/", "/x/page.html", False),
        ("User-agent: *\nAllow: /x/page.html\nDisallow: /x/", "/x/page.html", True),
        ("User-agent: *\nAllow: /x/page.html\nDisallow: /x/", "/x/page", False),
        ("User-agent: *\nDisallow: /\nAllow: /", "/x", True),
        ("User-agent: *\nDisallow: /x/\nAllow: /x/", "/x/y", True),
        # §2.2.2: paths differ by case; names of rules and agents do not.
        ("User-agent: *\nDisallow: /X/", "/x/y", True),
        ("USER-AGENT: DoubtWort\nDISALLOW: /x/", "/x/y", False),
        # §2.2.1: the group that names us replaces the one for all.
        ("User-agent: *\nDisallow: /x/\n\nUser-agent: doubtwort\nDisallow: /y/", "/x/page", True),
        ("User-agent: *\nDisallow: /x/\n\nUser-agent: doubtwort\nDisallow: /y/", "/y/page", False),
        ("User-agent: doubtwort\n\nUser-agent: other\nDisallow: /\n", "/x", False),
        ("User-agent: other\nDisallow: /", "/x", True),
        ("User-agent: *\nDisallow: /\n\nUser-agent: doubtwort\nAllow: /x", "/x", True),
        # §2.2.1: groups of one agent are put together, also for "*".
        (MERGED, "/c", False),
        (MERGED, "/b", True),
        ("User-agent: *\nDisallow: /a\n\nUser-agent: *\nDisallow: /b", "/b", False),
        # §2.2.1: the product token is compared as a whole, up to the first other character.
        ("User-agent: doubt\nDisallow: /", "/x", True),
        ("User-agent: doubtworts\nDisallow: /", "/x", True),
        ("User-agent: wort\nDisallow: /", "/x", True),
        ("User-agent: doubt\nAllow: /\n\nUser-agent: *\nDisallow: /", "/x", False),
        ("User-agent: doubtwort/1.0\nDisallow: /", "/x", False),
        # §2.2.3: "#", "$" and "*".
        ("User-agent: * # all\nDisallow: /x # not this", "/x", False),
        ("User-agent: *\nDisallow: /foo/bar$", "/foo/bar", False),
        ("User-agent: *\nDisallow: /foo/bar$", "/foo/bar/", True),
        ("User-agent: *\nDisallow: /foo/bar$", "/foo/bar/baz", True),
        ("User-agent: *\nDisallow: /*.php", "/a/b.php?x", False),
        ("User-agent: *\nDisallow: /*.php$", "/a/b.php5", True),
        ("User-agent: *\nDisallow: /a*c", "/abbbcd", False),
        ("User-agent: *\nDisallow: /a*c", "/abbb", True),
        ("User-agent: *\nDisallow: *", "/x", False),
        # §2.2.2: octets are compared percent-encoded, whichever way each side was written.
        ("User-agent: *\nDisallow: /\nAllow: /foo/bar/%E3%83%84", "/foo/bar/%E3%83%84", True),
        ("User-agent: *\nDisallow: /\nAllow: /foo/bar/ツ", "/foo/bar/%E3%83%84", True),
        ("User-agent: *\nDisallow: /foo/bar/%62%61%7A", "/foo/bar/baz", False),
        # §2.2.2: a query is part of what is matched; §2.2.2: /robots.txt is always allowed; empty rules say nothing.
        ("User-agent: *\nDisallow: /x?q=", "/x?q=1", False),
        ("User-agent: *\nDisallow:", "/x", True),
        ("User-agent: *\n", "/x", True),
        ("", "/x", True),
        ("Disallow: /", "/x", True),
        # §2.2: lines end with CR, LF or both; a byte order mark is no part of the first line.
        ("User-agent: *\rDisallow: /x\r", "/x", False),
        ("User-agent: *\r\nDisallow: /x\r\n", "/x", False),
        ("\ufeffUser-agent: *\nDisallow: /x", "/x", False),
        # §2.2.4: other records do not come between an agent and its rules.
        ("Sitemap: http://herb.example/s.xml\nUser-agent: *\nSitemap: /s\nDisallow: /x", "/x", False),
        # common practice: a space for the colon, and for the hyphen
        ("User agent *\nDisallow /x", "/x", False),
    ],
)  # fmt: skip
def test_rules(robots, path, expected):
    assert allowed(robots, path) is expected


def test_octets_that_are_no_utf_8():
    assert not allowed(b"\xff\xfe\x00User-agent\n\nUser-agent: *\nDisallow: /x\n\xff\xff: \xfe", "/x")


def test_a_forbidden_page_is_not_asked_for(web):
    web.page("/robots.txt", "User-agent: *\nDisallow: /a")
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == FORBIDS
    assert [each.target for each in web.seen] == ["/robots.txt"]


def test_every_host_on_the_way_is_asked(web):
    with LoopbackWeb() as other:
        other.page("/robots.txt", "User-agent: doubtwort\nDisallow: /b")
        other.page("/b", "text")
        web.redirect("/jump", other.url("/b"))
        with fetching() as fetcher:
            result = fetcher.fetch(web.url("/jump"))
    assert why(result) == FORBIDS
    assert result.final_url == other.url("/b")
    assert other.asked("/b") == 0


@pytest.mark.parametrize("status", [400, 401, 403, 404, 410, 418, 429, 451])
def test_a_host_without_robots_txt_allows_all(web, status):
    web.page("/robots.txt", "User-agent: *\nDisallow: /", status)  # §2.3.1.3
    with fetching() as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


@pytest.mark.parametrize("status", [500, 502, 503, 504, 999])
def test_a_host_that_fails_to_give_it_allows_nothing(web, status):
    web.page("/robots.txt", "User-agent: *\nAllow: /", status)  # §2.3.1.4
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("robots", f"robots.txt not available: HTTP {status}")
    assert web.asked("/a") == 0


def test_a_file_that_does_not_come_whole_allows_nothing(web):
    web.handle("/robots.txt", Exchange.cut)
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("robots", "robots.txt not available: connection cut")
    web.handle("/robots.txt", lambda exchange: time.sleep(0.5))
    with fetching(local(read_timeout=0.2)) as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("robots", "robots.txt not available: no whole answer in time")
    web.redirect("/robots.txt", f"http://127.0.0.1:{free_port()}/")
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("robots", "robots.txt not available: connection refused")
    web.redirect("/robots.txt", "file:///etc/passwd")
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a")))[0] == "robots"


def test_a_failed_file_is_asked_for_again_later(web):
    clock = FakeClock()
    web.page("/robots.txt", "", 500)
    with fetching(clock=clock) as fetcher:
        assert why(fetcher.fetch(web.url("/a")))[0] == "robots"
        web.page("/robots.txt", "", 404)
        assert why(fetcher.fetch(web.url("/a")))[0] == "robots"
        clock.seconds += 301
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


def test_five_redirects_are_followed_and_more_mean_there_is_none(web):
    for number in range(1, 7):  # §2.3.1.2
        web.redirect(f"/r{number}", f"/r{number - 1}")
    web.page("/r0", "User-agent: *\nDisallow: /a")
    web.redirect("/robots.txt", "/r4")
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == FORBIDS
    web.redirect("/robots.txt", "/r5")
    with fetching() as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


def test_500_kib_are_parsed_and_the_rest_is_left(web):
    # §2.5: at least 500 KiB. The rule cut in two at the limit does not count as a shorter one.
    head = b"User-agent: *\nDisallow: /early\n"
    filler = b"# " + b"x" * 97 + b"\n"
    body = head + filler * ((ROBOTS_BYTES - len(head) - 20) // len(filler))
    body += (
        b"#" * (ROBOTS_BYTES - len(body) - 13) + b"\nDisallow: /a/very/long/path\nDisallow: /late\n" + filler * 40_000
    )
    assert body[:ROBOTS_BYTES].endswith(b"Disallow: /a")
    web.page("/robots.txt", body)
    web.page("/early", "text")
    web.page("/late", "text")
    with fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/early"))) == FORBIDS
        assert isinstance(fetcher.fetch(web.url("/late")), Fetched)
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


@pytest.mark.parametrize(
    "robots",
    [
        "".join(f"User-agent: a{number}\n" for number in range(10_000)) + "Disallow: /x\n" * 20_000,
        "".join(f"User-agent a{number}\n" for number in range(10_000)) + "Disallow: /x\n" * 20_000,
        "User-agent: *\n" + ("Disallow: /" + "*a" * 40 + "b\n") * 5_000,
        "User-agent: *\nDisallow: /" + "*" * 400_000 + "b\n",
    ],
    ids=["many agents", "many agents without colon", "many wildcards", "one long rule"],
)
def test_a_file_made_to_be_slow_is_not(robots):
    tracemalloc.start()
    try:
        allowed(robots, "/" + "a" * 8_000)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 200_000_000


def test_one_copy_serves_for_24_hours(web):
    clock = FakeClock()  # §2.4
    with fetching(clock=clock) as fetcher:
        for path in ("/b", "/c", "/d"):
            fetcher.fetch(web.url(path))
        assert web.asked("/robots.txt") == 1
        clock.seconds += 86_401
        fetcher.fetch(web.url("/e"))
        assert web.asked("/robots.txt") == 2


def test_a_kept_file_older_than_24_hours_is_asked_for_again(web, tmp_path, monkeypatch):
    from datetime import UTC, datetime, timedelta

    import doubtwort.fetching.session as session

    class Tomorrow(datetime):
        @classmethod
        def now(cls, tz=None):
            return datetime.now(tz or UTC) + timedelta(hours=25)

    web.page("/robots.txt", "", headers={"Cache-Control": "max-age=30000000"})
    cache = tmp_path / "pages.sqlite"
    for _ in range(2):
        with fetching(cache=cache) as fetcher:
            fetcher.fetch(web.url("/a"))
    assert web.asked("/robots.txt") == 1
    monkeypatch.setattr(session, "datetime", Tomorrow)
    with fetching(cache=cache) as fetcher:
        fetcher.fetch(web.url("/a"))
    assert web.asked("/robots.txt") == 2


def test_robots_txt_itself_may_be_fetched(web):
    web.page("/robots.txt", "User-agent: *\nDisallow: /")
    with fetching() as fetcher:
        assert isinstance(fetcher.fetch(web.url("/robots.txt")), Fetched)
