"""``doubtwort sheet``: gathers the vetted list with its warnings and notes, and writes it as a page."""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from doubtwort.cli.keeping import opened
from doubtwort.cli.report import STANDARD_OUTPUT, write_file
from doubtwort.errors import CallError
from doubtwort.model import Caution, Claim, Taxon, Wording
from doubtwort.notebook import Notebook
from doubtwort.notebook.labels import today
from doubtwort.notebook.notes import Tasting, tastings
from doubtwort.notebook.place_words import without_places
from doubtwort.notebook.places import places
from doubtwort.notebook.taxa import KeptTaxon, taxa
from doubtwort.notebook.vetted import Entry, RestsOn, Status, entries
from doubtwort.reporting.sheet import MONTHS, FieldEntry, FieldSheet, SetApart, Warned, field_sheet, in_order
from doubtwort.support.cautions import cautions_for
from doubtwort.taxa.hazards import load_hazards
from doubtwort.text import one_line, printable

DEFAULT_FILE = "doubtwort-sheet.html"
CHANGED = "grounds have changed"
DROPPED = "see the warnings: a source makes more of them"
_LOOK_ALIKE = "look-alike"
_PUBLISHED = ("listed-poisonous", _LOOK_ALIKE, "ambiguous-common-name")


def sheet_written(file: str | None, *, month: int | None, notes: bool, notebook: Path | None) -> None:
    with opened(notebook) as kept:
        text = field_sheet(sheet_of(kept, month=month, notes=notes))
    if file == STANDARD_OUTPUT:
        sys.stdout.buffer.write(text.encode("utf-8", "replace"))
        return
    target = Path(file or DEFAULT_FILE)
    write_file(target, text)
    print(printable(str(target)), file=sys.stderr)


def sheet_of(notebook: Notebook, *, month: int | None = None, notes: bool = True) -> FieldSheet:
    """The list as it may be taken along. Only an entry that is accepted, and whose grounds are those of the decision,
    stands among the entries; ``month`` leaves out entries of other seasons, never one that is not to be eaten."""
    found = entries(notebook)
    known = {each.scientific_name: each for each in taxa(notebook)}
    spots = tuple({each.place.spot for each in places(notebook, exact=True) if each.place.spot})
    noted: dict[str, list[Tasting]] = defaultdict(list)
    for note in tastings(notebook) if notes else ():
        noted[note.taxon].append(note.tasting)
    apart = tuple(_set_apart(each, known[each.taxon], spots) for each in found if not_usable(each))
    usable = [
        _field_entry(each, known[each.taxon], _beside(each, apart), noted[each.taxon], spots)
        for each in found
        if not not_usable(each) and (month is None or month in each.months)
    ]
    limits = f"only what is in season in {MONTHS[month - 1]}" if month else ""
    ordered = sorted(apart, key=lambda each: (each.taxon.casefold(), each.part, each.preparation))
    return FieldSheet(in_order(usable), tuple(ordered), today(), limits)


def not_usable(entry: Entry) -> str:
    """Why an entry may not stand among the usable ones, "" when it may."""
    if entry.status is not Status.ACCEPTED:
        return entry.status.value
    changed = any(each.rated_then is not each.rated_now for each in entry.claims)
    return CHANGED if changed or (entry.objections and not entry.despite) else ""


def _set_apart(entry: Entry, taxon: KeptTaxon, spots: Sequence[str]) -> SetApart:
    status = not_usable(entry)
    said = [entry.waiting_because, entry.reason]
    if status == CHANGED:
        said = ["it was accepted, but since then: " + "; ".join(_changes(entry)) + ".", entry.reason]
    why = without_places(" ".join(filter(None, said)), spots)
    return SetApart(
        entry.id,
        entry.taxon,
        taxon.taxon.common_names,
        taxon.taxon.synonyms,
        entry.part,
        entry.preparation,
        status,
        why,
    )


def _changes(entry: Entry) -> Iterable[str]:
    for each in entry.claims:
        if each.rated_then is not each.rated_now:
            yield f"claim {each.claim} is {_rated(each)}"
    yield from entry.objections


def _rated(claim: RestsOn) -> str:
    return claim.rated_now.value if claim.rated_now else "not audited" if claim.wording else "deleted"


def _field_entry(
    entry: Entry, taxon: KeptTaxon, beside: tuple[str, ...], noted: Iterable[Tasting], spots: Sequence[str]
) -> FieldEntry:
    alike, dangers = _warnings(entry, taxon.taxon, lambda text: without_places(text, spots))
    conditions = dict.fromkeys(word for claim in entry.claims for word in claim.conditions)
    limits = [each for each in conditions if each not in (entry.part, entry.preparation)]
    if any(each.code == "condition-dropped" for each in entry.dangers):
        limits.append(DROPPED)
    return FieldEntry(
        entry.id,
        entry.taxon,
        taxon.taxon.common_names,
        taxon.taxon.synonyms,
        entry.part,
        entry.preparation,
        entry.months,
        tuple(limits),
        alike,
        dangers,
        beside,
        without_places(entry.despite, spots),
        entry.objections,
        without_places(entry.reason, spots),
        tuple(without_places(_note(each), spots) for each in noted if _of_it(each, entry)),
        tuple(
            f"claim {each.claim}: {each.rated_now.value if each.rated_now else 'not audited'}" for each in entry.claims
        ),
        entry.decided_by,
        entry.decided_at[:10],
        entry.review_on,
        bool(entry.review_on) and entry.review_on <= today(),
    )


def _warnings(
    entry: Entry, taxon: Taxon, hidden: Callable[[str], str]
) -> tuple[tuple[Warned, ...], tuple[Warned, ...]]:
    """Look-alikes, and all other warnings: those of the notebook, and what published lists say of the taxon today."""
    found = {hidden(each.text): (each.code, each.source) for each in entry.dangers}
    for caution in _published(taxon):
        found.setdefault(caution.text, (caution.code, caution.source))
    alike = tuple(Warned(text, source) for text, (code, source) in found.items() if code == _LOOK_ALIKE)
    others = tuple(Warned(text, source) for text, (code, source) in found.items() if code != _LOOK_ALIKE)
    return alike, others


def _published(taxon: Taxon) -> tuple[Caution, ...]:
    try:
        found = cautions_for(Claim("", taxon, Wording.EDIBLE, "", ""), (), (), load_hazards())
    except CallError:
        said = "Its name could not be looked up in the published lists of poisonous taxa and look-alikes."
        return (Caution("listed-poisonous", said),)
    return tuple(each for each in found if each.code in _PUBLISHED)


def _beside(entry: Entry, apart: Iterable[SetApart]) -> tuple[str, ...]:
    """What else the list says of the taxon: "root, raw: rejected"."""
    return tuple(
        f"{each.part or 'any part'}, {each.preparation or 'any preparation'}: {each.status}"
        for each in apart
        if each.taxon == entry.taxon
    )


def _of_it(note: Tasting, entry: Entry) -> bool:
    return all(
        not said or not asked or said == asked
        for said, asked in ((note.part, entry.part), (note.preparation, entry.preparation))
    )


def _note(note: Tasting) -> str:
    about = ", ".join(filter(None, (note.tasted_on, note.part, note.preparation)))
    said = {
        "ILL EFFECT": note.reaction, "prepared": note.prepared, "amount": note.amount, "taste": note.taste,
        "texture": note.texture, "remarks": note.remarks,
    }  # fmt: skip
    return one_line(f"{about}: " + "; ".join(f"{name}: {text}" for name, text in said.items() if text))
