"""A names service over real sockets: its documented calls, paging, failures, hostile answers, and the cache."""

from __future__ import annotations

import json
import time
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from fetch_help import FakeClock, local

from doubtwort.errors import CallError, ManyTaxa, NamesUnread, NameUnknown, NotAsked
from doubtwort.fetching.names_service import NamesService
from doubtwort.settings import Settings
from loopback import LoopbackWeb, free_port
from species_api import BACKBONE, JSON, SpeciesApi, fictaria, matched, no_match, page, synonym, usage


@pytest.fixture
def api():
    with LoopbackWeb() as web:
        yield fictaria(SpeciesApi(web))


@contextmanager
def asking(api, tmp_path, *, ask=True, refresh=False, clock=None, root=None, **changes):
    settings = local(names_service=root or api.root, **changes)
    clock = (clock or FakeClock(start=datetime.now(UTC))).clock()
    with NamesService(settings, tmp_path / "pages.sqlite", ask=ask, refresh=refresh, clock=clock) as service:
        yield service


def one_line(caught) -> str:
    said = str(caught.value)
    assert len(said.splitlines()) == 1
    return said


# --------------------------------------------------------------------------- as documented


def test_an_accepted_name_with_all_that_belongs_to_it(api, tmp_path):
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert (found.accepted.scientific_name, found.accepted.family) == ("Fictaria silvana (L.) Alder", "Fictariaceae")
    assert (found.match.match_type, found.match.confidence, found.is_exact) == ("EXACT", 98, True)
    assert [each.key for each in found.synonyms] == [102, 103, 104, 105]
    assert ("Fiktkraut", "de") in [(each.name, each.language) for each in found.vernacular_names]
    assert (found.source, found.from_cache, found.left_off) == (f"{api.root}/species/101", False, ())


def test_the_calls_are_the_documented_ones(api, tmp_path):
    # techdocs.gbif.org/en/openapi/v1/species: match (name, strict, verbose, kingdom), {key}, {key}/synonyms,
    # {key}/vernacularNames; techdocs.gbif.org/en/openapi, "Paging": limit, offset.
    with asking(api, tmp_path) as service:
        service.look_up("Fictaria silvana", kingdom="Plantae")
    listed = {"limit": ["100"], "offset": ["0"]}
    assert api.asked() == [
        (
            "/species/match",
            {"name": ["Fictaria silvana"], "strict": ["true"], "verbose": ["true"], "kingdom": ["Plantae"]},
        ),
        ("/species/101", {}),
        ("/species/101/synonyms", listed),
        ("/species/101/vernacularNames", listed),
    ]
    seen = api.web.seen[-1].headers
    # techdocs.gbif.org/en/openapi/usage, "Identification": an own User-Agent with name and version.
    assert seen["user-agent"].startswith("doubtwort/")
    assert seen["accept"] == "application/json"


def test_a_synonym_leads_to_its_accepted_name(api, tmp_path):
    # NameUsageMatch.acceptedUsageKey: "the accepted name usage in case the matched usage was a synonym".
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria mollis")
    assert (found.usage.key, found.usage.is_synonym, found.accepted.key) == (102, True, 101)


def test_a_synonym_without_accepted_key_in_the_match_is_looked_up(api, tmp_path):
    api.matches["Fictaria mollis"] = matched(api.usages[102]) | {"acceptedUsageKey": None}
    with asking(api, tmp_path) as service:
        assert service.look_up("Fictaria mollis").accepted.key == 101


@pytest.mark.parametrize("most", [20, 1_000])
def test_pages_are_followed_to_their_end_also_where_the_service_lowers_the_limit(api, tmp_path, most):
    # techdocs.gbif.org/en/openapi, "Paging": too high a limit is overwritten with the service's maximum.
    api.most = most
    for number in range(55):
        api.name(101, f"eng:fictary {chr(97 + number % 26)}{number}")
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert len(found.vernacular_names) == 60
    assert found.left_off == ()


def test_an_end_that_is_not_told_is_found(api, tmp_path):
    # Seen there: endOfRecords false on the last page (mail-archive.com/api-users@lists.gbif.org/msg00041.html).
    def unending(exchange):
        offset = int(exchange.path.partition("offset=")[2] or 0)
        names = [{"vernacularName": f"fictary {n}x", "language": "eng"} for n in range(50)][offset:]
        api.answer(exchange, page(names, offset, 50, True))

    api.web.handle("/v1/species/101/vernacularNames", unending)
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert (len(found.vernacular_names), found.left_off) == (50, ())


