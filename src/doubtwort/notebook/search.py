"""Full-text search over what was claimed, what sources say, and what the keeper wrote. Warnings are found first."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.model import Outcome, Rating
from doubtwort.notebook.rows import Row, given
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import taxon_id_of

_TERM = re.compile(r'(-?)"([^"]*)"(\*?)|(-?)([^\s"]+)')
_MOST_TERMS: Final = 30
# Statements looked through for one page of results when a filter is set that the index does not know.
_MOST_LOOKED_AT: Final = 20_000


class Kind(StrEnum):
    """What was found: a claim's words, a source's statement, the work a claim stands in, an entry, a note, a place."""

    CLAIM = "claim"
    STATEMENT = "statement"
    ORIGIN = "origin"
    ENTRY = "entry"
    TASTING = "note"
    PLACE = "place"


@dataclass(frozen=True, slots=True)
class Filters:
    """Only what belongs to this taxon, to claims so rated, to this part, to sources of this outcome."""

    taxon: str = ""
    rating: Rating | None = None
    part: str = ""
    outcome: Outcome | None = None


@dataclass(frozen=True, slots=True)
class Hit:
    """``ref`` is the id to look it up by: a claim's, an entry's, a note's, a place's. ``wording`` is that of the claim
    or statement, else "". ``rating`` is that of the claim now."""

    kind: Kind
    ref: str
    taxon: str
    text: str
    wording: str = ""
    rating: Rating | None = None
    source: str = ""
    url: str = ""


def match_expression(typed: str) -> str:
    """What a person typed as an FTS5 query: words that must all occur, "phrases", word beginnings (leav*), -not.

    >>> match_expression('young leav* "not edible" -raw')
    '("young" AND "leav"* AND "not edible") NOT "raw"'
    """
    wanted: list[str] = []
    unwanted: list[str] = []
    for minus_phrase, phrase, phrase_star, minus_word, word in _TERM.findall(typed.replace("\x00", " ")):
        star = "*" if phrase_star or word.endswith("*") else ""
        said = (phrase or word).strip("*")
        if not any(each.isalnum() for each in said):
            continue
        (unwanted if minus_phrase or minus_word else wanted).append(f'"{said.replace(chr(34), "")}"{star}')
    if not wanted:
        raise CallError("Give at least one word to look for.")
    if len(wanted) + len(unwanted) > _MOST_TERMS:
        raise CallError(f"Give at most {_MOST_TERMS} words to look for.")
    expression = " AND ".join(wanted)
    return f"({expression}) NOT {' NOT '.join(unwanted)}" if unwanted else expression


def search(store: Store, typed: str, filters: Filters | None = None, *, limit: int = 50) -> tuple[Hit, ...]:
    """At most ``limit`` of each kind: what warns of eating first, then the keeper's own words, claims, statements."""
    expression, filters = match_expression(typed), filters or Filters()
    with store.reading() as db:
        values: dict[str, Any] = {"limit": limit, "looked": _MOST_LOOKED_AT}
        if filters.taxon:
            values["taxon_id"] = taxon_id_of(db, filters.taxon)
        if filters.rating is not None:
            values["rating"] = filters.rating.value
        if filters.outcome is not None:
            values["outcome"] = filters.outcome.value
        if filters.part:
            values["part"] = filters.part
        warning = f'quote : ({expression}) AND wording : "toxic" NOT wording : "non toxic"'
        found = _statements(db, warning, values)
        if filters.outcome is None:
            found += _own(db, expression, values) + _claims(db, expression, values)
        found += _statements(db, f"quote : ({expression})", values)
    return tuple(dict.fromkeys(found))


_CLAIM_FILTERS: Final = {
    "taxon_id": "claim_ratings.taxon_id = :taxon_id",
    "rating": "claim_ratings.rating = :rating",
}


