"""Exact places never leave in an export unless asked for, wherever the keeper wrote them down."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest

from doubtwort.model import Rating
from doubtwort.notebook import open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, record_claim
from doubtwort.notebook.notes import Tasting, add_tasting
from doubtwort.notebook.outgoing import Scope
from doubtwort.notebook.place_words import LEFT_OUT, OWN_WORDS
from doubtwort.notebook.places import Place, Precision, add_place
from doubtwort.notebook.taxa import add_taxon, rename_taxon
from doubtwort.notebook.vetted import Decision, Status, decide
from doubtwort.sharing.annotation import write_annotations
from doubtwort.sharing.bibliography import write_bibtex, write_csl_json
from doubtwort.sharing.claim_review import write_claim_reviews
from doubtwort.sharing.csv_out import write_claims_csv, write_list_csv
from doubtwort.sharing.darwin_core import write_darwin_core
from doubtwort.sharing.jsonl import import_jsonl, write_jsonl
from doubtwort.sharing.markdown_out import write_markdown
from notebook.notebook_values import TAXON, a_claim, an_audit
from sharing.sharing_samples import SILVANA, rows

SPOT = "behind the third oak"
WORDS = f"Well known, {SPOT}, 51.123456, -1.987654"
SECRETS = ("third oak", "51.12", "1.98")
WRITERS = {
    "jsonl": lambda notebook, out: write_jsonl(notebook, out, Scope()),
    "claims": write_claims_csv,
    "list": write_list_csv,
    "markdown": write_markdown,
    "claimreview": write_claim_reviews,
    "annotation": write_annotations,
    "darwin-core": write_darwin_core,
    "bibtex": write_bibtex,
    "csl-json": write_csl_json,
}


@pytest.fixture
def told_everywhere(tmp_path):
    """A notebook whose keeper has named the spot in each text of his or her own."""
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        add_taxon(notebook, TAXON, remarks=WORDS)
        notebook.keep_audit(an_audit("c1", rating=Rating.DISPUTED))
        origin = Origin(Medium.TALK, *[WORDS] * 4, heard_on="2026", remarks=WORDS)
        record_claim(notebook, replace(a_claim("h1", 1), url="", quote="Eat it."), origin)
        decide(notebook, SILVANA, "leaf", "", Decision(Status.ACCEPTED, WORDS, WORDS, despite=WORDS))
        decide(notebook, SILVANA, "root", "", Decision(Status.ACCEPTED, WORDS, claims=("c1",), despite=WORDS))
        notebook.keep_audit(an_audit("c1", rating=Rating.CONTRADICTED))  # both go back to waiting
        with notebook.writing() as db:
            db.execute("UPDATE entries SET waiting_because = ? WHERE part = 'root'", (WORDS,))
        add_tasting(notebook, SILVANA, Tasting(*[WORDS] * 6, tasted_on="2026"))
        add_place(notebook, SILVANA, Place(Precision.EXACT, 51.123456, -1.987654, WORDS, SPOT, (), WORDS, "2026"))
        rename_taxon(notebook, SILVANA, "Fictaria nova", reason=WORDS)
    return path


def test_the_sample_tells_it_in_every_text_of_the_keepers(told_everywhere):
    with open_notebook(told_everywhere) as notebook:
        for table, columns in OWN_WORDS.items():
            for column in columns:
                asked = f"SELECT count(*) FROM {table} WHERE {column} LIKE '%third oak%'"
                assert notebook.db.execute(asked).fetchone()[0], (table, column)


@pytest.mark.parametrize("form", WRITERS)
def test_no_export_tells_of_it(told_everywhere, form):
    out = io.StringIO()
    with open_notebook(told_everywhere) as notebook:
        WRITERS[form](notebook, out)
    assert [secret for secret in SECRETS if secret in out.getvalue()] == []
    assert LEFT_OUT.strip("[]") in out.getvalue()  # and says so, be it in what warns


def test_asked_for_it_goes(told_everywhere, tmp_path):
    out, document = io.StringIO(), io.StringIO()
    with open_notebook(told_everywhere) as notebook:
        write_jsonl(notebook, out, Scope(places=True, history=True, pages=True))
        write_markdown(notebook, document, exact_places=True)
    import_jsonl(io.BytesIO(out.getvalue().encode()), tmp_path / "new.sqlite")
    assert rows(tmp_path / "new.sqlite") == rows(told_everywhere)
    assert LEFT_OUT.strip("[]") not in document.getvalue() + out.getvalue()


def test_what_went_out_without_it_is_known_again(told_everywhere):
    """The keeper's own export, taken in again: nothing is doubled, and no place is lost."""
    out = io.StringIO()
    with open_notebook(told_everywhere) as notebook:
        write_jsonl(notebook, out, Scope())
    before = rows(told_everywhere)
    done = import_jsonl(io.BytesIO(out.getvalue().encode()), told_everywhere).merged
    assert (done.added, done.conflicts) == ({}, ())
    assert rows(told_everywhere) == before
