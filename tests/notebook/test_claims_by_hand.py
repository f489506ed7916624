"""Claims written down by hand: what is kept, which are the same, and how they go."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notebook_values import TAXON, an_audit, fetched, texts

from doubtwort.errors import AlreadyKept, CallError, NotInNotebook
from doubtwort.model import Citation, Claim, Rating, Taxon, Wording
from doubtwort.notebook import KeptFetcher, NotebookKeeper, open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, claim_and_origin, delete_claim, record_claim
from doubtwort.notebook.history import undo
from doubtwort.notebook.search import search

BOOK = Origin(Medium.BOOK, "Invented herbs", "p. 12", "author", "Low Hills", "1998", "bought second-hand")
CLAIM = Claim("h1", TAXON, Wording.EDIBLE, "The young leaves are eaten boiled.", "", ("leaf",), ("boiled",), ("young",))


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        yield opened


def test_all_that_was_told_comes_back(notebook):
    cited = (Citation("1", "ISBN 0-306-40615-2", isbn="9780306406157"), Citation("2", "Alder, B. Fictive herbs."))
    recorded = record_claim(notebook, replace(CLAIM, citations=cited), BOOK)
    assert claim_and_origin(notebook, "h1") == (replace(CLAIM, citations=cited), BOOK)
    assert (recorded.alike, recorded.shared) == ((), ())
    assert notebook.claims()[0].rating is None
    (row,) = notebook.db.query("SELECT * FROM claims_with_rating")
    assert row["heard_in"] == "book"


@given(
    quote=texts.filter(str.strip), words=st.tuples(texts, texts, texts, texts, texts), medium=st.sampled_from(Medium)
)
@settings(max_examples=60, deadline=None)
def test_any_words_come_back(tmp_path_factory, quote, words, medium):
    work, locator, role, region, remarks = (each.strip() for each in words)
    origin = Origin(medium, work, locator, role, region, "2026-11", remarks)
    with open_notebook(tmp_path_factory.mktemp("any") / "n.sqlite") as notebook:
        record_claim(notebook, replace(CLAIM, quote=quote), origin)
        assert claim_and_origin(notebook, "h1") == (replace(CLAIM, quote=quote), origin)


@pytest.mark.parametrize(
    ("change", "place", "same"),
    [
        ({}, BOOK, True),
        ({"quote": "the young leaves are eaten, boiled"}, BOOK, True),
        ({"quote": "Eaten boiled are the young leaves."}, replace(BOOK, work="INVENTED HERBS"), True),
        ({"quote": "The old roots are eaten raw, they say."}, BOOK, False),
        ({"quote": "The young leaves are never eaten boiled or raw."}, BOOK, False),
        ({"wording": Wording.TOXIC}, BOOK, False),
        ({"taxon": Taxon("Vaguelia aspera")}, BOOK, False),
    ],
)
def test_the_same_claim_is_recognised(notebook, change, place, same):
    record_claim(notebook, CLAIM, BOOK)
    other = replace(CLAIM, id="h2", **change)
    if not same:
        record_claim(notebook, other, place)
        assert len(notebook.claims()) == 2
        return
    with pytest.raises(AlreadyKept) as caught:
        record_claim(notebook, other, place)
    assert caught.value.claim == "h1"
    assert [row.id for row in notebook.claims()] == ["h1"]
    assert record_claim(notebook, other, place, anyway=True).alike == ("h1",)


def test_the_same_words_elsewhere_are_another_claim_and_told_of(notebook):
    record_claim(notebook, CLAIM, BOOK)
    talk = record_claim(notebook, replace(CLAIM, id="h2"), Origin(Medium.TALK, "An evening walk"))
    assert talk.alike == ("h1",)


def test_one_page_in_two_spellings_is_one_page(notebook):
    record_claim(notebook, replace(CLAIM, url="http://Herb.example:80/f#food"), Origin(Medium.PAGE))
    with pytest.raises(AlreadyKept):
        record_claim(notebook, replace(CLAIM, id="h2", url="http://herb.example/f"), Origin(Medium.PAGE))


def test_an_id_that_is_taken_is_never_taken_over(notebook):
    record_claim(notebook, CLAIM, BOOK)
    other = replace(CLAIM, quote="Nobody ever ate the seeds of it raw.")
    with pytest.raises(AlreadyKept):
        record_claim(notebook, other, BOOK)
    assert record_claim(notebook, other, BOOK, anyway=True).claim.id == "h1-2"
    assert notebook.claim("h1") == CLAIM


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (Citation("1", "a", doi="10.1000/182"), Citation("2", "b", doi="10.1000/182")),
        (Citation("1", "a", isbn="9780306406157"), Citation("2", "b", isbn="978-0-306-40615-7")),
        (Citation("1", "a", ("http://a.example/x",)), Citation("2", "b", ("http://A.example:80/x#top",))),
        (Citation("1", "Alder,  B. Fictive herbs."), Citation("2", "alder, b. fictive Herbs.")),
    ],
)
def test_a_work_cited_twice_is_kept_once_and_found_with_other_claims(notebook, one, other):
    record_claim(notebook, replace(CLAIM, citations=(one, other)), BOOK)
    assert notebook.claim("h1").citations == (one,)
    second = replace(CLAIM, id="h2", quote="Something else altogether about its seeds.", citations=(other,))
    shared = record_claim(notebook, second, BOOK).shared
    assert shared == (("h1",) if one.doi or one.isbn or one.urls else ())


def test_what_cannot_be_kept_is_refused_whole(notebook):
    for claim, origin in (
        (replace(CLAIM, quote=" \n"), BOOK),
        (replace(CLAIM, quote="x" * 30_000), BOOK),
        (CLAIM, replace(BOOK, heard_on="last spring")),
        (CLAIM, replace(BOOK, role="x" * 500)),
        (replace(CLAIM, citations=tuple(Citation(str(n), f"Work {n}") for n in range(300))), BOOK),
    ):
        with pytest.raises(CallError) as caught:
            record_claim(notebook, claim, origin)
        assert "\n" not in str(caught.value)
    for table in ("claims", "taxa", "origins", "history", "changes"):
        assert notebook.db.table(table).count == 0


def test_a_claim_goes_with_its_audits_and_comes_back_with_them(notebook):
    audit = an_audit("c1", rating=Rating.DISPUTED)
    keeper = NotebookKeeper(notebook)
    keeper.start(audit.claim)
    keeper.keep_fetch(fetched(audit.sources[0].url))
    keeper.finish(audit)
    notebook.keep_audit(replace(audit, rating=Rating.SUPPORTED))
    notebook.keep_audit(an_audit("c2"))
    tables = [each.name for each in notebook.db.tables if "search" not in each.name]
    whole = {each: sorted(map(str, notebook.db[each].rows)) for each in tables if each not in ("history", "changes")}
    delete_claim(notebook, "c1")
    notebook.check()
    assert [row.id for row in notebook.claims()] == ["c2"]
    assert [hit.ref for hit in search(notebook, "leaves") if hit.ref == "c1"] == []
    assert isinstance(KeptFetcher(notebook).fetch(audit.sources[0].url), type(fetched("http://x.example/")))
    with pytest.raises(NotInNotebook):
        notebook.audit("c1")
    with pytest.raises(NotInNotebook):
        delete_claim(notebook, "c1")
    undo(notebook)
    notebook.check()
    assert {each: sorted(map(str, notebook.db[each].rows)) for each in whole} == whole
    assert notebook.audit("c1").rating is Rating.SUPPORTED
    assert [hit.ref for hit in search(notebook, "leaves") if hit.ref == "c1"]
