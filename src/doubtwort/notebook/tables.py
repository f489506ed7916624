"""The notebook's tables as they leave and come in: their order, and which columns hold lists or words of a fixed list.

Columns are those of ``claims_db/SCHEMA.md``. A cell with a list is given out as a JSON array, one with bytes in base64.
"""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Mapping
from enum import StrEnum
from typing import Any, Final

from doubtwort.model import About, Certainty, Eater, Grounds, Outcome, Rating, Shift, UnreadReason, Wording
from doubtwort.notebook.places import SiteCaution
from doubtwort.notebook.rows import Row, without_credentials

# Parents stand before their children; claims before audits, from which triggers keep the latest ratings.
TABLES: Final = (
    "taxa", "former_names", "names", "claims", "claim_names", "origins", "audits", "sources", "citations",
    "citation_keys", "statements", "notices", "cautions", "steps", "root_groups", "bodies", "fetches", "transcripts",
    "entries", "entry_claims", "tastings", "places", "history", "changes",
)  # fmt: skip
HISTORY: Final = ("history", "changes")
LISTS: Final = frozenset(
    "parts preparations stages cited_by reasons notes except_parts rules headings urls authors objections".split()
)
_LISTS_OF: Final = {("statements", "citations"), ("places", "cautions")}
_ADDRESSES: Final = {
    ("claims", "url"), ("sources", "url"), ("sources", "final_url"), ("sources", "detail"), ("citations", "text"),
    ("citations", "archived_url"), ("cautions", "source"), ("fetches", "canonical_url"), ("fetches", "url"),
    ("fetches", "final_url"), ("fetches", "detail"), ("citation_keys", "key"),
}  # fmt: skip
_WORDS: Final[Mapping[tuple[str, str], type[StrEnum]]] = {
    ("claims", "wording"): Wording, ("claims", "certainty"): Certainty, ("statements", "wording"): Wording,
    ("statements", "about"): About, ("statements", "eater"): Eater, ("statements", "certainty"): Certainty,
    ("notices", "about"): About, ("sources", "outcome"): Outcome, ("sources", "reason"): UnreadReason,
    ("sources", "grounds"): Grounds, ("audits", "rating"): Rating, ("steps", "shift"): Shift,
    ("fetches", "reason"): UnreadReason, ("entry_claims", "rating"): Rating,
}  # fmt: skip
_MOST_NUMBER: Final = 2**63 - 1


def is_list(table: str, column: str) -> bool:
    return column in LISTS or (table, column) in _LISTS_OF


def given_out(table: str, row: Row) -> dict[str, Any]:
    """A row as JSON can hold it.

    >>> given_out("statements", {"id": 1, "parts": '["leaf"]'})
    {'id': 1, 'parts': ['leaf']}
    """
    return {column: _out(table, column, cell) for column, cell in row.items()}


def _out(table: str, column: str, cell: Any) -> Any:
    if isinstance(cell, bytes):
        return base64.b64encode(cell).decode("ascii")
    if isinstance(cell, str) and (is_list(table, column) or column in ("months", "headers")):
        try:
            value = json.loads(cell)
        except ValueError:
            return cell
        # A cell that another tool wrote with other spacing goes out as it is, so that it comes back as it was.
        return value if json.dumps(value, ensure_ascii=False) == cell else cell
    return cell


def taken_in(table: str, column: str, kind: str, value: Any) -> Any:
    """The cell for a value that came in; ValueError says what is wrong with it. ``kind`` is the column's type.

    >>> taken_in("statements", "parts", "TEXT", ["leaf"])
    '["leaf"]'
    >>> taken_in("claims", "wording", "TEXT", "delicious")
    Traceback (most recent call last):
    ValueError: wording: 'delicious' is no word of that list
    """
    if value is None:
        return None
    if is_list(table, column) or column == "months":
        return _list(table, column, value)
    if column == "headers":
        return _headers(value)
    if isinstance(value, bool):
        raise ValueError(f"{column}: a number or text is due, not {str(value).lower()}")
    if kind == "BLOB":
        return _bytes(column, value)
    if kind == "TEXT":
        return _text(table, column, value)
    whole = isinstance(value, int) and abs(value) <= _MOST_NUMBER
    if not (whole or (kind == "REAL" and isinstance(value, float))):
        raise ValueError(f"{column}: a number is due")
    return value


def _text(table: str, column: str, value: Any) -> str:
    if not isinstance(value, str) or "\x00" in value or any("\ud800" <= each <= "\udfff" for each in value):
        raise ValueError(f"{column}: a text is due")
    words = _WORDS.get((table, column))
    if words is not None and not (value == "" and table == "entry_claims"):
        try:
            words(value)
        except ValueError:
            raise ValueError(f"{column}: {value[:40]!r} is no word of that list") from None
    return without_credentials(value) if (table, column) in _ADDRESSES else value


def _list(table: str, column: str, value: Any) -> str:
    items = json.loads(value) if isinstance(value, str) else value
    kind: type = int if column == "months" else str
    if not isinstance(items, list) or not all(type(each) is kind for each in items):
        raise ValueError(f"{column}: a list of {'numbers' if kind is int else 'texts'} is due")
    if column == "months" and not all(1 <= each <= 12 for each in items):
        raise ValueError("months: a month is a number from 1 to 12")
    if (table, column) == ("places", "cautions") and not set(items) <= set(SiteCaution):
        raise ValueError("cautions: one is no word of that list")
    if column == "urls":
        items = [without_credentials(each) for each in items]
    text = value if isinstance(value, str) and column != "urls" else json.dumps(items, ensure_ascii=False)
    return _text(table, "", text)


def _headers(value: Any) -> str:
    found = json.loads(value) if isinstance(value, str) else value
    if not isinstance(found, dict) or not all(isinstance(each, str) for each in found.values()):
        raise ValueError("headers: an object of texts is due")
    return value if isinstance(value, str) else json.dumps(found, ensure_ascii=False)


def _bytes(column: str, value: Any) -> bytes:
    try:
        return base64.b64decode(value, validate=True)
    except (binascii.Error, TypeError, ValueError):
        raise ValueError(f"{column}: bytes in base64 are due") from None
