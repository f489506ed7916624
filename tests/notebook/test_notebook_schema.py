"""Making, migrating and refusing notebooks."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing

import pytest
from notebook_values import an_audit

from doubtwort.errors import NotebookBusy, NotebookDamaged, NotebookError, NotebookTooNew, TableError
from doubtwort.notebook import notebook as opening
from doubtwort.notebook import open_notebook
from doubtwort.notebook.schema import (
    APPLICATION_ID,
    Migration,
    migrate,
    read_migrations,
    shipped_migrations,
    single_statements,
)
from doubtwort.shipped import shipped


def plain(path):
    return closing(sqlite3.connect(path, isolation_level=None))


def one_line(caught) -> str:
    text = str(caught.value)
    assert "\n" not in text
    assert text.endswith(".")
    return text


def version_one(path):
    """A notebook as it was before the views, with one claim and one page in it."""
    with plain(path) as db:
        db.executescript(shipped_migrations()[0].sql)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute("PRAGMA user_version = 1")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("INSERT INTO taxa VALUES (1, 'Fictaria silvana', '')")
        db.execute(
            "INSERT INTO claims VALUES (1, 'old', ?, 1, 'edible', 'stated', 'Eat it.', ?, '[]', '[]', '[]')",
            ("0" * 64, "http://a.example/"),
        )
        db.execute("INSERT INTO bodies VALUES (?, 3, x'00')", ("f" * 64,))


@pytest.mark.parametrize("make", [None, b""])
def test_an_absent_or_empty_file_becomes_a_notebook(tmp_path, make):
    path = tmp_path / "new folder" / "a #1?.sqlite"
    if make is not None:
        path.parent.mkdir()
        path.write_bytes(make)
    with open_notebook(path) as notebook:
        pragmas = {
            name: notebook.db.execute(f"PRAGMA {name}").fetchone()[0]
            for name in (
                "application_id",
                "user_version",
                "journal_mode",
                "foreign_keys",
                "synchronous",
                "busy_timeout",
            )
        }
        notebook.check()
    assert pragmas == {
        "application_id": APPLICATION_ID, "user_version": len(shipped_migrations()), "journal_mode": "wal",
        "foreign_keys": 1, "synchronous": 2, "busy_timeout": 10_000,
    }  # fmt: skip
    assert [each.name for each in path.parent.iterdir()] == ["a #1?.sqlite"]  # no journal, no backup left beside it


def test_header_of_the_file_carries_mark_and_version(tmp_path):
    # SQLite file format, section 1.3: user version at offset 60, application id at 68, both big-endian.
    with open_notebook(tmp_path / "n.sqlite"):
        pass
    header = (tmp_path / "n.sqlite").read_bytes()[:100]
    assert int.from_bytes(header[60:64], "big") == len(shipped_migrations())
    assert header[68:72] == b"dbtw"


def test_version_one_is_backed_up_and_brought_forward(tmp_path):
    path = tmp_path / "n.sqlite"
    version_one(path)
    with open_notebook(path) as notebook:
        assert [row.id for row in notebook.claims()] == ["old"]
        notebook.keep_audit(an_audit("old"))
    (backup,) = tmp_path.glob("n.sqlite.schema1-*.backup")
    assert {each.name for each in tmp_path.iterdir()} == {"n.sqlite", backup.name}
    with plain(backup) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("SELECT label FROM claims").fetchall() == [("old",)]
        assert db.execute("SELECT count(*) FROM bodies").fetchone() == (1,)
    with open_notebook(backup) as restored:  # a backup is a notebook
        assert [row.id for row in restored.claims()] == ["old"]


def test_migrated_and_new_notebooks_have_the_same_schema(tmp_path):
    version_one(tmp_path / "old.sqlite")
    schemas = []
    for name in ("old.sqlite", "new.sqlite"):
        with open_notebook(tmp_path / name) as notebook:
            schemas.append({(row["name"], row["sql"]) for row in notebook.db.query("SELECT * FROM sqlite_master")})
    assert schemas[0] == schemas[1]


@pytest.mark.parametrize(
    "broken",
    [
        "CREATE TABLE half (a);\nINSERT INTO half VALUES (1);\nINSERT INTO nowhere VALUES (1);",
        "CREATE TABLE half (a);\nDELETE FROM claims;\nINSERT INTO half VALUES (1, 2);",
        "CREATE TABLE half (a);\nDELETE FROM taxa;",  # leaves a claim without its taxon
        "CREATE TABLE half (a);\nCREATE TABLE",
    ],
)
def test_a_migration_that_fails_leaves_the_notebook_as_it_was(tmp_path, monkeypatch, broken):
    path = tmp_path / "n.sqlite"
    version_one(path)
    before = path.read_bytes()
    steps = (shipped_migrations()[0], Migration(2, broken))
    monkeypatch.setattr(opening, "shipped_migrations", lambda: steps)
    with pytest.raises(NotebookError) as caught:
        open_notebook(path)
    one_line(caught)
    assert path.read_bytes() == before
    monkeypatch.undo()
    with open_notebook(path) as notebook:
        assert [row.id for row in notebook.claims()] == ["old"]


def test_each_migration_is_its_own_transaction(tmp_path):
    with plain(tmp_path / "n.sqlite") as db:
        first = shipped_migrations()[0]
        with pytest.raises(sqlite3.OperationalError):
            migrate(db, tmp_path / "n.sqlite", (first, Migration(2, "SELECT * FROM nowhere;")))
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
        assert db.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)


def test_statements_are_split_as_sqlite_sees_them():
    sql = "-- one; two\nCREATE TABLE t (a);\nCREATE TRIGGER g AFTER INSERT ON t BEGIN\n SELECT 1;\n SELECT 2;\nEND;\n"
    assert [each.split()[-1] for each in single_statements(sql)] == ["(a);", "END;"]


@pytest.mark.parametrize(
    "names", [["002_a.sql"], ["001_a.sql", "003_b.sql"], ["001_a.sql", "001_b.sql"], ["1_a.sql"], []]
)
def test_a_gap_in_the_numbers_stops_the_program(tmp_path, names):
    for name in names:
        (tmp_path / name).write_text("SELECT 1;")
    with pytest.raises(TableError):
        read_migrations(tmp_path)


def test_a_newer_notebook_is_refused_unchanged(tmp_path):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        notebook.keep_audit(an_audit())
    with plain(path) as db:
        db.execute(f"PRAGMA user_version = {len(shipped_migrations()) + 1}")
    before = path.read_bytes()
    with pytest.raises(NotebookTooNew) as caught:
        open_notebook(path)
    assert "later version" in one_line(caught)
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["n.sqlite"]


def test_a_notebook_migrated_under_an_open_one_is_written_to_no_more(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        with plain(tmp_path / "n.sqlite") as later:
            later.execute("PRAGMA user_version = 99")
        with pytest.raises(NotebookTooNew):
            notebook.keep_audit(an_audit())


def _cut(path):
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def _overwrite(path):
    data = bytearray(path.read_bytes())
    data[8192 : len(data) - 4096] = b"\xa5" * (len(data) - 12288)
    path.write_bytes(bytes(data))


def _one_page(path):
    """The tables' roots stay whole: only a reader of that page, or the check, would find out."""
    data = bytearray(path.read_bytes())
    size = int.from_bytes(data[16:18], "big")
    data[-size:] = b"\xa5" * size
    path.write_bytes(bytes(data))


