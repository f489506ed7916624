"""One claim through all stages, over small invented webs."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import pytest

from audit.small_web import CLAIM, NO_HAZARDS, READERS, SmallWeb, citation, read, read_document
from doubtwort.audit import NullKeeper, Progress, Readers, audit_claim, audit_page
from doubtwort.errors import NoClaimFound, PageUnread
from doubtwort.model import (
    Audit,
    Claim,
    Fetched,
    Grounds,
    NotFetched,
    Outcome,
    Rating,
    Shift,
    Source,
    UnreadReason,
    Wording,
)
from doubtwort.settings import Settings
from support.shorthand import TAXON, claim

A, B, C, D = (f"http://{name}.example/x" for name in "abcd")
MOMENT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def audit(pages: Mapping[str, str], *, web: SmallWeb | None = None, **more: Any) -> Audit:
    settings = more.pop("settings", Settings())
    return audit_page(
        CLAIM,
        TAXON,
        settings=settings,
        fetcher=web or SmallWeb(pages),
        readers=READERS,
        hazards=NO_HAZARDS,
        now=lambda: MOMENT,
        **more,
    )


def shape(found: Audit) -> list[tuple[str, str, str]]:
    return [(each.id, each.url, each.outcome.value) for each in found.sources]


def steps(found: Audit) -> list[tuple[str, str, str | None]]:
    return [(each.origin, each.target, each.shift.value if each.shift else None) for each in found.trail]


def test_a_claim_with_two_sources_one_traced_to_its_root() -> None:
    found = audit({CLAIM: f"edible > {A} {B}", A: f"edible > {C}", B: "non-toxic", C: "edible"})
    assert shape(found) == [("s1", A, "supports"), ("s2", B, "weaker"), ("s3", C, "supports")]
    assert steps(found) == [
        ("claim", "s1", "kept"),
        ("claim", "s2", "strengthened"),
        ("s1", "s3", "kept"),
    ]
    assert [each.grounds for each in found.sources] == [Grounds.TRACED, None, Grounds.OWN_WORD]
    assert [each.depth for each in found.sources] == [1, 1, 2]
    assert found.sources[2].cited_by == ("s1",)
    assert (found.rating, found.root_groups) == (Rating.SUPPORTED, (("s3",),))
    assert found.audited_at == "2026-11-25T09:30:00Z"
    assert found.sources[0].sha256 == "ab" * 32
    assert found.sources[0].title == f"Page at {A}"
    assert found.reasons[0] == "One independent root supports the claim, found through s1, s3. (supported)"
    assert any(each.startswith("s2: It says 'non-toxic', which is less than 'edible'.") for each in found.reasons)


def test_two_independent_roots_corroborate_and_a_toxic_statement_is_shown_all_the_same() -> None:
    found = audit({CLAIM: f"edible leaf > {A} {B}", A: "edible leaf", B: "edible leaf\ntoxic root"})
    assert found.rating is Rating.CORROBORATED
    assert found.root_groups == (("s1",), ("s2",))
    assert found.cautions[0].code == "toxic-stated"


def test_two_citations_of_one_root_are_one_root() -> None:
    found = audit({CLAIM: f"edible > {A} {B}", A: f"edible > {C}", B: f"edible > {C}", C: "edible"})
    assert found.rating is Rating.SUPPORTED
    assert found.sources[2].cited_by == ("s1", "s2")


def test_overstating_is_found_at_the_end_of_the_trail() -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"edible > {B}", B: f"edible > {C}", C: "unpalatable"})
    assert [each.outcome.value for each in found.sources] == ["overstates", "overstates", "weaker"]
    assert found.rating is Rating.STRETCHED
    assert any("(not-borne-out)" in each for each in found.reasons)
    assert found.trail[2].shift is Shift.STRENGTHENED


def test_a_trail_back_to_the_claim_is_circular() -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"edible > {CLAIM}#uses"})
    assert shape(found) == [("s1", A, "circular")]
    assert steps(found) == [("claim", "s1", "kept"), ("s1", "claim", "kept")]
    assert found.rating is Rating.UNSUPPORTED
    assert any("(leads-back)" in each for each in found.reasons)


def test_two_sources_that_cite_each_other_are_circular() -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"edible > {B}", B: f"edible > {A}"})
    assert [each.outcome.value for each in found.sources] == ["circular", "circular"]
    assert steps(found)[-1] == ("s2", "s1", "kept")


def test_a_claim_that_cites_its_own_page_has_a_circular_source_and_nothing_is_fetched_twice() -> None:
    web = SmallWeb({CLAIM: f"edible > {CLAIM}?utm_source=feed {A}", A: "edible"})
    found = audit({}, web=web)
    assert [each.outcome.value for each in found.sources] == ["circular", "supports"]
    assert web.asked == [CLAIM, A]


def test_a_redirect_to_the_claims_own_page_is_circular() -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"={CLAIM}"})
    assert [each.outcome.value for each in found.sources] == ["circular"]
    assert "own-page" in found.reasons[1]


def test_a_copy_of_the_claims_page_is_circular() -> None:
    prose = "\n".join(f"Fictaria silvana grows on invented hill {name}" for name in "abcdefghijkl")
    found = audit({CLAIM: f"edible > {A}\n{prose}", A: f"edible > {B}\nCopied.\n{prose}", B: "edible"})
    assert shape(found) == [("s1", A, "circular")]
    assert any("(copy-of-claim)" in each for each in found.reasons)


def test_two_addresses_of_one_page_become_one_source() -> None:
    pages = {CLAIM: f"edible > {A} {B} {C}", A: f"={B}", B: f"edible > {D}", C: f"={B}", D: "edible"}
    found = audit(pages)
    assert shape(found) == [("s1", A, "supports"), ("s2", D, "supports")]
    assert found.sources[0].cited_by == ("claim",)
    assert found.sources[0].final_url == B
    assert steps(found) == [("claim", "s1", "kept"), ("s1", "s2", "kept")]


def test_a_page_that_redirects_to_a_source_met_before_is_that_source() -> None:
    pages = {CLAIM: f"edible > {A}", A: f"edible > {B}", B: f"edible > {C}", C: f"={A}"}
    found = audit(pages)
    assert [each.outcome.value for each in found.sources] == ["circular", "circular"]
    assert ("s2", "s1", "kept") in steps(found)


def test_http_and_https_are_one_page() -> None:
    found = audit({CLAIM: f"edible > {A} {A.replace('http:', 'https:')}", A: "edible"})
    assert len(found.sources) == 1


def test_works_without_a_link_and_with_a_doi_only() -> None:
    found = audit({CLAIM: "edible > Herbal doi:10.5555/12345", "https://doi.org/10.5555/12345": f"={A}", A: "edible"})
    assert found.sources[0].reason is UnreadReason.OFFLINE_WORK
    assert found.sources[0].url == ""
    assert found.sources[1].url == "https://doi.org/10.5555/12345"
    assert found.sources[1].outcome is Outcome.SUPPORTS
    assert [each.code for each in found.cautions] == ["sources-unread", "own-word-only"]


def test_addresses_are_tried_in_order_and_then_the_archived_copy() -> None:
    web = SmallWeb({CLAIM: f"edible > {A},{B} old:{C}@{D}", A: "", B: "edible", D: "edible"})
    found = audit({}, web=web)
    assert [(each.url, each.final_url, each.archived) for each in found.sources] == [(A, B, False), (C, D, True)]
    assert sorted(web.asked[1:]) == [A, B, C, D]


def test_if_no_address_gives_the_work_the_first_reason_stands() -> None:
    found = audit({CLAIM: f"edible > {A},{B}", A: "!gone", B: "!refused"})
    assert found.sources[0].reason is UnreadReason.GONE
    assert found.sources[0].detail == "2 addresses"
    assert found.rating is Rating.UNVERIFIABLE


@pytest.mark.parametrize("reason", [each for each in UnreadReason if each not in ("offline-work", "depth-limit")])
def test_failures_are_rows_with_their_reason(reason: UnreadReason) -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"!{reason.value}"})
    assert (found.sources[0].outcome, found.sources[0].reason) == (Outcome.UNREAD, reason)
    assert found.sources[0].grounds is None


def test_what_a_supporting_statement_cites_beyond_the_depth_is_a_row() -> None:
    pages = {CLAIM: f"edible > {A}", A: f"edible > {B}", B: f"edible > {C} {A}", C: "edible"}
    web = SmallWeb(pages)
    found = audit({}, web=web, settings=Settings(depth=2))
    assert [each.reason for each in found.sources] == [None, None, UnreadReason.DEPTH_LIMIT]
    assert found.sources[1].grounds is Grounds.UNCHECKED
    assert found.sources[0].grounds is Grounds.TRACED
    assert C not in web.asked
    assert audit(pages, settings=Settings(depth=0)).rating is Rating.UNVERIFIABLE


def test_only_what_the_supporting_statement_cites_is_followed() -> None:
    found = audit({CLAIM: f"edible > {A}", A: f"edible > {B}\nnon-toxic > {C}\nIt is tall. > {D}", B: "edible"})
    assert [each.url for each in found.sources] == [A, B]


def test_the_ceiling_of_sources_is_said_and_what_lies_beyond_counts_as_unread() -> None:
    pages = {CLAIM: f"edible > {A} {B} {C}", A: f"edible > {D}", B: "silent", C: "edible", D: "edible"}
    found = audit(pages, settings=Settings(max_sources=2))
    assert len(found.sources) == 2
    assert found.sources[0].grounds is Grounds.UNCHECKED
    assert found.notes == ("2 citations were not followed: the ceiling of 2 sources was reached.",)
    assert audit(pages, settings=Settings(max_sources=0)).rating is Rating.UNVERIFIABLE


def test_the_ceiling_of_seconds_is_said() -> None:
    ticks = iter(range(0, 10_000, 4))
    lock = threading.Lock()

    def clock() -> float:
        with lock:
            return float(next(ticks))

    pages = {CLAIM: f"edible > {A} {B} {C} {D}", **dict.fromkeys((A, B, C, D), "edible")}
    found = audit(pages, settings=Settings(max_seconds=10), clock=clock)
    assert [each.outcome.value for each in found.sources].count("supports") == 2
    assert {each.reason for each in found.sources} == {None, UnreadReason.TIMEOUT}
    assert "ceiling of 10 seconds" in found.notes[0]


def test_a_claim_without_citations() -> None:
    found = audit({CLAIM: "edible"})
    assert (found.rating, found.sources, found.trail) == (Rating.UNCITED, (), ())


def test_a_disputed_claim_names_both_sides() -> None:
    found = audit({CLAIM: f"edible > {A} {B}", A: "edible /boiled", B: "toxic /raw"})
    assert found.rating is Rating.DISPUTED
    assert found.reasons[1].startswith("s2: It says 'toxic' of what the claim calls 'edible'. “")
    assert [each.code for each in found.cautions][:2] == ["toxic-stated", "condition-dropped"]


@pytest.mark.parametrize("wording", ["toxic", "inedible", "unpalatable"])
def test_low_support_for_a_warning_is_never_evidence_of_safety_and_the_output_says_so(wording: str) -> None:
    for source in ("edible", "It is tall.", wording):
        found = audit({CLAIM: f"{wording} > {A}", A: source}, wording=Wording(wording))
        assert "never evidence of safety" in found.reasons[1]
        assert any("never evidence of safety" in each for each in found.notes)


def test_the_claims_own_page_must_be_read_and_must_make_the_claim() -> None:
    with pytest.raises(PageUnread, match="not-found"):
        audit({})
    with pytest.raises(PageUnread, match="no-text"):
        audit({CLAIM: " "})
    with pytest.raises(NoClaimFound, match="it says: toxic"):
        audit({CLAIM: "toxic"})


def test_parts_and_preparations_of_the_call_are_what_is_claimed() -> None:
    found = audit({CLAIM: f"edible > {A}", A: "edible leaf"}, parts=("root",), preparations=("raw",))
    assert (found.claim.parts, found.claim.preparations) == (("root",), ("raw",))
    assert found.sources[0].outcome is Outcome.ELSEWHERE


def test_progress_is_told_as_sources_are_read() -> None:
    told: list[Progress] = []
    audit({CLAIM: f"edible > {A} {B} Herbal", A: f"edible > {C}", C: "edible"}, progress=told.append)
    assert [(each.done, each.known, each.depth) for each in told] == [(2, 3, 1), (3, 3, 1), (4, 4, 2)]


def test_the_order_of_rows_does_not_depend_on_which_page_comes_first() -> None:
    urls = [f"http://h{number}.example/" for number in range(12)]
    pages = {CLAIM: f"edible > {' '.join(urls)}", **dict.fromkeys(urls, "edible")}
    gate = threading.Event()

    class Slow(SmallWeb):
        def fetch(self, url: str) -> Fetched | NotFetched:
            if url == urls[0]:
                gate.wait(5)
            if url == urls[-1]:
                gate.set()
            return super().fetch(url)

    assert [each.url for each in audit({}, web=Slow(pages)).sources] == urls


def test_one_host_is_asked_by_one_worker_at_a_time() -> None:
    urls = [f"http://one.example/{number}" for number in range(6)]
    busy: list[str] = []
    most: list[int] = []

    class Watched(SmallWeb):
        def fetch(self, url: str) -> Fetched | NotFetched:
            busy.append(url)
            most.append(len(busy))
            try:
                return super().fetch(url)
            finally:
                busy.remove(url)

    audit({}, web=Watched({CLAIM: f"edible > {' '.join(urls)}", **dict.fromkeys(urls, "edible")}))
    assert max(most) == 1


class MemoryKeeper(NullKeeper):
    """Keeps fetches across audits, as a notebook does."""

    def __init__(self) -> None:
        self.fetches: dict[str, Fetched | NotFetched] = {}
        self.log: list[str] = []
        self.sources: dict[str, Source] = {}

    def start(self, claim: Claim) -> None:
        self.log.append(f"start {claim.id}")

    def keep_fetch(self, fetch: Fetched | NotFetched, /) -> None:
        self.fetches[fetch.url] = fetch
        self.log.append(f"fetch {fetch.url}")

    def kept(self, url: str) -> Fetched | NotFetched | None:
        return self.fetches.get(url)

    def keep_source(self, source: Source) -> None:
        self.sources[source.id] = source
        self.log.append(f"source {source.id}")

    def finish(self, audit: Audit) -> None:
        self.log.append("finish")


def test_steps_are_kept_in_order() -> None:
    keeper = MemoryKeeper()
    found = audit({CLAIM: f"edible > {A}", A: f"edible > {B}", B: "edible"}, keeper=keeper)
    assert keeper.log == [
        f"fetch {CLAIM}",
        f"start {found.claim.id}",
        f"fetch {A}",
        "source s1",
        f"fetch {B}",
        "source s2",
        "finish",
    ]
    assert keeper.sources["s1"].statements == found.sources[0].statements


def test_a_killed_audit_goes_on_without_fetching_again() -> None:
    pages = {CLAIM: f"edible > {A}", A: f"edible > {B}", B: "edible"}

    class Dies(SmallWeb):
        def fetch(self, url: str) -> Fetched | NotFetched:
            if url == B:
                raise KeyboardInterrupt
            return super().fetch(url)

    keeper = MemoryKeeper()
    with pytest.raises(KeyboardInterrupt):
        audit({}, web=Dies(pages), keeper=keeper)
    web = SmallWeb(pages)
    found = audit({}, web=web, keeper=keeper)
    assert web.asked == [B]
    assert found == audit(pages)


def test_statements_on_other_taxa_are_kept_in_small_number_and_warnings_always() -> None:
    others = "\n".join("edible &other" for _ in range(50))
    ours = "\n".join(f"edible leaf @stage{number}" for number in range(300))
    found = audit({CLAIM: f"edible > {A}", A: f"{others}\n{ours}\ntoxic root"})
    said = found.sources[0].statements
    assert sum(each.about == "other" for each in said) == 10
    assert len(said) == 210
    assert said[-1].wording is Wording.TOXIC


def test_a_claim_in_hand_needs_no_page() -> None:
    own = claim("edible", url="", citations=(citation(A), citation("Herbal")))
    found = audit_claim(own, settings=Settings(), fetcher=SmallWeb({A: "edible"}), readers=READERS, hazards=NO_HAZARDS)
    assert found.claim is own
    assert [each.outcome.value for each in found.sources] == ["supports", "unread"]
    assert found.rating is Rating.SUPPORTED


def test_a_fault_in_a_reader_is_not_taken_for_a_page_that_cannot_be_read() -> None:
    def broken(fetched: Fetched, settings: Settings) -> Any:
        if fetched.url == A:
            raise ZeroDivisionError
        return read(fetched, settings)

    with pytest.raises(ZeroDivisionError):
        audit_page(
            CLAIM,
            TAXON,
            settings=Settings(),
            fetcher=SmallWeb({CLAIM: f"edible > {A}", A: "edible"}),
            readers=Readers(broken, read_document),
            hazards=NO_HAZARDS,
        )
