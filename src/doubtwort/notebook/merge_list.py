"""The vetted list, tasting notes and places of another notebook.

Of two decisions on one taxon, part and preparation the more careful one stands: rejected before waiting before
accepted, save that an accepted entry which the other notebook did not accept goes to waiting, since nobody but its
keeper rejects it. The other's words are kept beside.
"""

from __future__ import annotations

import json
from typing import Final

from doubtwort.notebook.labels import next_label
from doubtwort.notebook.merging import Merging, noted, rows
from doubtwort.notebook.places import COARSE, Place, Precision, coarsened
from doubtwort.notebook.rows import Row, given

_TASTING: Final = (
    "taxon_id", "part", "preparation", "tasted_on", "prepared", "amount", "taste", "texture", "reaction", "remarks",
    "recorded_at",
)  # fmt: skip
_DECISION: Final = ("decided_at", "decided_by", "reason", "despite")  # of one person at one moment
_PLACE: Final = ("taxon_id", "found_on", "region", "cautions", "recorded_at")
_EXACT: Final = ("precision", "latitude", "longitude", "spot", "remarks")


def merge_list(work: Merging) -> None:
    for row in rows(work.theirs, "entries"):
        _entry(work, row)
    _tastings(work)
    _places(work)


def _label(work: Merging, table: str, label: str) -> str:
    """Its id, unless that is taken, or was given to something that is gone by now."""
    free = next_label(work.mine, table)
    return str(label) if label[:1] == free[:1] and _number(label) >= _number(free) else free


def _number(label: str) -> int:
    return int(label[1:]) if label[1:].isdecimal() and label.isascii() and len(label) < 12 else 0


# ------------------------------------------------------------------------------------------------ entries


def _entry(work: Merging, row: Row) -> None:
    there = row | {"taxon_id": work.taxon_of[row["taxon_id"]], "objections": _objections(work, row)}
    claims: list[tuple[str, str]] = [
        (str(work.claim_of.get(each["claim"], each["claim"])), str(each["rating"]))
        for each in rows(work.theirs, "entry_claims", "entry_id = ?", (row["id"],))
    ]
    where = (there["taxon_id"], there["part"], there["preparation"])
    found = rows(work.mine, "entries", "taxon_id = ? AND part = ? AND preparation = ?", where)
    if found:
        _both(work, found[0], there)
    else:
        found = [there | {"id": work.insert("entries", there | {"label": _label(work, "entries", row["label"])})}]
    _rest_on(work, found[0]["id"], claims)
    if row["status"] == "accepted" and (because := _other_name(work, row["taxon_id"], there)):
        _wait(work, found[0]["id"], because)


def _other_name(work: Merging, taxon_id: int, there: Row) -> str:
    """Two people may not mean one plant by two names: why an entry that was accepted under another one waits."""
    name = work.renamed.get(taxon_id)
    here = given(work.named(there["taxon_id"]))
    return f"{work.name} accepted it under the name {given(name)}, not {here}." if name else ""


def _objections(work: Merging, row: Row) -> str:
    """Keys such as "disputed:c1", with the claim's id here."""
    found = []
    for key in json.loads(row["objections"]):
        kind, colon, claim = key.partition(":")
        found.append(f"{kind}{colon}{work.claim_of.get(claim, claim)}")
    return json.dumps(found, ensure_ascii=False)


def _rest_on(work: Merging, entry_id: int, claims: list[tuple[str, str]]) -> None:
    known = {each["claim"] for each in rows(work.mine, "entry_claims", "entry_id = ?", (entry_id,))}
    for claim, rating in claims:
        if claim not in known:
            work.insert("entry_claims", {"entry_id": entry_id, "claim": claim, "rating": rating})


