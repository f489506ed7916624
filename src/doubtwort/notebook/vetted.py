"""The vetted list: what its keeper is willing to eat, part by part, with the claims that it rests on and why."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any, Final

from sqlite_utils import Database

from doubtwort.errors import CallError, NotAccepted, NotInNotebook
from doubtwort.model import Rating, Wording
from doubtwort.notebook.dangers import Danger, dangers_of
from doubtwort.notebook.history import Change, changing
from doubtwort.notebook.kept import now
from doubtwort.notebook.labels import a_date, next_label, row_labelled, some_text, today
from doubtwort.notebook.rows import Row, given, stored, unlisted
from doubtwort.notebook.ruling import keys_of, objections, settle
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import taxon_id_of
from doubtwort.text import one_line

REVIEW_AFTER: Final = timedelta(days=365)
_ADVICE = (
    "Rest it on a claim whose rating is supported or corroborated, or write down why you accept it all the same "
    "(--despite)."
)


class Status(StrEnum):
    ACCEPTED = "accepted"
    WAITING = "waiting"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True)
class RestsOn:
    """A claim under an entry: how it was rated at the decision, and how it is now."""

    claim: str
    wording: Wording | None
    conditions: tuple[str, ...]
    quote: str
    rated_then: Rating | None
    rated_now: Rating | None


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry. ``despite`` is why it was accepted against the rule and is shown wherever the entry is;
    ``objections`` are what stands against accepting it now. ``months`` are 1 to 12."""

    id: str
    taxon: str
    part: str
    preparation: str
    status: Status
    reason: str
    despite: str
    waiting_because: str
    decided_by: str
    decided_at: str
    review_on: str
    months: tuple[int, ...]
    claims: tuple[RestsOn, ...]
    objections: tuple[str, ...]
    dangers: tuple[Danger, ...]
    tastings: int

    @property
    def what(self) -> str:
        """For example "Fictaria silvana, leaf, boiled"."""
        return ", ".join(filter(None, (self.taxon, self.part, self.preparation)))


@dataclass(frozen=True, slots=True)
class Decision:
    """What the user decides. ``claims`` None leaves the entry's claims as they are, as does "" or None elsewhere, save
    for ``despite`` which has to be written anew each time."""

    status: Status
    reason: str = ""
    decided_by: str = ""
    despite: str = ""
    claims: tuple[str, ...] | None = None
    review_on: str = ""
    months: tuple[int, ...] | None = None


def decide(store: Store, taxon: str, part: str, preparation: str, decision: Decision) -> Entry:
    """Makes or changes the entry for a taxon, part and preparation. ``NotAccepted`` when the rule stands against it."""
    what = one_line(", ".join(filter(None, (taxon, part, preparation))), 200)
    with changing(store, f"{what}: {decision.status.value}") as change:
        taxon_id = taxon_id_of(change.db, taxon)
        return _decide(change, taxon_id, part, preparation, decision, what)


def decide_again(store: Store, entry_id: str, decision: Decision) -> Entry:
    """Another decision on an entry that is there."""
    with changing(store, f"entry {one_line(entry_id, 40)}: {decision.status.value}") as change:
        row = row_labelled(change.db, "entries", entry_id)
        part, preparation = given(row["part"]), given(row["preparation"])
        what = f"Entry {given(row['label'])}"
        return _decide(change, row["taxon_id"], part, preparation, decision, what)


def _decide(change: Change, taxon_id: int, part: str, preparation: str, decision: Decision, what: str) -> Entry:
    db = change.db
    place = {"taxon_id": taxon_id, "part": stored(part), "preparation": stored(preparation)}
    where = "taxon_id = :taxon_id AND part = :part AND preparation = :preparation"
    found = next(iter(db.query(f"SELECT * FROM entries WHERE {where}", place)), None)
    row = dict(found) if found else _blank(db) | place
    row_id = int(row["id"]) if found else change.insert("entries", row)
    if decision.claims is not None:
        change.delete_where("entry_claims", "entry_id = ?", (row_id,))
        for claim in dict.fromkeys(decision.claims):
            _require(db, claim)
            change.insert("entry_claims", {"entry_id": row_id, "claim": stored(claim), "rating": ""})
    # A claim that was deleted before this decision is none that it rests on.
    gone = "entry_id = ? AND claim NOT IN (SELECT label FROM claim_ratings)"
    change.delete_where("entry_claims", gone, (row_id,))
    against = objections(db, row | {"id": row_id})
    despite = some_text(decision.despite, "reason for accepting it all the same")
    if decision.status is Status.ACCEPTED and against and not despite:
        raise NotAccepted(what, tuple(each.text for each in against), _ADVICE)
    asked = """
        SELECT entry_claims.id, coalesce(claim_ratings.rating, '') FROM entry_claims
        LEFT JOIN claim_ratings ON claim_ratings.label = entry_claims.claim WHERE entry_id = ?
    """
    for claim_row, rating in db.execute(asked, (row_id,)).fetchall():
        change.update("entry_claims", claim_row, {"rating": rating})
    months = tuple(json.loads(row["months"])) if decision.months is None else decision.months
    values = {
        "status": decision.status.value,
        "reason": some_text(decision.reason, "reason") or row["reason"],
        "despite": despite if decision.status is Status.ACCEPTED and against else "",
        "objections": keys_of(against),
        "waiting_because": "",
        "decided_by": some_text(decision.decided_by, "name", 200) or row["decided_by"] or "the keeper",
        "decided_at": now(),
        "review_on": a_date(decision.review_on) or (date.fromisoformat(today()) + REVIEW_AFTER).isoformat(),
        "months": json.dumps(sorted(set(_real_months(months)))),
    }
    change.update("entries", row_id, values)
    return _entry(db, next(iter(db.query("SELECT * FROM entries WHERE id = ?", (row_id,)))))


