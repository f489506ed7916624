"""A document read for one taxon: every passage's statements, whose they are, and the notices beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache

from doubtwort.mentions.find import Finder
from doubtwort.mentions.page import page_names
from doubtwort.mentions.review import names_in
from doubtwort.mentions.subject import Topic, heading_topic, page_topic
from doubtwort.model import About, Document, Notice, Passage, Reading, Statement, Taxon
from doubtwort.taxa.lexicon import key
from doubtwort.text import Folded, fold
from doubtwort.wording.lead_in import LeadIn, lead_in
from doubtwort.wording.ocr import repaired
from doubtwort.wording.passage import PassageReader, may_state, run_in

_MOST_PASSAGES = 60_000
_LONGEST_LEAD = 90
_SAYS_OF = re.compile(r"\b(?:is|are|was|were|has|have|can|may|contains?|if)\b|:\s*\S")
_LATIN = frozenset({"scientific name", "synonym", "other binomial", "abbreviated genus", "other abbreviated genus"})
# A heading that holds a verb, a denial or "label: value" is read like any other passage.
_SAYS = re.compile(r"\b(?:is|are|was|were|has|have|can|may|not|never|avoid|contains?|if)\b|:\s*\S")


@lru_cache(maxsize=1024)
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


@dataclass(slots=True)
class _Heads:
    """Paragraphs under one heading path: the last that names a species tells the topic. ``waiting`` are unread."""

    topic: Topic | None = None
    waiting: list[Folded] = field(default_factory=list)


class _Page:
    """What all passages of a document share: folded texts, the names on the page, its topic."""

    def __init__(self, document: Document, taxon: Taxon) -> None:
        self.document, self.taxon = document, taxon
        self.finder = finder_for(taxon)
        self.folded = [_folded(passage.text) for passage in document.passages[:_MOST_PASSAGES]]
        texts = [fold(document.title).text, *(each.text for each in self.folded)]
        self.names = page_names(texts, taxon.common_names, (taxon.genus,))
        self.topic = page_topic(document, self.finder, self.names)
        if self.topic.about is About.TAXON:  # on its own page the last word of its name is enough: "the quaker"
            own = frozenset(key(name) for name in taxon.common_names if len(name.split()) > 1)
            self.names = replace(self.names, compounds=self.names.compounds | own)
        self.passed: list[str] = []
        self.heads: dict[tuple[str, ...], _Heads] = {}
        self.lead: LeadIn | None = None

    def readers(self) -> Iterator[PassageReader]:
        topics: dict[tuple[str, ...], Topic] = {}
        for index, (passage, text) in enumerate(zip(self.document.passages, self.folded, strict=False)):
            headings = passage.headings
            if passage.kind == "paragraph":
                self.heads.setdefault(headings, _Heads()).waiting.append(text)
            lead = self._list_lead(passage, text)
            if lead is None and _is_silent(passage, text):
                self.passed.append(text.text)
                continue
            if headings not in topics:
                topics[headings] = heading_topic(headings, self.finder, self.names, self.topic)
            head, is_own = self._head(headings, text)
            names = self.names.before(index + 1)
            reader = PassageReader(passage, text, self.finder, names, self.topic, head or topics[headings], lead)
            # A line of names is about the first: "Fictaria silvana Auct. “Wood Fictaria.” Edible."
            reader.fixed = is_own and len(text.text) <= _LONGEST_LEAD
            yield reader

    def _head(self, headings: tuple[str, ...], text: Folded) -> tuple[Topic | None, bool]:
        """The species that the last line or head of a paragraph under the headings names; is it that of ``text``?"""
        heads = self.heads.get(headings)
        if heads is None:
            return None, False
        while heads.waiting:
            each = heads.waiting.pop()
            if (topic := self._led(each)) is not None:
                heads.topic = topic
                heads.waiting.clear()
                return topic, each is text
        return heads.topic, False

    def _list_lead(self, passage: Passage, text: Folded) -> LeadIn | None:
        """What the line or the heading above a list says of the names in it; None outside a list."""
        if passage.kind != "list-item":
            self.lead = lead_in(text.text) if text.text.endswith(":") else None
            return None
        if self.lead is None and passage.headings:
            return lead_in(passage.headings[-1])
        return self.lead

    def _led(self, text: Folded) -> Topic | None:
        """The species of a short line, or of the head of a paragraph, that only names it ("Amanita ficta Auct. Not
        edible.—This plant …"): what follows is about it."""
        if not self.finder.may_begin_in_latin(text.text, self.names):
            return None
        mark = run_in(text.text)
        head = text.text[: mark.start() + 1] if mark is not None else text.text
        if (len(head) > _LONGEST_LEAD and mark is None) or _SAYS_OF.search(head.lower()):
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
        return any(
            self.finder.may_name_taxon(text, self.names)
            and any(each.whose is About.TAXON for each in self.finder.find(text, self.names))
            for text in self.passed
        )


def _is_silent(passage: Passage, text: Folded) -> bool:
    return not may_state(passage, text.lower) or (passage.kind == "heading" and not _SAYS.search(text.lower))


def _folded(text: str) -> Folded:
    folded = fold(text)
    lower = repaired(folded.lower)
    return folded if lower is folded.lower else Folded(folded.text, lower, folded.breaks, folded.origins)
