"""Short names for rows that a person types again ("v3", "n12"), and dates as they are kept."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Final

from sqlite_utils import Database

from doubtwort.errors import CallError, NotInNotebook
from doubtwort.notebook.rows import Row, stored
from doubtwort.text import one_line

LETTERS: Final = {"entries": "v", "tastings": "n", "places": "p"}
_SAID: Final = {"entries": "entry", "tastings": "note", "places": "place"}
_PARTIAL = re.compile(r"\d{4}(?:-\d{2}(?:-\d{2})?)?")


def next_label(db: Database, table: str) -> str:
    """One more than the largest that was ever given, also to a row that was deleted since."""
    asked = f"""
        SELECT max(number) FROM (
            SELECT CAST(substr(label, 2) AS INTEGER) AS number FROM {table}
            UNION ALL
            SELECT CAST(substr(json_extract(coalesce(before, after), '$.label'), 2) AS INTEGER) FROM changes
            WHERE table_name = ? AND (before IS NULL OR after IS NULL)
        )
    """
    return f"{LETTERS[table]}{(db.execute(asked, (table,)).fetchone()[0] or 0) + 1}"


def row_labelled(db: Database, table: str, label: str) -> Row:
    for row in db.query(f"SELECT * FROM {table} WHERE label = ?", (stored(label),)):
        return dict(row)
    raise NotInNotebook(f"The notebook holds no {_SAID[table]} {one_line(label, 40)}. List them to see their names.")


def today() -> str:
    """This day in UTC, e.g. "2026-11-25"."""
    return datetime.now(UTC).date().isoformat()


def a_date(typed: str, *, partial: bool = False) -> str:
    """A date as kept (ISO 8601), "" for none; with ``partial`` a year or a month will do.

    >>> a_date("2026-11", partial=True), a_date("")
    ('2026-11', '')
    >>> a_date("25.11.2026")
    Traceback (most recent call last):
    doubtwort.errors.CallError: 25.11.2026 is no date. Write year, month and day: 2026-11-25.
    """
    said = typed.strip()
    if not said:
        return ""
    try:
        if partial and _PARTIAL.fullmatch(said):
            date.fromisoformat((said + "-01-01")[:10])
            return said
        return date.fromisoformat(said).isoformat() if len(said) == 10 else _no_date(typed)
    except ValueError:
        return _no_date(typed)


def _no_date(typed: str) -> str:
    raise CallError(f"{one_line(typed, 40)} is no date. Write year, month and day: 2026-11-25.")


def some_text(typed: str, what: str, most: int = 20_000) -> str:
    """Text as it may be kept: without white space around it, and not too long."""
    said = typed.strip()
    if len(said) > most:
        raise CallError(f"The {what} is longer than {most} characters. Shorten it.")
    return stored(said)
