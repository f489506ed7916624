"""Full-text search and the filtered list."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notebook_values import TAXON, a_statement, an_audit

from doubtwort.errors import CallError
from doubtwort.model import Outcome, Rating, Taxon, Wording
from doubtwort.notebook import open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, record_claim
from doubtwort.notebook.history import undo
from doubtwort.notebook.notes import Tasting, add_tasting, delete_tasting
from doubtwort.notebook.query import Wanted, count_claims
from doubtwort.notebook.search import Filters, match_expression, search
from doubtwort.notebook.taxa import find_taxon
from doubtwort.notebook.vetted import Decision, Status, decide


def keep(notebook, label, quotes, rating=Rating.SUPPORTED, taxon=TAXON, outcome=Outcome.SUPPORTS):
    audit = an_audit(label, sources=1, rating=rating)
    said = tuple(a_statement(quote, wording) for quote, wording in quotes)
    source = replace(audit.sources[0], statements=said, outcome=outcome)
    claim = replace(audit.claim, taxon=taxon, quote=f"Claimed: {label}.", parts=("leaf",) if label == "c1" else ())
    notebook.keep_audit(replace(audit, claim=claim, sources=(source,)))


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        keep(opened, "c1", [("Young shoots make soup.", Wording.EDIBLE), ("It is non-toxic soup.", Wording.NON_TOXIC)])
        keep(opened, "c2", [("The soup is poisonous.", Wording.TOXIC)], Rating.DISPUTED, outcome=Outcome.MIXED)
        keep(opened, "c3", [("Crème soup.", Wording.EDIBLE)], taxon=Taxon("Vaguelia aspera"))
        yield opened


def found(notebook, typed, **filters):
    return [(hit.kind.value, hit.ref, hit.text) for hit in search(notebook, typed, Filters(**filters))]


def test_what_warns_is_found_first_and_own_words_too(notebook):
    add_tasting(notebook, TAXON.scientific_name, Tasting(reaction="cramps after soup"))
    decide(notebook, TAXON.scientific_name, "leaf", "", Decision(Status.REJECTED, "No soup for me."))
    record_claim(
        notebook,
        replace(notebook.claim("c1"), id="h1", quote="Eat."),
        Origin(Medium.BOOK, "Soup of the invented hedge"),
    )
    assert found(notebook, "soup") == [
        ("statement", "c2", "The soup is poisonous."),
        ("entry", "v1", "No soup for me."),
        ("note", "n1", "cramps after soup"),
        ("origin", "h1", "Eat."),
        ("statement", "c3", "Crème soup."),
        ("statement", "c1", "It is non-toxic soup."),
        ("statement", "c1", "Young shoots make soup."),
    ]


@pytest.mark.parametrize(
    ("typed", "refs"),
    [
        ("soup young", ["c1"]), ('"make soup"', ["c1"]), ('"soup make"', []), ("sho*", ["c1"]), ("sho", []),
        ("soup -poisonous", ["c3", "c1", "c1"]), ("creme", ["c3"]), ("CRÈME", ["c3"]), ("claimed", ["c2", "c3", "c1"]),
        ("young OR crème", []), ("NEAR(soup)", []), ("quote:soup", []), ('"soup', ["c2", "c3", "c1", "c1"]),
    ],
)  # fmt: skip
def test_words_phrases_beginnings_and_without(notebook, typed, refs):
    assert [ref for _, ref, _ in found(notebook, typed)] == refs


@pytest.mark.parametrize(
    ("filters", "refs"),
    [
        ({"taxon": "Vaguelia aspera"}, ["c3"]),
        ({"taxon": TAXON.scientific_name}, ["c2", "c1", "c1"]),
        ({"rating": Rating.DISPUTED}, ["c2"]),
        ({"outcome": Outcome.MIXED}, ["c2"]),
        ({"part": "leaf"}, ["c2", "c3", "c1", "c1"]),
        ({"part": "root"}, []),
        ({"taxon": "mock fictary", "rating": Rating.SUPPORTED, "outcome": Outcome.SUPPORTS}, ["c1", "c1"]),
    ],
)
def test_filters(notebook, filters, refs):
    assert [ref for _, ref, _ in found(notebook, "soup", **filters)] == refs


def test_only_the_latest_audit_is_searched_and_nothing_that_is_gone(notebook):
    keep(notebook, "c1", [("Now it says broth.", Wording.EDIBLE)])
    assert [ref for _, ref, _ in found(notebook, "soup")] == ["c2", "c3"]
    assert [ref for _, ref, _ in found(notebook, "broth")] == ["c1"]
    add_tasting(notebook, TAXON.scientific_name, Tasting(taste="umbrella"))
    delete_tasting(notebook, "n1")
    assert found(notebook, "umbrella") == []
    undo(notebook)
    assert found(notebook, "umbrella") == [("note", "n1", "umbrella")]


def test_what_another_tool_wrote_is_found_after_the_next_change(notebook):
    notebook.db.execute("UPDATE claims SET quote = 'Written by hand with a hammer.' WHERE label = 'c3'")
    add_tasting(notebook, TAXON.scientific_name, Tasting(taste="x"))
    assert [ref for _, ref, _ in found(notebook, "hammer")] == ["c3"]
    notebook.db.execute("INSERT INTO claim_search (claim_search, rank) VALUES ('integrity-check', 1)")


@given(typed=st.text(max_size=30) | st.text(st.sampled_from('ab "*-():^+{}|&NEAROT'), max_size=30))
@settings(max_examples=300, deadline=None)
def test_whatever_is_typed_is_words_and_never_an_error_of_the_database(shared, typed):
    with suppress(CallError):  # no word in it, or too many; whatever SQLite says would be another error
        search(shared, typed)


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    with open_notebook(tmp_path_factory.mktemp("search") / "n.sqlite") as opened:
        keep(opened, "c1", [("a b.", Wording.EDIBLE)])
        yield opened


def test_no_words_and_too_many(notebook):
    for typed in ("", "  ", "-raw", "***", '""', " ".join("abcdefghij" * 4)):
        with pytest.raises(CallError):
            match_expression(typed)


def test_the_list_is_filtered_and_paged_with_warnings_first(notebook):
    def labels(**wanted):
        return [row.id for row in notebook.claims(Wanted(**wanted))]

    assert labels() == ["c2", "c3", "c1"]
    assert labels(limit=1) + labels(limit=1, after=1) + labels(limit=5, after=2) == labels()
    assert labels(taxon_id=find_taxon(notebook, "Vaguelia aspera").id) == ["c3"]
    assert labels(rating=Rating.SUPPORTED) == ["c3", "c1"]
    assert labels(outcome=Outcome.MIXED) == ["c2"]
    assert labels(part="leaf") == ["c1"]
    assert labels(label="c3") == ["c3"]
    assert count_claims(notebook, Wanted(part="leaf", limit=0)) == 1
    assert count_claims(notebook) == 3


@pytest.mark.parametrize(
    ("work", "used"),
    [
        (lambda n: n.claims(Wanted(limit=9)), "claim_ratings USING INDEX claim_ratings_in_order"),
        (lambda n: n.claims(Wanted(outcome=Outcome.MIXED)), "sources_by_outcome"),
        (lambda n: n.audit("c1"), "statements USING INDEX statements_by_source"),
        (lambda n: search(n, "soup"), "claim_ratings USING INDEX claim_ratings_by_audit"),
        (lambda n: find_taxon(n, "mock fictary"), "names USING INDEX names_by_name"),
    ],
)
def test_nothing_sorts_or_scans_a_whole_table(notebook, work, used):
    """The times are measured by hand: tests/bench/bench_notebook.py. SQLite may scan a table that holds a few rows."""
    asked = []
    notebook.db.conn.set_trace_callback(asked.append)
    work(notebook)
    notebook.db.conn.set_trace_callback(None)
    plans = [
        row[3] for sql in asked if sql.lstrip().lower().startswith("select")
        for row in notebook.db.conn.execute(f"EXPLAIN QUERY PLAN {sql}")
    ]  # fmt: skip
    assert any(used in step for step in plans), plans
    assert not [step for step in plans if step in ("SCAN claims", "SCAN sources", "SCAN statements", "SCAN audits")]
