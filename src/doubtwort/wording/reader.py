"""A document read for one taxon: every passage's statements, whose they are, and the notices beside them."""

from __future__ import annotations

from functools import lru_cache

from doubtwort.mentions.find import Finder
from doubtwort.mentions.page import page_names
from doubtwort.mentions.subject import Topic, heading_topic, page_topic
from doubtwort.model import About, Document, Notice, Reading, Statement, Taxon
from doubtwort.text import Folded, fold
from doubtwort.wording.ocr import repaired
from doubtwort.wording.passage import PassageReader, may_state

_MOST_PASSAGES = 60_000


@lru_cache(maxsize=256)
def finder_for(taxon: Taxon) -> Finder:
    """The name finder of a taxon; building one compiles its names."""
    return Finder(taxon)


def read_document(document: Document, taxon: Taxon) -> Reading:
    """All that the document says about eating, for this taxon and for the others that it names.

    >>> from doubtwort.model import Passage
    >>> page = Document("", "Fictaria silvana", (Passage("The ripe berries are edible, the seeds are not."),))
    >>> [(str(each.wording), each.parts) for each in read_document(page, Taxon("Fictaria silvana")).statements]
    [('edible', ('fruit',)), ('inedible', ('seed',))]
    """
    finder = finder_for(taxon)
    folded = [_folded(passage.text) for passage in document.passages[:_MOST_PASSAGES]]
    names = page_names([fold(document.title).text, *(each.text for each in folded)], taxon.common_names, (taxon.genus,))
    page = page_topic(document, finder, names)
    topics: dict[tuple[str, ...], Topic] = {}
    statements: list[Statement] = []
    notices: list[Notice] = []
    named = page.about is About.TAXON
    for index, (passage, text) in enumerate(zip(document.passages, folded, strict=False)):
        if passage.kind == "heading" or not may_state(passage, text.lower):
            named = named or any(each.whose is About.TAXON for each in finder.find(text.text, names))
            continue
        if passage.headings not in topics:
            topics[passage.headings] = heading_topic(passage.headings, finder, names, page)
        reader = PassageReader(passage, text, finder, names.before(index + 1), page, topics[passage.headings])
        reader.read()
        statements += reader.statements
        notices += reader.notices
        named = named or reader.named
    return Reading(tuple(statements), tuple(notices), named, page.name)


def _folded(text: str) -> Folded:
    folded = fold(text)
    lower = repaired(folded.lower)
    return folded if lower is folded.lower else Folded(folded.text, lower, folded.breaks, folded.origins)
