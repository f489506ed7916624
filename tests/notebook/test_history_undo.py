"""Every change is an event; the last ones can be taken back, in any number, and nothing else is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notebook_values import TAXON, a_claim, an_audit

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Rating, Taxon
from doubtwort.notebook import open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, delete_claim, record_claim
from doubtwort.notebook.history import events, undo
from doubtwort.notebook.notes import Tasting, add_tasting, delete_tasting, tastings
from doubtwort.notebook.places import Place, add_place, delete_place
from doubtwort.notebook.taxa import add_taxon, join_taxa, remove_name, rename_taxon
from doubtwort.notebook.vetted import Decision, Status, decide, delete_entry

NAME = TAXON.scientific_name
OTHER = "Vaguelia aspera"
STEPS = {
    "note": lambda n, k: add_tasting(n, NAME, Tasting(taste=f"taste {k}")),
    "unnote": lambda n, k: delete_tasting(n, "n1"),
    "place": lambda n, k: add_place(n, NAME, Place(region=f"region {k}")),
    "unplace": lambda n, k: delete_place(n, "p1"),
    "claim": lambda n, k: record_claim(
        n, replace(a_claim(f"h{k}"), quote=f"{k} " * 20, url=""), Origin(Medium.TALK, f"Talk {k}"), anyway=True
    ),
    "unclaim": lambda n, k: delete_claim(n, "c1"),
    "wait": lambda n, k: decide(n, NAME, "leaf", "", Decision(Status.WAITING, f"reason {k}", claims=("c1",))),
    "accept": lambda n, k: decide(n, NAME, "leaf", "", Decision(Status.ACCEPTED, despite=f"why {k}")),
    "unlist": lambda n, k: delete_entry(n, "v1"),
    "name": lambda n, k: add_taxon(n, Taxon(OTHER, (), (f"name {k}",)), language="en"),
    "unname": lambda n, k: remove_name(n, OTHER, "name 1"),
    "rename": lambda n, k: rename_taxon(n, NAME, f"Fictaria nova{k}"),
    "join": lambda n, k: join_taxa(n, OTHER, NAME),
}


def contents(notebook) -> dict[str, list[str]]:
    """All that a person would miss. Names are left when others may have come to rest on them."""
    tables = ("taxa", "former_names", "claims", "claim_names", "origins", "citations", "citation_keys", "entries",
              "entry_claims", "tastings", "places", "audits", "sources", "statements", "claim_ratings")  # fmt: skip
    return {each: sorted(map(str, notebook.db[each].rows)) for each in tables}


@given(steps=st.lists(st.sampled_from(sorted(STEPS)), min_size=1, max_size=8))
@settings(max_examples=40, deadline=None)
def test_undoing_all_gives_the_notebook_of_before(tmp_path_factory, steps):
    with open_notebook(tmp_path_factory.mktemp("undo") / "n.sqlite") as notebook:
        notebook.keep_audit(an_audit("c1", rating=Rating.SUPPORTED))
        add_taxon(notebook, Taxon(OTHER))
        states = [contents(notebook)]
        for number, step in enumerate(steps):
            try:
                STEPS[step](notebook, number)
            except DoubtwortError:
                assert contents(notebook) == states[-1], f"{step} was refused and left something"
                continue
            states.append(contents(notebook))
        assert len(events(notebook, 1000)) - 1 == len(states) - 1
        while len(states) > 1:
            states.pop()
            undo(notebook)
            assert contents(notebook) == states[-1]
        notebook.check()
        assert all(each.undone or not each.undoable or "undone" in each.what for each in events(notebook, 1000)[:-1])


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        add_taxon(opened, TAXON)
        yield opened


def test_an_undo_is_an_event_and_can_be_undone_by_its_number(notebook):
    add_tasting(notebook, NAME, Tasting(taste="like paper"))
    assert undo(notebook).what == f"tasting note on {NAME}"
    assert tastings(notebook) == ()
    latest = events(notebook)[0]
    assert latest.what == f"undone: tasting note on {NAME}"
    undo(notebook, latest.id)
    assert tastings(notebook)[0].tasting.taste == "like paper"


def test_what_was_changed_since_is_not_undone(notebook):
    first = add_tasting(notebook, NAME, Tasting(taste="bitter"))
    event = events(notebook)[0].id
    delete_tasting(notebook, first.id)
    with pytest.raises(CallError, match="changed again since"):
        undo(notebook, event)
    assert next(each.what for each in events(notebook)) == "tasting note n1 deleted"  # and the attempt left no event


def test_a_claim_that_was_audited_since_stays(notebook):
    record_claim(notebook, a_claim("h1"), Origin(Medium.OTHER))
    event = events(notebook)[0].id
    notebook.keep_audit(an_audit("h1"))
    with pytest.raises(CallError, match="later entries rest on it"):
        undo(notebook, event)
    assert notebook.audit("h1") == an_audit("h1")
    notebook.check()


def test_nothing_to_undo_and_unknown_events(tmp_path):
    with open_notebook(tmp_path / "new.sqlite") as notebook:
        for event in (None, 7):
            with pytest.raises(CallError) as caught:
                undo(notebook, event)
            assert "\n" not in str(caught.value)
        add_taxon(notebook, TAXON)
        done = undo(notebook)
        with pytest.raises(CallError, match="already"):
            undo(notebook, done.id)
