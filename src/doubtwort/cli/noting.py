"""``doubtwort note`` and ``doubtwort place``: own experience, kept apart from evidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path

from doubtwort.cli.keeping import known_taxon, make_sure, opened, print_json, show_cards
from doubtwort.cli.options import parts_from_user, preparations_from_user
from doubtwort.notebook.notes import KeptTasting, Tasting, add_tasting, delete_tasting, tasting, tastings
from doubtwort.notebook.places import SITE_SAYS, KeptPlace, Place, add_place, coarsened, delete_place, places
from doubtwort.reporting.cards import Card

NO_EVIDENCE = "Own experience is no evidence: it raises no rating, and the next plant may differ."


def add_note_command(taxon: str, note: Tasting, notebook: Path | None, *, as_json: bool) -> None:
    part = "".join(parts_from_user([note.part] if note.part else []))
    preparation = "".join(preparations_from_user([note.preparation] if note.preparation else []))
    with opened(notebook) as kept:
        name = known_taxon(kept, taxon).scientific_name
        made = add_tasting(kept, name, replace(note, part=part, preparation=preparation))
    _show_notes([made], as_json=as_json)


def list_notes_command(taxon: str, limit: int, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        name = known_taxon(kept, taxon).scientific_name if taxon else ""
        found = tastings(kept, taxon=name, limit=limit)
    _show_notes(found, as_json=as_json)


def delete_note_command(label: str, notebook: Path | None, *, yes: bool) -> None:
    with opened(notebook) as kept:
        found = tasting(kept, label)
        make_sure(f"Note {found.id} on {found.taxon} goes.", yes=yes)
        delete_tasting(kept, label)
    show_cards([], after=[f"Deleted: {found.id}. To have it back: doubtwort undo"])


def _show_notes(found: Sequence[KeptTasting], *, as_json: bool) -> None:
    if as_json:
        print_json("notes", "notes", found, remember=NO_EVIDENCE)
        return
    show_cards([_note(each) for each in found], "No tasting note is kept.", [NO_EVIDENCE] if found else [])


def _note(kept: KeptTasting) -> Card:
    note = kept.tasting
    said = {
        "prepared": note.prepared, "amount": note.amount, "taste": note.taste, "texture": note.texture,
        "remarks": note.remarks,
    }  # fmt: skip
    dangers = (f"Own reaction: {note.reaction}",) if note.reaction else ()
    heading = ", ".join(filter(None, (kept.taxon, note.part, note.preparation)))
    lines = tuple(f"{name}: {text}" for name, text in said.items() if text)
    return Card("note", heading, lines, dangers, (f"{kept.id}, {note.tasted_on}",))


def add_place_command(taxon: str, place: Place, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        made = add_place(kept, known_taxon(kept, taxon).scientific_name, place)
    # What was just typed needs no repeating word by word where others may look on.
    shown = coarsened(made.place)
    _show_places([KeptPlace(made.id, made.taxon, shown, shown != made.place)], as_json=as_json)


def list_places_command(taxon: str, limit: int, notebook: Path | None, *, exact: bool, as_json: bool) -> None:
    with opened(notebook) as kept:
        name = known_taxon(kept, taxon).scientific_name if taxon else ""
        found = places(kept, taxon=name, exact=exact, limit=limit)
    _show_places(found, as_json=as_json)


def delete_place_command(label: str, notebook: Path | None, *, yes: bool) -> None:
    with opened(notebook) as kept:
        make_sure(f"Place {label} goes.", yes=yes)
        delete_place(kept, label)
    show_cards([], after=[f"Deleted: {label}. To have it back: doubtwort undo"])


def _show_places(found: Sequence[KeptPlace], *, as_json: bool) -> None:
    if as_json:
        rows = [asdict(each) | {"site": [SITE_SAYS[caution] for caution in each.place.cautions]} for each in found]
        print_json("places", "places", rows)
        return
    show_cards([_place(each) for each in found], "No place is kept.")


def _place(kept: KeptPlace) -> Card:
    place = kept.place
    lines = [place.region, place.spot, place.remarks]
    if place.latitude is not None and place.longitude is not None:
        lines.insert(0, f"{place.latitude}, {place.longitude} (to {place.precision.value})")
    if kept.coarsened:
        lines.append("More is kept: --exact shows it.")
    dangers = tuple(f"{SITE_SAYS[each].capitalize()}." for each in place.cautions)
    return Card("place", kept.taxon, tuple(filter(None, lines)), dangers, (f"{kept.id}, {place.found_on}",))
