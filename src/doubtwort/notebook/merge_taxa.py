"""Taxa of another notebook: found again by accepted name, else by a former one. Synonyms lead nowhere: what somebody
calls a synonym must not carry evidence from one taxon to another."""

from __future__ import annotations

from doubtwort.notebook.merging import Merging, noted, rows
from doubtwort.notebook.rows import Row, given


def merge_taxa(work: Merging) -> None:
    for row in rows(work.theirs, "taxa"):
        found = _here(work, row)
        if found is None:
            taken = work.insert("taxa", row)
        else:
            taken = found
            _compare(work, taken, row)
        work.taxon_of[row["id"]] = taken
        _former_names(work, taken, row)
        _names(work, taken, row["id"])


def _here(work: Merging, row: Row) -> int | None:
    name = row["scientific_name"]
    by_name = "SELECT id FROM taxa WHERE scientific_name = ?"
    if found := work.mine.execute(by_name, (name,)).fetchone():
        return int(found[0])
    asked = "SELECT taxon_id FROM former_names WHERE name = ? ORDER BY id DESC"
    if found := work.mine.execute(asked, (name,)).fetchone():
        _renamed(work, int(found[0]), row)
        return int(found[0])
    former = [each["name"] for each in rows(work.theirs, "former_names", "taxon_id = ?", (row["id"],))]
    known = {int(each[0]) for name in former for each in work.mine.execute(by_name, (name,)).fetchall()}
    if len(known) == 1:
        taken = known.pop()
        _renamed(work, taken, row)
        return taken
    if known:
        here = " and ".join(sorted(work.named(each) for each in known))
        work.tell(
            f"taxon {name}", f"{here} are taxa of their own", "one taxon",
            "all are kept apart; if they are one: doubtwort taxon join",
        )  # fmt: skip
    return None


def _renamed(work: Merging, taken: int, row: Row) -> None:
    here, there = work.named(taken), row["scientific_name"]
    work.renamed[row["id"]] = there
    work.tell("accepted name", here, there, f"{given(here)} stays the accepted name, the other is a synonym")
    _name(work, {"taxon_id": taken, "kind": "synonym", "name": there, "language": ""})


def _compare(work: Merging, taken: int, row: Row) -> None:
    mine = rows(work.mine, "taxa", "id = ?", (taken,))[0]
    values = {column: row[column] for column in ("family", "remarks") if row[column] and not mine[column]}
    remarks = str(values.get("remarks", mine["remarks"]))
    if row["family"] and mine["family"] and row["family"] != mine["family"]:
        work.tell(
            f"family of {mine['scientific_name']}", mine["family"], row["family"], "the other's stands in the remarks"
        )
        remarks = noted(remarks, f"Family according to {work.name}: {given(row['family'])}.")
    if not work.says(remarks, row["remarks"]):
        remarks = noted(remarks, f"According to {work.name}: {given(row['remarks'])}")
    work.change.update("taxa", taken, values | {"remarks": remarks})


def _former_names(work: Merging, taken: int, row: Row) -> None:
    """A name may be a former one more than once: each of the other's is found again once."""
    accepted, used = work.named(taken), set[int]()
    for each in rows(work.theirs, "former_names", "taxon_id = ?", (row["id"],)):
        if each["name"] == accepted != row["scientific_name"]:
            continue  # there it is a name of before, here the accepted one: told already
        same = (taken, each["name"], each["until"])
        found = rows(work.mine, "former_names", "taxon_id = ? AND name = ? AND until = ?", same)
        free = [here["id"] for here in found if here["id"] not in used and work.is_same(here, each, ("reason",))]
        used.add(free[0] if free else work.insert("former_names", each | {"taxon_id": taken}))


def _names(work: Merging, taken: int, taxon_id: int) -> None:
    for each in rows(work.theirs, "names", "taxon_id = ?", (taxon_id,)):
        _name(work, each | {"taxon_id": taken})


def _name(work: Merging, row: Row) -> None:
    same = tuple(row[column] for column in ("taxon_id", "kind", "name", "language"))
    where = "taxon_id = ? AND kind = ? AND name = ? AND language = ?"
    if not work.mine.execute(f"SELECT 1 FROM names WHERE {where}", same).fetchone():
        work.insert("names", row)
