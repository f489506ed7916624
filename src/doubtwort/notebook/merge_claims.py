"""Claims of another notebook with their origins. One id may stand for two claims in two notebooks: then the other's
gets an id of its own here."""

from __future__ import annotations

from dataclasses import replace

from doubtwort.model import Claim
from doubtwort.notebook.merging import Merging, noted, rows
from doubtwort.notebook.query import claim_of_row
from doubtwort.notebook.rows import Row, given, stored
from doubtwort.notebook.write import claim_digest, put_claim

_ORIGIN = ("medium", "work", "locator", "role", "region", "heard_on", "remarks")


def merge_claims(work: Merging) -> None:
    asked = "SELECT label FROM claims GROUP BY label ORDER BY min(id)"
    for (label,) in work.theirs.execute(asked).fetchall():
        found = rows(work.theirs, "claims", "label = ?", (label,))
        taxa = {row["id"]: _taxon(work, row) for row in found}
        values = [(claim_of_row(work.theirs, row["id"]), taxa[row["id"]]) for row in found]
        mine = _label_here(work, label, values)
        work.claim_of[label] = mine
        _put(work, mine, [row["id"] for row in found], values)
        _origin(work, label, mine)


def _taxon(work: Merging, row: Row) -> int:
    """The taxon by the name under which the claim was taken in, where that is an accepted one here; else the one that
    it belongs to there."""
    asked = "SELECT id FROM taxa WHERE scientific_name = ?"
    found = work.mine.execute(asked, (row["scientific_name"],)).fetchone()
    return int(found[0]) if found else work.taxon_of[row["taxon_id"]]


def _label_here(work: Merging, label: str, values: list[tuple[Claim, int]]) -> str:
    """The same id, unless it stands for another claim here; then the first "id-2", "id-3", … that is free or stands
    for this very one."""
    taken, number = label, 1
    while rows(work.mine, "claims", "label = ?", (taken,)) and not _is_same(work, taken, values):
        number += 1
        taken = f"{label}-{number}"
    if taken != label:
        mine = rows(work.mine, "claims", "label = ?", (label,))[-1]
        latest = stored(values[-1][0].quote)
        work.tell(f"claim {label}", mine["quote"], latest, f"two claims: the other's is {given(taken)} here")
    return taken


def _is_same(work: Merging, label: str, values: list[tuple[Claim, int]]) -> bool:
    """One claim under one id: the very same, or one page's claim of the same wording, taken in at another time."""
    mine = rows(work.mine, "claims", "label = ?", (label,))
    digests = {row["digest"] for row in mine}
    if any(claim_digest(replace(claim, id=given(label))) in digests for claim, _ in values):
        return True
    here = claim_of_row(work.mine, mine[-1]["id"])
    there, taxon_id = values[-1]
    same = ("wording", "url", "parts", "preparations", "stages")
    return (
        bool(here.url)
        and mine[-1]["taxon_id"] == taxon_id
        and all(getattr(here, each) == getattr(there, each) for each in same)
    )


def _put(work: Merging, label: str, row_ids: list[int], values: list[tuple[Claim, int]]) -> None:
    before = rows(work.mine, "claim_ratings", "label = ?", (label,), order="label")
    for there, (claim, taxon_id) in zip(row_ids, values, strict=True):
        known = int(work.mine.execute("SELECT coalesce(max(id), 0) FROM claims").fetchone()[0])
        row_id = put_claim(work.mine, replace(claim, id=given(label)), work.key, taxon_id)
        work.claim_row[there] = row_id
        if row_id > known:
            work.added["claims"] += 1
            if before:
                here = claim_of_row(work.mine, before[0]["claim_id"])
                work.tell(
                    f"claim {label}", _said(here), _said(claim), "both are kept; its latest audit says which is shown"
                )
    if before and before[0]["audit_id"] is None:
        values_before = (before[0]["claim_id"], before[0]["taxon_id"], label)
        work.mine.execute("UPDATE claim_ratings SET claim_id = ?, taxon_id = ? WHERE label = ?", values_before)


def _said(claim: Claim) -> str:
    cited = len(claim.citations)
    return stored(f"“{claim.quote}”, {cited} {'source' if cited == 1 else 'sources'}, {claim.certainty.value}")


def _origin(work: Merging, label: str, mine: str) -> None:
    for there in rows(work.theirs, "origins", "claim = ?", (label,)):
        here = rows(work.mine, "origins", "claim = ?", (mine,))
        if not here:
            work.insert("origins", there | {"claim": mine})
            continue
        if work.is_same(here[0], there, _ORIGIN) or _heard(there) in given(here[0]["remarks"]):
            continue
        work.tell(f"where claim {mine} was heard", _heard(here[0]), _heard(there), "the other's stands in the remarks")
        remarks = noted(here[0]["remarks"], f"According to {work.name}: {_heard(there)}.")
        work.change.update("origins", here[0]["id"], {"remarks": remarks})


def _heard(row: Row) -> str:
    return given(", ".join(row[each] for each in _ORIGIN if row[each]))
