"""Two notebooks become one: everything of the other is added to this one, nothing of either is lost.

Where both say something different of one thing, both are kept and a ``Conflict`` tells of it. Nothing becomes more
acceptable by a merge: an entry that either of the two did not accept is not accepted after it, and of two latest
ratings of one claim the one that alarms counts until the claim is looked at again.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from doubtwort.errors import CallError, NotebookDamaged, NotebookError
from doubtwort.notebook.history import MERGED, begin
from doubtwort.notebook.incoming import look_through, proof_read
from doubtwort.notebook.merge_claims import merge_claims
from doubtwort.notebook.merge_evidence import merge_evidence
from doubtwort.notebook.merge_list import merge_list
from doubtwort.notebook.merge_taxa import merge_taxa
from doubtwort.notebook.merging import Conflict, Merging
from doubtwort.notebook.notebook import open_notebook
from doubtwort.notebook.ruling import hold_to_rule
from doubtwort.notebook.schema import back_up
from doubtwort.notebook.store import Store, damaged, explained
from doubtwort.text import one_line


@dataclass(frozen=True, slots=True)
class Merged:
    """What came of a merge: how many rows were ``added`` by table, the ``conflicts``, the entries that went
    ``back_to_waiting``, and the ``backup`` of the notebook as it was before (None when it held nothing, or when
    nothing was added)."""

    added: dict[str, int]
    conflicts: tuple[Conflict, ...]
    back_to_waiting: tuple[str, ...]
    backup: Path | None


def merge(store: Store, other: Path, *, name: str = "") -> Merged:
    """Adds all that the notebook file ``other`` holds, in one transaction. The other file is only read. ``name`` is
    how it is called in what is written down, by default its file's name."""
    if _same_file(other, store.path):
        raise CallError(f"{one_line(str(other))} is this very notebook. Name the other one.")
    with copy_of(other) as copy:
        try:
            look_through(copy)
            with open_notebook(copy, create=False) as there:
                proof_read(there)
        except NotebookError as error:  # which speaks of the copy
            raise type(error)(str(error).replace(str(copy), one_line(str(other)))) from error
        return merge_copy(store, copy, one_line(name or other.name, 80))


def merge_copy(store: Store, copy: Path, name: str) -> Merged:
    """As ``merge``, from a file of the present schema that may be thrown away."""
    backup = _backed_up(store)
    try:
        with open_notebook(copy, create=False) as other, other.reading() as theirs, store.writing() as mine:
            change = begin(mine, f"{MERGED}{name}", undoable=False)
            work = Merging(mine, theirs, change, store.key, name)
            for step in (merge_taxa, merge_claims, merge_evidence, merge_list):
                step(work)
            moved = tuple(dict.fromkeys([*work.moved, *hold_to_rule(change)]))
            added = {table: number for table, number in work.added.items() if number}
            if not added and not mine.execute("SELECT 1 FROM changes WHERE history_id = ?", (change.event,)).fetchone():
                mine.execute("DELETE FROM history WHERE id = ?", (change.event,))
                _thrown_away(backup)
                backup = None
            else:
                mine.table("history").update(change.event, {"what": _told(name, work.added, len(work.conflicts))})
    except (ValueError, TypeError, KeyError) as error:
        _thrown_away(backup)
        raise NotebookDamaged(
            f"{name} cannot be merged: a cell of it cannot be read ({one_line(str(error), 120)}). "
            "Nothing was taken from it."
        ) from error
    except BaseException:
        _thrown_away(backup)
        raise
    return Merged(added, tuple(work.conflicts), moved, backup)


def _told(name: str, added: Counter[str], conflicts: int) -> str:
    counted = ", ".join(f"{added[each]} {each}" for each in ("claims", "audits", "entries", "tastings") if added[each])
    return f"{MERGED}{name}: {counted or 'no new claims'}; {conflicts} conflicts"


def _same_file(one: Path, other: Path) -> bool:
    try:
        return os.path.samefile(one.expanduser(), other)
    except OSError:
        return False


@contextmanager
def copy_of(other: Path) -> Iterator[Path]:
    """The notebook file as it is now, copied to where it may be migrated. Taken through SQLite where it lets itself
    be opened, else file by file (a read-only folder)."""
    path = other.expanduser()
    if not path.is_file():
        raise CallError(f"There is no notebook {one_line(str(other))}.")
    with path.open("rb") as file:
        begins = file.read(1)
    if begins in (b"{", b"\xef"):  # JSON Lines, CSV
        raise CallError(f"{one_line(str(other))} is no SQLite file. An export is taken in by: doubtwort import FILE")
    if not begins:
        raise damaged(other, "it is empty")
    with TemporaryDirectory(prefix="doubtwort-") as folder:
        copy = Path(folder) / "other.sqlite"
        with explained(other):
            try:
                address = f"{path.resolve().as_uri()}?mode=ro"
                with (
                    closing(sqlite3.connect(address, uri=True)) as there,
                    closing(sqlite3.connect(copy)) as here,
                ):
                    there.backup(here)
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
                    raise
                copy.unlink(missing_ok=True)
                shutil.copyfile(path, copy)
                if (log := path.with_name(path.name + "-wal")).is_file():
                    shutil.copyfile(log, copy.with_name(copy.name + "-wal"))
        yield copy


def _backed_up(store: Store) -> Path | None:
    with store.reading() as db:
        holds = any(
            db.execute(f"SELECT 1 FROM {table} LIMIT 1").fetchone()
            for table in ("taxa", "claims", "fetches", "entries", "tastings", "places")
        )
        return back_up(db.conn, store.path, store.version) if holds else None


def _thrown_away(backup: Path | None) -> None:
    if backup is not None:
        backup.unlink(missing_ok=True)
