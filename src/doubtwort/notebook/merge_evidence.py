"""Audits, pages and transcribed passages of another notebook. What both hold is kept once; what differs, twice.

Everywhere in a notebook the row with the largest number is the latest. So rows are numbered anew where the other's
came about earlier than this one's, and an older page or rating never passes for the newer one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from hashlib import sha256
from typing import Any, Final

from sqlite_utils import Database

from doubtwort.notebook.merging import Merging, in_order, rows, without_id
from doubtwort.notebook.rows import Row, given
from doubtwort.notebook.ruling import ALARMS

_OF_AUDIT: Final = ("cautions", "steps", "root_groups")
_OF_SOURCE: Final = ("statements", "notices", "citations")
_CHILDREN: Final = tuple((table, "audit_id") for table in ("sources", *_OF_AUDIT, "fetches", "claim_ratings"))
_LINKS: Final = {"id", "audit_id", "source_id", "claim_id", "holder"}


def merge_evidence(work: Merging) -> None:
    for label, mine in work.claim_of.items():
        _audits(work, label, mine)
    _pages(work)
    _transcripts(work)


def _audits(work: Merging, label: str, mine: str) -> None:
    theirs = _of_claim(work.theirs, label)
    here = _of_claim(work.mine, mine)
    if not theirs:
        return
    prints = {_fingerprint(work.mine, row): row for row in here}
    shared = set()
    new = False
    for row in theirs:
        known = prints.get(_fingerprint(work.theirs, row))
        if known is not None:
            shared |= {("here", known["id"]), ("there", row["id"])}
        else:
            new = True
        work.audit_of[row["id"]] = known["id"] if known is not None else _copy(work, row)
    if not new:
        return
    one, other = _latest(here), _latest(theirs)
    last = None
    # Where the latest of one is known to the other, that other has gone on from there.
    if one and other and not shared & {("here", one["id"]), ("there", other["id"])}:
        last = _alarming(work, mine, one, other)
    moved = _sort(work, mine, last)
    for row in theirs:
        taken = work.audit_of[row["id"]]
        work.audit_of[row["id"]] = moved.get(taken, taken)


def _of_claim(db: Database, label: str) -> list[Row]:
    return rows(db, "audits", "claim_id IN (SELECT id FROM claims WHERE label = ?)", (label,))


def _latest(audits: list[Row]) -> Row | None:
    return next((row for row in reversed(audits) if row["state"] == "done"), None)


def _copy(work: Merging, audit: Row) -> int:
    audit_id = work.add("audits", audit | {"claim_id": work.claim_row[audit["claim_id"]], "holder": ""})
    for table in _OF_AUDIT:
        for row in rows(work.theirs, table, "audit_id = ?", (audit["id"],)):
            work.add(table, row | {"audit_id": audit_id})
    for source in rows(work.theirs, "sources", "audit_id = ?", (audit["id"],)):
        source_id = work.add("sources", source | {"audit_id": audit_id})
        for table in _OF_SOURCE:
            for row in rows(work.theirs, table, "source_id = ?", (source["id"],)):
                work.add(table, row | {"source_id": source_id})
    return audit_id


def _fingerprint(db: Database, audit: Row) -> str:
    """SHA-256 of all that an audit holds, whatever its rows' numbers are."""
    parts: list[Any] = [_content(audit)]
    for table in _OF_AUDIT:
        parts += [_content(row) for row in rows(db, table, "audit_id = ?", (audit["id"],), order="position")]
    for source in rows(db, "sources", "audit_id = ?", (audit["id"],), order="position"):
        parts.append(_content(source))
        for table in _OF_SOURCE:
            parts += [_content(row) for row in rows(db, table, "source_id = ?", (source["id"],), order="position")]
    return sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()


def _content(row: Row) -> Row:
    return {column: cell for column, cell in row.items() if column not in _LINKS}


def _alarming(work: Merging, label: str, here: Row, there: Row) -> int | None:
    """Of two latest audits that do not agree, the one that alarms, as its number here; None when that makes no
    difference. Tells of the two."""
    if here["rating"] == there["rating"]:
        return None
    alarms = [row for row in (here, there) if row["rating"] in ALARMS]
    kept = "both are kept; the later one counts"
    counts = None
    if len(alarms) == 1:
        kept = f"both are kept; {alarms[0]['rating']} counts until it is looked at again: doubtwort recheck {label}"
        counts = alarms[0]["id"] if alarms[0] is here else work.audit_of[there["id"]]
    said = [f"{row['rating']} on {(row['finished_at'] or '')[:10]}" for row in (here, there)]
    work.tell(f"rating of claim {label}", said[0], said[1], kept)
    return counts


def _sort(work: Merging, label: str, last: int | None) -> dict[int, int]:
    """Numbers a claim's audits by time, ``last`` behind all, and takes its latest state from the last finished one.
    Gives old number → new."""
    found = _of_claim(work.mine, label)
    found.sort(key=lambda row: (row["id"] == last, row["finished_at"] or row["started_at"], row["id"]))
    # Children are moved a moment after their parent.
    work.mine.execute("PRAGMA defer_foreign_keys = ON")
    moved = in_order(work.mine, "audits", [row["id"] for row in found], _CHILDREN)
    done = _latest(_of_claim(work.mine, label))
    if done is not None:
        asked = """
            UPDATE claim_ratings SET claim_id = :claim_id, audit_id = :id, rating = :rating, rated_at = :finished_at,
                taxon_id = (SELECT taxon_id FROM claims WHERE id = :claim_id), alarm = :alarm WHERE label = :label
        """
        work.mine.execute(asked, done | {"alarm": int(done["rating"] in ALARMS), "label": label})
    return moved


def _pages(work: Merging) -> None:
    for row in work.theirs.query("SELECT * FROM bodies"):
        work.mine.table("bodies").insert(row, ignore=True)
    pages = set()
    for row in work.theirs.query("SELECT * FROM fetches ORDER BY id"):
        there = row["audit_id"]
        taken = without_id(row) | {"audit_id": None if there is None else work.audit_of.get(there)}
        if not _held(work.mine, "fetches", taken, taken):
            work.add("fetches", taken)
            pages.add(row["canonical_url"])
    for page in pages:
        found = rows(work.mine, "fetches", "canonical_url = ?", (page,))
        found.sort(key=lambda row: (row["fetched_at"], row["id"]))
        in_order(work.mine, "fetches", [row["id"] for row in found])


def _transcripts(work: Merging) -> None:
    same = ("label", "claim", "work", "reference", "look_for", "kind", "page", "sha256", "filled_at")
    works = set()
    for row in rows(work.theirs, "transcripts"):
        taken = row | {"claim": work.claim_of.get(row["claim"], row["claim"])}
        if not _held(work.mine, "transcripts", taken, same):
            work.insert("transcripts", taken)
            works.add((taken["claim"], taken["work"]))
    for claim, of in sorted(works):
        found = rows(work.mine, "transcripts", "claim = ? AND work = ?", (claim, of))
        found.sort(key=lambda row: (row["filled_at"], row["id"]))
        in_order(work.mine, "transcripts", [row["id"] for row in found])
        if len({row["sha256"] for row in found}) > 1:
            what = f"passages of {given(found[0]['reference'])}"
            days = [row["filled_at"][:10] for row in found]
            work.tell(what, days[0], days[-1], "all are kept; the latest is read")


def _held(db: Database, table: str, row: Row, columns: Iterable[str]) -> bool:
    where = " AND ".join(f"{column} IS :{column}" for column in columns)
    return db.execute(f"SELECT 1 FROM {table} WHERE {where}", row).fetchone() is not None
