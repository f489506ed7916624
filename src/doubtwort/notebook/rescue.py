"""What can still be read of a damaged notebook, saved into a new one. The damaged file itself is never written to.

Rows are read by their number, from both ends and between the damaged pages. What was read but has lost the row that it
belongs to goes into a file of JSON Lines beside the new notebook, so that nothing readable is thrown away.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections import Counter, deque
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, TextIO

from doubtwort.errors import CallError, NotebookDamaged, NotebookTooNew
from doubtwort.notebook.backups import backups
from doubtwort.notebook.header import mend_header, mend_schema
from doubtwort.notebook.incoming import blank, columns_of, insert_row, look_through, new_file
from doubtwort.notebook.kept import unzip
from doubtwort.notebook.rows import Row
from doubtwort.notebook.schema import APPLICATION_ID, shipped_migrations
from doubtwort.notebook.store import cannot_write, explained
from doubtwort.notebook.tables import TABLES, given_out
from doubtwort.settings import Settings
from doubtwort.text import one_line

MOST_PROBES: Final = 4_000  # ranges tried in one table
_BEYOND: Final = 100_000  # row numbers looked at behind the last one read, when the end cannot be reached
# Which table shows that a file has at least this schema, for one whose header is gone.
_SHOWS: Final = ((7, "transcripts"), (6, "upkeep"), (5, "search_queue"), (4, "entries"), (2, "claims"))
_NO_SCHEMA: Final = 1_000  # a number of a schema that no version will reach: the header is damaged
_VETTED_SINCE: Final = 3  # the schema with the vetted list and the latest ratings
DAMAGED: Final = "the notebook was damaged and rescued: what stands against this may be lost"


@dataclass(frozen=True, slots=True)
class Rescued:
    """``rows`` saved by table, ``lost`` tables of which some could not be read, rows that fit nowhere and the file
    that they are in, and the entries that went back to waiting. ``whole`` when nothing seems to be missing."""

    rows: dict[str, int]
    lost: tuple[str, ...]
    unplaced: int
    unplaced_file: Path | None
    back_to_waiting: tuple[str, ...]

    @property
    def whole(self) -> bool:
        return not self.lost and not self.unplaced


@dataclass(slots=True)
class _Saving:
    """A rescue at work."""

    there: sqlite3.Connection
    here: sqlite3.Connection
    aside: TextIO
    count: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)
    unplaced: int = 0

    def set_aside(self, table: str, row: dict[str, Any], why: str) -> None:
        self.unplaced += 1
        line = {"table": table, "row": row, "why": one_line(why, 200)}
        self.aside.write(json.dumps(line, ensure_ascii=False, default=repr) + "\n")


def rescue(damaged: Path, into: Path) -> Rescued:
    """Saves what can be read of the notebook ``damaged`` into the new file ``into``. Raises ``NotebookDamaged`` when
    nothing can be read, and tells of the backups that lie beside it."""
    damaged, into = damaged.expanduser(), into.expanduser()
    if not damaged.is_file():
        raise CallError(f"There is no file {one_line(str(damaged))}.")
    aside = into.with_name(f"{into.name}.unplaced.jsonl")
    if aside.exists():
        raise CallError(f"{one_line(str(aside))} is there already. Name another file.")
    with TemporaryDirectory(prefix="doubtwort-") as folder, new_file(into) as partial, explained(into):
        copy = Path(folder) / "damaged.sqlite"
        _copy(damaged, copy)
        mend_header(copy)
        mend_schema(copy, TABLES, _described)
        rest = Path(folder) / "unplaced.jsonl"
        with rest.open("w", encoding="utf-8", errors="backslashreplace") as file:
            saving = _save(copy, partial, file, damaged)
        by_rule = look_through(partial)
        moved = tuple(dict.fromkeys([*_doubted(partial), *by_rule]))
        if saving.unplaced:
            shutil.copyfile(rest, aside)
    return Rescued(
        {table: number for table, number in saving.count.items() if number},
        tuple(saving.lost),
        saving.unplaced,
        aside if saving.unplaced else None,
        moved,
    )


def _copy(damaged: Path, copy: Path) -> None:
    try:
        shutil.copyfile(damaged, copy)
        log = damaged.with_name(damaged.name + "-wal")
        if log.is_file():  # the latest changes, if they had not reached the file itself
            shutil.copyfile(log, copy.with_name(copy.name + "-wal"))
    except OSError as error:
        raise cannot_write(copy, error.strerror or str(error)) from error


def _save(copy: Path, partial: Path, aside: TextIO, damaged: Path) -> _Saving:
    with (
        closing(sqlite3.connect(copy, isolation_level=None)) as there,
        closing(sqlite3.connect(partial, isolation_level=None)) as here,
    ):
        there.text_factory = lambda raw: raw.decode("utf-8", "replace")
        there.row_factory = sqlite3.Row
        version = _version(there, damaged)
        blank(here, version)
        here.execute("BEGIN")
        saving = _Saving(there, here, aside)
        columns = columns_of(here)
        for table in columns:
            _table(saving, columns, table)
        if not saving.count:
            raise _nothing(damaged)
        _missing_taxa(here)
        _orphans(saving)
        if version >= _VETTED_SINCE:
            _latest_ratings(here)
            if saving.lost or saving.unplaced:
                _doubt_entries(here)
        here.execute("COMMIT")
    return saving


def _nothing(damaged: Path) -> NotebookDamaged:
    kept = backups(damaged)
    advice = f"The latest backup is {kept[0].path.name}." if kept else "There is no backup beside it."
    return NotebookDamaged(f"Nothing could be read of {one_line(str(damaged))}. {advice}")


def _version(there: sqlite3.Connection, damaged: Path) -> int:
    """The schema's number, from the header or else from the tables that are there."""
    known = len(shipped_migrations())
    try:
        names = {str(row[0]) for row in there.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        said = int(there.execute("PRAGMA user_version").fetchone()[0])
        marked = there.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
    except sqlite3.DatabaseError as error:
        raise _nothing(damaged) from error
    if "claims" not in names or "taxa" not in names:
        raise _nothing(damaged)
    if marked and known < said < _NO_SCHEMA:
        raise NotebookTooNew(
            f"{one_line(str(damaged))} was written by a later version of doubtwort (schema {said}, this one knows "
            f"{known}). Update doubtwort: the later version knows what else may be in it."
        )
    if marked and 1 <= said <= known:
        return said
    return next(number for number, table in _SHOWS if table in names and number <= known)


def _described(version: int) -> dict[str, str]:
    """Table → the statement that makes it, in a schema; in the present one for a number that is none."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as model:
        blank(model, version if 1 <= version <= len(shipped_migrations()) else len(shipped_migrations()))
        return dict(model.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'").fetchall())


def _table(saving: _Saving, columns: dict[str, dict[str, str]], table: str) -> None:
    named = ", ".join(columns[table])
    for row in _rows(saving, table, named):
        cells = dict(zip(columns[table], row, strict=True))
        if table == "bodies" and table not in saving.lost and not _is_whole(cells):
            saving.lost.append(table)  # kept all the same: it is never given out as the page
        out = given_out(table, cells)
        try:
            insert_row(saving.here, columns, table, out)
            saving.count[table] += 1
        except (ValueError, sqlite3.Error, RecursionError) as error:
            saving.set_aside(table, out, str(error))


def _is_whole(body: Row) -> bool:
    """Whether a page's bytes are still those of its SHA-256: the one damage that SQLite does not see."""
    if not isinstance(body["zlib"], bytes) or type(body["size"]) is not int:
        return False
    found = unzip(body["zlib"], body["size"], Settings().max_body)
    return found is not None and sha256(found).hexdigest() == body["sha256"]


def _rows(saving: _Saving, table: str, named: str) -> Iterator[tuple[Any, ...]]:
    """All rows of a table that can be read. A stretch that breaks off is read from its other end, and what is left
    between is halved until every readable row was met."""
    probes = 0
    spans: deque[tuple[int, int | None]] = deque([(-(2**63), None)])  # numbers of rows, both ends included
    while spans and probes < MOST_PROBES:
        low, high = spans.popleft()  # the widest first
        probes += 1
        try:
            for row in _span(saving, table, named, low, high):
                low = row[0] + 1
                yield row[1:]
            continue
        except sqlite3.Error:
            if table not in saving.lost:
                saving.lost.append(table)
        if low == high:
            continue
        with suppress(sqlite3.Error):
            for row in _span(saving, table, named, low, high, "DESC"):
                high = row[0] - 1
                yield row[1:]
            continue
        low = max(low, 1)
        high = low + _BEYOND if high is None else high
        if low < high:
            middle = (low + high) // 2
            spans += [(low, middle), (middle + 1, high)]
        elif low == high:
            spans.append((low, high))


def _span(
    saving: _Saving, table: str, named: str, low: int, high: int | None, order: str = ""
) -> Iterator[tuple[Any, ...]]:
    """Rows in a span of numbers. A single row is asked for by its number alone: looking for the next one would lead
    to the damaged page behind it."""
    below = "" if high is None else f"AND rowid <= {high}"
    where = f"rowid = {low}" if low == high else f"rowid >= {low} {below} ORDER BY rowid {order}"
    for row in saving.there.execute(f"SELECT rowid, {named} FROM {table} NOT INDEXED WHERE {where}"):
        yield tuple(row)


def _missing_taxa(here: sqlite3.Connection) -> None:
    """A claim tells the name of its taxon: where that taxon's row is lost, it is made again."""
    if "scientific_name" not in {row[1] for row in here.execute("PRAGMA table_info(claims)")}:
        return
    here.execute(
        """
        INSERT OR IGNORE INTO taxa (id, scientific_name, family)
        SELECT taxon_id, scientific_name, max(family) FROM claims
        WHERE taxon_id NOT IN (SELECT id FROM taxa) GROUP BY taxon_id
        """
    )


def _orphans(saving: _Saving) -> None:
    """Rows that refer to a row that is lost: freed where the schema lets them stand alone, else set aside."""
    here = saving.here
    free = {("fetches", "audits"): "audit_id", ("history", "history"): "undoes = NULL, undone_by"}
    while broken := here.execute("PRAGMA foreign_key_check").fetchall():
        for table, row_id, parent, _ in broken:
            column = free.get((table, parent))
            if column:
                here.execute(f"UPDATE {table} SET {column} = NULL WHERE rowid = ?", (row_id,))
                continue
            found = here.execute(f"SELECT * FROM {table} WHERE rowid = ?", (row_id,))
            names = [each[0] for each in found.description]
            for row in found.fetchall():
                cells: Row = dict(zip(names, row, strict=True))
                saving.set_aside(table, given_out(table, cells), f"its row of {parent} is lost")
                saving.count[table] -= 1
            here.execute(f"DELETE FROM {table} WHERE rowid = ?", (row_id,))


def _latest_ratings(here: sqlite3.Connection) -> None:
    latest = """
        (SELECT max(audits.id) FROM audits JOIN claims ON claims.id = audits.claim_id
        WHERE audits.state = 'done' AND claims.label = claim_ratings.label)
    """
    here.execute(f"UPDATE claim_ratings SET audit_id = {latest}")
    here.execute("UPDATE claim_ratings SET rating = NULL, rated_at = NULL, alarm = 0 WHERE audit_id IS NULL")


def _doubt_entries(here: sqlite3.Connection) -> None:
    """Nobody can tell whether a warning is among what was lost."""
    asked = "UPDATE entries SET status = 'waiting', waiting_because = ? WHERE status = 'accepted'"
    here.execute(asked, (f"{DAMAGED}.",))


def _doubted(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        asked = "SELECT label FROM entries WHERE waiting_because = ? ORDER BY id"
        return [str(row[0]) for row in connection.execute(asked, (f"{DAMAGED}.",))]
