"""The list page: every claim of a notebook with its rating, a small picture of its trail, and its report."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from markupsafe import Markup

from doubtwort.model import Rating
from doubtwort.reporting.drawing import draw_thumbnail
from doubtwort.reporting.html import page, sheet
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.view import AuditView, ClaimLine

LIST_FILE = "index.html"
_PLAIN_ID = re.compile(r"[A-Za-z0-9]{1,40}")


@dataclass(frozen=True, slots=True)
class Card:
    """One claim of the list page. ``file`` is its report's file name, "" for a claim that was never audited."""

    rating: str
    heading: str
    quote: str
    url: str
    rated_at: str
    words: str
    file: str = ""
    picture: Markup | None = None
    warnings: int = 0
    first_warning: str = ""


def report_file(claim_id: str) -> str:
    """The file name of a claim's report: its id where that is letters and digits, else a hash of it.

    >>> report_file("cdd002eb3e78a"), report_file("../x")
    ('claim-cdd002eb3e78a.html', 'claim-xd6b96a97d14.html')
    """
    if _PLAIN_ID.fullmatch(claim_id):
        return f"claim-{claim_id}.html"
    return f"claim-x{sha256(claim_id.encode('utf-8', 'replace')).hexdigest()[:11]}.html"


def card_of(line: ClaimLine, view: AuditView | None) -> Card:
    """A claim for the list page; ``view`` is that of its latest finished audit, None where there is none."""
    names = " ".join(view.common_names) if view else ""
    words = " ".join((line.heading, names, line.quote, line.url))
    if view is None:
        return Card(line.rating, line.heading, line.quote, line.url, line.rated_at, words)
    return Card(
        line.rating,
        line.heading,
        line.quote,
        line.url,
        line.rated_at,
        words,
        report_file(line.id),
        draw_thumbnail(view),
        len(view.dangers),
        view.dangers[0].text if view.dangers else "",
    )


def list_page(cards: Sequence[Card]) -> str:
    """The list as an HTML file. Its filters need the script inside it; without one, all claims are shown."""
    present = {each.rating for each in cards}
    known = [str(each.value) for each in Rating]
    ratings = [*(each for each in known if each in present), *sorted(present.difference(known))]
    standing = standing_cautions(None)
    return page(
        "list.html",
        "Claims that were checked",
        script=sheet("list.js"),
        claims=cards,
        ratings=ratings,
        standing=standing,
    )
