"""Every change of what a person has written down, with the rows before and after it, so that it can be undone.

A change that an audit has brought is told too, but not undone: evidence is never taken back.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.notebook.kept import now
from doubtwort.notebook.rows import Row, given, stored
from doubtwort.notebook.store import Store
from doubtwort.text import one_line

# Rows that other rows may have come to rest on meanwhile; an undo leaves them where they are then.
_LEFT_BEHIND: Final = ("taxa", "names", "citation_keys", "claim_names")

MERGED: Final = "merged with "  # begins what is told of a merge


@dataclass(frozen=True, slots=True)
class Event:
    """One change of the notebook. ``what`` is a sentence; ``undone`` tells that a later event took it back."""

    id: int
    at: str
    what: str
    undoable: bool
    undone: bool


class Change:
    """Writes rows and notes each of them. Its table names come from this package alone."""

    def __init__(self, db: Database, event: int) -> None:
        self.db, self.event = db, event

    def insert(self, table: str, row: Row) -> int:
        row_id = int(self.db.table(table).insert(row).last_rowid or 0)
        self._note(table, row_id, None, self._image(table, row_id))
        return row_id

    def update(self, table: str, row_id: int, values: Row) -> None:
        before = self._image(table, row_id)
        self.db.table(table).update(row_id, values)
        after = self._image(table, row_id)
        if before != after:
            self._note(table, row_id, before, after)

    def delete(self, table: str, row_id: int) -> None:
        before = self._image(table, row_id)
        self.db.execute(f"DELETE FROM {table} WHERE id = ?", (row_id,))
        self._note(table, row_id, before, None)

    def put_back(self, table: str, row_id: int, image: str) -> None:
        """A deleted row again, under the number that it had."""
        row = json.loads(image)
        self.db.execute(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})", [*row.values()])
        self._note(table, row_id, None, image)

    def delete_where(self, table: str, where: str, values: tuple[Any, ...]) -> None:
        for (row_id,) in self.db.execute(f"SELECT id FROM {table} WHERE {where} ORDER BY id", values).fetchall():
            self.delete(table, row_id)

    @contextmanager
    def noting_new(self, *tables: str) -> Iterator[None]:
        """Notes the rows that the block adds to these tables by other ways; parents are named before children."""
        last = {each: self._last(each) for each in tables}
        yield
        for table in tables:
            asked = f"SELECT id FROM {table} WHERE id > ? ORDER BY id"
            for (row_id,) in self.db.execute(asked, (last[table],)).fetchall():
                self._note(table, row_id, None, self._image(table, row_id))

    def image_is(self, table: str, row_id: int, image: str | None) -> bool:
        return self._image(table, row_id) == image

    def _last(self, table: str) -> int:
        return int(self.db.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()[0])

    def _image(self, table: str, row_id: int) -> str | None:
        for row in self.db.query(f"SELECT * FROM {table} WHERE id = ?", (row_id,)):
            return json.dumps(row, ensure_ascii=False, sort_keys=True)
        return None

    def _note(self, table: str, row_id: int, before: str | None, after: str | None) -> None:
        row = {"history_id": self.event, "table_name": table, "row_id": row_id, "before": before, "after": after}
        self.db.table("changes").insert(row)


def begin(db: Database, what: str, *, undoable: bool = True, undoes: int | None = None) -> Change:
    """A new event, within a write transaction."""
    row = {"at": now(), "what": stored(one_line(what, 500)), "undoable": int(undoable), "undoes": undoes}
    return Change(db, int(db.table("history").insert(row).last_rowid or 0))


@contextmanager
def changing(store: Store, what: str) -> Iterator[Change]:
    """All of the block is kept as one event, or nothing of it."""
    with store.writing() as db:
        yield begin(db, what)


def events(store: Store, limit: int = 50) -> tuple[Event, ...]:
    """The latest events, the last one first."""
    with store.reading() as db:
        return tuple(
            Event(row["id"], row["at"], given(row["what"]), bool(row["undoable"]), row["undone_by"] is not None)
            for row in db.query("SELECT * FROM history ORDER BY id DESC LIMIT ?", (limit,))
        )


def undo(store: Store, event: int | None = None) -> Event:
    """Takes back the last event that can be, or the one of this number; gives it. An undo is an event itself and
    can be undone by its number."""
    from doubtwort.notebook.ruling import settle  # which writes history itself

    with store.writing() as db:
        row = _to_undo(db, event)
        change = begin(db, f"undone: {given(row['what'])}", undoes=row["id"])
        asked = "SELECT * FROM changes WHERE history_id = ? ORDER BY id DESC"
        for each in list(db.query(asked, (row["id"],))):
            _take_back(change, each, row["id"])
        db.table("history").update(row["id"], {"undone_by": change.event})
        settle(change)
    return Event(row["id"], row["at"], given(row["what"]), True, True)


def _to_undo(db: Database, event: int | None) -> Row:
    asked = "SELECT * FROM history WHERE undoable AND undone_by IS NULL AND "
    if event is None:
        found = list(db.query(f"{asked} undoes IS NULL ORDER BY id DESC LIMIT 1"))
        by_merge = "SELECT * FROM history WHERE NOT undoable AND what LIKE ? ORDER BY id DESC LIMIT 1"
        merged = list(db.query(by_merge, (f"{MERGED}%",)))
        if merged and (not found or merged[0]["id"] > found[0]["id"]):
            earlier = f" To undo what came before it: --event {found[0]['id']}" if found else ""
            raise CallError(f"{_not_undone(merged[0])}{earlier}")
        if not found:
            raise CallError("There is nothing to undo.")
        return dict(found[0])
    found = list(db.query("SELECT * FROM history WHERE id = ?", (event,)))
    if not found:
        raise CallError(f"There is no event {event} in the history. See: doubtwort history")
    row = dict(found[0])
    if row["undone_by"] is not None:
        raise CallError(f"Event {event} has been undone already.")
    if not row["undoable"]:
        raise CallError(_not_undone(row))
    return row


def _not_undone(row: Row) -> str:
    what = given(row["what"])
    if what.startswith(MERGED):
        return f"Event {row['id']} ({what}) is not undone: the way back is the backup of before (doubtwort backups)."
    return f"Event {row['id']} came with an audit or a file and is not undone: evidence is never taken back."


def _take_back(change: Change, each: Row, event: int) -> None:
    table, row_id, before, after = each["table_name"], each["row_id"], each["before"], each["after"]
    if not change.image_is(table, row_id, after):
        raise _moved_on(event, "what it changed was changed again since")
    try:
        if before is None:
            change.delete(table, row_id)
        elif after is None:
            change.put_back(table, row_id, before)
        else:
            change.update(table, row_id, json.loads(before))
    except sqlite3.IntegrityError as error:
        if not (before is None and table in _LEFT_BEHIND):
            raise _moved_on(event, "later entries rest on it") from error


def _moved_on(event: int, why: str) -> CallError:
    return CallError(f"Event {event} cannot be undone: {why}. Undo the later events first (doubtwort history).")
