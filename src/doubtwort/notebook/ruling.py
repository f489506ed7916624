"""The rule of the vetted list: what stands against accepting an entry, and what moves an accepted one back to waiting.

Only claims count. Tasting notes are read nowhere in this file: nobody's own experience makes a source say more.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from sqlite_utils import Database

from doubtwort.model import Rating, Wording
from doubtwort.notebook.history import Change, begin
from doubtwort.notebook.rows import Row, given, listed, stored, unlisted

BEARS_OUT: Final = (Rating.SUPPORTED.value, Rating.CORROBORATED.value)
ALARMS: Final = (Rating.CONTRADICTED.value, Rating.DISPUTED.value)
_WARNINGS: Final = (Wording.TOXIC.value, Wording.INEDIBLE.value)
# A warning with any of these is one; of a warning that nothing bears out, the audit tells.
_WARNED: Final = (*BEARS_OUT, *ALARMS, Rating.PARTLY_SUPPORTED.value)
NO_SUPPORT: Final = "no-support"
_WHOLE: Final = "whole plant"


@dataclass(frozen=True, slots=True)
class Objection:
    """What stands against accepting. ``key`` names it for good ("disputed:c1"), ``text`` says it in a clause."""

    key: str
    text: str


def objections(db: Database, entry: Row) -> tuple[Objection, ...]:
    """All of them, danger first. Claims on the same taxon count even when the entry does not rest on them, save those
    that are about other parts or other preparations alone."""
    asked = "SELECT claim FROM entry_claims WHERE entry_id = ?"
    rests_on = {row[0] for row in db.execute(asked, (entry["id"],)).fetchall()}
    asked = """
        SELECT claim_ratings.label, claim_ratings.rating, claim_ratings.taxon_id, claims.wording, claims.parts,
            claims.preparations
        FROM claim_ratings JOIN claims ON claims.id = claim_ratings.claim_id
        WHERE claim_ratings.taxon_id = :taxon_id
            OR claim_ratings.label IN (SELECT claim FROM entry_claims WHERE entry_id = :id)
        ORDER BY claim_ratings.alarm DESC, claim_ratings.label
    """
    found: list[Objection] = []
    supported = False
    for row in db.query(asked, entry):
        label, rating = given(row["label"]), row["rating"] or ""
        mine = row["label"] in rests_on
        if rating in ALARMS and (mine or _touches(row, entry)):
            found.append(Objection(f"{rating}:{label}", f"claim {label} is {rating}"))
        elif row["wording"] in _WARNINGS and rating in _WARNED and _touches(row, entry):
            said = f"claim {label}, which calls it {row['wording']}, is {rating}"
            found.append(Objection(f"{row['wording']}:{label}", said))
        elif mine and rating in BEARS_OUT and row["wording"] == Wording.EDIBLE.value and _covers(row, entry):
            supported = True
    if not supported:
        found.append(Objection(NO_SUPPORT, "no claim that it rests on, for this part and preparation, is supported"))
    return tuple(found)


def _touches(row: Row, entry: Row) -> bool:
    """Might what the claim speaks of be what the entry is about? In doubt, yes."""
    return all(
        not said or not asked or asked == _WHOLE or asked in said or _WHOLE in said
        for said, asked in (
            (unlisted(row["parts"]), given(entry["part"])),
            (unlisted(row["preparations"]), given(entry["preparation"])),
        )
    )


def _covers(row: Row, entry: Row) -> bool:
    """Does the claim speak of the entry's part and preparation, or of all? Never the other way round: a claim about
    boiled leaves says nothing of leaves as such."""
    same_taxon = row["taxon_id"] == entry["taxon_id"]
    return same_taxon and all(
        not said or given(asked) in said
        for said, asked in (
            (unlisted(row["parts"]), entry["part"]),
            (unlisted(row["preparations"]), entry["preparation"]),
        )
    )


def after_audit(db: Database, label: str, rating: Rating) -> None:
    """Called in the transaction that finishes an audit: accepted entries that its claim bears on are judged anew."""
    asked = """
        SELECT 1 FROM entries WHERE status = 'accepted' AND (
            taxon_id = (SELECT taxon_id FROM claim_ratings WHERE label = :label)
            OR id IN (SELECT entry_id FROM entry_claims WHERE claim = :label)
        )
    """
    if db.execute(asked, {"label": label}).fetchone():
        change = begin(db, f"claim {given(label)} was audited: {rating.value}", undoable=False)
        if not settle(change, label):
            db.execute("DELETE FROM history WHERE id = ?", (change.event,))


def settle(change: Change, label: str | None = None) -> list[str]:
    """Moves accepted entries that may no longer be so back to waiting, and says why. ``label`` narrows it to those
    that a claim bears on. Gives the entries' labels."""
    db = change.db
    where, values = "status = 'accepted'", {}
    if label is not None:
        where += """ AND (taxon_id = (SELECT taxon_id FROM claim_ratings WHERE label = :label)
            OR id IN (SELECT entry_id FROM entry_claims WHERE claim = :label))"""
        values = {"label": label}
    moved = []
    for entry in list(db.query(f"SELECT * FROM entries WHERE {where}", values)):
        because = [*_changed(db, entry), *_new_objections(db, entry)]
        if because:
            said = stored("; ".join(dict.fromkeys(because)) + ".")
            change.update("entries", entry["id"], {"status": "waiting", "waiting_because": said})
            moved.append(given(entry["label"]))
    return moved


def hold_to_rule(change: Change) -> list[str]:
    """For a list that came from elsewhere: accepted entries against which something stands without a word why they
    were accepted all the same go to waiting, beside those that ``settle`` moves. Gives the entries' labels."""
    moved = settle(change)
    for entry in list(change.db.query("SELECT * FROM entries WHERE status = 'accepted' AND despite = ''")):
        if found := objections(change.db, entry):
            said = stored("; ".join(each.text for each in found) + ".")
            change.update("entries", entry["id"], {"status": "waiting", "waiting_because": said})
            moved.append(given(entry["label"]))
    return moved


def _changed(db: Database, entry: Row) -> Iterable[str]:
    """Ratings that are no longer those of the decision."""
    asked = """
        SELECT entry_claims.claim, entry_claims.rating AS was, claim_ratings.rating AS now, claim_ratings.label,
            claim_ratings.rated_at
        FROM entry_claims LEFT JOIN claim_ratings ON claim_ratings.label = entry_claims.claim
        WHERE entry_id = ? ORDER BY claim_ratings.alarm DESC, entry_claims.id
    """
    for row in db.query(asked, (entry["id"],)):
        claim, was, now = given(row["claim"]), row["was"] or "not audited", row["now"] or "not audited"
        if row["label"] is None:
            yield f"claim {claim}, on which it rested, was deleted"
        elif was != now:
            since = f" since {row['rated_at'][:10]}" if row["rated_at"] else ""
            yield f"claim {claim} was {was} when this was accepted on {entry['decided_at'][:10]} and is {now}{since}"


def _new_objections(db: Database, entry: Row) -> Iterable[str]:
    known = set(unlisted(entry["objections"]))
    return [each.text for each in objections(db, entry) if each.key not in known]


def keys_of(found: Iterable[Objection]) -> str:
    """As the entry keeps them."""
    return listed(tuple(each.key for each in found))
