"""Kept copies through the Memento protocol: the worked exchanges of RFC 7089 as facts, served on loopback.

The hosts are those of the RFC; the server answers for them as a forward proxy. What a gate is asked, what it answers,
and which copy is taken are the RFC's; pages are invented.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from fetch_help import FakeClock, fetching, local, why

from doubtwort.errors import CallError
from doubtwort.fetching import fetch_cited, fetch_work
from doubtwort.fetching.archive import Memento, gate_address, linked, nearest, parse_timemap
from doubtwort.fetching.cited_on import cited_on
from doubtwort.model import Citation, Fetched
from loopback import Exchange, LoopbackWeb

ORIGINAL = "http://a.example.org/"
GATE = "http://arxiv.example.net/timegate/"
COPY = "http://arxiv.example.net/web/20010911203610/http://a.example.org/"
MAP = "http://arxiv.example.net/timemap/http://a.example.org/"
MOMENT = datetime(2001, 9, 11, 20, 35, tzinfo=UTC)
WHEN = "Tue, 11 Sep 2001 20:36:10 GMT"
LINK = (
    f'<{ORIGINAL}>; rel="original", <{MAP}>; rel="timemap"; type="application/link-format"'
    '; from="Tue, 15 Sep 2000 11:28:26 GMT"; until="Wed, 20 Jan 2010 09:34:33 GMT"'
)
KEPT = {"Memento-Datetime": WHEN, "Link": f'<{ORIGINAL}>; rel="original", <{GATE}{ORIGINAL}>; rel="timegate"'}
PAGE = "<title>Fictwort</title><p>The leaves are eaten.</p>"
# RFC 7089 §5, the example of a TimeMap.
TIMEMAP = """<http://a.example.org>;rel="original",
 <http://arxiv.example.net/timemap/http://a.example.org>
   ; rel="self";type="application/link-format"
   ; from="Tue, 20 Jun 2000 18:02:59 GMT"
   ; until="Wed, 09 Apr 2008 20:30:51 GMT",
 <http://arxiv.example.net/timegate/http://a.example.org>
   ; rel="timegate",
 <http://arxiv.example.net/web/20000620180259/http://a.example.org>
   ; rel="first memento";datetime="Tue, 20 Jun 2000 18:02:59 GMT"
   ; license="http://creativecommons.org/publicdomain/zero/1.0/",
 <http://arxiv.example.net/web/20091027204954/http://a.example.org>
   ; rel="last memento";datetime="Tue, 27 Oct 2009 20:49:54 GMT"
   ; license="http://creativecommons.org/publicdomain/zero/1.0/",
 <http://arxiv.example.net/web/20000621011731/http://a.example.org>
   ; rel="memento";datetime="Wed, 21 Jun 2000 01:17:31 GMT"
   ; license="http://creativecommons.org/publicdomain/zero/1.0/",
 <http://arxiv.example.net/web/20000621044156/http://a.example.org>
   ; rel="memento";datetime="Wed, 21 Jun 2000 04:41:56 GMT"
   ; license="http://creativecommons.org/publicdomain/zero/1.0/"
