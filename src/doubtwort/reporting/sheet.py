"""The field sheet: the vetted list as one HTML file that needs nothing else, on a phone without signal or on paper.

What could hurt stands first in every entry. Only what its keeper has accepted, on grounds that still hold, stands among
the entries; all else is listed apart with the reason why it is not to be eaten by this list.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from doubtwort.reporting.html import page, sheet
from doubtwort.reporting.standing import standing_cautions
from doubtwort.text import one_line

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
# Warnings and notes shown of one entry: the more entries, the fewer, so that a file stays within its size.
MOST_WARNINGS = 12
FEWEST_WARNINGS = 5
_ALL_WARNINGS = 2_500
MOST_NOTES = 4
LATE = "REVIEW OVERDUE: decide anew before you rely on it"


@dataclass(frozen=True, slots=True)
class Warned:
    """One warning: a sentence, and where it is known from ("claim c1, s2")."""

    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class FieldEntry:
    """One accepted entry. ``conditions`` are those of the claims that it rests on, ``beside`` what else the list says
    of the same taxon ("root, raw: rejected"), ``despite`` why it was accepted against the rule and ``against`` what
    stands against it, ``grounds`` such as "claim c1: corroborated". Dates are ISO 8601."""

    id: str
    taxon: str
    common_names: tuple[str, ...]
    synonyms: tuple[str, ...]
    part: str
    preparation: str
    months: tuple[int, ...]
    conditions: tuple[str, ...]
    look_alikes: tuple[Warned, ...]
    dangers: tuple[Warned, ...]
    beside: tuple[str, ...]
    despite: str
    against: tuple[str, ...]
    reason: str
    notes: tuple[str, ...]
    grounds: tuple[str, ...]
    decided_by: str
    decided_on: str
    review_on: str
    overdue: bool


@dataclass(frozen=True, slots=True)
class SetApart:
    """An entry that is not to be eaten by this list: ``status`` (rejected, waiting, "grounds have changed") and why."""

    id: str
    taxon: str
    common_names: tuple[str, ...]
    synonyms: tuple[str, ...]
    part: str
    preparation: str
    status: str
    why: str


@dataclass(frozen=True, slots=True)
class FieldSheet:
    """Everything on the sheet. ``limits`` says what was left out when it was written ("in season in April")."""

    entries: tuple[FieldEntry, ...]
    apart: tuple[SetApart, ...]
    written_on: str
    limits: str = ""


def field_sheet(view: FieldSheet) -> str:
    """The sheet as an HTML file. Its search needs the script inside it; without one, everything is shown."""
    return page(
        "sheet.html",
        f"Field sheet of {one_line(view.written_on, 40)}",
        script=sheet("sheet.js"),
        sheets=("page.css", "sheet.css"),
        view=view,
        standing=standing_cautions(None),
        month_names=MONTHS,
        season=season_said,
        most_warnings=warnings_each(len(view.entries)),
        most_notes=MOST_NOTES,
        late=LATE,
    )


def warnings_each(entries: int) -> int:
    """How many warnings of each kind are shown of each of so many entries; the rest are counted.

    >>> warnings_each(3), warnings_each(500)
    (12, 5)
    """
    return max(FEWEST_WARNINGS, min(MOST_WARNINGS, _ALL_WARNINGS // max(1, entries)))


def season_said(months: Sequence[int]) -> str:
    """Months as people say them; a season may go over the year's end.

    >>> season_said((4, 5, 6, 9)), season_said((1, 11, 12)), season_said(())
    ('April to June, September', 'November to January', 'not noted')
    """
    wanted = {each for each in months if 1 <= each <= 12}
    if not wanted:
        return "not noted"
    if len(wanted) == 12:
        return "all year"
    said = []
    for first in sorted(each for each in wanted if (each - 2) % 12 + 1 not in wanted):
        last = first
        while last % 12 + 1 in wanted:
            last = last % 12 + 1
        names = MONTHS[first - 1], MONTHS[last - 1]
        said.append(names[0] if first == last else " to ".join(names))
    return ", ".join(said)


def in_order(entries: Iterable[FieldEntry]) -> tuple[FieldEntry, ...]:
    """What was accepted against the rule first, then by name, part and preparation."""
    return tuple(
        sorted(entries, key=lambda each: (not each.despite, each.taxon.casefold(), each.part, each.preparation))
    )
