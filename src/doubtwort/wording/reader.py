"""A document read for one taxon: every passage's statements, whose they are, and the notices beside them."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames, page_names
from doubtwort.mentions.sentences import split
from doubtwort.mentions.subject import Topic, heading_topic, page_topic
from doubtwort.model import About, Document, Notice, Passage, Place, Reading, Statement, Taxon
from doubtwort.text import Folded, fold
from doubtwort.wording.attribution import Context, advance, attribute
from doubtwort.wording.classify import cue_words, drafts_of, parse
from doubtwort.wording.cues import tokenize
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.fields import Field, field_at, field_draft, heading_field, segments
from doubtwort.wording.ocr import repaired
from doubtwort.wording.finish import notices_of, statements_of
from doubtwort.wording.rules import Role, attribute_lexicon

_BARE_PARTS = frozenset("bean beans nut nuts berry berries plum plums cherry cherries apple apples pea peas currants grapes".split())
_PLURAL_FRUIT = re.compile(r"(?:berries|cherries|plums|apples|nuts|currants|grapes)$")
_ANSWER = re.compile(r"[\"'*\s-]*(yes|no)\b(?! (one|part|known))")
_LONGEST_VALUE = 80
_LONGEST_DOCUMENT = 60_000


@lru_cache(maxsize=256)
def finder_for(taxon: Taxon) -> Finder:
    """The name finder of a taxon; building one compiles its names."""
    return Finder(taxon)


def read_document(document: Document, taxon: Taxon) -> Reading:
    """All that the document says about eating, for this taxon and for the others that it names."""
    return DocumentReader(document, taxon).read()


class DocumentReader:
    """Reads passage after passage; keeps the running topic between sentences of one passage."""

    def __init__(self, document: Document, taxon: Taxon) -> None:
        self.document = document
        self.finder = finder_for(taxon)
        self.folded = [_folded(passage.text) for passage in document.passages[:_LONGEST_DOCUMENT]]
        texts = [fold(document.title).text, *(each.text for each in self.folded)]
        self.names: PageNames = page_names(texts, taxon.common_names)
        self.page = page_topic(document, self.finder, self.names)
        self.question: tuple[int, list[Draft]] | None = None
        self.statements: list[Statement] = []
        self.notices: list[Notice] = []
        self.own_names = {name.lower() for name in (*taxon.common_names, *taxon.synonyms, taxon.scientific_name)}
        self.named = self.page.about is About.TAXON

    def read(self) -> Reading:
        headings: dict[tuple[str, ...], Topic] = {}
        for index, (passage, folded) in enumerate(zip(self.document.passages, self.folded, strict=False)):
            if passage.headings not in headings:
                headings[passage.headings] = heading_topic(passage.headings, self.finder, self.names, self.page)
            if passage.kind != "heading":
                self._passage(index, passage, folded, headings[passage.headings])
            elif not self.named:
                self.named = any(each.whose is About.TAXON for each in self.finder.find(folded.text, self.names))
        return Reading(tuple(self.statements), tuple(self.notices), self.named, self.page.name)

    def _passage(self, index: int, passage: Passage, folded: Folded, topic: Topic) -> None:
        context = Context(self.page, topic)
        self.question = None
        names = self.names.before(index + 1)
        inherited: list[str] = []
        asked = heading_field(passage.headings[-1]) if passage.headings and len(passage.text) <= _LONGEST_VALUE else None
        for start, end in split(folded.text):
            mentions = self.finder.find(folded.text[start:end], names)
            mentions = [_moved(mention, start) for mention in mentions if not self._is_bare_part(mention, context)]
            self.named = self.named or any(mention.whose is About.TAXON for mention in mentions)
            spoken = False
            for low, high in segments(folded.text, start, end):
                inherited, said = self._sentence(passage, folded, low, high, mentions, context, inherited, asked)
                spoken = spoken or said
            if mentions or not spoken:
                tokens = tokenize(folded.lower, start, end)
                advance(tokens.words, [tokens.at(mention.start) for mention in mentions], mentions, context)

    def _sentence(
        self,
        passage: Passage,
        folded: Folded,
        start: int,
        end: int,
        mentions: list[Mention],
        context: Context,
        inherited: list[str],
        asked: Field | None,
    ) -> tuple[list[str], bool]:
        """Reads one sentence; gives the parts that a pronoun in the next may stand for, and whether it spoke."""
        field = field_at(folded.lower, start, end) or asked
        if field is not None and folded.lower[field.value_start : end].strip(" .?") == "":
            field = None
        value = max(field.value_start, start) if field is not None else start
        spans = [(mention.start, mention.end) for mention in mentions]
        free = [self._without_part(mention, folded.lower) for mention in mentions]
        sentence = parse(folded.text, folded.lower, value, end, spans, free, is_value=field is not None)
        if self.question is not None:
            self._answer(passage, folded, start, end)
        if sentence is None:
            return _subject_parts(folded, start, end), False
        drafts = drafts_of(sentence, inherited)
        if field is not None:
            own = field_draft(field, sentence, drafts)
            if own is not None:
                drafts = self._with_field(sentence, own, drafts)
        inside = [mention for mention in mentions if mention.start >= value] if field is None else mentions
        attribute(sentence, drafts, inside, context)
        if any(draft.why_silent == "question" for draft in drafts):
            self.question = (start, [draft for draft in drafts if draft.why_silent == "question"])
        self._finish(passage, folded, sentence, drafts, context)
        parts = [cue.rule.value for cue in sentence.attributes if cue.rule.role is Role.PART]
        return sorted(set(parts[:3])) if parts else inherited, True

    def _is_bare_part(self, mention: Mention, context: Context) -> bool:
        """ "The beans", "ripe plums": with a subject known, the plant's own and no other plant's name."""
        return (
            mention.whose is About.OTHER
            and mention.name.lower() in _BARE_PARTS
            and (mention.name[0].islower() or mention.start == 0)
            and context.current.about is not About.UNCLEAR
        )

    def _without_part(self, mention: Mention, lower: str) -> tuple[int, int]:
        """The span of a name without a part at its end: "fieldquill seeds", "carrowberries"."""
        words = lower[mention.start : mention.end].replace("-", " ").split()
        last = words[-1]
        whole = lower[mention.start : mention.end]
        if len(words) > 1 and last in part_words() and whole not in self.own_names:
            return mention.start, mention.end - len(last) - 1
        if _PLURAL_FRUIT.search(last):
            return mention.start, mention.start
        return mention.start, mention.end

    def _answer(self, passage: Passage, folded: Folded, start: int, end: int) -> None:
        """ "Is it edible? Yes." states what the question asks; "No." its opposite."""
        assert self.question is not None
        asked, drafts = self.question
        self.question = None
        answer = _ANSWER.match(folded.lower, start, end)
        if answer is None:
            return
        for draft in drafts:
            denied = draft.negated != (answer.group(1) == "no")
            draft.wording = draft.cue.rule.negated if denied else draft.cue.rule.says
            draft.rules.append(f"answer-{answer.group(1)}")
        low, high = folded.original(asked, end)
        place = Place(passage.headings, passage.start + low, passage.start + high, passage.page)
        keys = tuple(dict.fromkeys(mark.key for mark in passage.marks if low <= mark.start <= high + 1))
        self.statements += statements_of(drafts, passage.text[low:high], place, keys)

    def _with_field(self, sentence: Sentence, own: Draft, drafts: list[Draft]) -> list[Draft]:
        from doubtwort.wording.attributes import attach

        spoken = [draft for draft in drafts if draft.wording is not None and draft.wording is not own.wording]
        if not spoken:
            attach(sentence, [own], [])
            return [own]
        attach(sentence, [own, *spoken], [])
        return [own, *spoken]

    def _finish(
        self, passage: Passage, folded: Folded, sentence: Sentence, drafts: list[Draft], context: Context
    ) -> None:
        start, end = folded.original(sentence.start, sentence.end)
        place = Place(passage.headings, passage.start + start, passage.start + end, passage.page)
        quote = passage.text[start:end]
        keys = tuple(dict.fromkeys(mark.key for mark in passage.marks if start <= mark.start <= end + 1))
        self.statements += statements_of(drafts, quote, place, keys)
        self.notices += notices_of(sentence, drafts, quote, place, context)


@cache
def part_words() -> frozenset[str]:
    """Every single word that the tables read as a part."""
    return frozenset(word for word, rule in attribute_lexicon().words.items() if rule.role is Role.PART)


def _folded(text: str) -> Folded:
    folded = fold(text)
    lower = repaired(folded.lower)
    return folded if lower is folded.lower else Folded(folded.text, lower, folded.breaks, folded.origins)


def _moved(mention: Mention, by: int) -> Mention:
    return Mention(
        mention.start + by, mention.end + by, mention.whose, mention.name, mention.rule, mention.comparison
    )


def _subject_parts(folded: Folded, start: int, end: int) -> list[str]:
    from doubtwort.wording.cues import spot

    tokens = tokenize(folded.lower, start, min(end, start + 200))
    parts = [cue.rule.value for cue in spot(attribute_lexicon(), folded.lower, end, tokens, []) if cue.rule.role is Role.PART]
    return sorted(set(parts[:2]))


__all__ = ["cue_words", "read_document"]