def test_a_name_that_several_taxa_bear_has_to_be_chosen(api, tmp_path):
    # MatchType.NONE: "no match or matching several names with too little information to keep apart"; the alternatives
    # come with verbose=true.
    other = usage(301, "Fictaria silvana", "Oak", kingdom="Animalia", family="Vaguelidae")
    api.add(other)
    both = [matched(api.usages[101]), matched(other), matched(synonym(302, "Fictaria silvana", "Elm", 101))]
    api.matches["Fictaria silvana"] = no_match("Multiple equal matches for Fictaria silvana", alternatives=both)
    api.matches["Fictaria silvana|Animalia"] = matched(other)
    with asking(api, tmp_path) as service:
        with pytest.raises(ManyTaxa) as caught:
            service.look_up("Fictaria silvana")
        assert "Fictaria silvana Oak (accepted, Vaguelidae, Animalia, key 301)" in one_line(caught)
        assert "Elm" in one_line(caught) or "(L.) Alder" in one_line(caught)
        assert len(caught.value.keys) == 2  # a synonym of one of them is no third taxon
        assert service.look_up("Fictaria silvana", key=301).accepted.family == "Vaguelidae"
        assert service.look_up("Fictaria silvana", kingdom="Animalia").accepted.key == 301


def test_homonyms_beside_a_clear_match_are_told(api, tmp_path):
    other = matched(usage(301, "Fictaria silvana", "Oak", kingdom="Animalia"), confidence=40)
    api.matches["Fictaria silvana"] = matched(api.usages[101], alternatives=[other, matched(api.usages[201])])
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert [each.key for each in found.homonyms] == [301]


def test_of_many_bearers_some_are_told_in_one_line(api, tmp_path):
    others = [matched(usage(500 + n, "Fictaria silvana", "Oak" * 60, family="Vagueliaceae" * 9)) for n in range(20)]
    api.matches["Fictaria silvana"] = no_match("Multiple equal matches", alternatives=others)
    with asking(api, tmp_path) as service, pytest.raises(ManyTaxa) as caught:
        service.look_up("Fictaria silvana")
    assert "14 more bear it. Say which: --key" in one_line(caught)
    assert len(one_line(caught)) < 1_000


def test_a_fuzzy_match_is_not_exact(api, tmp_path):
    api.matches["Fictaria silvanna"] = matched(api.usages[101], "FUZZY", 87)
    api.matches["Fictaria sylvana"] = matched(api.usages[101], "EXACT", 99)  # says EXACT of another spelling
    with asking(api, tmp_path) as service:
        assert not service.look_up("Fictaria silvanna").is_exact
        assert not service.look_up("Fictaria sylvana").is_exact


@pytest.mark.parametrize("match_type", ["NONE", "HIGHERRANK", "UNSUPPORTED"])
def test_what_is_no_match_is_unknown(api, tmp_path, match_type):
    api.matches["Fictaria ignota"] = matched(usage(900, "Fictaria", "Alder"), match_type)
    with asking(api, tmp_path) as service, pytest.raises(NameUnknown) as caught:
        service.look_up("Fictaria ignota")
    assert match_type in one_line(caught)


def test_a_common_name_is_searched_among_vernacular_names(api, tmp_path):
    # techdocs.gbif.org/en/openapi/v1/species, /species/search: q, qField, datasetKey, limit.
    named = {"vernacularNames": [{"vernacularName": "False Fictwort", "language": "eng"}]}
    api.found["false fictwort"] = [
        usage(101, "Fictaria silvana", "(L.) Alder", **named),
        synonym(102, "Fictaria mollis", "L.", 101) | named,
        usage(
            201, "Vaguelia aspera", "Birch", vernacularNames=[{"vernacularName": "false-fictwort", "language": "eng"}]
        ),
        usage(202, "Vaguelia levis", "Birch", vernacularNames=[{"vernacularName": "false fictwort moth"}]),
    ]
    with asking(api, tmp_path) as service:
        assert [each.key for each in service.bearers("false fictwort")] == [101, 201]
        assert service.bearers("nothing") == ()
    assert api.asked()[0][1] == {
        "q": ["false fictwort"], "qField": ["VERNACULAR"], "datasetKey": [BACKBONE], "limit": ["100"],
    }  # fmt: skip


