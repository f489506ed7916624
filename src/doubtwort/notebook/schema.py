"""The file's schema: numbered migrations, forward only, each in one transaction, after a verified backup.

``PRAGMA application_id`` marks a notebook, ``PRAGMA user_version`` holds the number of its last migration; both lie in
the file's header and change with the transaction that sets them.
"""

from __future__ import annotations

import os
import re
import secrets
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from doubtwort.errors import NotebookTooNew, TableError
from doubtwort.notebook.store import damaged, named, require_sound, unlink_with_logs
from doubtwort.shipped import shipped
from doubtwort.text import one_line

APPLICATION_ID = 0x64627477  # "dbtw"
_NAME = re.compile(r"(\d{3})_[a-z_]+\.sql")


@dataclass(frozen=True, slots=True)
class Migration:
    number: int
    sql: str


def shipped_migrations() -> tuple[Migration, ...]:
    """Those of ``claims_db/migrations``, numbered 001, 002, … without a gap."""
    return read_migrations(shipped("claims_db") / "migrations")


def read_migrations(folder: Path) -> tuple[Migration, ...]:
    found: list[Migration] = []
    for file in sorted(folder.glob("*.sql")):
        name = _NAME.fullmatch(file.name)
        if name is None or int(name[1]) != len(found) + 1:
            raise TableError(f"{file.name} is not migration {len(found) + 1:03}. Install doubtwort anew.")
        found.append(Migration(int(name[1]), file.read_text(encoding="utf-8")))
    if not found:
        raise TableError("The notebook's migrations are missing. Install doubtwort anew.")
    return tuple(found)


def single_statements(sql: str) -> Iterator[str]:
    """Splits at the line ends where SQLite calls a statement complete (it knows strings and triggers).

    ``executescript`` commits whatever transaction is open; statements one by one leave it alone.

    >>> list(single_statements("SELECT ';\\n';\\nSELECT 2;\\n"))
    ["SELECT ';\\n';", 'SELECT 2;']
    """
    gathered: list[str] = []
    for line in sql.splitlines():
        gathered.append(line)
        statement = "\n".join(gathered).strip()
        if sqlite3.complete_statement(statement):
            yield statement
            gathered = []
    if rest := "\n".join(gathered).strip():
        yield rest  # a comment, or half a statement: SQLite says which


def version_of(connection: sqlite3.Connection, path: Path, latest: int) -> int:
    """The notebook's schema number, 0 for a file with nothing in it yet. Writes nothing."""
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if mark == 0 and version == 0 and not connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone():
        return 0
    if mark != APPLICATION_ID or version < 1:
        raise damaged(path, "it is an SQLite file of another kind")
    if version > latest:
        raise NotebookTooNew(
            f"The notebook {one_line(str(path))} was written by a later version of doubtwort (schema {version}, this "
            f"one knows {latest}). It was left unchanged; update doubtwort, or use another file."
        )
    return version


def require_tables(connection: sqlite3.Connection, path: Path, migrations: Sequence[Migration]) -> None:
    """Every table, view and trigger that the migrations make is there. A missing one would read as "nothing found"."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as model:
        for migration in migrations:
            model.executescript(migration.sql)
        missing = _names(model) - _names(connection)
    if missing:
        raise damaged(path, f"{', '.join(sorted(missing))} missing")


def _names(connection: sqlite3.Connection) -> set[str]:
    found = connection.execute("SELECT name FROM sqlite_master WHERE type IN ('table', 'view', 'trigger')")
    return {str(row[0]) for row in found}


def migrate(connection: sqlite3.Connection, path: Path, migrations: Sequence[Migration]) -> Path | None:
    """Brings the file to the last migration. Gives the backup's path when the file held anything before."""
    version = version_of(connection, path, len(migrations))
    if version == len(migrations):
        return None
    backup = _backed_up(connection, path, migrations) if version else None
    # Tables may be rebuilt only with foreign keys off, and the switch works only outside a transaction.
    connection.execute("PRAGMA foreign_keys = OFF")
    try:
        for migration in migrations[version:]:
            _apply(connection, path, migration)
    finally:
        connection.execute("PRAGMA foreign_keys = ON")
    return backup


def _apply(connection: sqlite3.Connection, path: Path, migration: Migration) -> None:
    connection.execute("BEGIN IMMEDIATE")
    try:
        # Another process may have migrated while this one waited.
        if connection.execute("PRAGMA user_version").fetchone()[0] < migration.number:
            for statement in single_statements(migration.sql):
                connection.execute(statement)
            if connection.execute("PRAGMA foreign_key_check").fetchone():
                raise damaged(path, f"migration {migration.number:03} would leave rows that refer to nothing")
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {migration.number}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _backed_up(connection: sqlite3.Connection, path: Path, migrations: Sequence[Migration]) -> Path | None:
    """The file as it stands at one moment, whatever other processes write meanwhile; None when it holds nothing, or
    when another process has just migrated it."""
    connection.execute("BEGIN")
    try:
        version = version_of(connection, path, len(migrations))
        if version == len(migrations) or not _holds_anything(connection, migrations[:version]):
            return None
        return back_up(connection, path, version)
    finally:
        connection.execute("ROLLBACK")


def _holds_anything(connection: sqlite3.Connection, migrations: Sequence[Migration]) -> bool:
    """Whether there are rows that a notebook just made with these migrations does not have."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as model:
        for migration in migrations:
            model.executescript(migration.sql)
        return _row_counts(connection) != _row_counts(model)


def back_up(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    """A copy beside the file, e.g. notebook.sqlite.schema1-20270131T120000.backup, checked before it gets its name."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
    name = f"{path.name}.schema{version}-{stamp}"
    final = path.with_name(f"{name}.backup")
    partial = path.with_name(f"{name}.{os.getpid()}-{secrets.token_hex(4)}.partial")
    try:
        with closing(sqlite3.connect(partial)) as copy:
            connection.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
            require_sound(copy, partial, thorough=True)
            if _row_counts(copy) != _row_counts(connection):
                raise damaged(partial, "the backup does not hold the same rows")
        with partial.open("rb+") as written:
            os.fsync(written.fileno())
        number = 2
        while not named(partial, final):  # two within a second are two
            final = path.with_name(f"{name}-{number}.backup")
            number += 1
    finally:
        unlink_with_logs(partial)
    return final


def _row_counts(connection: sqlite3.Connection) -> dict[str, int]:
    tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {each: connection.execute(f'SELECT count(*) FROM "{each}"').fetchone()[0] for each in tables}
