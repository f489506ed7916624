"""The day on which a citation says that its link was looked at: "retrieved 3 May 2019"."""

from __future__ import annotations

import re
from datetime import UTC, datetime

from doubtwort.model import Citation

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = r"(?P<month>jan|feb|mar|apr|may|jun|jul|aug|sept?|oct|nov|dec)[a-z]{0,6}\.?"
_SAID = (
    r"\b(?:accessed|retrieved|visited|viewed|consulted|checked|read|archived(?: from the original)?|cited|abgerufen)"
)
_DATE = (
    rf"(?:(?P<day>\d{{1,2}})(?:st|nd|rd|th|\.)?(?: of)? {_MONTH},? (?P<year>\d{{4}})"
    rf"|{_MONTH.replace('month', 'month2')} (?P<day2>\d{{1,2}})(?:st|nd|rd|th)?,? (?P<year2>\d{{4}})"
    r"|(?P<year3>\d{4})[-/](?P<number>\d{1,2})[-/](?P<day3>\d{1,2})"
    rf"|{_MONTH.replace('month', 'month4')} (?P<year4>\d{{4}}))"
)
_CITED = re.compile(rf"{_SAID}(?: online)?[:,]? (?:on |am |in |at )?(?:the )?{_DATE}(?!\d)", re.IGNORECASE)


def cited_on(citation: Citation) -> datetime | None:
    """Noon of that day in UTC, the middle of the month where only a month is named; None when nothing is said.

    >>> cited_on(Citation("1", "Ficta. Herbs. Retrieved on May 3rd, 2019.")).isoformat()
    '2019-05-03T12:00:00+00:00'
    >>> cited_on(Citation("1", "Ficta. Herbs. 3 May 2019.")) is None
    True
    """
    found = _CITED.search(" ".join(citation.text[:4_000].split()))
    if found is None:
        return None
    said = found.groupdict()
    year = int(said["year"] or said["year2"] or said["year3"] or said["year4"])
    name = (said["month"] or said["month2"] or said["month4"] or "")[:3].lower()
    day = int(said["day"] or said["day2"] or said["day3"] or 15)
    try:
        return datetime(year, _MONTHS.index(name) + 1 if name else int(said["number"]), day, 12, tzinfo=UTC)
    except ValueError:
        return None
