"""Quoted statements as Web Annotations in JSON-LD (W3C Recommendation, Web Annotation Data Model, 23 February 2017).

Each statement is a ``SpecificResource`` of its page with two selectors: the words themselves with some before and after
(4.2.4, ``TextQuoteSelector``), and where they begin and end in the page's text as doubtwort reads it, counted in code
points (4.2.5, ``TextPositionSelector``). The text before and after is there where the notebook holds the page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final, TextIO

from doubtwort.model import Document, Source, Statement
from doubtwort.notebook.notebook import Notebook
from doubtwort.reporting.links import link_address
from doubtwort.reporting.words import ABOUT_SAYS
from doubtwort.sharing.gather import Told, told
from doubtwort.sharing.linked import urn, write_array
from doubtwort.sharing.pages import pages_of
from doubtwort.sharing.warnings import REMEMBER, standing

CONTEXT: Final = "http://www.w3.org/ns/anno.jsonld"
AROUND: Final = 32  # characters before and after a quote
_COMMENT: Final = "http://www.w3.org/2000/01/rdf-schema#comment"


def write_annotations(notebook: Notebook, out: TextIO) -> int:
    """One annotation for each statement of each claim's latest audit whose page has an address; gives how many."""
    head = {
        "@context": [CONTEXT, {"cautions": {"@id": _COMMENT, "@container": "@list"}}],
        "id": urn("annotations"),
        "type": "AnnotationPage",
        "cautions": [REMEMBER, *(each.text for each in standing())],
    }
    return write_array(out, head, "items", _annotations(notebook))


def _annotations(notebook: Notebook) -> Iterator[dict[str, Any]]:
    page_of = pages_of(notebook)
    for each in told(notebook):
        for source in each.audit.sources if each.audit else ():
            address = link_address(source.final_url) or link_address(source.url)
            if address and source.statements:
                yield from _of_source(each, source, address, page_of)


def _of_source(
    each: Told, source: Source, address: str, page_of: Callable[[Source], Document | None]
) -> Iterator[dict[str, Any]]:
    document = page_of(source)
    text = document.text if document else ""
    for number, statement in enumerate(source.statements, start=1):
        target: dict[str, Any] = {"source": address, "selector": selectors(statement, text)}
        if source.fetched_at:
            # The page as it was then (4.3.1, Time State).
            target["state"] = {"type": "TimeState", "sourceDate": source.fetched_at}
        warning = _body("commenting", " ".join([*(one.text for one in each.dangers), REMEMBER]))
        yield {
            "id": urn("annotation", each.claim.id, source.id, str(number)),
            "type": "Annotation",
            "motivation": "classifying",
            "body": [
                warning,
                _body("classifying", statement.wording.value),
                _body("describing", _described(each, statement)),
            ],
            "target": target,
        }


def selectors(statement: Statement, text: str = "") -> list[dict[str, Any]]:
    """The words, and their place where one is known; ``text`` is the page's, "" where it is not at hand.

    >>> from doubtwort.model import Place, Wording
    >>> said = Statement("It kills.", Wording.TOXIC, place=Place((), 6, 15))
    >>> selectors(said, "Mind! It kills. Truly.")[0]["prefix"]
    'Mind! '
    """
    quote: dict[str, Any] = {"type": "TextQuoteSelector", "exact": statement.quote}
    place = statement.place
    if place is None:
        return [quote]
    if text:
        if text[place.start : place.end] != statement.quote:
            return [quote]  # the page is read differently today: its words still lead there
        quote["prefix"] = text[max(0, place.start - AROUND) : place.start]
        quote["suffix"] = text[place.end : place.end + AROUND]
    return [quote, {"type": "TextPositionSelector", "start": place.start, "end": place.end}]


def _body(purpose: str, value: str) -> dict[str, str]:
    return {"type": "TextualBody", "purpose": purpose, "value": value, "format": "text/plain", "language": "en"}


def _described(each: Told, statement: Statement) -> str:
    limits = (*statement.parts, *statement.preparations, *statement.stages)
    said = [
        f"Read as: {statement.wording.value}",
        f"about {ABOUT_SAYS[statement.about]} ({each.taxon.scientific_name})",
        f"for {statement.eater.value}",
        statement.certainty.value,
        *limits,
    ]
    return ", ".join(said) + "."