"""
LINK_FORMAT = {"Content-Type": "application/link-format"}


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        served.page(ORIGINAL, "gone", 404)
        yield served


def gated(web: LoopbackWeb, **changes):
    return fetching(local(proxies=web.proxies, memento_gate=GATE, **changes))


def dates_asked(web: LoopbackWeb, target: str) -> list[str]:
    return [each.headers.get("accept-datetime", "") for each in web.seen if each.target == target]


def test_a_gate_that_redirects(web):
    # §4.2.1: the gate answers 302 with Location, Vary and Link; §2.1.1: the copy carries Memento-Datetime.
    web.page(GATE + ORIGINAL, "", 302, {"Vary": "accept-datetime", "Location": COPY, "Link": LINK})
    web.page(COPY, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        got = fetcher.fetch_near(ORIGINAL, MOMENT)
    assert isinstance(got, Fetched)
    assert (got.url, got.final_url, got.archived) == (ORIGINAL, COPY, True)
    assert got.headers["memento-datetime"] == WHEN
    assert got.body == PAGE.encode()
    assert dates_asked(web, GATE + ORIGINAL) == ["Tue, 11 Sep 2001 20:35:00 GMT"]
    assert dates_asked(web, COPY) == [""]  # the choice is made


def test_a_gate_that_answers_with_the_copy_and_names_its_place(web):
    # §4.2.2: 200, Content-Location is the copy's own address.
    web.page(GATE + ORIGINAL, PAGE, headers={"Vary": "accept-datetime", "Content-Location": COPY, **KEPT})
    with gated(web) as fetcher:
        got = fetcher.fetch_near(ORIGINAL, MOMENT)
    assert (got.url, got.final_url, got.archived) == (ORIGINAL, COPY, True)


def test_a_gate_that_answers_with_the_copy_at_its_own_address(web):
    # §4.2.3: 200 without Content-Location; the gate's address is that of the copy.
    web.page(GATE + ORIGINAL, PAGE, headers={"Vary": "accept-datetime", **KEPT})
    with gated(web) as fetcher:
        got = fetcher.fetch_near(ORIGINAL, MOMENT)
    assert (got.final_url, got.archived) == (GATE + ORIGINAL, True)


def test_a_gate_that_sends_on_to_another_gate(web):
    # §4.2: the redirect of an address to its gate is no choice of a copy: it does not vary by the date.
    other = "http://arxiv.example.net/gate2"
    web.redirect(GATE + ORIGINAL, other, 301)
    web.page(other, "", 302, {"Vary": "negotiate, Accept-Datetime", "Location": COPY})
    web.page(COPY, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        assert fetcher.fetch_near(ORIGINAL, MOMENT).final_url == COPY
    assert dates_asked(web, other) == ["Tue, 11 Sep 2001 20:35:00 GMT"]


def test_the_gate_that_the_original_names_comes_first(web):
    # §4.5.2: the server is there, the page is not; its answer still links to a gate.
    own = "http://versions.example.org/gate?of=1"
    web.page(ORIGINAL, "gone", 404, {"Link": f'<{own}>; rel="timegate"'})
    web.page(own, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        assert fetcher.fetch_near(ORIGINAL, MOMENT).final_url == own
    assert web.asked(GATE + ORIGINAL) == 0


def test_a_copy_of_a_redirect_is_followed(web):
    # §4.5.4: the copy is a redirect to the copy of where the original once redirected to.
    moved = "http://arxiv.example.net/web/20010911203700/http://b.example.org/"
    web.page(GATE + ORIGINAL, "", 302, {"Vary": "accept-datetime", "Location": COPY})
    web.page(COPY, "", 302, {"Memento-Datetime": WHEN, "Location": moved})
    web.page(moved, PAGE, headers={"Memento-Datetime": "Tue, 11 Sep 2001 20:37:00 GMT"})
    with gated(web) as fetcher:
        assert fetcher.fetch_near(ORIGINAL, MOMENT).final_url == moved


def test_a_copy_of_an_error_is_no_copy_and_the_list_names_others(web):
    # §4.5.5: a copy with status 404 is one of a page not found. §5: the TimeMap lists the others.
    web.page(GATE + ORIGINAL, "", 302, {"Vary": "accept-datetime", "Location": COPY, "Link": LINK})
    web.page(COPY, "not found", 404, {**KEPT, "Link": LINK})
    web.page(MAP, TIMEMAP, headers=LINK_FORMAT)
    later = "http://arxiv.example.net/web/20000621044156/http://a.example.org"
    web.page(later, PAGE, headers={"Memento-Datetime": "Wed, 21 Jun 2000 04:41:56 GMT"})
    with gated(web) as fetcher:
        got = fetcher.fetch_near(ORIGINAL, MOMENT)
    assert (got.final_url, got.archived) == (later, True)


def test_a_copy_of_a_page_that_was_gone_already_is_no_copy(web):
    web.page(GATE + ORIGINAL, "", 302, {"Vary": "accept-datetime", "Location": COPY, "Link": LINK})
    web.page(COPY, "<title>404 Not Found</title><h1>Not Found</h1>", headers=KEPT)
    web.page(MAP, "", 404)
    with gated(web) as fetcher:
        assert why(fetcher.fetch_near(ORIGINAL, MOMENT)) == ("not-found", "HTTP 404; no kept copy found")


@pytest.mark.parametrize("status", [400, 403, 404, 406, 500, 503])
def test_a_gate_without_a_copy(web, status):
    web.page(GATE + ORIGINAL, "none", status)
    with gated(web, retries=0) as fetcher:
        assert why(fetcher.fetch_near(ORIGINAL, MOMENT)) == ("not-found", "HTTP 404; no kept copy found")


def test_a_page_that_says_not_of_when_it_is_is_no_copy(web):
    web.page(GATE + ORIGINAL, PAGE)
    with gated(web) as fetcher:
        assert why(fetcher.fetch(ORIGINAL))[0] == "not-found"


def test_a_gate_that_answers_with_links_alone(web):
    # A gate that negotiates nothing, but links to a TimeMap (§2.2.2).
    web.page(GATE + ORIGINAL, "", 404, {"Link": f'<{MAP}>; rel="timemap"'})
    web.page(MAP, TIMEMAP, headers=LINK_FORMAT)
    last = "http://arxiv.example.net/web/20091027204954/http://a.example.org"
    web.page(last, PAGE, headers={"Memento-Datetime": "Tue, 27 Oct 2009 20:49:54 GMT"})
    with gated(web) as fetcher:
        assert fetcher.fetch_near(ORIGINAL, datetime(2019, 1, 1, tzinfo=UTC)).final_url == last


def test_a_list_in_pages_is_read_from_the_page_that_covers_the_moment(web):
    # §5.1: an index of TimeMaps, each with from and until.
    pages = [f"http://arxiv.example.net/map/{number}" for number in range(9)]
    index = ",\n".join(
        f'<{url}>; rel="timemap"; type="application/link-format"; from="Sat, 01 Jan 200{number} 00:00:00 GMT"'
        f'; until="Sun, 31 Dec 200{number} 23:59:59 GMT"'
        for number, url in enumerate(pages)
    )
    web.page(GATE + ORIGINAL, "", 404, {"Link": f'<{MAP}>; rel="timemap"'})
    web.page(MAP, index, headers=LINK_FORMAT)
    web.page(pages[1], f'<{COPY}>; rel="memento"; datetime="{WHEN}"', headers=LINK_FORMAT)
    web.page(COPY, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        assert fetcher.fetch_near(ORIGINAL, MOMENT).final_url == COPY
    assert len([each for each in web.seen if each.target in pages]) == 2  # bounded


def test_a_list_that_lists_itself_ends(web):
    web.page(GATE + ORIGINAL, "", 404, {"Link": f'<{MAP}>; rel="timemap"'})
    web.page(MAP, f'<{MAP}>; rel="timemap", <{MAP}?2>; rel="timemap", <{MAP}?3>; rel="timemap"', headers=LINK_FORMAT)
    for number in (2, 3):
        web.page(f"{MAP}?{number}", f'<{MAP}?{5 - number}>; rel="timemap"', headers=LINK_FORMAT)
    with gated(web) as fetcher:
        assert why(fetcher.fetch(ORIGINAL))[0] == "not-found"
    assert len([each for each in web.seen if each.target.startswith(MAP)]) == 3


def test_the_copies_tried_are_few(web):
    told = ", ".join(f'<http://arxiv.example.net/{n}>; rel="memento"; datetime="{WHEN}"' for n in range(500))
    web.page(GATE + ORIGINAL, "", 404, {"Link": f'<{MAP}>; rel="timemap"'})
    web.page(MAP, told, headers=LINK_FORMAT)
    with gated(web) as fetcher:
        assert why(fetcher.fetch(ORIGINAL))[0] == "not-found"
    assert len(web.seen) < 12


# --------------------------------------------------------------------------- when the gate is asked


@pytest.mark.parametrize(
    ("status", "body", "asked"),
    [
        (404, "", True), (410, "", True), (500, "", True),
        (200, "<title>Page not found</title><p>Sorry.", True),
        (200, "<title>a.example</title><p>This domain is for sale.", True),
        (200, PAGE, False), (403, "", False), (401, "", False),
        (200, "<title>Before you continue</title><p>We use cookies.", False),
    ],
)  # fmt: skip
def test_only_for_what_is_gone(web, status, body, asked):
    web.page(ORIGINAL, body, status)
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        got = fetcher.fetch(ORIGINAL)
    assert (web.asked(GATE + ORIGINAL) == 1) is asked
    if asked:
        assert isinstance(got, Fetched)
        assert got.archived


def test_for_a_host_that_is_no_more():
    with LoopbackWeb() as web:
        gate = web.url("/gate/")
        web.page("/gate/http://herb.invalid/a", PAGE, headers=KEPT)
        with fetching(local(memento_gate=gate)) as fetcher:
            got = fetcher.fetch("http://herb.invalid/a")
    assert isinstance(got, Fetched)
    assert got.archived


def test_off_unless_given(web):
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    with fetching(local(proxies=web.proxies)) as fetcher:
        assert why(fetcher.fetch(ORIGINAL)) == ("not-found", "HTTP 404")
    assert web.asked(GATE + ORIGINAL) == 0


def test_never_offline(web):
    with gated(web, offline=True) as fetcher:
        assert why(fetcher.fetch(ORIGINAL)) == ("unreachable", "offline, and not kept")
    assert web.seen == []


def test_a_gate_on_a_private_address_needs_leave_like_any_other(web):
    with fetching(local(allow_private=False, memento_gate=web.url("/gate/"))) as fetcher:
        assert why(fetcher.fetch("http://herb.invalid/a"))[0] == "unreachable"
    assert web.seen == []


def test_the_robots_of_the_gate_are_obeyed(web):
    web.page("http://arxiv.example.net/robots.txt", "User-agent: *\nDisallow: /timegate/")
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        assert why(fetcher.fetch(ORIGINAL))[0] == "not-found"
    assert web.asked(GATE + ORIGINAL) == 0


@pytest.mark.parametrize("gate", ["arxiv.example.net", "ftp://arxiv.example.net/", "{uri}", "javascript:1"])
def test_an_address_that_is_none_is_said_at_once(gate):
    with pytest.raises(CallError, match="gate"), fetching(local(memento_gate=gate)):
        pass


def test_of_a_kept_copy_that_is_gone_the_original_is_asked_for(web):
    lost = "http://lost.example/web/20010911203610/http://a.example.org/"
    web.page(lost, "", 404)
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    with gated(web) as fetcher:
        assert fetcher.fetch(lost).archived


# --------------------------------------------------------------------------- which date


def test_now_when_no_date_is_known(web):
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    settings = local(proxies=web.proxies, memento_gate=GATE)
    with fetching(settings, clock=FakeClock(start=datetime(2026, 5, 1, 12, tzinfo=UTC))) as fetcher:
        fetcher.fetch(ORIGINAL)
    assert dates_asked(web, GATE + ORIGINAL) == ["Fri, 01 May 2026 12:00:00 GMT"]


def test_the_day_on_which_the_citation_was_read(web):
    web.page(GATE + ORIGINAL, PAGE, headers=KEPT)
    citation = Citation("1", "Ficta: Herbs. Retrieved 11 September 2001.", urls=(ORIGINAL,))
    with gated(web) as fetcher:
        assert fetch_work(fetcher, citation).archived
        assert fetch_cited(fetcher, ORIGINAL, citation).archived
        assert fetch_work(fetcher, citation, MOMENT).archived
    assert dates_asked(web, GATE + ORIGINAL) == [
        "Tue, 11 Sep 2001 12:00:00 GMT", "Tue, 11 Sep 2001 12:00:00 GMT", "Tue, 11 Sep 2001 20:35:00 GMT",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("Ficta. Herbs. Retrieved 3 May 2019.", "2019-05-03"),
        ("Ficta. Herbs. Accessed: May 3rd, 2019", "2019-05-03"),
        ("Ficta. Herbs (accessed on 2019-05-03)", "2019-05-03"),
        ("Herbs. 1 January 2001. Archived from the original on 3 May 2019. Retrieved 4 May 2020.", "2019-05-03"),
        ("Herbs. Last visited on the 3rd of May 2019", "2019-05-03"),
        ("Herbs. Accessed in May 2019.", "2019-05-15"),
        ("Kräuter, abgerufen am 3. Dec 2019", "2019-12-03"),
        ("Herbs. Retrieved 31 February 2019.", ""),
        ("Herbs. 3 May 2019.", ""),
        ("Read 3 pages of 2019 herbs.", ""),
        ("Herbs, retrieved 03/05/2019", ""),  # which of the two is the month?
        ("", ""),
    ],
)
def test_what_a_citation_says_of_the_day(text, day):
    found = cited_on(Citation("1", text))
    assert (found.date().isoformat() if found else "") == day


# --------------------------------------------------------------------------- the parts


def test_the_example_of_a_timemap():
    read = parse_timemap(TIMEMAP, MAP)
    assert [each.moment.isoformat()[:19] for each in read.mementos] == [
        "2000-06-20T18:02:59", "2009-10-27T20:49:54", "2000-06-21T01:17:31", "2000-06-21T04:41:56",
    ]  # fmt: skip
    assert all(each.url.endswith("/http://a.example.org") for each in read.mementos)
    assert read.more == ()


def test_the_nearest_and_of_two_as_near_the_earlier():
    days = {each: datetime(2001, 1, each, tzinfo=UTC) for each in (1, 5, 9, 20)}
    kept = [Memento(f"http://kept.example/{day}", moment) for day, moment in days.items()]
    order = [each.url.rpartition("/")[2] for each in nearest(kept, datetime(2001, 1, 7, tzinfo=UTC))]
    assert order == ["5", "9", "1", "20"]
    assert nearest(kept, days[1], but=("http://kept.example/1#x",))[0].moment == days[5]


def test_links_of_another_context_are_not_the_pages_own():
    # RFC 8288 §3.2: a link with an anchor is not one of the page.
    headers = {"link": '</gate>; rel="timegate"; anchor="http://other.example/", </own>; rel="original timegate"'}
    assert linked(headers, ORIGINAL, "timegate") == ("http://a.example.org/own",)


def test_a_gate_with_a_place_for_the_address():
    assert gate_address("http://g.example/{uri}/x", "http://h.example/a") == "http://g.example/http://h.example/a/x"


def test_a_handler_sees_one_polite_request(web):
    seen = []

    def gate(exchange: Exchange) -> None:
        seen.append(dict(exchange.seen.headers))
        exchange.answer(200, PAGE, KEPT)

    web.handle(GATE + ORIGINAL, gate)
    with gated(web) as fetcher:
        fetcher.fetch(ORIGINAL)
    (headers,) = seen
    assert headers["user-agent"].startswith("doubtwort/")
    assert "cookie" not in headers
