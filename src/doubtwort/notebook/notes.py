"""Tasting notes: own experience, kept apart from evidence. No rating is ever raised by one."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.notebook.history import changing
from doubtwort.notebook.kept import now
from doubtwort.notebook.labels import a_date, next_label, row_labelled, some_text, today
from doubtwort.notebook.rows import Row, given
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import taxon_id_of
from doubtwort.text import one_line


@dataclass(frozen=True, slots=True)
class Tasting:
    """How it was prepared, how much was eaten, and what came of it. ``reaction`` is any ill effect, "" for none."""

    prepared: str = ""
    amount: str = ""
    taste: str = ""
    texture: str = ""
    reaction: str = ""
    remarks: str = ""
    part: str = ""
    preparation: str = ""
    tasted_on: str = ""


@dataclass(frozen=True, slots=True)
class KeptTasting:
    """A note with its id ("n3") and the taxon's accepted name."""

    id: str
    taxon: str
    tasting: Tasting


def add_tasting(store: Store, taxon: str, tasting: Tasting) -> KeptTasting:
    row = {each.name: some_text(getattr(tasting, each.name), each.name.replace("_", " ")) for each in fields(Tasting)}
    if not any(row[name] for name in ("prepared", "amount", "taste", "texture", "reaction", "remarks")):
        raise CallError("The note says nothing. Tell how it was prepared, how it tasted, or what came of it.")
    row["tasted_on"] = a_date(tasting.tasted_on, partial=True) or today()
    with changing(store, f"tasting note on {taxon}") as change:
        owner = {"label": next_label(change.db, "tastings"), "taxon_id": taxon_id_of(change.db, taxon)}
        row_id = change.insert("tastings", owner | row | {"recorded_at": now()})
        return _kept(change.db, next(iter(change.db.query("SELECT * FROM tastings WHERE id = ?", (row_id,)))))


def tastings(store: Store, *, taxon: str = "", limit: int | None = None) -> tuple[KeptTasting, ...]:
    """Notes with a reaction first, then the latest."""
    with store.reading() as db:
        where, values = ("taxon_id = ?", (taxon_id_of(db, taxon),)) if taxon else ("1", ())
        asked = f"SELECT * FROM tastings WHERE {where} ORDER BY reaction <> '' DESC, tasted_on DESC, id DESC LIMIT ?"
        rows = list(db.query(asked, (*values, -1 if limit is None else limit)))
        return tuple(_kept(db, row) for row in rows)


def tasting(store: Store, label: str) -> KeptTasting:
    with store.reading() as db:
        return _kept(db, row_labelled(db, "tastings", label))


def delete_tasting(store: Store, label: str) -> None:
    with changing(store, f"tasting note {one_line(label, 40)} deleted") as change:
        change.delete("tastings", row_labelled(change.db, "tastings", label)["id"])


def _kept(db: Database, row: Row) -> KeptTasting:
    taxon = db.execute("SELECT scientific_name FROM taxa WHERE id = ?", (row["taxon_id"],)).fetchone()[0]
    values = {each.name: given(row[each.name]) for each in fields(Tasting)}
    return KeptTasting(given(row["label"]), given(taxon), Tasting(**values))
