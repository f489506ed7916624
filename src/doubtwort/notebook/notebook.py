"""The user's SQLite file, opened: made, checked, brought to the present schema, or refused in one clear line."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from doubtwort.errors import NotebookError
from doubtwort.model import Audit, Claim
from doubtwort.notebook import query, write
from doubtwort.notebook.rows import address
from doubtwort.notebook.schema import migrate, require_tables, shipped_migrations, version_of
from doubtwort.notebook.store import Store, cannot_write, damaged, explained, require_no_log, require_sound
from doubtwort.settings import Settings
from doubtwort.text import one_line

BUSY_SECONDS = 10.0
LARGE = 50_000_000  # bytes; up to this size a file is read through at every opening
CHECK_AFTER = timedelta(days=1)
_HEADER = b"SQLite format 3\x00"


class Notebook(Store):
    """What a person has audited. Close it, or use it in a ``with`` block."""

    def keep_claim(self, claim: Claim) -> None:
        """Keeps a claim that nobody has audited yet."""
        write.keep_claim(self, claim)

    def keep_audit(self, audit: Audit) -> int:
        """Keeps a whole audit in one transaction; gives its number."""
        return write.keep_audit(self, audit)

    def audit(self, which: str | int) -> Audit:
        """The latest finished audit of a claim's id, or the audit of a number. ``NotInNotebook`` when there is none."""
        return query.audit(self, which)

    def claims(self, wanted: query.Wanted | None = None) -> tuple[query.ClaimRow, ...]:
        """Every claim once with its latest rating; disputed and contradicted ones first."""
        return query.claims(self, wanted)

    def claim(self, claim_id: str) -> Claim:
        """A claim as it was last taken in, audited or not."""
        return query.claim(self, claim_id)

    def history(self, claim_id: str) -> tuple[query.AuditRow, ...]:
        """All audits of a claim, the latest first."""
        return query.history(self, claim_id)


def open_notebook(
    path: Path,
    *,
    create: bool = True,
    settings: Settings | None = None,
    canonical: Callable[[str], str] = address,
    busy_seconds: float = BUSY_SECONDS,
) -> Notebook:
    """Opens the notebook, made if there is none and ``create`` is set.

    ``canonical`` gives the spelling under which pages are found again; the default knows no tracking parameters.
    Raises ``NotebookTooNew``, ``NotebookDamaged``, ``NotebookReadOnly`` or ``NotebookBusy`` without changing the file.
    """
    path = Path(path)
    try:
        path = path.expanduser().resolve()
        new = _look(path, create)
    except (OSError, ValueError, RuntimeError) as error:
        raise cannot_write(path, one_line(_reason(error), 200)) from error
    migrations = shipped_migrations()
    with explained(path):
        connection = _connect(path, "rwc" if create else "rw", busy_seconds)
        checked = False
        try:
            _prepare(connection)
            if not new:  # nothing has been written yet: what is refused stays as it was
                version_of(connection, path, len(migrations))
                if not _lately_sound(connection, path):
                    require_sound(connection, path, thorough=False)
                    checked = True
            _require_writable(connection, busy_seconds)
            _journal(connection, busy_seconds)
            migrate(connection, path, migrations)
            require_tables(connection, path, migrations)
            if checked and path.stat().st_size > LARGE:
                _note_sound(connection, busy_seconds)
        except BaseException as error:
            connection.close()
            if isinstance(error, OSError):
                raise cannot_write(path, one_line(_reason(error), 200)) from error
            raise
    return Notebook(path, connection, len(migrations), settings or Settings(), canonical)


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _look(path: Path, create: bool) -> bool:
    """Whether the file is still to be made. Looks at it as a file only."""
    if path.is_dir():
        raise damaged(path, "it is a folder")
    if not path.exists():
        if not create:
            raise NotebookError(
                f"There is no notebook {one_line(str(path))}. Audit a claim to begin one, or name another."
            )
        require_no_log(path)
        path.parent.mkdir(parents=True, exist_ok=True)
    elif not os.access(path, os.R_OK | os.W_OK):
        raise cannot_write(path, "the file is read-only")
    if not os.access(path.parent, os.W_OK | os.X_OK):
        raise cannot_write(path, "its folder is read-only, and SQLite keeps its journal there")
    if not path.exists() or path.stat().st_size == 0:
        return True
    with path.open("rb") as file:
        if file.read(len(_HEADER)) != _HEADER:
            raise damaged(path, "it is not an SQLite file")
    return False


def _connect(path: Path, mode: str, busy_seconds: float) -> sqlite3.Connection:
    # isolation_level None: transactions begin where this package says BEGIN, and nowhere else.
    # check_same_thread False: Store's lock makes threads take turns.
    return sqlite3.connect(
        f"{path.as_uri()}?mode={mode}",
        uri=True,
        timeout=busy_seconds,
        isolation_level=None,
        check_same_thread=False,
    )


def _prepare(connection: sqlite3.Connection) -> None:
    """Switches of this connection; none of them writes."""
    # FULL: every step is on the disk when it is said to be kept. A page may be gone from the web tomorrow, and the
    # few commits of an audit cost nothing beside its fetches. (NORMAL may lose the last commits with the power.)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    # A notebook may come from somebody else: nothing in its schema is to run functions with side effects.
    connection.execute("PRAGMA trusted_schema = OFF")


def _lately_sound(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether a large file was found sound within a day. Reading a few hundred megabytes takes half a second, which
    is too much for every command; SQLite still refuses whatever damage it meets on its way."""
    if path.stat().st_size <= LARGE:
        return False
    since = (datetime.now(UTC) - CHECK_AFTER).isoformat()
    try:
        asked = "SELECT 1 FROM upkeep WHERE name = 'found-sound' AND value BETWEEN ? AND ?"
        return connection.execute(asked, (since, datetime.now(UTC).isoformat())).fetchone() is not None
    except sqlite3.OperationalError:
        return False  # of an earlier schema


def _note_sound(connection: sqlite3.Connection, busy_seconds: float) -> None:
    """Of no weight: when another process writes just now, the next opening checks again."""
    connection.execute("PRAGMA busy_timeout = 0")
    with suppress(sqlite3.OperationalError):
        values = (datetime.now(UTC).isoformat(),)
        connection.execute("INSERT OR REPLACE INTO upkeep (name, value) VALUES ('found-sound', ?)", values)
    connection.execute(f"PRAGMA busy_timeout = {int(busy_seconds * 1000)}")


def _require_writable(connection: sqlite3.Connection, busy_seconds: float) -> None:
    """SQLite quietly opens for reading what it may not write, so ask for the write lock. That another process has it
    is no obstacle yet."""
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("ROLLBACK")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
            raise
    finally:
        connection.execute(f"PRAGMA busy_timeout = {int(busy_seconds * 1000)}")


def _journal(connection: sqlite3.Connection, busy_seconds: float) -> None:
    """Write-ahead log. The switch is refused at once, without waiting, while another process opens the file too."""
    until = time.monotonic() + busy_seconds
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
        time.sleep(0.02)