def _statements(db: Database, expression: str, values: dict[str, Any]) -> list[Hit]:
    """The latest first. Only those of claims' latest audits: what a page said before is in the history of its claim."""
    where = [said for name, said in _CLAIM_FILTERS.items() if name in values]
    if "outcome" in values:
        where.append("sources.outcome = :outcome")
    if "part" in values:
        where.append("EXISTS (SELECT 1 FROM json_each(statements.parts) WHERE value = :part)")
    columns = """
        statements.quote, statements.wording, sources.title, sources.url, claim_ratings.label, claim_ratings.rating,
        taxa.scientific_name
    """
    if "taxon_id" in values:
        # From the taxon to its statements; the index is asked for each of them (a seek by rowid).
        asked = f"""
            SELECT {columns} FROM claim_ratings
            CROSS JOIN sources ON sources.audit_id = claim_ratings.audit_id
            CROSS JOIN statements ON statements.source_id = sources.id
            CROSS JOIN statement_search ON statement_search.rowid = statements.id
            CROSS JOIN taxa ON taxa.id = claim_ratings.taxon_id
            WHERE {" AND ".join(where)} AND statement_search MATCH :expression
            ORDER BY statements.id DESC LIMIT :limit
        """
    else:
        asked = f"""
            SELECT {columns} FROM (
                SELECT rowid FROM statement_search WHERE statement_search MATCH :expression
                ORDER BY rowid DESC LIMIT :looked
            ) AS hit
            CROSS JOIN statements ON statements.id = hit.rowid
            CROSS JOIN sources ON sources.id = statements.source_id
            CROSS JOIN claim_ratings ON claim_ratings.audit_id = sources.audit_id
            CROSS JOIN taxa ON taxa.id = claim_ratings.taxon_id
            {"WHERE " + " AND ".join(where) if where else ""}
            LIMIT :limit
        """
    return [
        Hit(
            Kind.STATEMENT,
            given(row["label"]),
            given(row["scientific_name"]),
            given(row["quote"]),
            row["wording"],
            _rating(row),
            given(row["title"]),
            given(row["url"]),
        )
        for row in db.query(asked, values | {"expression": expression})
    ]


def _claims(db: Database, expression: str, values: dict[str, Any]) -> list[Hit]:
    """Claims by their words, then by the work that they stand in; what is disputed or contradicted first."""
    where = "".join(f" AND {said}" for name, said in _CLAIM_FILTERS.items() if name in values)
    if "part" in values:
        where += " AND EXISTS (SELECT 1 FROM json_each(claims.parts) WHERE value = :part)"
    found = []
    for kind, index, rows in (
        (Kind.CLAIM, "claim_search", "SELECT rowid AS id FROM claim_search WHERE claim_search MATCH :expression"),
        (
            Kind.ORIGIN,
            "origin_search",
            """SELECT claim_ratings.claim_id AS id FROM origin_search JOIN origins ON origins.id = origin_search.rowid
            JOIN claim_ratings ON claim_ratings.label = origins.claim WHERE origin_search MATCH :expression""",
        ),
    ):
        asked = f"""
            SELECT claims.label, claims.quote, claims.wording, claims.url, claim_ratings.rating, taxa.scientific_name
            FROM ({rows} ORDER BY {index}.rowid DESC LIMIT :looked) AS hit
            CROSS JOIN claims ON claims.id = hit.id
            CROSS JOIN claim_ratings ON claim_ratings.claim_id = claims.id
            CROSS JOIN taxa ON taxa.id = claim_ratings.taxon_id
            WHERE 1 {where} LIMIT :limit
        """
        found += [
            (
                row["rating"] not in ("disputed", "contradicted"),
                Hit(
                    kind,
                    given(row["label"]),
                    given(row["scientific_name"]),
                    given(row["quote"]),
                    row["wording"],
                    _rating(row),
                    url=given(row["url"]),
                ),
            )
            for row in db.query(asked, values | {"expression": expression})
        ]
    return [hit for _, hit in sorted(found, key=lambda each: each[0])]


_OWN: Final = (
    (Kind.ENTRY, "entries", "entry_search", ("despite", "reason")),
    (Kind.TASTING, "tastings", "tasting_search", ("reaction", "prepared", "taste", "texture", "remarks")),
    (Kind.PLACE, "places", "place_search", ("region", "remarks")),
)


def _own(db: Database, expression: str, values: dict[str, Any]) -> list[Hit]:
    """What the keeper wrote. It has no rating, and so is not found when one is asked for."""
    if "rating" in values:
        return []
    found = []
    for kind, table, index, columns in _OWN:
        where = f" AND {table}.taxon_id = :taxon_id" if "taxon_id" in values else ""
        if "part" in values:
            where += f" AND {table}.part = :part" if kind is not Kind.PLACE else " AND 0"
        asked = f"""
            SELECT {table}.label, taxa.scientific_name, {", ".join(f"{table}.{each}" for each in columns)}
            FROM {index} CROSS JOIN {table} ON {table}.id = {index}.rowid
            CROSS JOIN taxa ON taxa.id = {table}.taxon_id
            WHERE {index} MATCH :expression {where} ORDER BY {index}.rowid DESC LIMIT :limit
        """
        for row in db.query(asked, values | {"expression": expression}):
            text = "; ".join(given(row[each]) for each in columns if row[each])
            found.append(Hit(kind, given(row["label"]), given(row["scientific_name"]), text))
    return found


def _rating(row: Row) -> Rating | None:
    return Rating(row["rating"]) if row["rating"] else None