def _both(work: Merging, here: Row, there: Row) -> None:
    """Both notebooks have decided."""
    what = ", ".join(filter(None, (work.named(here["taxon_id"]), here["part"], here["preparation"])))
    said = _said(there)
    values: Row = {
        "review_on": min(filter(None, (here["review_on"], there["review_on"])), default=""),
        "months": json.dumps(sorted({*json.loads(here["months"]), *json.loads(there["months"])})),
    }
    waits = ""
    if here["status"] != there["status"]:
        kept = f"{here['status']} stays"
        if here["status"] == "accepted":
            waits, kept = f"{work.name} has it as {said}", "accepted goes to waiting"
        elif here["status"] == "waiting":
            if not work.is_same(here, there, _DECISION):  # else the other's own, which came in earlier and waits here
                values["waiting_because"] = noted(here["waiting_because"], f"{work.name} has it as {said}")
        elif there["status"] == "accepted" or there["reason"]:
            values["reason"] = noted(here["reason"], f"{work.name} has it as {said}")
        work.tell(f"entry {what}", _said(here), said, kept)
    else:
        values["reason"] = _beside(work, here, there, "reason")
        if here["status"] == "waiting":
            values["waiting_because"] = _beside(work, here, there, "waiting_because")
        if here["status"] == "accepted" and here["despite"]:
            values["despite"] = _beside(work, here, there, "despite")
        if any(here[each] not in ("", values.get(each, here[each])) for each in ("reason", "despite")):
            work.tell(f"entry {what}", _said(here), said, "both reasons are kept")
    work.change.update("entries", here["id"], values)
    if waits:
        _wait(work, here["id"], waits)


def _beside(work: Merging, here: Row, there: Row, column: str) -> str:
    told = (here[each] for each in ("reason", "despite", "waiting_because"))
    if not there[column] or any(work.says(each, there[column]) for each in told):
        return str(here[column])
    return noted(here[column], f"{work.name}: {given(there[column])}") if here[column] else str(there[column])


def _said(row: Row) -> str:
    because = given(row["waiting_because"] if row["status"] == "waiting" else "") or given(row["reason"])
    day = row["decided_at"][:10]
    who = ", ".join(filter(None, (given(row["decided_by"]), day)))
    return f"{row['status']} ({who})" + (f": {because}" if because else "")


def _wait(work: Merging, entry_id: int, because: str) -> None:
    row = rows(work.mine, "entries", "id = ?", (entry_id,))[0]
    values = {"status": "waiting", "waiting_because": noted(row["waiting_because"], because)}
    work.change.update("entries", entry_id, values)
    if row["status"] == "accepted":
        work.moved.append(given(row["label"]))


# ------------------------------------------------------------------------------------------------ notes and places


def _tastings(work: Merging) -> None:
    """Two notes in the same words within a second are two: each of the other's is found again once."""
    taken: set[int] = set()
    for row in rows(work.theirs, "tastings"):
        there = row | {"taxon_id": work.taxon_of[row["taxon_id"]]}
        here = (
            each["id"]
            for each in rows(work.mine, "tastings", "taxon_id = ?", (there["taxon_id"],))
            if each["id"] not in taken and work.is_same(each, there, _TASTING)
        )
        found = next(here, None)
        label = "" if found is not None else _label(work, "tastings", row["label"])
        taken.add(work.insert("tastings", there | {"label": label}) if found is None else found)


def _places(work: Merging) -> None:
    """A place that was given out coarsened is known again, and the more exact of the two is kept."""
    taken: set[int] = set()
    theirs = [row | {"taxon_id": work.taxon_of[row["taxon_id"]]} for row in rows(work.theirs, "places")]
    left = []
    for there in theirs:
        here = _find(work, there, taken, exactly=True)
        if here is None:
            left.append(there)
    for there in left:
        here = _find(work, there, taken, exactly=False)
        if here is None:
            taken.add(work.insert("places", there | {"label": _label(work, "places", there["label"])}))
        elif _is_coarse(here):
            work.change.update("places", here["id"], {column: there[column] for column in _EXACT})


def _find(work: Merging, there: Row, taken: set[int], *, exactly: bool) -> Row | None:
    for here in rows(work.mine, "places", "taxon_id = ?", (there["taxon_id"],)):
        if here["id"] in taken or not work.is_same(here, there, _PLACE):
            continue
        same = all(here[column] == there[column] for column in _EXACT)
        if same or (not exactly and (_is_coarse(here) or _is_coarse(there)) and _rough(here) == _rough(there)):
            taken.add(here["id"])
            return here
    return None


def _rough(row: Row) -> Place:
    return coarsened(Place(Precision(row["precision"]), row["latitude"], row["longitude"]))


def _is_coarse(row: Row) -> bool:
    return row["precision"] in (COARSE.value, Precision.WORDS.value) and not row["spot"] and not row["remarks"]
