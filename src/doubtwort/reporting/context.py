"""The words around a quote, cut from the page that it was read from."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping

from doubtwort.model import Audit, Document, Source

# Characters shown on either side of a quote.
REACH = 220
CLAIM_KEY = ("claim", "")

Around = tuple[str, str]
Contexts = Mapping[tuple[str, str], Around]


def contexts_of(
    audit: Audit, page: Document | None, document_of: Callable[[Source], Document | None]
) -> dict[tuple[str, str], Around]:
    """The words around every quote whose page can still be read, keyed by source id and quote; the claim's own under
    ``CLAIM_KEY``. ``document_of`` gives the page of a source as it was audited, None where it is not at hand."""
    found: dict[tuple[str, str], Around] = {}
    if page is not None and (around := words_around(page, audit.claim.quote)):
        found[CLAIM_KEY] = around
    for source in audit.sources:
        document = document_of(source) if source.statements else None
        if document is None:
            continue
        text = document.text
        starts = [each.start for each in document.passages]
        for statement in source.statements:
            start = statement.place.start if statement.place else 0
            if around := _around(document, text, starts, statement.quote, start):
                found[source.id, statement.quote] = around
    return found


def words_around(document: Document, quote: str, start: int = 0) -> Around | None:
    """What stands before and after a quote in its passage, cut at words; None where the quote is not found.

    >>> from doubtwort.model import Passage
    >>> page = Document("", "", (Passage("Roots kill. Leaves are eaten. Buds too."),))
    >>> words_around(page, "Leaves are eaten.")
    ('Roots kill. ', ' Buds too.')
    """
    return _around(document, document.text, [each.start for each in document.passages], quote, start)


def _around(document: Document, text: str, starts: list[int], quote: str, start: int) -> Around | None:
    if not quote or not text.startswith(quote, start):
        start = text.find(quote) if quote else -1
    if start < 0:
        return None
    passage = document.passages[max(0, bisect_right(starts, start) - 1)]
    end = start + len(quote)
    before = text[max(passage.start, start - REACH) : start]
    after = text[end : max(end, min(passage.end, end + REACH))]
    if start - REACH > passage.start:
        before = "… " + before.partition(" ")[2]
    if end + REACH < passage.end:
        after = after.rpartition(" ")[0] + " …"
    return before, after
