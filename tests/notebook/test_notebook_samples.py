"""Notebooks of every earlier schema, kept as files; and processes killed while they write to them."""

from __future__ import annotations

import os
import random

import pytest
from notebook_kills import SAMPLES, kill_at_random, unpacked
from notebook_values import an_audit

from doubtwort.model import Rating
from doubtwort.notebook import notebook as opening
from doubtwort.notebook import open_notebook
from doubtwort.notebook.schema import shipped_migrations
from doubtwort.notebook.search import search
from doubtwort.notebook.taxa import find_taxon
from doubtwort.notebook.vetted import Decision, Status, decide

NUMBERS = [int(each.name.removeprefix("schema").partition(".")[0]) for each in SAMPLES]


def test_there_is_a_sample_of_every_earlier_schema():
    assert set(range(1, len(shipped_migrations()))) <= set(NUMBERS)


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda each: each.name)
def test_a_notebook_of_an_earlier_schema_opens_whole(sample, tmp_path):
    path = unpacked(sample, tmp_path / "n.sqlite")
    with open_notebook(path) as notebook:
        # As they were written: c1 audited twice, c2 never, c3 of another taxon, c4 broken off.
        assert [(row.id, row.rating) for row in notebook.claims()] == [
            ("c3", Rating.DISPUTED),
            ("c1", Rating.SUPPORTED),
            ("c4", None),
            ("c2", None),
        ]
        older, latest = an_audit("c1"), notebook.audit("c1")
        assert (latest.claim, latest.sources, latest.rating) == (older.claim, older.sources, Rating.SUPPORTED)
        assert [row.state for row in notebook.history("c1")] == ["done", "done"]
        assert notebook.audit(notebook.history("c1")[1].id) == older
        assert notebook.claim("c2").taxon.common_names == ("wood fictary", "fictwort")
        assert (notebook.claim("c1").taxon.family, notebook.claim("c2").taxon.family) == ("Fictariaceae", "")
        # Two rows of one taxon have become one, with the names of both.
        taxon = find_taxon(notebook, "fictwort")
        assert (taxon.scientific_name, taxon.family, taxon.claims) == ("Fictaria silvana", "Fictariaceae", 3)
        assert [name for name, _ in taxon.common_names] == ["mock fictary", "wood fictary", "fictwort"]
        assert any("poisonous" in hit.text for hit in search(notebook, "raw poison*"))
        assert decide(notebook, "fictwort", "leaf", "", Decision(Status.ACCEPTED, claims=("c1",))).claims[0].rated_now
        notebook.check()
    backups = list(tmp_path.glob("n.sqlite.schema*.backup"))
    assert len(backups) == (0 if sample.name.startswith(f"schema{len(shipped_migrations())}.") else 1)


@pytest.mark.skipif(os.name != "posix", reason="fork and SIGKILL are POSIX")
def test_killed_while_writing_the_list_nothing_that_was_told_is_lost(tmp_path):
    # 200 kills by hand: tests/bench/bench_notebook.py FOLDER --kills 200
    reached = kill_at_random(tmp_path, 18, random.Random(20261125))
    assert sum(reached.values()) == 18
    assert len(reached) > 2, reached


def test_a_large_file_is_read_through_once_a_day(tmp_path, monkeypatch):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        notebook.keep_audit(an_audit())
    checks = []
    real = opening.require_sound
    monkeypatch.setattr(opening, "require_sound", lambda *given, **how: (checks.append(1), real(*given, **how)))
    open_notebook(path).close()
    open_notebook(path).close()
    assert len(checks) == 2  # a small one every time
    monkeypatch.setattr(opening, "LARGE", 1000)
    open_notebook(path).close()
    open_notebook(path).close()
    assert len(checks) == 3
    with open_notebook(path) as notebook:
        for edited in ("2026-01-01T00:00:00+00:00", "2999-01-01T00:00:00+00:00", "nonsense"):
            notebook.db.execute("UPDATE upkeep SET value = ?", (edited,))
            open_notebook(path).close()
    assert len(checks) == 6