# --------------------------------------------------------------------------- hostile


def test_paging_without_end_is_ended(api, tmp_path):
    count = iter(range(10**6))

    def endless(exchange):
        names = [{"vernacularName": f"fictary number {next(count)}x", "language": "eng"} for _ in range(100)]
        api.answer(exchange, page(names, 0, 100, True))

    api.web.handle("/v1/species/101/vernacularNames", endless)
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert (len(found.vernacular_names), found.left_off) == (500, ("vernacular names",))


def test_the_same_page_again_and_again_is_asked_for_twice(api, tmp_path):
    same = json.dumps(page([{"vernacularName": "fictwort", "language": "eng"}], 0, 1, True))
    api.web.page("/v1/species/101/vernacularNames", same, headers=JSON)
    with asking(api, tmp_path) as service:
        found = service.look_up("Fictaria silvana")
    assert (len(found.vernacular_names), found.left_off) == (1, ("vernacular names",))
    assert sum("vernacularNames" in path for path, _ in api.asked()) == 2


def test_synonyms_in_a_circle_lead_nowhere(api, tmp_path):
    api.add(synonym(401, "Fictaria una", "L.", 402), synonym(402, "Fictaria altera", "L.", 401))
    with asking(api, tmp_path) as service, pytest.raises(NameUnknown) as caught:
        service.look_up("Fictaria una")
    assert "leads to no accepted name" in one_line(caught)


def test_a_usage_of_another_key_is_not_believed(api, tmp_path):
    api.web.page("/v1/species/101", json.dumps(api.usages[201]), headers=JSON)
    with asking(api, tmp_path) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert "it tells of key 201" in one_line(caught)


@pytest.mark.parametrize(
    ("status", "said", "headers", "reason", "part"),
    [
        (200, "<html><body>Sign in", {"Content-Type": "text/html"}, "not understood", "it is not JSON"),
        (200, "{", JSON, "not understood", "it is not JSON"),
        (200, "[1]", JSON, "not understood", "it is no JSON object"),
        (200, "{}", JSON, "not understood", "it names no matchType"),
        (200, '{"matchType":' + "[" * 50_000, JSON, "not understood", "it is not JSON"),
        (404, "nothing", JSON, "not-found", "HTTP 404"),
        (403, "no", JSON, "refused", "HTTP 403"),
        (500, "oh", JSON, "unreachable", "HTTP 500"),
        # techdocs.gbif.org/en/openapi/usage, "Rate limits": 429 or 503, some with Retry-After.
        (429, "slow", JSON | {"Retry-After": "3600"}, "refused", "HTTP 429, asks to wait 3600 s"),
        (503, "slow", JSON, "unreachable", "HTTP 503"),
        (200, "x" * 2_100_000, JSON, "too-large", "more than 2000000 bytes"),
        (302, "", {"Location": "file:///etc/passwd"}, "address-not-allowed", "not to an http or https address"),
    ],
)
def test_failures_are_one_clear_line(api, tmp_path, status, said, headers, reason, part):
    api.web.page("/v1/species/match", said, status, headers)
    with asking(api, tmp_path, max_body=50_000_000) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert caught.value.reason == reason
    assert part in one_line(caught)
    assert caught.value.exit_status == 1


def test_too_many_requests_are_waited_for_as_asked(api, tmp_path):
    answers = iter([429])

    def busy(exchange):
        if next(answers, None):
            exchange.answer(429, "", {"Retry-After": "7"})
        else:
            api.answer(exchange, api.matches["Fictaria silvana"])

    api.web.handle("/v1/species/match", busy)
    clock = FakeClock()
    with asking(api, tmp_path, clock=clock) as service:
        assert service.look_up("Fictaria silvana").accepted.key == 101
    assert any(6.5 < each <= 7 for each in clock.slept)


def test_one_failing_list_fails_the_whole_look_up(api, tmp_path):
    api.web.page("/v1/species/101/synonyms", "", 500)
    with asking(api, tmp_path) as service, pytest.raises(NamesUnread, match="synonyms"):
        service.look_up("Fictaria silvana")