def _other_database(path):
    path.unlink()
    with plain(path) as db:
        db.execute("CREATE TABLE recipes (name)")


def _other_mark(path):
    with plain(path) as db:
        db.execute("PRAGMA application_id = 7")


@pytest.mark.parametrize(
    "harm", [_cut, _overwrite, _one_page, _other_database, _other_mark, lambda path: path.write_bytes(b"Dear diary")]
)
def test_a_damaged_or_foreign_file_is_refused_unchanged(tmp_path, harm):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        for number in range(5):
            notebook.keep_audit(an_audit(f"c{number}", sources=9))
    harm(path)
    before = path.read_bytes()
    with pytest.raises(NotebookDamaged) as caught:
        open_notebook(path)
    assert str(path) in one_line(caught)
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["n.sqlite"]


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE audits SET rating = 'safe'",
        "UPDATE audits SET reasons = '{'",
        "UPDATE audits SET reasons = '[1]'",
        "UPDATE audits SET reasons = x'ff'",
        "UPDATE audits SET reasons = CAST(x'ff' AS TEXT)",
        "UPDATE audits SET audited_at = NULL",
        "UPDATE statements SET wording = 'delicious'",
        "UPDATE statements SET headings = 7",  # a TEXT column makes it '7': JSON, but no list
    ],
)
def test_nonsense_cells_are_damage_not_tracebacks(tmp_path, harm):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        notebook.keep_audit(an_audit())
    with plain(path) as db:
        db.execute(harm)
    with open_notebook(path) as notebook:
        with pytest.raises(NotebookDamaged) as caught:
            notebook.audit("c1")
        one_line(caught)


