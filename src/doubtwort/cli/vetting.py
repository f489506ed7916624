"""``doubtwort vet``, ``season`` and ``due``: the vetted list."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

from doubtwort.cli.keeping import (
    known_taxon,
    make_sure,
    months_from_user,
    opened,
    print_json,
    published_warnings,
    show_cards,
)
from doubtwort.cli.options import parts_from_user, preparations_from_user
from doubtwort.errors import CallError
from doubtwort.notebook import Notebook
from doubtwort.notebook.labels import today
from doubtwort.notebook.vetted import (
    Decision,
    Entry,
    RestsOn,
    Status,
    decide,
    decide_again,
    delete_entry,
    entries,
    entry,
)
from doubtwort.recheck import due_claims
from doubtwort.reporting.cards import Card
from doubtwort.text import one_line


def decide_command(
    what: str,
    status: Status,
    *,
    part: str,
    preparation: str,
    claims: Sequence[str],
    reason: str,
    despite: str,
    by: str,
    review: str,
    months: Sequence[str],
    notebook: Path | None,
    as_json: bool,
) -> None:
    """``what`` is an entry's id ("v3") or a taxon by any of its names."""
    decision = Decision(
        status,
        reason,
        by,
        despite,
        tuple(claims) or None,
        review,
        months_from_user(months) if months else None,
    )
    with opened(notebook) as kept:
        if _is_entry(what):
            if part or preparation:
                raise CallError("An entry has its part and preparation already; for others give the taxon's name.")
            made = decide_again(kept, what, decision)
        else:
            parts, preparations = (
                parts_from_user([part] if part else []),
                preparations_from_user([preparation] if preparation else []),
            )
            taxon = known_taxon(kept, what).scientific_name
            made = decide(kept, taxon, "".join(parts), "".join(preparations), decision)
        show_entries(kept, [made], as_json=as_json)


def _is_entry(what: str) -> bool:
    return what[:1] == "v" and what[1:].isdecimal()


def list_command(notebook: Path | None, *, status: Status | None, taxon: str, limit: int | None, as_json: bool) -> None:
    with opened(notebook) as kept:
        name = known_taxon(kept, taxon).scientific_name if taxon else ""
        found = entries(kept, status=status, taxon=name, limit=limit)
        nothing = "Nothing is on the list yet. Begin with: doubtwort vet accept TAXON --claim CLAIM"
        show_entries(kept, found, nothing, as_json=as_json)


def show_command(entry_id: str, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        show_entries(kept, [entry(kept, entry_id)], as_json=as_json)


def season_command(month: int, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        found = entries(kept, month=month)
        nothing = f"Nothing on the list is noted for {month_name[month]}. Note months with: doubtwort vet … --month"
        show_entries(kept, found, nothing, as_json=as_json, month=month)


def due_command(on: str, notebook: Path | None, *, as_json: bool) -> None:
    """Entries to look at again, and claims whose sources were last visited long ago."""
    day = on or today()
    with opened(notebook) as kept:
        found = entries(kept, due_on=day)
        claims = due_claims(kept, date.fromisoformat(day))
        after = [f"Claims to visit again: {len(claims)}. Do it: doubtwort recheck --due"] if claims else []
        show_entries(kept, found, "No review is due.", after, as_json=as_json, on=day, claims=list(claims))


def delete_command(entry_id: str, notebook: Path | None, *, yes: bool) -> None:
    with opened(notebook) as kept:
        found = entry(kept, entry_id)
        make_sure(f"Entry {found.id} ({found.what}) goes from the list.", yes=yes)
        delete_entry(kept, entry_id)
    show_cards([], after=[f"Deleted: {one_line(entry_id, 40)}. To have it back: doubtwort undo"])


def show_entries(
    notebook: Notebook,
    found: Sequence[Entry],
    nothing: str = "",
    after: Sequence[str] = (),
    *,
    as_json: bool,
    **more: object,
) -> None:
    """What warns first: published lists know of dangers that no claim was audited about."""
    warned = {each.taxon: published_warnings(each.taxon, _synonyms(notebook, each.taxon)) for each in found}
    ordered = sorted(found, key=lambda each: not (each.dangers or warned[each.taxon]))
    if as_json:
        rows = [
            {"dangers": [asdict(danger) for danger in each.dangers]}
            | {"published_warnings": [asdict(warning) for warning in warned[each.taxon]]}
            | asdict(each)
            for each in ordered
        ]
        print_json("entries", "entries", rows, **more)
        return
    cards = [_card(each, tuple(warning.text for warning in warned[each.taxon])) for each in ordered]
    show_cards(cards, nothing, after)


def _synonyms(notebook: Notebook, taxon: str) -> tuple[str, ...]:
    return known_taxon(notebook, taxon).taxon.synonyms


def _card(found: Entry, warned: tuple[str, ...]) -> Card:
    lines = []
    if found.waiting_because:
        lines.append(f"Back to waiting: {found.waiting_because}")
    if found.despite:
        lines.append(f"ACCEPTED AGAINST THE RULE, because: {found.despite}")
    if found.objections:
        lines.append(f"against it: {'; '.join(found.objections)}")
    if found.reason:
        lines.append(f"reason: {found.reason}")
    lines += [f"rests on {_claim(each)}" for each in found.claims]
    if found.months:
        lines.append(f"months: {', '.join(month_name[each] for each in found.months)}")
    small = [f"{found.id}, decided by {found.decided_by} on {found.decided_at[:10]}, review on {found.review_on}"]
    if found.tastings:
        small.append(f"own tasting notes: {found.tastings} (no evidence: doubtwort note list --taxon NAME)")
    dangers = (*(f"{each.text} ({each.source})" for each in found.dangers), *warned)
    return Card(found.status.value, found.what, tuple(lines), dangers, tuple(small))


def _claim(each: RestsOn) -> str:
    now = each.rated_now.value if each.rated_now else "not audited"
    then = each.rated_then.value if each.rated_then else "not audited"
    changed = f", {then} at the decision" if then != now else ""
    limits = f" [{', '.join(each.conditions)}]" if each.conditions else ""
    said = f"{each.wording.value}{limits}: “{one_line(each.quote, 200)}”" if each.wording else "deleted"
    return f"claim {each.claim} ({now}{changed}): {said}"
