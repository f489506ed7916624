"""A document read for one taxon: every passage's statements, whose they are, and the notices beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from doubtwort.mentions.find import Finder
from doubtwort.mentions.page import page_names
from doubtwort.mentions.review import names_in
from doubtwort.mentions.subject import Topic, heading_topic, page_topic
from doubtwort.model import About, Document, Notice, Passage, Reading, Statement, Taxon
from doubtwort.text import Folded, fold
from doubtwort.wording.lead_in import LeadIn, lead_in
from doubtwort.wording.ocr import repaired
from doubtwort.wording.passage import LONGEST_RUN_IN, RUN_IN, PassageReader, may_state

_MOST_PASSAGES = 60_000
_LONGEST_LEAD = 90
_SAYS_OF = re.compile(r"\b(?:is|are|was|were|has|have|can|may|contains?|if)\b|:\s*\S")
_LATIN = frozenset({"scientific name", "synonym", "other binomial", "abbreviated genus", "other abbreviated genus"})
# A heading that holds a verb, a denial or "label: value" is read like any other passage.
_SAYS = re.compile(r"\b(?:is|are|was|were|has|have|can|may|not|never|avoid|contains?|if)\b|:\s*\S")


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
    statements: list[Statement] = []
    notices: list[Notice] = []
    page = _Page(document, taxon)
    readers = []
    for reader in page.readers():
        reader.read()
        statements += reader.statements
        notices += reader.notices
        readers.append(reader)
    return Reading(tuple(statements), tuple(notices), page.is_named(readers), page.topic.name)


def passage_readers(document: Document, taxon: Taxon) -> Iterator[PassageReader]:
    """A reader, not yet run, for every passage that could state a wording."""
    return _Page(document, taxon).readers()


class _Page:
    """What all passages of a document share: folded texts, the names on the page, its topic."""

    def __init__(self, document: Document, taxon: Taxon) -> None:
        self.document, self.taxon = document, taxon
        self.finder = finder_for(taxon)
        self.folded = [_folded(passage.text) for passage in document.passages[:_MOST_PASSAGES]]
        texts = [fold(document.title).text, *(each.text for each in self.folded)]
        self.names = page_names(texts, taxon.common_names, (taxon.genus,))
        self.topic = page_topic(document, self.finder, self.names)
        self.passed: list[str] = []
        self.lead: LeadIn | None = None

    def readers(self) -> Iterator[PassageReader]:
        topics: dict[tuple[str, ...], Topic] = {}
        leads: dict[tuple[str, ...], Topic] = {}
        for index, (passage, text) in enumerate(zip(self.document.passages, self.folded, strict=False)):
            if passage.headings not in topics:
                topics[passage.headings] = heading_topic(passage.headings, self.finder, self.names, self.topic)
                leads.pop(passage.headings, None)
            if (head := self._led(passage, text)) is not None:
                leads[passage.headings] = head
            lead = self._list_lead(passage, text)
            silent = (passage.kind == "heading" and not _SAYS.search(text.lower)) or not may_state(passage, text.lower)
            if silent and lead is None:
                self.passed.append(text.text)
                continue
            topic = leads.get(passage.headings, topics[passage.headings])
            names = self.names.before(index + 1)
            reader = PassageReader(passage, text, self.finder, names, self.topic, topic, lead)
            # A line of names is about the first: "Fictaria silvana Auct. “Wood Fictaria.” Edible."
            reader.fixed = head is not None and len(text.text) <= _LONGEST_LEAD
            yield reader

    def _list_lead(self, passage: Passage, text: Folded) -> LeadIn | None:
        """What the line or the heading above a list says of the names in it; None outside a list."""
        if passage.kind != "list-item":
            self.lead = lead_in(text.text) if text.text.endswith(":") else None
            return None
        if self.lead is None and passage.headings:
            return lead_in(passage.headings[-1])
        return self.lead

    def _led(self, passage: Passage, text: Folded) -> Topic | None:
        """The species of a short line, or of the head of a paragraph, that only names it ("Amanita ficta Auct. Not
        edible.—This plant …"): what follows is about it."""
        if passage.kind != "paragraph":
            return None
        run_in = RUN_IN.search(text.text, 0, LONGEST_RUN_IN)
        head = text.text[: run_in.start() + 1] if run_in is not None else text.text
        if (len(head) > _LONGEST_LEAD and run_in is None) or _SAYS_OF.search(head.lower()):
            return None
        names = names_in(head, self.finder, self.names)
        if not names or names[0].start > 3 or names[0].rule not in _LATIN:
            return None
        return Topic(names[0].whose, names[0].name, "the line above, which names it")

    def is_named(self, readers: list[PassageReader]) -> bool:
        """Does the taxon occur in the title or anywhere in the text?"""
        if self.topic.about is About.TAXON or any(each.named for each in readers):
            return True
        if any(each.names_taxon() for each in readers):
            return True
        return any(each.whose is About.TAXON for text in self.passed for each in self.finder.find(text, self.names))


def _folded(text: str) -> Folded:
    folded = fold(text)
    lower = repaired(folded.lower)
    return folded if lower is folded.lower else Folded(folded.text, lower, folded.breaks, folded.origins)