def test_an_answer_that_drips_is_given_up(api, tmp_path):
    def drip(exchange):
        exchange.raw(b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n")
        while exchange.raw(b" "):
            time.sleep(0.05)

    api.web.handle("/v1/species/match", drip)
    with asking(api, tmp_path, total_timeout=0.6) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert caught.value.reason == "timeout"


def test_an_answer_that_never_comes_is_given_up(api, tmp_path):
    api.web.handle("/v1/species/match", lambda exchange: time.sleep(2))
    with asking(api, tmp_path, total_timeout=0.5, read_timeout=0.5) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert caught.value.reason == "timeout"


def test_nobody_there_robots_and_private_addresses(api, tmp_path):
    with (
        asking(api, tmp_path, root=f"http://127.0.0.1:{free_port()}/v1") as service,
        pytest.raises(NamesUnread, match="connection refused"),
    ):
        service.look_up("Fictaria silvana")
    with asking(api, tmp_path, allow_private=False) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert "--allow-private" in one_line(caught)
    assert api.asked() == []
    api.web.page("/robots.txt", "User-agent: *\nDisallow: /v1/species", headers={"Content-Type": "text/plain"})
    with asking(api, tmp_path) as service, pytest.raises(NamesUnread) as caught:
        service.look_up("Fictaria silvana")
    assert caught.value.reason == "robots"
    assert api.asked() == []


@pytest.mark.parametrize(
    "root", ["", "names.example/v1", "ftp://names.example/", "file:///etc", "http://a.example/?q=1"]
)
def test_what_is_no_address_of_a_service_is_a_wrong_call(tmp_path, root):
    with pytest.raises(CallError, match="no address of a names service"):
        NamesService(Settings(names_service=root), tmp_path / "pages.sqlite", ask=True)


# --------------------------------------------------------------------------- the cache


def test_the_same_question_is_asked_once_and_answered_offline(api, tmp_path):
    with asking(api, tmp_path) as service:
        first = service.look_up("Fictaria mollis")
    calls = len(api.asked())
    with asking(api, tmp_path) as service:
        again = service.look_up("Fictaria mollis")
    assert len(api.asked()) == calls
    assert (again.from_cache, again.synonyms, again.retrieved) == (True, first.synonyms, first.retrieved)
    api.web.__exit__()
    with asking(api, tmp_path, ask=False) as service:
        assert service.look_up("Fictaria mollis").from_cache
        with pytest.raises(NotAsked) as caught:
            service.look_up("Vaguelia aspera")
    assert "--ask" in one_line(caught)


def test_unless_asked_to_nothing_is_sent(api, tmp_path):
    with asking(api, tmp_path, ask=False) as service, pytest.raises(NotAsked):
        service.look_up("Fictaria silvana")
    assert api.web.seen == []


def test_old_answers_are_asked_for_again_but_serve_offline(api, tmp_path):
    clock = FakeClock(start=datetime.now(UTC))
    with asking(api, tmp_path, clock=clock) as service:
        service.look_up("Fictaria silvana")
    calls = len(api.asked())
    later = FakeClock(start=clock.start + timedelta(days=31))
    with asking(api, tmp_path, clock=later, ask=False) as service:
        assert service.look_up("Fictaria silvana").from_cache
    assert len(api.asked()) == calls
    with asking(api, tmp_path, clock=later) as service:
        assert not service.look_up("Fictaria silvana").from_cache
    assert len(api.asked()) == 2 * calls


def test_refresh_asks_again(api, tmp_path):
    with asking(api, tmp_path) as service:
        service.look_up("Fictaria silvana")
    api.name(101, "eng:new fictary")
    with asking(api, tmp_path, refresh=True) as service:
        found = service.look_up("Fictaria silvana")
    assert "new fictary" in [each.name for each in found.vernacular_names]
    with asking(api, tmp_path) as service:
        assert service.look_up("Fictaria silvana").vernacular_names == found.vernacular_names


def test_a_kept_answer_that_is_none_is_asked_for_again(api, tmp_path):
    api.web.page(
        "/v1/species/101", "<html>Sign in", headers={"Content-Type": "text/html", "Cache-Control": "max-age=999"}
    )
    with asking(api, tmp_path) as service, pytest.raises(NamesUnread):
        service.look_up("Fictaria silvana")
    with asking(api, tmp_path, ask=False) as service, pytest.raises(NamesUnread, match="not JSON"):
        service.look_up("Fictaria silvana")
    api.add(api.usages[101])
    with asking(api, tmp_path) as service:
        assert service.look_up("Fictaria silvana").accepted.key == 101
