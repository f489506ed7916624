"""Claims, or the vetted list, as a sheet: CSV by RFC 4180, UTF-8 with the mark by which spreadsheets know it.

Every cell is quoted and guarded against being read as a formula. The first rows hold the standing cautions (``record``
is "caution"); each row of a claim or entry carries what warns of its taxon, so that sorting and filtering lose nothing.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from typing import Final, TextIO

from doubtwort.citing import doi_url
from doubtwort.model import Citation, Rating
from doubtwort.notebook.dangers import Danger
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.vetted import Entry
from doubtwort.sharing.gather import Told, listed, told
from doubtwort.sharing.guard import guarded
from doubtwort.sharing.warnings import REMEMBER, in_words, standing
from doubtwort.text import one_line

CLAIM_COLUMNS: Final = tuple(
    """record claim dangers taxon wording certainty parts preparations stages quote url medium work locator role region
    heard_on remarks sources rating rated_at reasons family remember""".split()
)
LIST_COLUMNS: Final = tuple(
    """record entry dangers taxon part preparation status reason accepted_despite waiting_because objections rests_on
    decided_by decided_at review_on months remember""".split()
)
CAUTION: Final = "caution"
_MARK: Final = "\ufeff"


def write_claims_csv(notebook: Notebook, out: TextIO) -> int:
    """One row a claim; gives how many."""
    return _write(out, CLAIM_COLUMNS, (_claim(each) for each in told(notebook)))


def write_list_csv(notebook: Notebook, out: TextIO) -> int:
    """One row an entry of the vetted list; gives how many."""
    return _write(out, LIST_COLUMNS, (_entry(each, warns) for each, warns in listed(notebook)))


def _write(out: TextIO, columns: tuple[str, ...], rows: Iterable[Mapping[str, str]]) -> int:
    out.write(_MARK)
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(columns)
    for each in standing():
        cells = {"record": CAUTION, "dangers": each.text, "remember": REMEMBER}
        writer.writerow([guarded(cells.get(column, "")) for column in columns])
    count = 0
    for row in rows:
        writer.writerow([guarded(row[column]) for column in columns])
        count += 1
    return count


def _claim(each: Told) -> Mapping[str, str]:
    claim, origin, audit = each.claim, each.origin, each.audit
    named = ("work", "locator", "role", "region", "heard_on", "remarks")
    heard = {name: getattr(origin, name) if origin else "" for name in named}
    return heard | {
        "record": "claim",
        "claim": claim.id,
        "dangers": in_words(each.dangers),
        "taxon": each.taxon.scientific_name,
        "wording": claim.wording.value,
        "certainty": claim.certainty.value,
        "parts": "; ".join(claim.parts),
        "preparations": "; ".join(claim.preparations),
        "stages": "; ".join(claim.stages),
        "quote": claim.quote,
        "url": claim.url,
        "medium": origin.medium.value if origin else "page",
        "sources": _sources(claim.citations),
        "rating": audit.rating.value if audit else "",
        "rated_at": each.rated_at,
        "reasons": "\n".join(audit.reasons) if audit else "",
        "family": each.taxon.family,
        "remember": REMEMBER,
    }


def _sources(citations: Iterable[Citation]) -> str:
    """One a line. A single one that holds " | ", as titles of pages do, ends in a line feed: else it would be two."""
    said = "\n".join(source_in_a_line(each) for each in citations)
    return f"{said}\n" if " | " in said else said


def source_in_a_line(citation: Citation) -> str:
    """A cited work as a person would type it: its text, and what identifies it where the text does not.

    >>> source_in_a_line(Citation("1", "Alder 1998", ("http://a.example/x",), isbn="9780306406157"))
    'Alder 1998 http://a.example/x ISBN 9780306406157'
    """
    said = one_line(citation.text)
    by_doi = doi_url(citation.doi) if citation.doi else ""  # the number alone says as much
    missing = [each for each in citation.urls[:1] if each not in said and each != by_doi]
    if citation.doi and citation.doi not in f"{said} {' '.join(missing)}".lower():
        missing.append(f"doi:{citation.doi}")
    digits = "".join(each for each in said if each.isalnum())
    if citation.isbn and citation.isbn not in digits:
        missing.append(f"ISBN {citation.isbn}")
    return " ".join(filter(None, [said, *missing]))


def _entry(each: Entry, warns: tuple[Danger, ...]) -> Mapping[str, str]:
    return {
        "record": "entry",
        "entry": each.id,
        "dangers": in_words(warns),
        "taxon": each.taxon,
        "part": each.part,
        "preparation": each.preparation,
        "status": each.status.value,
        "reason": each.reason,
        "accepted_despite": each.despite,
        "waiting_because": each.waiting_because,
        "objections": "\n".join(each.objections),
        "rests_on": "\n".join(f"{one.claim}: {_rated(one.rated_now)}" for one in each.claims),
        "decided_by": each.decided_by,
        "decided_at": each.decided_at,
        "review_on": each.review_on,
        "months": "; ".join(str(month) for month in each.months),
        "remember": REMEMBER,
    }


def _rated(rating: Rating | None) -> str:
    return rating.value if rating else "not audited"
