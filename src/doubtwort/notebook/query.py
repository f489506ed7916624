"""What the notebook holds, given back as values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from sqlite_utils import Database

from doubtwort.errors import NotInNotebook
from doubtwort.model import (
    Audit,
    Caution,
    Citation,
    Claim,
    Notice,
    Outcome,
    Rating,
    Source,
    Statement,
    Step,
    Taxon,
    Wording,
)
from doubtwort.notebook.rows import Row, given, stored, unlisted, value_of
from doubtwort.notebook.store import Store, damaged
from doubtwort.text import one_line

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ClaimRow:
    """One claim of the list. ``rating``, ``rated_at`` and ``audit_id`` are those of its latest finished audit."""

    id: str
    taxon: str
    wording: Wording
    quote: str
    url: str
    rating: Rating | None
    rated_at: str
    audit_id: int | None


@dataclass(frozen=True, slots=True)
class AuditRow:
    """One audit of a claim's history. ``state`` is "running" (or broken off) or "done"; ``sources`` counts them."""

    id: int
    state: str
    started_at: str
    finished_at: str
    rating: Rating | None
    reasons: tuple[str, ...]
    sources: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which claims of the list: all, or those of a taxon's row, so rated, naming a part, with a source of an outcome,
    of an id; ``after`` so many of them."""

    taxon_id: int | None = None
    rating: Rating | None = None
    part: str = ""
    outcome: Outcome | None = None
    label: str = ""
    limit: int | None = None
    after: int = 0


def claims(store: Store, wanted: Wanted | None = None) -> tuple[ClaimRow, ...]:
    """Every claim once, as last taken in: those disputed or contradicted first, then the latest audited."""
    where, values = _where(wanted or Wanted())
    asked = f"""
        SELECT claim_ratings.label, taxa.scientific_name, claims.wording, claims.quote, claims.url,
            claim_ratings.rating, claim_ratings.rated_at, claim_ratings.audit_id
        FROM claim_ratings
        CROSS JOIN claims ON claims.id = claim_ratings.claim_id
        CROSS JOIN taxa ON taxa.id = claims.taxon_id
        {where} ORDER BY claim_ratings.alarm DESC, claim_ratings.audit_id DESC, claim_ratings.claim_id DESC
        LIMIT :limit OFFSET :after
    """
    with _values(store) as db:
        return tuple(
            ClaimRow(
                given(row["label"]),
                given(row["scientific_name"]),
                Wording(row["wording"]),
                given(row["quote"]),
                given(row["url"]),
                Rating(row["rating"]) if row["rating"] else None,
                row["rated_at"] or "",
                row["audit_id"],
            )
            for row in db.query(asked, values)
        )


def claims_audited_by(store: Store, day: str) -> tuple[str, ...]:
    """Ids of claims whose latest audit was finished on that day or before, or that have none; the oldest first."""
    asked = "SELECT label FROM claim_ratings WHERE rated_at IS NULL UNION ALL SELECT * FROM ("
    asked += "SELECT label FROM claim_ratings WHERE rated_at < ? ORDER BY rated_at)"
    with _values(store) as db:
        return tuple(given(row[0]) for row in db.execute(asked, (f"{day}~",)).fetchall())  # "~" lies behind "T"


def count_claims(store: Store, wanted: Wanted | None = None) -> int:
    """How many the list holds, whatever its limit."""
    where, values = _where(wanted or Wanted())
    join = "CROSS JOIN claims ON claims.id = claim_ratings.claim_id" if "claims.parts" in where else ""
    with _values(store) as db:
        return int(db.execute(f"SELECT count(*) FROM claim_ratings {join} {where}", values).fetchone()[0])


def _where(wanted: Wanted) -> tuple[str, dict[str, Any]]:
    values: dict[str, Any] = {"limit": -1 if wanted.limit is None else wanted.limit, "after": wanted.after}
    where = []
    if wanted.taxon_id is not None:
        where.append("claim_ratings.taxon_id = :taxon_id")
        values["taxon_id"] = wanted.taxon_id
    if wanted.label:
        where.append("claim_ratings.label = :label")
        values["label"] = stored(wanted.label)
    if wanted.rating is not None:
        where.append("claim_ratings.rating = :rating")
        values["rating"] = wanted.rating.value
    if wanted.part:
        where.append("EXISTS (SELECT 1 FROM json_each(claims.parts) WHERE value = :part)")
        values["part"] = wanted.part
    if wanted.outcome is not None:
        where.append(
            "EXISTS (SELECT 1 FROM sources WHERE outcome = :outcome AND sources.audit_id = claim_ratings.audit_id)"
        )
        values["outcome"] = wanted.outcome.value
    return ("WHERE " + " AND ".join(where) if where else ""), values


def history(store: Store, claim_id: str) -> tuple[AuditRow, ...]:
    """All audits of a claim, the latest first; none for one that was never audited."""
    asked = """
        SELECT audits.*, (SELECT count(*) FROM sources WHERE sources.audit_id = audits.id) AS source_count
        FROM audits JOIN claims ON claims.id = audits.claim_id WHERE claims.label = ? ORDER BY audits.id DESC
    """
    with _values(store) as db:
        if not db.execute("SELECT 1 FROM claims WHERE label = ?", (stored(claim_id),)).fetchone():
            raise _unknown(store.path, claim_id)
        return tuple(
            AuditRow(
                row["id"],
                row["state"],
                row["started_at"],
                row["finished_at"] or "",
                Rating(row["rating"]) if row["rating"] else None,
                unlisted(row["reasons"]) if row["reasons"] else (),
                row["source_count"],
            )
            for row in db.query(asked, (stored(claim_id),))
        )


def audit(store: Store, which: str | int) -> Audit:
    """A finished audit by its number, or the latest of a claim by the claim's id ("7" is first looked up as an id)."""
    with _values(store) as db:
        row = _audit_row(db, which)
        if row is None:
            raise _unknown(store.path, which)
        if row["state"] != "done":
            raise NotInNotebook(f"The audit of {one_line(str(which), 80)} is not finished. Run it again to finish it.")
        audit_id = row["id"]
        return Audit(
            claim=claim_of_row(db, row["claim_id"]),
            rating=Rating(row["rating"]),
            reasons=unlisted(row["reasons"]),
            cautions=_owned(db, Caution, "cautions", audit_id),
            sources=_sources(db, audit_id),
            trail=_owned(db, Step, "steps", audit_id),
            root_groups=_root_groups(db, audit_id),
            audited_at=given(row["audited_at"]),
            notes=unlisted(row["notes"]),
        )


