"""A dead link in a whole audit: the copy nearest to the day on which the claim cites it, kept for offline."""

from __future__ import annotations

import pytest
from fetch_help import local

from doubtwort.audit import audit_page
from doubtwort.citing.urls import canonical_url
from doubtwort.fetching import open_fetcher
from doubtwort.model import Outcome, Rating, Taxon
from doubtwort.notebook import KeptFetcher, NotebookKeeper, open_notebook
from loopback import LoopbackWeb

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
CLAIM = "http://claims.example/fictwort"
DEAD = "http://herb.example/fictwort"
GATE = "http://gate.example/to/"
COPY = "http://kept.example/web/20190504000000/http://herb.example/fictwort"
FACT = "<title>Fictaria silvana</title><p>The leaves of Fictaria silvana are edible.</p>"


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        served.page(
            CLAIM,
            "<title>Fictaria silvana</title><p>The leaves of fictwort are edible.<sup><a href=#n1>[1]</a></sup></p>"
            f"<h2>References</h2><ol><li id=n1>Muster: <a href='{DEAD}'>Fictwort</a>. Retrieved 3 May 2019.</li></ol>",
        )
        served.page(DEAD, "<title>Page not found</title><p>Sorry.")
        served.page(GATE + DEAD, "", 302, {"Vary": "accept-datetime", "Location": COPY})
        served.page(COPY, FACT, headers={"Memento-Datetime": "Sat, 04 May 2019 00:00:00 GMT"})
        yield served


def test_live_and_then_offline(web, tmp_path):
    settings = local(proxies=web.proxies, memento_gate=GATE)
    path = tmp_path / "n.sqlite"
    with open_notebook(path, settings=settings, canonical=canonical_url) as notebook:
        with open_fetcher(settings) as fetcher:
            live = audit_page(CLAIM, TAXON, settings=settings, fetcher=fetcher, keeper=NotebookKeeper(notebook))
        asked = [each.headers.get("accept-datetime") for each in web.seen if each.target == GATE + DEAD]
        count = len(web.seen)
        kept = KeptFetcher(notebook)
        again = audit_page(CLAIM, TAXON, settings=settings, fetcher=kept, keeper=NotebookKeeper(notebook))
        fetched = kept.fetch(DEAD + "?utm_source=letter")
    assert asked == ["Fri, 03 May 2019 12:00:00 GMT"]
    for audit in (live, again):
        assert audit.rating is Rating.SUPPORTED
        (source,) = audit.sources
        assert (source.url, source.final_url, source.archived) == (DEAD, COPY, True)
        assert source.outcome is Outcome.SUPPORTS
    assert len(web.seen) == count
    assert fetched.headers["memento-datetime"] == "Sat, 04 May 2019 00:00:00 GMT"
    # Both roots would be the archive's if the copy's address counted; it is the original's that does.
    assert live.root_groups == (("s1",),)


def test_a_live_page_and_its_copy_are_one_source(web):
    web.page(DEAD, FACT)
    web.page(
        CLAIM,
        "<title>Fictaria silvana</title><p>The leaves of fictwort are edible."
        "<sup><a href=#n1>[1]</a></sup><sup><a href=#n2>[2]</a></sup></p>"
        f"<h2>References</h2><ol><li id=n1><a href='{DEAD}'>Fictwort</a></li>"
        f"<li id=n2><a href='{COPY}'>Fictwort</a></li></ol>",
    )
    settings = local(proxies=web.proxies)
    with open_fetcher(settings) as fetcher:
        audit = audit_page(CLAIM, TAXON, settings=settings, fetcher=fetcher)
    assert len(audit.sources) == 1
    assert audit.rating is Rating.SUPPORTED


def test_without_a_gate_it_stays_dead(web):
    settings = local(proxies=web.proxies)
    with open_fetcher(settings) as fetcher:
        audit = audit_page(CLAIM, TAXON, settings=settings, fetcher=fetcher)
    assert audit.rating is Rating.UNVERIFIABLE
    assert audit.sources[0].reason == "not-found"
    assert "missing-title" in audit.sources[0].detail
