"""Notebooks of every earlier schema, kept as files; and processes killed while they write to them."""

from __future__ import annotations

import os
import random
import sqlite3
from contextlib import closing

import pytest
from notebook_kills import SAMPLES, kill_at_random, unpacked
from notebook_values import an_audit

from doubtwort.errors import NotebookError
from doubtwort.model import Rating
from doubtwort.notebook import notebook as opening
from doubtwort.notebook import open_notebook
from doubtwort.notebook import schema as migrating
from doubtwort.notebook.schema import shipped_migrations
from doubtwort.notebook.search import search
from doubtwort.notebook.store import named
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


@pytest.mark.parametrize("table", ["taxa", "tastings", "entries", "places"])
def test_a_notebook_without_claims_or_pages_is_backed_up_as_well(tmp_path, table):
    """Before a migration, whatever a person has written down lies in a backup too."""
    (sample,) = (each for each in SAMPLES if each.name.startswith("schema4."))
    path = unpacked(sample, tmp_path / "n.sqlite")
    row = {
        "tastings": "VALUES (1, 'n1', 1, '', '', '2026', '', '', 'sour', '', '', '', '2026')",
        "places": "VALUES (1, 'p1', 1, '2026', 'words', NULL, NULL, 'oak', '', '[]', '', '2026')",
        "entries": "VALUES (1, 'v1', 1, '', '', 'rejected', 'no', '', '[]', '', 'me', '2026', '', '[]', '2026')",
    }
    with closing(sqlite3.connect(path)) as old:
        for each in [name for (name,) in old.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]:
            if each != "read_me":
                old.execute(f"DELETE FROM {each}")
        old.execute("INSERT INTO taxa (id, scientific_name, family, remarks) VALUES (1, 'Fictaria silvana', '', '')")
        if table in row:
            old.execute(f"INSERT INTO {table} {row[table]}")
        old.commit()
    open_notebook(path).close()
    (backup,) = tmp_path.glob("n.sqlite.schema4-*.backup")
    with closing(sqlite3.connect(backup)) as kept:
        assert kept.execute(f"SELECT count(*) FROM {table}").fetchone() == (1,)
    assert {each.name for each in tmp_path.iterdir()} == {"n.sqlite", backup.name}


def test_a_backup_that_finds_no_room_leaves_nothing_behind(tmp_path, monkeypatch):
    path = unpacked(SAMPLES[0], tmp_path / "n.sqlite")

    def full(*_, **__):
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(migrating, "require_sound", full)
    with pytest.raises(NotebookError):
        open_notebook(path)
    assert [each.name for each in tmp_path.iterdir()] == ["n.sqlite"]
    monkeypatch.undo()
    open_notebook(path).close()
    assert len(list(tmp_path.glob("*.backup"))) == 1


def test_a_backup_holds_one_moment_whatever_is_written_meanwhile(tmp_path, monkeypatch):
    """Another process of the earlier version writes between the copy and the count of its rows."""
    path = unpacked(SAMPLES[0], tmp_path / "n.sqlite")
    with closing(sqlite3.connect(path)) as old:
        old.execute("PRAGMA journal_mode = WAL")
        columns = [row[1] for row in old.execute("PRAGMA table_info(claims)")]
    assert columns[:3] == ["id", "label", "digest"]
    rest = ", ".join(columns[3:])
    real = migrating.require_sound

    def meanwhile(*given, **how):
        with closing(sqlite3.connect(path, timeout=0)) as other:
            other.execute(f"INSERT INTO claims SELECT NULL, 'c9', '{'0' * 64}', {rest} FROM claims WHERE id = 1")
            other.commit()
        monkeypatch.setattr(migrating, "require_sound", real)
        real(*given, **how)

    monkeypatch.setattr(migrating, "require_sound", meanwhile)
    with open_notebook(path) as notebook:
        assert "c9" in {row.id for row in notebook.claims()}
    (backup,) = tmp_path.glob("*.backup")
    with closing(sqlite3.connect(backup)) as kept:
        assert kept.execute("SELECT count(*) FROM claims WHERE label = 'c9'").fetchone() == (0,)


@pytest.mark.parametrize("links", [True, False])
def test_a_finished_file_takes_no_name_that_is_taken(tmp_path, monkeypatch, links):
    """Two processes that finish a backup in one second leave two, on a file system without hard links too."""
    if not links:
        monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(PermissionError()))
    partial, final = tmp_path / "partial", tmp_path / "final"
    partial.write_text("mine")
    final.write_text("another's")
    assert (named(partial, final), final.read_text(), partial.read_text()) == (False, "another's", "mine")
    final.unlink()
    assert (named(partial, final), final.read_text()) == (True, "mine")


@pytest.mark.parametrize("end", ["-wal", "-journal"])
def test_no_new_notebook_is_made_beside_the_log_of_another(tmp_path, end):
    """The notebook was moved away while its latest changes lay in its log: these are not thrown away."""
    log = tmp_path / f"n.sqlite{end}"
    log.write_bytes(b"7\x7f\x06\x82" + bytes(100))
    with pytest.raises(NotebookError, match="may hold latest changes") as caught:
        open_notebook(tmp_path / "n.sqlite")
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == [log]


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
