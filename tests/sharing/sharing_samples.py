"""Invented notebooks for the tests of sharing: one with everything in it, and any at random."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from hypothesis import strategies as st

from doubtwort.errors import DoubtwortError
from doubtwort.model import Citation, NotFetched, Rating, Taxon, UnreadReason, Wording
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, delete_claim, record_claim
from doubtwort.notebook.history import undo
from doubtwort.notebook.notes import Tasting, add_tasting
from doubtwort.notebook.places import Place, Precision, SiteCaution, add_place
from doubtwort.notebook.shelf import Passage, keep_passage
from doubtwort.notebook.tables import TABLES
from doubtwort.notebook.taxa import add_taxon, rename_taxon
from doubtwort.notebook.vetted import Decision, Status, decide
from notebook.notebook_values import TAXON, a_claim, an_audit, audits, fetched, page_of, texts

SILVANA = "Fictaria silvana"
# What may not leave a notebook unless asked for.
SECRETS = ("51.123456", "-1.987654", "behind the third oak", "left of the iron gate")


def everything(path: Path) -> Path:
    """A notebook with at least one row in every table, some of them hostile."""
    with open_notebook(path) as notebook:
        add_taxon(notebook, replace(TAXON, common_names=()), remarks="Grows on =SUM(1)")
        add_taxon(notebook, Taxon(SILVANA, (), ("fictwort",)), language="en")
        keeper = NotebookKeeper(notebook)
        audit = an_audit("c1", rating=Rating.SUPPORTED)
        keeper.keep_fetch(fetched("http://herb.example/f"))
        keeper.start(audit.claim)
        for source in audit.sources:
            keeper.keep_fetch(page_of(source.url))
            keeper.keep_source(source)
        keeper.keep_fetch(NotFetched("http://gone.example/", UnreadReason.GONE, "HTTP 410"))
        keeper.finish(audit)
        by_hand = replace(
            a_claim("h1", 0), wording=Wording.TOXIC, quote="=cmd|' /C calc'!A0 <b>[x](javascript:1)</b> kills", url="",
            citations=(
                Citation("1", "Alder, B. 1998. Invented herbs.", isbn="9780306406157", authors=("Alder",), year="1998",
                         title="Invented {herbs} & 50 % more", pages="12-14"),
                Citation("2", "", ("http://a.example/x_y?b=%7E1",), doi="10.1000/182"),
            ),
        )  # fmt: skip
        origin = Origin(Medium.BOOK, "@Invented herbs", "p. 12", "author", "Low Hills", "1998", "+ a remark")
        record_claim(notebook, by_hand, origin)
        decision = Decision(Status.ACCEPTED, "tried it", "Ann", claims=("c1",), months=(4, 5), review_on="2026-01-01")
        decide(notebook, SILVANA, "leaf", "", decision)
        decide(notebook, SILVANA, "root", "raw", Decision(Status.REJECTED, "-poisonous"))
        add_tasting(notebook, SILVANA, Tasting(taste="cardboard", reaction="itching", tasted_on="2026-05-01"))
        place = Place(
            Precision.EXACT, 51.123456, -1.987654, "Low Hills", "behind the third oak", (SiteCaution.ROADSIDE,),
            "left of the iron gate", "2026-05",
        )  # fmt: skip
        add_place(notebook, SILVANA, place)
        work = Passage("slip1", "c1", "0" * 64, "Alder 1998", "Is it eaten?", "text", "12", b"The leaves are eaten.")
        keep_passage(notebook, work)
        rename_taxon(notebook, SILVANA, "Fictaria nova", reason="revised", on="2026-06-01")
    return path


def rows(path: Path, leave: tuple[str, ...] = ()) -> dict[str, list[tuple]]:
    """All rows of the tables that travel."""
    with closing(sqlite3.connect(path)) as connection:
        kept = [table for table in TABLES if table not in leave]
        return {table: connection.execute(f"SELECT * FROM {table} ORDER BY rowid").fetchall() for table in kept}


def shape(path: Path) -> dict[str, list]:
    """What a notebook holds, whatever its rows' numbers are, and without what is written down when."""
    with open_notebook(path, create=False) as notebook:
        claims = {}
        for row in notebook.claims():
            told = [notebook.audit(each.id) for each in notebook.history(row.id) if each.state == "done"]
            claims[row.id] = (notebook.claim(row.id), row.rating, told)
        notebook.check()
    numbers = {"id", "taxon_id", "claim_id", "audit_id", "source_id", "name_id", "entry_id", "citation_id", "label"}
    found: dict[str, list] = {"claims": sorted(claims.items(), key=repr)}
    with closing(sqlite3.connect(path)) as connection:
        connection.row_factory = sqlite3.Row
        for table in ("taxa", "former_names", "names", "origins", "entries", "entry_claims", "tastings", "places"):
            plain = [dict(row) for row in connection.execute(f"SELECT * FROM {table}")]
            found[table] = sorted(({k: v for k, v in row.items() if k not in numbers} for row in plain), key=repr)
    return found


steps = st.lists(
    st.one_of(
        st.tuples(st.just("audit"), audits),
        st.tuples(
            st.just("hand"), st.tuples(texts.filter(str.strip), st.sampled_from(Wording), st.sampled_from("xyz"))
        ),
        st.tuples(st.just("decide"), st.tuples(st.sampled_from(Status), st.sampled_from(["leaf", "", "root"]), texts)),
        st.tuples(st.just("taste"), texts.filter(str.strip)),
        st.tuples(st.just("place"), st.floats(-90, 90)),
        st.tuples(st.just("rename"), st.sampled_from(["Fictaria nova", "Fictaria tertia", SILVANA])),
        st.tuples(st.just("delete"), st.sampled_from("xyz")),
        st.tuples(st.just("undo"), st.none()),
    ),
    max_size=8,
)


def keep(path: Path, chosen: list) -> Path:
    """A notebook after these steps; those that the notebook refuses are left out, as a person would."""
    with open_notebook(path) as notebook:
        add_taxon(notebook, Taxon(SILVANA), language="en")
        for what, value in chosen:
            try:
                _step(notebook, what, value)
            except DoubtwortError:
                continue
    return path


def _step(notebook, what, value) -> None:
    if what == "audit":
        notebook.keep_audit(value)
    elif what == "hand":
        quote, wording, label = value
        claim = replace(a_claim(label, 1), quote=quote, wording=wording, url="", taxon=Taxon(SILVANA))
        record_claim(notebook, claim, Origin(Medium.TALK, "A walk"))
    elif what == "decide":
        status, part, reason = value
        decide(notebook, SILVANA, part, "", Decision(status, reason, despite="all the same"))
    elif what == "taste":
        add_tasting(notebook, SILVANA, Tasting(taste=value))
    elif what == "place":
        add_place(notebook, SILVANA, Place(Precision.EXACT, value, value, "Low Hills", "the oak"))
    elif what == "rename":
        rename_taxon(notebook, SILVANA, value)
    elif what == "delete":
        delete_claim(notebook, value)
    else:
        undo(notebook)