@contextmanager
def _values(store: Store) -> Iterator[Database]:
    """One view of the file; a cell that holds what no version writes makes the notebook a damaged one."""
    with store.reading() as db:
        try:
            yield db
        except (ValueError, TypeError, KeyError, IndexError) as error:
            raise damaged(store.path, f"a cell holds what it cannot hold ({one_line(str(error), 120)})") from error


def claim(store: Store, claim_id: str) -> Claim:
    """A claim as it was last taken in, audited or not."""
    with _values(store) as db:
        return claim_of_label(db, store.path, claim_id)


def claim_of_label(db: Database, path: Path, claim_id: str) -> Claim:
    return claim_of_row(db, require_claim(db, path, claim_id))


def require_claim(db: Database, path: Path, claim_id: str) -> int:
    """The row that a claim's id stands for."""
    row = db.execute("SELECT claim_id FROM claim_ratings WHERE label = ?", (stored(claim_id),)).fetchone()
    if row is None:
        raise _unknown(path, claim_id)
    return int(row[0])


def _unknown(path: Path, which: str | int) -> NotInNotebook:
    name = one_line(str(which), 80)
    return NotInNotebook(f"The notebook {one_line(str(path))} holds no claim or audit {name}. List its claims.")


def _audit_row(db: Database, which: str | int) -> Row | None:
    asked = "SELECT audits.* FROM audits JOIN claims ON claims.id = audits.claim_id WHERE claims.label = ?"
    if isinstance(which, str):
        order = "ORDER BY audits.state = 'done' DESC, audits.id DESC LIMIT 1"
        for row in db.query(f"{asked} {order}", (stored(which),)):
            return dict(row)
    number = str(which)
    if not number.isascii() or not number.isdecimal() or len(number) > 18:
        return None
    return next((dict(row) for row in db.table("audits").rows_where("id = ?", (int(number),))), None)


def claim_of_row(db: Database, claim_id: int) -> Claim:
    row = next(iter(db.table("claims").rows_where("id = ?", (claim_id,))))
    asked = """
        SELECT names.kind, names.name FROM claim_names JOIN names ON names.id = claim_names.name_id
        WHERE claim_names.claim_id = ? ORDER BY claim_names.position
    """
    names = [(each["kind"], given(each["name"])) for each in db.query(asked, (claim_id,))]
    synonyms = tuple(name for kind, name in names if kind == "synonym")
    common_names = tuple(name for kind, name in names if kind == "common")
    citations = db.table("citations").rows_where("claim_id = ?", (claim_id,), order_by="position")
    return value_of(
        Claim,
        row,
        id=given(row["label"]),
        taxon=value_of(Taxon, row, synonyms=synonyms, common_names=common_names),
        citations=tuple(value_of(Citation, each) for each in citations),
    )


def _owned(db: Database, kind: type[T], table: str, audit_id: int) -> tuple[T, ...]:
    rows = db.table(table).rows_where("audit_id = ?", (audit_id,), order_by="position")
    return tuple(value_of(kind, row) for row in rows)


def _by_source(db: Database, kind: type[T], table: str, audit_id: int) -> dict[int, tuple[T, ...]]:
    found: dict[int, list[T]] = defaultdict(list)
    where = "source_id IN (SELECT id FROM sources WHERE audit_id = ?)"
    for row in db.table(table).rows_where(where, (audit_id,), order_by="source_id, position"):
        found[row["source_id"]].append(value_of(kind, row))
    return {source_id: tuple(values) for source_id, values in found.items()}


def _sources(db: Database, audit_id: int) -> tuple[Source, ...]:
    statements = _by_source(db, Statement, "statements", audit_id)
    notices = _by_source(db, Notice, "notices", audit_id)
    citations = _by_source(db, Citation, "citations", audit_id)

    def source(row: dict[str, Any]) -> Source:
        return value_of(
            Source,
            row,
            id=given(row["label"]),
            statements=statements.get(row["id"], ()),
            notices=notices.get(row["id"], ()),
            citation=citations.get(row["id"], (None,))[0],
        )

    rows = db.table("sources").rows_where("audit_id = ?", (audit_id,), order_by="position")
    return tuple(source(row) for row in rows)


def _root_groups(db: Database, audit_id: int) -> tuple[tuple[str, ...], ...]:
    groups: dict[int, list[str]] = defaultdict(list)
    for row in db.table("root_groups").rows_where("audit_id = ?", (audit_id,), order_by="position"):
        groups[row["group_number"]].append(given(row["root"]))
    return tuple(tuple(group) for group in groups.values())
