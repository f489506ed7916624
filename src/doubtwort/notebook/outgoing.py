"""All rows of a notebook on their way out: whole, but for what is held back unless asked for.

Held back: exact places (they go coarsened, without their remarks, and are taken out of the keeper's own words), the
history (which may hold exact places), and the pages as fetched (other people's works, and most of the file). Passages
that the keeper transcribed go with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.notebook.place_words import OWN_WORDS, hiding
from doubtwort.notebook.places import Place, Precision, coarsened
from doubtwort.notebook.rows import Row
from doubtwort.notebook.tables import HISTORY, TABLES, given_out

_TRANSCRIBED = "sha256 IN (SELECT sha256 FROM transcripts)"


@dataclass(frozen=True, slots=True)
class Scope:
    """What goes out beyond the ordinary. ``history`` may hold exact places, so it goes with ``places`` only."""

    places: bool = False
    history: bool = False
    pages: bool = False

    def __post_init__(self) -> None:
        if self.history and not self.places:
            raise CallError("The history may hold exact places. To give it out, add --with-places.")


def rows_out(db: Database, scope: Scope) -> Iterator[tuple[str, dict[str, Any]]]:
    """(table, row) in the order in which they can be taken in again, one at a time. Use within ``Store.reading``."""
    hidden = hiding(db)
    for table in TABLES:
        where = _where(table, scope)
        if where:
            for row in db.query(f"SELECT * FROM {table} WHERE {where} ORDER BY rowid"):
                yield table, given_out(table, row if scope.places else _roughened(table, row, hidden))


def _where(table: str, scope: Scope) -> str:
    """ "" for a table that stays here."""
    if table in HISTORY:
        return "1" if scope.history else ""
    if table == "fetches":
        return "1" if scope.pages else ""
    if table == "bodies" and not scope.pages:
        return _TRANSCRIBED
    return "1"


def _roughened(table: str, row: Row, hidden: Callable[[str], str]) -> Row:
    row = row | {column: hidden(row[column]) for column in OWN_WORDS.get(table, ())}
    if table != "places":
        return row
    rough = coarsened(Place(Precision(row["precision"]), row["latitude"], row["longitude"]))
    cells = {"precision": rough.precision.value, "latitude": rough.latitude, "longitude": rough.longitude}
    return row | cells | {"spot": "", "remarks": ""}
