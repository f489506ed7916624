"""One SQLite file: a connection, a lock, transactions, and errors that a user can act on.

Threads: one connection and one lock. Every transaction holds the lock from its BEGIN to its COMMIT, so threads take
turns; they are short (a source, a page), while the work around them (fetching, packing) runs outside the lock.
Processes: WAL lets others read during a write; a writer waits ``busy_seconds`` for its turn. Write transactions begin
IMMEDIATE, since one that reads first and then asks to write is refused at once instead of waiting (SQLite
documentation, "Transaction", section 2.2).
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Self

from sqlite_utils import Database

from doubtwort.errors import NotebookBusy, NotebookDamaged, NotebookError, NotebookReadOnly, NotebookTooNew
from doubtwort.notebook.rows import address, without_credentials
from doubtwort.notebook.search_index import bring_up_to_date
from doubtwort.settings import Settings
from doubtwort.text import one_line

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_NOT_WRITABLE = {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_AUTH}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_FORMAT}
_WRITE_FAILED = {
    sqlite3.SQLITE_IOERR_WRITE,
    sqlite3.SQLITE_IOERR_FSYNC,
    sqlite3.SQLITE_IOERR_DIR_FSYNC,
    sqlite3.SQLITE_IOERR_TRUNCATE,
    sqlite3.SQLITE_IOERR_SHMSIZE,
    sqlite3.SQLITE_IOERR_SHMOPEN,
    sqlite3.SQLITE_IOERR_DELETE,
}

_LEAST_ROOM = 65_536  # bytes: the index of the write-ahead log takes 32 kB and the log's first page follows


def explain(error: sqlite3.Error, path: Path) -> NotebookError:
    """The notebook error for what SQLite said (result codes: sqlite.org/rescode.html).

    >>> str(explain(sqlite3.ProgrammingError("Cannot operate on a closed database."), Path("n.sqlite")))
    'The notebook n.sqlite is closed.'
    """
    name = one_line(str(path))
    if isinstance(error, sqlite3.ProgrammingError):
        return NotebookError(f"The notebook {name} is closed.")
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)
    primary = code & 0xFF
    if primary in _BUSY:
        return NotebookBusy(
            f"Another process is using the notebook {name}. Wait until it is done, then run this again."
        )
    failed = primary in _NOT_WRITABLE or code in _WRITE_FAILED
    if primary == sqlite3.SQLITE_FULL or (failed and _no_room(path)):
        return NotebookReadOnly(
            f"No room to write to the notebook {name}: the disk is full. Make room, run this again."
        )
    if failed:
        return cannot_write(path, one_line(str(error), 200))
    if primary in _DAMAGED or primary == sqlite3.SQLITE_IOERR:
        return damaged(path, one_line(str(error), 200))
    return NotebookError(f"The notebook {name} could not be used: {one_line(str(error), 200)}.")


def _no_room(path: Path) -> bool:
    """SQLite calls a full disk by other names where it makes the files beside the notebook."""
    try:
        return shutil.disk_usage(path.expanduser().parent).free < _LEAST_ROOM
    except OSError:
        return False


def damaged(path: Path, why: str) -> NotebookDamaged:
    return NotebookDamaged(
        f"{one_line(str(path))} is not a sound notebook: {why}. It was left as it was. Its backups: doubtwort backups. "
        "To save what can be read: doubtwort rescue FILE --into NEW."
    )


def cannot_write(path: Path, why: str) -> NotebookReadOnly:
    return NotebookReadOnly(
        f"The notebook {one_line(str(path))} cannot be written to: {why}. "
        "Give yourself the right to write to the file and its folder, or use another file."
    )


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """SQLite's and sqlite-utils' errors leave as notebook errors."""
    try:
        yield
    except sqlite3.Error as error:
        raise explain(error, path) from error


class Store:
    """An open notebook file. ``version`` is its schema's number; ``settings`` bound what is kept and given back;
    ``canonical`` gives one spelling for one page, or "" for what is no web address."""

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        version: int,
        settings: Settings,
        canonical: Callable[[str], str],
    ) -> None:
        self.path = path
        self._canonical = canonical
        self.version = version
        self.settings = settings
        # Plugins that a user has installed for sqlite-utils have no business in the notebook.
        self.db = Database(connection, execute_plugins=False)
        self._lock = RLock()

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[Database]:
        with self._lock, explained(self.path):
            self.db.conn.execute(begin)
            try:
                yield self.db
                self.db.conn.execute("COMMIT")
            except BaseException:
                if self.db.conn.in_transaction:  # SQLite itself has already rolled back when the disk was full
                    self.db.conn.execute("ROLLBACK")
                raise

    @contextmanager
    def writing(self) -> Iterator[Database]:
        """All of the block is kept, or nothing of it. Blocks do not nest."""
        with self._transaction("BEGIN IMMEDIATE") as db:
            found = db.conn.execute("PRAGMA user_version").fetchone()[0]
            if found != self.version:
                raise NotebookTooNew(
                    f"The notebook {one_line(str(self.path))} was just changed by another version of doubtwort "
                    f"(schema {found}, this one writes {self.version}). Run this again with the later version."
                )
            yield db
            bring_up_to_date(db)

    @contextmanager
    def reading(self) -> Iterator[Database]:
        """One unchanging view of the file during the block."""
        with self._transaction("BEGIN") as db:
            yield db

    def key(self, url: str) -> str:
        """The spelling of an address under which its page is found again."""
        return without_credentials(self._canonical(url)) or address(url)

    def check(self) -> None:
        """Reads the whole file; raises ``NotebookDamaged`` when SQLite finds anything amiss."""
        with self._lock, explained(self.path):
            require_sound(self.db.conn, self.path, thorough=True)

    def close(self) -> None:
        with self._lock, explained(self.path):
            self.db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def unlink_with_logs(path: Path) -> None:
    """A file of which nothing is to be left, with what SQLite keeps beside it."""
    for each in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal"))):
        with suppress(OSError):
            each.unlink()


def require_no_log(path: Path) -> None:
    """Where a file is to be made, no log of another is left: SQLite would play it into the new one, or delete it."""
    for log in (path.with_name(path.name + end) for end in ("-wal", "-journal")):
        if log.is_file() and log.stat().st_size:
            raise NotebookError(
                f"There is no {one_line(str(path))}, but {one_line(log.name)} lies there: it may hold latest changes "
                "of a notebook. Put that notebook back beside it, or move it away."
            )


def named(partial: Path, final: Path) -> bool:
    """Gives a finished file its name for good; False where a file has that name, since nothing is written over: not
    even what another process made a moment ago. ``partial`` is still to be unlinked."""
    try:
        os.link(partial, final)
    except FileExistsError:
        return False
    except OSError:  # a file system without hard links
        if final.exists():
            return False
        partial.replace(final)
    sync_folder(final.parent)
    return True


def sync_folder(folder: Path) -> None:
    """Makes a file's new name outlast a loss of power. Where folders cannot be opened, nothing is done."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def require_sound(connection: sqlite3.Connection, path: Path, *, thorough: bool) -> None:
    """The quick check reads every page's structure (200 MB in 0.03 s when cached); the thorough one indexes too."""
    pragma = "integrity_check(1)" if thorough else "quick_check(1)"
    found = str(connection.execute(f"PRAGMA {pragma}").fetchone()[0])
    if found != "ok":
        raise damaged(path, one_line(found, 200))
    if thorough and (row := connection.execute("PRAGMA foreign_key_check").fetchone()):
        raise damaged(path, f"row {row[1]} of {row[0]} refers to a row of {row[2]} that is missing")