def _blank(db: Database) -> Row:
    empty = dict.fromkeys(("reason", "despite", "waiting_because", "decided_by", "decided_at", "review_on"), "")
    return empty | {
        "label": next_label(db, "entries"), "status": Status.WAITING.value, "objections": "[]", "months": "[]",
        "recorded_at": now(),
    }  # fmt: skip


def _real_months(months: Iterable[int]) -> list[int]:
    found = list(months)
    if not all(1 <= each <= 12 for each in found):
        raise CallError("A month is a number from 1 to 12.")
    return found


def _require(db: Database, claim: str) -> None:
    if not db.execute("SELECT 1 FROM claim_ratings WHERE label = ?", (stored(claim),)).fetchone():
        raise NotInNotebook(f"The notebook holds no claim {one_line(claim, 80)}. List its claims: doubtwort list")


def entry(store: Store, entry_id: str) -> Entry:
    with store.reading() as db:
        return _entry(db, row_labelled(db, "entries", entry_id))


def entries(
    store: Store,
    *,
    status: Status | None = None,
    taxon: str = "",
    month: int | None = None,
    due_on: str = "",
    limit: int | None = None,
) -> tuple[Entry, ...]:
    """The list, what warns first, then accepted, rejected, waiting; each by name. ``month`` keeps what is in season,
    ``due_on`` what has a review date on or before that day."""
    with store.reading() as db:
        where, values = ["1"], dict[str, Any](limit=-1 if limit is None else limit)
        if status is not None:
            where.append("entries.status = :status")
            values["status"] = status.value
        if taxon:
            where.append("entries.taxon_id = :taxon_id")
            values["taxon_id"] = taxon_id_of(db, taxon)
        if month is not None:
            where.append("EXISTS (SELECT 1 FROM json_each(entries.months) WHERE value = :month)")
            values["month"] = _real_months([month])[0]
        if due_on:
            where.append("entries.review_on <> '' AND entries.review_on <= :due_on")
            values["due_on"] = a_date(due_on)
        asked = f"""
            SELECT entries.* FROM entries JOIN taxa ON taxa.id = entries.taxon_id WHERE {" AND ".join(where)}
            ORDER BY EXISTS (
                SELECT 1 FROM claim_ratings WHERE claim_ratings.taxon_id = entries.taxon_id AND claim_ratings.alarm
            ) DESC, entries.status, taxa.scientific_name, entries.part, entries.preparation LIMIT :limit
        """
        return tuple(_entry(db, row) for row in list(db.query(asked, values)))


def delete_entry(store: Store, entry_id: str) -> None:
    with changing(store, f"entry {one_line(entry_id, 40)} deleted") as change:
        row = row_labelled(change.db, "entries", entry_id)
        change.delete_where("entry_claims", "entry_id = ?", (row["id"],))
        change.delete("entries", row["id"])


def look_again(store: Store) -> tuple[str, ...]:
    """Moves accepted entries whose grounds have changed back to waiting; gives their ids. Every audit does this by
    itself; this is for a file that another tool has written to."""
    with changing(store, "the list was looked through") as change:
        moved = settle(change)
        if not moved:
            change.db.execute("DELETE FROM history WHERE id = ?", (change.event,))
    return tuple(moved)


def _entry(db: Database, row: Row) -> Entry:
    taxon = db.execute("SELECT scientific_name FROM taxa WHERE id = ?", (row["taxon_id"],)).fetchone()[0]
    asked = """
        SELECT entry_claims.claim, entry_claims.rating AS was, claim_ratings.rating AS now, claims.wording,
            claims.parts, claims.preparations, claims.stages, claims.quote
        FROM entry_claims LEFT JOIN claim_ratings ON claim_ratings.label = entry_claims.claim
        LEFT JOIN claims ON claims.id = claim_ratings.claim_id
        WHERE entry_id = ? ORDER BY claim_ratings.alarm DESC, entry_claims.id
    """
    part, preparation = given(row["part"]), given(row["preparation"])
    tasted = db.execute("SELECT count(*) FROM tastings WHERE taxon_id = ?", (row["taxon_id"],)).fetchone()[0]
    return Entry(
        given(row["label"]),
        given(taxon),
        part,
        preparation,
        Status(row["status"]),
        given(row["reason"]),
        given(row["despite"]),
        given(row["waiting_because"]),
        given(row["decided_by"]),
        row["decided_at"],
        row["review_on"],
        tuple(json.loads(row["months"])),
        tuple(_rests_on(each) for each in db.query(asked, (row["id"],))),
        tuple(each.text for each in objections(db, row)),
        dangers_of(db, row["taxon_id"], part, preparation),
        int(tasted),
    )


def _rests_on(row: Row) -> RestsOn:
    lists = (row["parts"], row["preparations"], row["stages"])
    return RestsOn(
        given(row["claim"]),
        Wording(row["wording"]) if row["wording"] else None,
        tuple(word for each in lists if each for word in unlisted(each)),
        given(row["quote"] or ""),
        Rating(row["was"]) if row["was"] else None,
        Rating(row["now"]) if row["now"] else None,
    )
