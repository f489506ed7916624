"""Keeps the full-text index in step: what triggers have noted in ``search_queue`` is carried over before a commit."""

from __future__ import annotations

from typing import Final

from sqlite_utils import Database

# Table → its index and the columns searched.
SEARCHED: Final = {
    "statements": ("statement_search", ("quote", "wording")),
    "claims": ("claim_search", ("quote", "scientific_name")),
    "origins": ("origin_search", ("work", "remarks")),
    "entries": ("entry_search", ("reason", "despite")),
    "tastings": ("tasting_search", ("prepared", "taste", "texture", "reaction", "remarks")),
    "places": ("place_search", ("region", "remarks")),
}


def bring_up_to_date(db: Database) -> None:
    """Within a write transaction. A row's first note tells whether the index knew it: FTS5 forgets a row of an
    external-content table only when given the very text that it was given before (sqlite.org/fts5, section 4.4.3)."""
    for (table,) in db.execute("SELECT DISTINCT table_name FROM search_queue").fetchall():
        if table not in SEARCHED:
            continue
        index, columns = SEARCHED[table]
        named, marks = ", ".join(columns), ", ".join("?" * len(columns))
        texts = ", ".join(f"text_{number}" for number, _ in enumerate(columns, 1))
        first = "SELECT min(id) FROM search_queue WHERE table_name = ? GROUP BY row_id"
        asked = f"SELECT row_id, {texts} FROM search_queue WHERE id IN ({first}) AND known"
        for row in db.execute(asked, (table,)).fetchall():
            db.execute(
                f"INSERT INTO {index} ({index}, rowid, {named}) VALUES ('delete', ?, {marks})",
                row,
            )
        noted = "SELECT row_id FROM search_queue WHERE table_name = ?"
        db.execute(
            f"INSERT INTO {index} (rowid, {named}) SELECT id, {named} FROM {table} WHERE id IN ({noted})", (table,)
        )
    db.execute("DELETE FROM search_queue")