@pytest.mark.parametrize("harm", ["DROP TABLE notices", "DROP VIEW said_toxic"])
def test_a_missing_table_is_damage_and_not_nothing_found(tmp_path, harm):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        notebook.keep_audit(an_audit())
    with plain(path) as db:
        db.execute("PRAGMA foreign_keys = OFF")
        db.execute(harm)
    with pytest.raises(NotebookDamaged, match=harm.split()[-1]):
        open_notebook(path)


def test_a_row_that_refers_to_nothing_is_found_by_the_thorough_check(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        notebook.keep_audit(an_audit())
        notebook.db.conn.execute("PRAGMA foreign_keys = OFF")
        notebook.db.conn.execute("DELETE FROM claims")
        with pytest.raises(NotebookDamaged, match="refers to a row"):
            notebook.check()


def test_no_notebook_and_none_wanted(tmp_path):
    with pytest.raises(NotebookError) as caught:
        open_notebook(tmp_path / "none.sqlite", create=False)
    assert "no notebook" in one_line(caught)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(NotebookDamaged, match="folder"):
        open_notebook(tmp_path)


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_an_impossible_name_is_one_line(tmp_path, name):
    with pytest.raises(NotebookError) as caught:
        open_notebook(tmp_path / name)
    one_line(caught)


def test_a_closed_notebook_says_so(tmp_path):
    notebook = open_notebook(tmp_path / "n.sqlite")
    notebook.close()
    with pytest.raises(NotebookError, match="closed"):
        notebook.claims()


def test_a_locked_notebook_is_busy_for_writers_and_open_to_readers(tmp_path):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        notebook.keep_audit(an_audit())
    with plain(path) as other:
        other.execute("BEGIN IMMEDIATE")
        with open_notebook(path, busy_seconds=0.05) as notebook:
            assert notebook.audit("c1") == an_audit()
            with pytest.raises(NotebookBusy) as caught:
                notebook.keep_audit(an_audit("c2"))
            one_line(caught)
            other.execute("COMMIT")
            notebook.keep_audit(an_audit("c2"))


def test_a_file_held_exclusively_is_busy_at_once(tmp_path):
    path = tmp_path / "n.sqlite"
    version_one(path)
    with plain(path) as other:
        other.execute("PRAGMA journal_mode = DELETE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(NotebookBusy):
            open_notebook(path, busy_seconds=0.05)


def test_the_schema_page_names_every_table_column_and_view(tmp_path):
    page = (shipped("claims_db") / "SCHEMA.md").read_text(encoding="utf-8")
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        indexes = [table.name for table in notebook.db.tables if table.name.endswith("_search")]
        for index in indexes:
            assert f"`{index}`" in page
        for table in [*notebook.db.tables, *notebook.db.views]:
            if any(table.name.startswith(index) for index in indexes):
                continue  # SQLite's own, and the virtual tables themselves
            section = re.search(rf"^### `{table.name}`\n(.*?)(?=^#|\Z)", page, re.MULTILINE | re.DOTALL)
            assert section, table.name
            for column in table.columns:
                assert f"`{column.name}`" in section[1], f"{table.name}.{column.name}"
