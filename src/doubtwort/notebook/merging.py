"""What the steps of a merge share: both databases, which row became which, and what to tell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlite_utils import Database

from doubtwort.notebook.history import Change
from doubtwort.notebook.place_words import hiding
from doubtwort.notebook.rows import Row, given, stored
from doubtwort.text import one_line


@dataclass(frozen=True, slots=True)
class Conflict:
    """Both notebooks say something of one thing, and not the same. ``kept`` tells what was done about it."""

    what: str
    here: str
    there: str
    kept: str


@dataclass(slots=True)
class Merging:
    """A merge at work. ``taxon_of``, ``claim_row`` and ``audit_of`` lead from the other's row to this notebook's;
    ``claim_of`` from the other's id of a claim to the one that it has here; ``renamed`` from a taxon's row there to its
    name there, where it has another here."""

    mine: Database
    theirs: Database
    change: Change
    key: Callable[[str], str]
    name: str
    taxon_of: dict[int, int] = field(default_factory=dict)
    renamed: dict[int, str] = field(default_factory=dict)
    claim_row: dict[int, int] = field(default_factory=dict)
    claim_of: dict[str, str] = field(default_factory=dict)
    audit_of: dict[int, int] = field(default_factory=dict)
    added: Counter[str] = field(default_factory=Counter)
    conflicts: list[Conflict] = field(default_factory=list)
    moved: list[str] = field(default_factory=list)
    hidden: Callable[[str], str] = field(init=False)

    def __post_init__(self) -> None:
        self.hidden = hiding(self.mine)

    def is_same(self, here: Row, there: Row, columns: Iterable[str]) -> bool:
        """The same cells, or those of here as they were given out, without places."""
        return all(
            here[each] == there[each] or (isinstance(here[each], str) and self.hidden(here[each]) == there[each])
            for each in columns
        )

    def says(self, here: str, there: str) -> bool:
        """Whether a text of here has the other's words in it, maybe as they were given out, without places."""
        return there in here or there in self.hidden(here)

    def tell(self, what: str, here: str, there: str, kept: str) -> None:
        texts = (given(what), given(here), given(there), kept)
        self.conflicts.append(Conflict(*(one_line(each, 300) for each in texts)))

    def insert(self, table: str, row: Row) -> int:
        """A row that a person wrote, noted in the history."""
        self.added[table] += 1
        return self.change.insert(table, without_id(row))

    def add(self, table: str, row: Row) -> int:
        """A row of evidence: not noted one by one."""
        self.added[table] += 1
        cells = without_id(row)
        asked = f"INSERT INTO {table} ({', '.join(cells)}) VALUES ({', '.join('?' * len(cells))})"
        return int(self.mine.execute(asked, [*cells.values()]).lastrowid or 0)

    def named(self, taxon_id: int) -> str:
        """The accepted name here, as stored."""
        found = self.mine.execute("SELECT scientific_name FROM taxa WHERE id = ?", (taxon_id,)).fetchone()
        return str(found[0])


def without_id(row: Row) -> Row:
    return {column: cell for column, cell in row.items() if column != "id"}


def rows(db: Database, table: str, where: str = "1", values: Iterable[Any] = (), order: str = "id") -> list[Row]:
    return [dict(row) for row in db.query(f"SELECT * FROM {table} WHERE {where} ORDER BY {order}", tuple(values))]


def noted(text: str, more: str) -> str:
    """A stored text with a sentence more, once."""
    said = stored(more)
    return text if said in text else f"{text} {said}".strip()


def in_order(db: Database, table: str, row_ids: list[int], children: Iterable[tuple[str, str]] = ()) -> dict[int, int]:
    """Gives rows new numbers so that they stand in this order, the latest last: everywhere in a notebook the row with
    the largest number counts. Rows before the first that stands wrong keep theirs. Gives old number → new."""
    moved: dict[int, int] = {}
    last = 0
    free = int(db.execute(f"SELECT coalesce(max(id), 0) FROM {table}").fetchone()[0])
    for row_id in row_ids:
        if row_id > last:
            last = row_id
            continue
        free += 1
        db.execute(f"UPDATE {table} SET id = ? WHERE id = ?", (free, row_id))
        for child, column in children:
            db.execute(f"UPDATE {child} SET {column} = ? WHERE {column} = ?", (free, row_id))
        moved[row_id] = last = free
    return moved
