"""What warns of a taxon, gathered from the latest audits of all its claims and from the keeper's own bad experience."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlite_utils import Database

from doubtwort.notebook.rows import Row, given

# The cautions of an audit that are dangers, in the order in which they are told.
CODES: Final = ("toxic-stated", "listed-poisonous", "look-alike", "condition-dropped")
MOST: Final = 20
REACTION: Final = "own-reaction"


@dataclass(frozen=True, slots=True)
class Danger:
    """One warning: its code, a sentence, and where it is known from ("claim c1, s2")."""

    code: str
    text: str
    source: str


def dangers_of(db: Database, taxon_id: int, part: str = "", preparation: str = "") -> tuple[Danger, ...]:
    """Ratings that alarm, then what sources say, then own reactions. Nothing is left out for being about another part:
    parts are mistaken for each other."""
    found = [*_alarms(db, taxon_id), *_cautions(db, taxon_id), *_reactions(db, taxon_id)]
    return tuple({(each.code, each.text): each for each in found}.values())


def _alarms(db: Database, taxon_id: int) -> list[Danger]:
    asked = """
        SELECT claim_ratings.label, claim_ratings.rating, claims.wording FROM claim_ratings
        JOIN claims ON claims.id = claim_ratings.claim_id
        WHERE claim_ratings.taxon_id = ? AND claim_ratings.alarm ORDER BY claim_ratings.audit_id DESC LIMIT ?
    """
    return [_alarm(row) for row in db.query(asked, (taxon_id, MOST))]


def _alarm(row: Row) -> Danger:
    label = given(row["label"])
    return Danger(row["rating"], f"The claim that it is {row['wording']} is {row['rating']}.", f"claim {label}")


def _cautions(db: Database, taxon_id: int) -> list[Danger]:
    marks = ", ".join("?" * len(CODES))
    asked = f"""
        SELECT cautions.code, cautions.text, cautions.source, claim_ratings.label FROM claim_ratings
        JOIN cautions ON cautions.audit_id = claim_ratings.audit_id
        WHERE claim_ratings.taxon_id = ? AND cautions.code IN ({marks})
        ORDER BY claim_ratings.alarm DESC, claim_ratings.audit_id DESC, cautions.position LIMIT ?
    """
    rows = db.query(asked, (taxon_id, *CODES, 10 * MOST))
    said = [Danger(row["code"], given(row["text"]), _where(row)) for row in rows]
    return sorted({each.text: each for each in reversed(said)}.values(), key=lambda each: CODES.index(each.code))[:MOST]


def _where(row: Row) -> str:
    source = given(row["source"])
    return ", ".join(filter(None, (f"claim {given(row['label'])}", source)))


def _reactions(db: Database, taxon_id: int) -> list[Danger]:
    asked = """
        SELECT label, tasted_on, part, preparation, reaction FROM tastings
        WHERE taxon_id = ? AND reaction <> '' ORDER BY id DESC LIMIT ?
    """
    return [
        Danger(REACTION, f"Own reaction ({_when(row)}): {given(row['reaction'])}", f"note {given(row['label'])}")
        for row in db.query(asked, (taxon_id, MOST))
    ]


def _when(row: Row) -> str:
    return ", ".join(given(row[each]) for each in ("tasted_on", "part", "preparation") if row[each])
