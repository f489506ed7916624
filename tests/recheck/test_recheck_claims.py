"""Claims visited again over real sockets: conditional requests, sentences that change, links that die."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest

from doubtwort.cli import rechecking, run
from doubtwort.errors import NoClaimFound, NotInNotebook, PageUnread
from doubtwort.fetching import open_fetcher
from doubtwort.model import Citation, Claim, Rating, Taxon, Wording
from doubtwort.notebook import open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, record_claim
from doubtwort.notebook.vetted import Decision, Status, decide, entries
from doubtwort.recheck import due_claims, recheck_claim, take_claim
from doubtwort.settings import Settings
from loopback import LoopbackWeb

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
CLAIM = "http://herb.example/fictwort"
SOURCE = "http://a.example/fictwort"
GOOD = "<p>The leaves of Fictaria silvana are edible.</p>"


def page(body: str) -> str:
    return f"<html><head><title>Fictaria silvana</title></head><body><h1>Fictaria silvana</h1>{body}</body></html>"


def claim_page(sentence: str = "The leaves are edible.") -> str:
    mark, item = '<sup><a href="#n1">[1]</a></sup>', f'<li id="n1"><a href="{SOURCE}">Work 1</a></li>'
    return page(f"<p>It grows in bogs. {sentence}{mark}</p><h2>References</h2><ol>{item}</ol>")


class Site:
    """The invented web, a notebook, and a cache of pages between visits."""

    def __init__(self, web, tmp_path):
        self.web, self.path, self.cache = web, tmp_path / "n.sqlite", tmp_path / "pages.sqlite"
        self.settings = Settings(proxies=web.proxies, delay=0, retries=0, revalidate=True)
        self.notebook = open_notebook(self.path)
        web.page(CLAIM, claim_page())
        web.page(SOURCE, page(GOOD))

    def fetcher(self):
        return open_fetcher(self.settings, self.cache)

    def take(self) -> str:
        with self.fetcher() as fetcher:
            return take_claim(self.notebook, CLAIM, TAXON, settings=self.settings, fetcher=fetcher).id

    def recheck(self, claim):
        with self.fetcher() as fetcher:
            return recheck_claim(self.notebook, claim, settings=self.settings, fetcher=fetcher)


@pytest.fixture
def site(tmp_path):
    with LoopbackWeb() as web:
        made = Site(web, tmp_path)
        yield made
        made.notebook.close()


def changes(done):
    return [each.what for each in done.changes]


def test_a_claim_is_taken_in_by_its_address_without_visiting_its_sources(site):
    claim = site.take()
    assert site.web.asked(SOURCE) == 0
    assert site.notebook.claims()[0].rating is None
    assert site.notebook.claim(claim).citations[0].urls == (SOURCE,)
    with site.fetcher() as fetcher:
        with pytest.raises(PageUnread):
            take_claim(site.notebook, "http://herb.example/none", TAXON, settings=site.settings, fetcher=fetcher)
        with pytest.raises(NoClaimFound):
            take_claim(site.notebook, SOURCE, Taxon("Vaguelia aspera"), settings=site.settings, fetcher=fetcher)
    first = site.recheck(claim)
    assert (first.first, first.after.rating, first.changes) == (True, Rating.SUPPORTED, ())


def test_nothing_changed_is_nothing_told_and_pages_are_asked_conditionally(site):
    def unchanged(exchange):
        if exchange.seen.headers.get("if-none-match") == '"v1"':
            exchange.answer(304)
        else:
            exchange.answer(200, page(GOOD), {"ETag": '"v1"', "Cache-Control": "max-age=999999"})

    site.web.handle(SOURCE, unchanged)
    claim = site.take()
    site.recheck(claim)
    again = site.recheck(claim)
    assert (again.changes, again.moved, again.failed, again.first) == ((), (), "", False)
    asked = [each.headers.get("if-none-match", "") for each in site.web.seen if each.target == SOURCE]
    assert asked == ["", '"v1"']  # RFC 9110, section 13.1.2: fresh or not, the site is asked whether it has changed


def test_a_sentence_that_was_turned_round_moves_the_entry(site):
    claim = site.take()
    site.recheck(claim)
    entry = decide(site.notebook, "fictwort", "leaf", "", Decision(Status.ACCEPTED, claims=(claim,)))
    site.web.page(SOURCE, page("<p>The leaves of Fictaria silvana are poisonous.</p>"))
    done = site.recheck(claim)
    assert (done.before.rating, done.after.rating) == (Rating.SUPPORTED, Rating.CONTRADICTED)
    assert changes(done) == ["rating", "outcome", "sentence"]
    assert done.changes[2].before == "edible [leaf]: “The leaves of Fictaria silvana are edible.”"
    assert done.changes[2].after == "toxic [leaf]: “The leaves of Fictaria silvana are poisonous.”"
    assert done.moved == (entry.id,)
    assert "is contradicted since" in entries(site.notebook)[0].waiting_because


def test_a_link_that_died_is_a_finding(site):
    claim = site.take()
    site.recheck(claim)
    site.web.page(SOURCE, "gone", 410)
    done = site.recheck(claim)
    assert (changes(done), done.after.rating, done.failed) == (["rating", "source-died"], Rating.UNVERIFIABLE, "")
    assert done.changes[1].after.startswith("gone")


@pytest.mark.parametrize(
    ("body", "status", "what"),
    [("gone", 404, "claim-page-unread"), (page("<p>It grows in bogs.</p>"), 200, "claim-gone")],
)
def test_a_page_that_takes_its_claim_back_leaves_the_sources_to_be_visited(site, body, status, what):
    claim = site.take()
    site.recheck(claim)
    site.web.page(CLAIM, body, status)
    site.web.page(SOURCE, page("<p>The leaves of Fictaria silvana are poisonous.</p>"))
    done = site.recheck(claim)
    assert changes(done) == [what, "rating", "outcome", "sentence"]
    assert done.changes[0].before == "The leaves are edible."
    assert [row.id for row in site.notebook.claims()] == [claim]


def test_a_page_that_moved_keeps_its_claims_id(site):
    claim = site.take()
    site.recheck(claim)
    site.web.redirect(CLAIM, "http://herb.example/new", 301)
    site.web.page("http://herb.example/new", claim_page("Its leaves are edible."))
    done = site.recheck(claim)
    assert changes(done) == ["claim-sentence", "page-moved"]
    assert [row.id for row in site.notebook.claims()] == [claim]
    assert len(site.notebook.history(claim)) == 2


def test_a_claim_written_down_by_hand_is_audited_as_it_was_written_down(site):
    claim = Claim("h1", TAXON, Wording.EDIBLE, "You can eat the leaves.", CLAIM, ("leaf",),
                  citations=(Citation("1", "Work 1", (SOURCE,)),))  # fmt: skip
    record_claim(site.notebook, claim, Origin(Medium.VIDEO, "An invented walk", "00:14:05"))
    done = site.recheck("h1")
    assert (done.after.rating, done.after.claim) == (Rating.SUPPORTED, claim)
    assert site.web.asked(CLAIM) == 0
    with pytest.raises(NotInNotebook):
        site.recheck("h2")


def test_what_is_due(site):
    claim = site.take()
    today = datetime.now(UTC).date()
    assert due_claims(site.notebook) == (claim,)  # never audited
    site.recheck(claim)
    assert due_claims(site.notebook) == ()
    assert due_claims(site.notebook, today + timedelta(days=179)) == ()
    assert due_claims(site.notebook, today + timedelta(days=180)) == (claim,)
    assert due_claims(site.notebook, older_than=timedelta(0)) == (claim,)
    review = today + timedelta(days=30)
    decide(
        site.notebook, "fictwort", "leaf", "", Decision(Status.ACCEPTED, claims=(claim,), review_on=review.isoformat())
    )
    assert due_claims(site.notebook, review - timedelta(days=1)) == ()
    assert due_claims(site.notebook, review) == (claim,)
    assert due_claims(site.notebook, date(2020, 1, 1)) == ()


@pytest.fixture
def command(site, monkeypatch, capsys):
    """``doubtwort recheck`` on the site's notebook, over the loopback web: (exit status, JSON or text, errors)."""
    monkeypatch.setattr(rechecking, "page_cache", lambda: site.cache)
    monkeypatch.setenv("HTTP_PROXY", site.web.proxies["http"])
    monkeypatch.setenv("NO_PROXY", "")
    monkeypatch.setenv("no_proxy", "")
    monkeypatch.setenv("http_proxy", site.web.proxies["http"])

    def call(*arguments):
        capsys.readouterr()
        status = run(["recheck", *arguments, "--notebook", str(site.path)])
        out = capsys.readouterr()
        return status, json.loads(out.out) if "--json" in arguments and out.out else out.out, out.err

    return call


