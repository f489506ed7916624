"""A new notebook file built from rows, whole or not at all: from an export, or from what a damaged one still gives.

The rows go into a file of the schema that they are from, under another name; that file is migrated and looked through
like any notebook, and only then gets its name.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from doubtwort.errors import CallError, NotebookDamaged, NotebookError, NotebookTooNew
from doubtwort.notebook.history import begin
from doubtwort.notebook.notebook import Notebook, open_notebook
from doubtwort.notebook.rows import address
from doubtwort.notebook.ruling import hold_to_rule
from doubtwort.notebook.schema import APPLICATION_ID, shipped_migrations
from doubtwort.notebook.store import (
    Store,
    cannot_write,
    damaged,
    explained,
    named,
    require_no_log,
    unlink_with_logs,
)
from doubtwort.notebook.tables import HISTORY, TABLES, taken_in
from doubtwort.text import one_line

Incoming = tuple[int, str, dict[str, Any]]  # line or row number, table, cells


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """A path beside ``path`` to write a notebook to; it takes that name at the end, or is gone."""
    try:
        path = path.expanduser().resolve()
    except RuntimeError as error:  # a link that leads back to itself
        raise cannot_write(path, one_line(str(error), 200)) from error
    if path.exists():
        raise CallError(f"{one_line(str(path))} is there already. Name a new file.")
    require_no_log(path)
    partial = path.with_name(f".{path.name}.{secrets.token_hex(4)}.partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        yield partial
        with partial.open("rb+") as written:
            os.fsync(written.fileno())
        if not named(partial, path):
            raise CallError(f"{one_line(str(path))} was made meanwhile. Name another file.")
    except OSError as error:
        raise cannot_write(path, error.strerror or str(error)) from error
    except NotebookError as error:  # which speaks of a name that nobody has given
        raise type(error)(str(error).replace(str(partial), str(path))) from error
    finally:
        unlink_with_logs(partial)


def load(path: Path, version: int, rows: Iterable[Incoming], said: str) -> Counter[str]:
    """Builds the notebook file ``path`` from rows of schema ``version``; gives how many went into each table.
    ``CallError`` names the line of a row that does not fit; ``said`` is what the rows are from."""
    known = len(shipped_migrations())
    if version > known:
        raise NotebookTooNew(
            f"{said} was written by a later version of doubtwort (schema {version}, this one knows {known}). "
            "Update doubtwort."
        )
    if version < 1:
        raise CallError(f"{said} names no schema. Export it anew.")
    with explained(path), closing(sqlite3.connect(path, isolation_level=None)) as connection:
        blank(connection, version)
        connection.execute("BEGIN")
        count = _insert_all(connection, rows, said)
        broken = connection.execute("PRAGMA foreign_key_check").fetchone()
        if broken:
            raise CallError(f"{said}: row {broken[1]} of {broken[0]} refers to a row of {broken[2]} that is missing.")
        connection.execute("COMMIT")
    return count


def blank(connection: sqlite3.Connection, version: int) -> None:
    """Makes the tables of schema ``version`` in an empty file. Foreign keys are off; synchronous is too: a file that
    has no name yet is thrown away when anything happens to it."""
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute("PRAGMA synchronous = OFF")
    for migration in shipped_migrations()[:version]:
        connection.executescript(f"BEGIN;\n{migration.sql}\nCOMMIT;")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {version}")


def columns_of(connection: sqlite3.Connection) -> dict[str, dict[str, str]]:
    """Table → column → type, of the tables that travel and are there."""
    found = {table: {row[1]: row[2] for row in connection.execute(f"PRAGMA table_info({table})")} for table in TABLES}
    return {table: columns for table, columns in found.items() if columns}


def _insert_all(connection: sqlite3.Connection, rows: Iterable[Incoming], said: str) -> Counter[str]:
    columns = columns_of(connection)
    count: Counter[str] = Counter()
    for number, table, cells in rows:
        try:
            insert_row(connection, columns, table, cells)
        except (ValueError, RecursionError, sqlite3.IntegrityError) as error:
            what = one_line(str(error), 200)
            raise CallError(f"{said}, line {number}: {what}. Nothing was taken in.") from error
        count[table] += 1
    return count


def insert_row(
    connection: sqlite3.Connection, columns: dict[str, dict[str, str]], table: str, cells: dict[str, Any]
) -> None:
    """One row as it was given out. ValueError or IntegrityError when it does not fit."""
    known = columns.get(table)
    if known is None:
        raise ValueError(f"{table[:40]!r} is no table of a notebook")
    if strange := set(cells) - set(known):
        raise ValueError(f"{table} has no column {sorted(strange)[0][:40]!r}")
    if table != "bodies" and type(cells.get("id")) is not int:
        raise ValueError(f"a row of {table} has no number")
    row = {column: taken_in(table, column, known[column], cell) for column, cell in cells.items()}
    marks = ", ".join("?" * len(row))
    connection.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", [*row.values()])


def proof_read(store: Store) -> None:
    """Every cell holds what it can hold. ``NotebookDamaged`` names the first that does not: what another tool wrote
    may pass SQLite's own checks."""
    with store.reading() as db:
        columns = columns_of(db.conn)
        for table in columns:
            for row in db.query(f"SELECT * FROM {table}") if table not in (*HISTORY, "bodies") else ():
                try:
                    for column, cell in row.items():
                        taken_in(table, column, columns[table][column], cell)
                except (ValueError, RecursionError) as error:
                    raise damaged(store.path, f"row {row['id']} of {table}: {one_line(str(error), 120)}") from error


def look_through(path: Path, canonical: Callable[[str], str] = address) -> tuple[str, ...]:
    """Opens a file just built as a notebook, which migrates it, reads it through, and holds its list to the rule;
    gives the entries that went back to waiting."""
    with open_notebook(path, create=False, canonical=canonical) as notebook:
        moved = _held(notebook)
        notebook.check()
    for backup in path.parent.glob(f"{path.name}.schema*.backup"):
        backup.unlink()  # of a file that is itself a copy
    return moved


def _held(notebook: Notebook) -> tuple[str, ...]:
    with notebook.writing():
        pass  # brings the full-text index up to date
    try:
        with notebook.writing() as db:
            # Not undone: that would accept again what the rule does not let be accepted.
            change = begin(db, "taken in: the list was held to its rule", undoable=False)
            moved = tuple(hold_to_rule(change))
            if not moved:
                change.db.execute("DELETE FROM history WHERE id = ?", (change.event,))
    except (ValueError, TypeError, KeyError) as error:
        raise NotebookDamaged(f"What came in cannot be read: {one_line(str(error), 200)}.") from error
    return moved
