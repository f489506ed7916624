"""Claims written down in a spreadsheet, taken in from CSV: all rows or none, with every fault told by its row.

The first row names the columns, in any order. Needed are taxon and quote; there may be wording, certainty, parts,
preparations, stages, url, medium, work, locator, role, region, heard_on, remarks, sources and family. Several parts are
divided by ";", several sources by line feeds, or by " | " in a cell without any.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, TypeVar

from doubtwort.errors import AlreadyKept, CallError, NotInNotebook
from doubtwort.model import Certainty, Claim, Taxon, Wording
from doubtwort.notebook.claims_by_hand import Medium, Origin, Recorded, check_claim, record_claims
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import find_taxon
from doubtwort.sharing.csv_out import CAUTION, CLAIM_COLUMNS
from doubtwort.sharing.guard import unguarded
from doubtwort.sharing.typed import citation_from_user, label_of, page_address
from doubtwort.sharing.vocabulary import parts_from_user, preparations_from_user, stages_from_user
from doubtwort.taxa.names import taxon_from_user
from doubtwort.text import one_line

W = TypeVar("W", bound=StrEnum)
MOST_ROWS: Final = 100_000
MOST_TOLD: Final = 10  # faults told in the one line of an error
_NEEDED: Final = ("taxon", "quote")
# A sheet that this program wrote has them; they are found again, never taken in.
_LEFT: Final = ("record", "claim", "dangers", "rating", "rated_at", "reasons", "remember")


@dataclass(frozen=True, slots=True)
class Row:
    """``number`` as the spreadsheet shows it: the first row holds the names of the columns."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class SheetTaken:
    """The claims that were kept, and the rows whose claim the notebook held already, with that claim's id."""

    claims: tuple[Recorded, ...]
    held: tuple[tuple[int, str], ...]


def read_sheet(text: str, said: str) -> tuple[Row, ...]:
    """The rows of a sheet, divided by comma, semicolon or tab, whichever its first row uses most."""
    text = text.removeprefix("\ufeff")
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=_divider(text), strict=True)
    try:
        names = [re.sub(r"[\s_]+", "_", each.strip().lower()) for each in next(lines, [])]
        _check_names(names, said)
        rows = []
        for number, cells in enumerate(lines, start=2):
            if number > MOST_ROWS:
                raise CallError(f"{said} has more than {MOST_ROWS} rows. Split it.")
            if not any(each.strip() for each in cells):
                continue
            if len(cells) > len(names):
                raise CallError(f"{said}, row {number}: {len(cells)} cells under {len(names)} names of columns.")
            row = Row(number, dict(zip(names, (unguarded(each) for each in cells), strict=False)))
            if row.cells.get("record") != CAUTION:
                rows.append(row)
    except csv.Error as error:
        raise CallError(f"{said}, line {lines.line_num}: not CSV ({error}). Nothing was taken in.") from error
    return tuple(rows)


def _divider(text: str) -> str:
    first = text[: text.find("\n")] if "\n" in text else text
    return max(",;\t", key=first.count)


def _check_names(names: list[str], said: str) -> None:
    known = {*CLAIM_COLUMNS, *_LEFT}
    for each in names:
        if each not in known:
            raise CallError(
                f"{said}: {one_line(each, 40)!r} is no column of a sheet of claims. "
                f"Known: {', '.join(name for name in CLAIM_COLUMNS if name not in _LEFT)}."
            )
        if names.count(each) > 1:
            raise CallError(f"{said}: the column {each} is there twice.")
    for each in _NEEDED:
        if each not in names:
            raise CallError(f"{said}: its first row names no column {each!r}. It has to name taxon and quote.")


def import_claims(store: Store, text: str, *, said: str = "the sheet") -> SheetTaken:
    """Takes the claims of a sheet in, as one change that can be undone. Rows that the notebook holds already are
    told and left out; any other fault, and nothing is taken in."""
    rows = read_sheet(text, said)
    found: list[tuple[Claim, Origin]] = []
    faults: list[str] = []
    for row in rows:
        try:
            claim, origin = _claim(store, row.cells)
            check_claim(claim, origin)
            found.append((claim, origin))
        except (CallError, NotInNotebook) as error:
            faults.append(f"row {row.number}: {error}")
    if faults:
        more = f" … and {len(faults) - MOST_TOLD} more" if len(faults) > MOST_TOLD else ""
        raise CallError(f"{said}: {' '.join(faults[:MOST_TOLD])}{more} Nothing was taken in.")
    if not rows:
        raise CallError(f"{said} holds no claims.")
    done = record_claims(store, found, f"claims taken in from {said}")
    kept = tuple(each for each in done if isinstance(each, Recorded))
    held = [(row.number, each.claim) for row, each in zip(rows, done, strict=True) if isinstance(each, AlreadyKept)]
    return SheetTaken(kept, tuple(held))


def _claim(store: Store, cells: Mapping[str, str]) -> tuple[Claim, Origin]:
    def cell(name: str) -> str:
        return cells.get(name, "").strip()

    url = page_address(cell("url")) if cell("url") else ""
    medium = _word(Medium, cell("medium") or ("page" if url else "other"), "medium")
    if medium is Medium.PAGE and not url:
        raise CallError("A page has an address: fill in url, or another medium.")
    origin = Origin(
        medium, cell("work"), cell("locator"), cell("role"), cell("region"), cell("heard_on"), cell("remarks")
    )
    listed = cells.get("sources", "")
    sources = [
        each for each in re.split(r"[\r\n]+" if re.search(r"[\r\n]", listed) else r" \| ", listed) if each.strip()
    ]
    claim = Claim(
        "",
        _taxon(store, cell("taxon"), cell("family")),
        _word(Wording, cell("wording") or "edible", "wording"),
        cell("quote"),
        url,
        _words(cell("parts"), parts_from_user),
        _words(cell("preparations"), preparations_from_user),
        _words(cell("stages"), stages_from_user),
        tuple(citation_from_user(str(number), each) for number, each in enumerate(sources, start=1)),
        _word(Certainty, cell("certainty") or "stated", "certainty"),
    )
    return replace(claim, id=label_of(claim, origin)), origin


def _taxon(store: Store, name: str, family: str) -> Taxon:
    if not name:
        raise CallError("The taxon is empty.")
    try:
        return find_taxon(store, name).taxon
    except NotInNotebook:
        return replace(taxon_from_user(name), family=family)


def _words(cell: str, known: Callable[[list[str]], tuple[str, ...]]) -> tuple[str, ...]:
    return known([each for each in re.split(r"[;,\n]", cell) if each.strip()])


def _word(kind: type[W], typed: str, what: str) -> W:
    for each in kind:
        if each.value == typed.lower():
            return each
    raise CallError(f"{one_line(typed, 40)!r} is no {what}. Known: {', '.join(each.value for each in kind)}.")
