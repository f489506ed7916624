"""``doubtwort find``, ``history`` and ``undo``."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from doubtwort.cli.keeping import known_taxon, opened, print_json, show_cards
from doubtwort.cli.options import parts_from_user
from doubtwort.model import Outcome, Rating, Wording
from doubtwort.notebook.history import MERGED, Event, events, undo
from doubtwort.notebook.search import Filters, Hit, Kind, search
from doubtwort.reporting.cards import Card

_ALARMING = (Rating.DISPUTED, Rating.CONTRADICTED)


def find_command(
    text: str,
    notebook: Path | None,
    *,
    taxon: str,
    rating: Rating | None,
    part: str,
    outcome: Outcome | None,
    limit: int,
    as_json: bool,
) -> None:
    with opened(notebook) as kept:
        name = known_taxon(kept, taxon).scientific_name if taxon else ""
        named = parts_from_user([part])[0] if part else ""
        found = search(kept, text, Filters(name, rating, named, outcome), limit=limit)
    if as_json:
        print_json("found", "found", found)
        return
    show_cards([_hit(each) for each in found], "Nothing was found.")


def _hit(hit: Hit) -> Card:
    dangers = []
    if hit.wording == Wording.TOXIC:
        dangers.append("This says that it is toxic.")
    if hit.rating in _ALARMING:
        dangers.append(f"Claim {hit.ref} is {hit.rating.value}.")
    rated = f", {hit.rating.value if hit.rating else 'not audited'}" if hit.kind in _OF_CLAIMS else ""
    heading = f"{hit.taxon}: {hit.wording}" if hit.wording else hit.taxon
    small = (f"{hit.ref}{rated}", *filter(None, (hit.source, hit.url)))
    quoted = f"“{hit.text}”" if hit.kind in _OF_CLAIMS else hit.text
    return Card(hit.kind.value, heading, (quoted,), tuple(dangers), small)


_OF_CLAIMS = (Kind.CLAIM, Kind.STATEMENT, Kind.ORIGIN)


def history_command(limit: int, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        found = events(kept, limit)
    if as_json:
        print_json("history", "events", [asdict(each) for each in found])
        return
    cards = []
    for each in found:
        state = "undone" if each.undone else "" if each.undoable else _stays(each)
        cards.append(Card(str(each.id), each.what, small=tuple(filter(None, (each.at, state)))))
    show_cards(cards, "Nothing was changed yet.")


def _stays(event: Event) -> str:
    return "the way back is its backup" if event.what.startswith(MERGED) else "came with evidence, cannot be undone"


def undo_command(event: int | None, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        undone = undo(kept, event)
    if as_json:
        print_json("undone", "events", [asdict(undone)])
    else:
        show_cards([], after=[f"Undone: {undone.what} (event {undone.id})"])