def test_a_scheduler_can_rely_on_status_and_json(site, command):
    claim = site.take()
    status, said, _ = command("--due", "--json")
    assert (status, said["schema"], said["checked"], said["changed"], said["failed"]) == (
        0,
        "doubtwort.recheck/1",
        1,
        0,
        0,
    )
    assert said["claims"][0]["first"] is True
    assert command("--due", "--json")[1]["checked"] == 0
    assert command("--all", "--json", "--fail-on-change")[0] == 0
    decide(site.notebook, "fictwort", "leaf", "", Decision(Status.ACCEPTED, claims=(claim,)))
    site.web.page(SOURCE, page("<p>The leaves of Fictaria silvana are poisonous.</p>"))
    status, said, _ = command(claim, "--json", "--fail-on-change")
    assert (status, said["changed"]) == (3, 1)
    (row,) = said["claims"]
    assert (row["rating_before"], row["rating"], row["back_to_waiting"]) == ("supported", "contradicted", ["v1"])
    assert row["dangers"][0]["code"] == "toxic-stated"
    assert [each["what"] for each in row["changes"]] == ["rating", "outcome", "sentence"]
    assert any("safe" in each["text"] for each in said["cautions"])


def test_a_person_sees_danger_first_and_both_sentences(site, command):
    claim = site.take()
    command(claim)
    site.web.page(SOURCE, page("<p>The leaves of Fictaria silvana are poisonous.</p>"))
    status, said, _ = command("--all")
    flowing = " ".join(said.split())
    assert status == 0
    assert said.startswith("changed          ! The claim is contradicted.")
    assert "before: edible [leaf]: “The leaves of Fictaria silvana are edible.”" in flowing
    assert "now: toxic [leaf]: “The leaves of Fictaria silvana are poisonous.”" in flowing
    assert "ALWAYS" in said


@pytest.mark.parametrize(
    ("arguments", "status", "says"),
    [
        ([], 2, "--due, or --all"),
        (["--due", "--all"], 2, "--due, or --all"),
        (["c99"], 1, "c99"),
        (["c1", "--all"], 2, "--all"),
    ],
)
def test_wrong_calls(site, command, arguments, status, says):
    got, out, error = command(*arguments)
    assert (got, out) == (status, "")
    assert says in error
    assert len(error.splitlines()) == 1
