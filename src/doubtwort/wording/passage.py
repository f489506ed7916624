"""One passage, sentence by sentence: fields, questions with their answers, and the topic that runs on."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames
from doubtwort.mentions.review import names_in
from doubtwort.mentions.sentences import split
from doubtwort.mentions.subject import Topic
from doubtwort.model import About, Notice, Passage, Place, Statement
from doubtwort.text import Folded
from doubtwort.wording.attributes import attach
from doubtwort.wording.attribution import Context, advance, attribute
from doubtwort.wording.bracketed import before_sources
from doubtwort.wording.classify import drafts_of, parse
from doubtwort.wording.cues import WORDS, spot, tokenize
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.echo import echo, may_echo
from doubtwort.wording.fields import (
    Field,
    field_at,
    field_draft,
    heading_field,
    is_left_open,
    kind_of,
    prepared_part,
    segments,
    with_field,
)
from doubtwort.wording.finish import notices_of, statements_of
from doubtwort.wording.grammar import word_class
from doubtwort.wording.lead_in import LeadIn
from doubtwort.wording.retraction import silence_retracted
from doubtwort.wording.rules import Role, attribute_lexicon
from doubtwort.wording.second import Opinion, opinion_of, subject_words, worth_asking
from doubtwort.wording.second_look import UNCONFIRMED, is_note, missed, reassign, withhold
from doubtwort.wording.sieve import could_be_field, could_say, words_of
from doubtwort.wording.silence import (
    silence_gardening,
    silence_generalities,
    silence_harmful_dishes,
    silence_stories,
    silence_tastes,
)

_ANSWER = re.compile(
    r"[\"'*\s-]*(?:(?:well|sadly|alas|oh|in a word|in short|unfortunately|regrettably|happily|definitely|certainly|"
    r"absolutely|emphatically|of course|sorry|the (?:short |simple |honest )?answer is (?:a )?(?:\w+ )?)[,:]?\s?)*"
    r"(yes|no)\b(?! (one|part|known))"
)
_PLURAL_FRUIT = re.compile(r"(?:berries|cherries|plums|apples|nuts|currants|grapes)$")
_OF_GROWING = re.compile(r"\b(?:propagat|cultivat|sowing|growing|germinat|planting|seed saving|garden uses?)")
_OF_POISONING = re.compile(r"poison|toxic|intoxicat|alkaloid")
_PREPARED = r"(?:: | - )(?=raw|cooked|boiled|steamed|fried|roasted|baked|dried|pickled|candied)"
_PART_FIRST = re.compile(rf"[a-z][a-z ,&]{{2,40}}{_PREPARED}")
_AFTER_PART = re.compile(_PREPARED)
_FIELD = re.compile(r"[\s•*|-]*([a-z][a-z ()?/'-]{1,30}):\s")
_OF_NAMES = re.compile(r"name|species|taxon|plant|latin|synonym|binomial|fungus|mushroom|herb|weed")
# The end of a head that stands in the line of its paragraph: "Fictaria silvana Auct. Edible.—This plant …".
_RUN_IN = re.compile(r"[.\])]\s?[-\u2013\u2014]{1,2}\s?(?=[A-Z])")
_LONGEST_RUN_IN = 300
_LONGEST_VALUE = 80
_LONGEST_SUBJECT = 200
_LONGEST_LISTED = 160
_MOST_WORDS_OF_A_NAME = 5


def run_in(text: str) -> re.Match[str] | None:
    """The mark that ends a head in the line of its paragraph, or None where the paragraph has none."""
    return _RUN_IN.search(text, 0, _LONGEST_RUN_IN)


def may_state(passage: Passage, lower: str) -> bool:
    """Could anything in the passage state a wording? Says no to most of a page, at the price of one scan."""
    if _may_state(lower) or _asked(passage) is not None:
        return True
    return any(worth_asking(words_of(lower[start:end])) for start, end in split(lower))


def _may_state(lower: str) -> bool:
    words = words_of(lower)
    return could_say(lower, words) or could_be_field(lower, words) or _AFTER_PART.search(lower) is not None


def _asked(passage: Passage) -> Field | None:
    """The field that the heading above a short passage asks for."""
    return heading_field(passage.headings[-1]) if passage.headings and len(passage.text) <= _LONGEST_VALUE else None


class PassageReader:
    """Reads one passage; ``statements``, ``notices`` and ``named`` hold what it found.

    ``unread`` are the sentences at its end that state nothing: no name was looked for in them.
    """

    def __init__(
        self,
        passage: Passage,
        folded: Folded,
        finder: Finder,
        names: PageNames,
        page: Topic,
        topic: Topic,
        lead: LeadIn | None = None,
    ) -> None:
        self.passage = passage
        self.folded = folded
        self.finder = finder
        self.names = names
        self.context = Context(page, topic)
        self.topic = topic
        self.lead = lead
        self.asked = _asked(passage)
        self.question: tuple[int, list[Draft]] | None = None
        self.before: tuple[int, int] | None = None
        self.said: list[Draft] = []
        self.statements: list[Statement] = []
        self.notices: list[Notice] = []
        self.named = False
        self.fixed = False
        self.head_end = 0
        self.following: tuple[int, int] | None = None
        self.unread: list[tuple[int, int]] = []
        self.observe: Callable[[Sentence, list[Draft], list[Mention]], None] | None = None

    def read(self) -> None:
        head = run_in(self.folded.text)
        self.head_end = head.end() if head is not None else 0
        sentences = split(self.folded.text)
        before: tuple[int, int, list[Mention]] | None = None
        for (start, end), self.following in zip(sentences, [*sentences[1:], None], strict=True):
            if len(sentences) > 1 and not self._is_read(start, end):
                self.unread.append((start, end))
                continue
            if before is not None:
                self._go_past(*before)
            self._catch_up()
            mentions = self._mentions(start, end)
            for low, high in segments(self.folded.text, start, end):
                self._sentence(low, high, mentions)
                self.before = (low, high)
            before = start, end, mentions
        if self.lead is not None and not self.statements:
            self._listed(self.lead)

    def _is_read(self, start: int, end: int) -> bool:
        """Could the sentence state something, answer the question before it, or leave unsaid what was said?"""
        lower = self.folded.lower[start:end]
        if self.asked is not None or self.question is not None or _may_state(lower) or worth_asking(words_of(lower)):
            return True
        return bool(self.said) and not self.unread and end - start < _LONGEST_VALUE and self._is_echo(start, end)

    def _catch_up(self) -> None:
        """Takes in whom the sentences were about that were passed over."""
        for start, end in self.unread:
            self._go_past(start, end, self._mentions(start, end))
        if self.unread:
            self.before = segments(self.folded.text, *self.unread[-1])[-1]
            self.said = []
        self.unread.clear()

    def _mentions(self, start: int, end: int) -> list[Mention]:
        if self.head_end and end > self.head_end:
            # Names in a head are one plant's: "X. [Synonym of 1789].—It …"
            self.context.current, self.head_end = self.topic, 0
        found = names_in(self.folded.text[start:end], self.finder, self.names)
        mentions = [_moved(mention, start) for mention in found if not self._is_bare_part(mention)]
        self.named = self.named or any(mention.whose is About.TAXON for mention in mentions)
        return mentions

    def names_taxon(self) -> bool:
        """Is the taxon named in the sentences at the end that were passed over?"""
        return any(
            self.finder.may_name_taxon(text, self.names)
            and any(mention.whose is About.TAXON for mention in names_in(text, self.finder, self.names))
            for text in (self.folded.text[start:end] for start, end in self.unread)
        )

    def _go_past(self, start: int, end: int, mentions: list[Mention]) -> None:
        in_row = self.passage.kind == "table-row"
        telling = [each for each in mentions if not (in_row and each.rule == "family name")]
        if telling and not self.fixed and (in_row or not _is_field(self.folded.lower, start, end)):
            tokens = tokenize(self.folded.lower, start, end)
            advance(tokens.words, [tokens.at(mention.start) for mention in telling], telling, self.context)

    def _listed(self, lead: LeadIn) -> None:
        """A name in a list of which the line above says something: "Poisonous plants:" … "Marsh brindle"."""
        text = self.folded.text
        if len(text) > _LONGEST_LISTED:
            return
        named = [each for each in names_in(text, self.finder, self.names) if each.start < _LONGEST_SUBJECT // 4]
        if not named and len(WORDS.findall(text)) > _MOST_WORDS_OF_A_NAME:
            return
        spans = [(each.start, each.end) for each in named]
        sentence = parse(text, self.folded.lower, 0, len(text), spans, is_value=True)
        if sentence is None:
            return
        draft = lead.over(sentence, *(spans[0] if spans else (0, len(text))))
        attach(sentence, [draft], [])
        draft.subjects = [(named[0].whose, named[0].name)] if named else [(About.OTHER, text[:_LONGEST_VALUE])]
        if self.observe is not None:
            self.observe(sentence, [draft], named)
        self.named = self.named or any(each.whose is About.TAXON for each in named)
        quote, place, keys = self._quoted(0, len(text))
        place = Place((*place.headings, lead.text), place.start, place.end, place.page)
        self.statements += statements_of([draft], quote, place, keys)

    def _sentence(self, start: int, end: int, mentions: list[Mention]) -> None:
        lower = self.folded.lower
        if self.question is not None:
            self._answer(start, end)
        field = field_at(lower, start, end) or self.asked
        if field is not None and (not lower[field.value_start : end].strip(" .?") or _is_no_answer(lower, field, end)):
            field = None
        value = max(field.value_start, start) if field is not None else start
        spans = [(mention.start, mention.end) for mention in mentions]
        free = [self._without_part(mention) for mention in mentions]
        terse = field is None and _PART_FIRST.match(lower, start, min(end, start + _LONGEST_VALUE)) is not None
        sentence = parse(self.folded.text, lower, value, end, spans, free, is_value=field is not None or terse)
        said, self.said = self.said, []
        echoed = None
        if (
            said
            and field is None
            and end - start < _LONGEST_VALUE
            and (sentence is not None or self._is_echo(start, end))
        ):
            whole = sentence or parse(self.folded.text, lower, start, end, spans, free, is_value=True)
            echoed = echo(whole, said) if whole is not None else None
            sentence = whole if echoed is not None else sentence
        if sentence is None and worth_asking(words_of(lower[start:end])):
            sentence = parse(self.folded.text, lower, start, end, spans, free, is_value=True)
        if sentence is None:
            return
        inherited = self._inherited(sentence)
        drafts = drafts_of(sentence, inherited)
        if echoed is not None and all(draft.clause != echoed.clause for draft in drafts):
            attach(sentence, [echoed], [])
            drafts.insert(0, echoed)
        if terse and not any(draft.wording for draft in drafts) and (own := prepared_part(sentence)) is not None:
            drafts = with_field(sentence, own, drafts)
        if field is not None and (own := field_draft(field, sentence, drafts)) is not None:
            drafts = with_field(sentence, own, drafts)
        attribute(sentence, drafts, mentions, self.context)
        silence_tastes(drafts)
        silence_harmful_dishes(sentence, drafts)
        silence_generalities(sentence, drafts)
        if any(_OF_GROWING.search(heading.lower()) for heading in self.passage.headings[-1:]):
            silence_gardening(drafts)
        if any(_OF_POISONING.search(heading.lower()) for heading in self.passage.headings):
            silence_stories(sentence, drafts)
        if echoed is None and self.asked is None and not is_left_open(field, lower, end):
            self._look_again(sentence, start, drafts, mentions, inherited)
        self.said = [draft for draft in drafts if draft.wording is not None or draft.why_silent == UNCONFIRMED]
        silence_retracted(drafts, lower, self.following)
        if self.observe is not None and (drafts or field is not None):
            self.observe(sentence, drafts, mentions)
        questions = [draft for draft in drafts if draft.why_silent == "question"]
        self.question = (start, questions) if questions else None
        self._keep(sentence, drafts)

    def _look_again(
        self, sentence: Sentence, start: int, drafts: list[Draft], mentions: list[Mention], inherited: list[str]
    ) -> None:
        """Asks the second reader of the same words, a field's label with them."""
        current = self.context.current
        near = [each for each in mentions if start <= each.start < sentence.end]
        ours = {current.about, *(each.whose for each in near)} & {About.TAXON, About.GENUS, About.UNCLEAR}
        if not ours:
            return  # a sentence on other plants alone is left to the tables
        own = [self._whole_name(each) for each in mentions if each.whose is About.TAXON]
        # A sentence that names the plant has it for its subject where nothing before it tells of another.
        about = About.TAXON if own and current.about is About.UNCLEAR else current.about
        subject = subject_words(about, current.name)
        end = before_sources(self.passage, self.folded, start, sentence.end)
        opinion = opinion_of(self.folded.lower, start, end, own, subject)
        sentence.opinion = opinion
        withhold(sentence, drafts, opinion)
        if near or current.about in (About.TAXON, About.GENUS):
            # Of a text on something else that names nothing, what the tables do not find is not said.
            drafts += self._found_beyond(sentence, drafts, opinion, mentions, inherited)
        if is_note(sentence):
            return
        others = [each.name for each in near if each.whose is About.OTHER]
        points_to_it = current.about is About.TAXON or any(each.whose is About.TAXON for each in near)
        reassign(drafts, opinion, self.finder.taxon.scientific_name if points_to_it else "", others)

    def _found_beyond(
        self, sentence: Sentence, drafts: list[Draft], opinion: Opinion, mentions: list[Mention], inherited: list[str]
    ) -> list[Draft]:
        """What the second reader adds, with its parts and subjects. It was taught what is said of people."""
        added = missed(sentence, drafts, opinion)
        rules = [draft.rules.copy() for draft in added]
        attach(sentence, added, inherited)
        for draft, own_rules in zip(added, rules, strict=True):
            draft.eaters, draft.rules = [], own_rules
        attribute(sentence, added, mentions, self.context)
        return added

    def _whole_name(self, mention: Mention) -> tuple[int, int]:
        start, end = self._without_part(mention)
        return (start, end) if end > start else (mention.start, mention.end)

    def _is_echo(self, start: int, end: int) -> bool:
        return may_echo(tokenize(self.folded.lower, start, end).words)

    def _keep(self, sentence: Sentence, drafts: list[Draft]) -> None:
        quote, place, keys = self._quoted(sentence.start, sentence.end)
        self.statements += statements_of(drafts, quote, place, keys)
        self.notices += notices_of(sentence, drafts, quote, place, self.context)

    def _answer(self, start: int, end: int) -> None:
        """ "Is it edible? Yes." states what the question asks; "No." its opposite."""
        assert self.question is not None
        asked, drafts = self.question
        self.question = None
        answer = _ANSWER.match(self.folded.lower, start, end)
        if answer is None:
            return
        for draft in drafts:
            denied = draft.negated != (answer.group(1) == "no")
            draft.wording = draft.cue.rule.negated if denied else draft.cue.rule.says
            draft.rules.append(f"answer-{answer.group(1)}")
        self.statements += statements_of(drafts, *self._quoted(asked, end))

    def _quoted(self, start: int, end: int) -> tuple[str, Place, tuple[str, ...]]:
        """The passage's own text of a folded span, its place, and the citations that are marked in it."""
        passage = self.passage
        low, high = self.folded.original(start, end)
        place = Place(passage.headings, passage.start + low, passage.start + high, passage.page)
        keys = tuple(dict.fromkeys(mark.key for mark in passage.marks if low <= mark.start <= high + 1))
        return passage.text[low:high], place, keys

    def _inherited(self, sentence: Sentence) -> list[str]:
        """Parts that a pronoun at the start of the sentence stands for: those named first in the one before."""
        if self.before is None or sentence.tokens.words[0] not in word_class("takes-up"):
            return []
        start, end = self.before
        tokens = tokenize(self.folded.lower, start, min(end, start + _LONGEST_SUBJECT))
        cues = spot(attribute_lexicon(), self.folded.lower, end, tokens, [])
        return sorted({cue.rule.value for cue in [cue for cue in cues if cue.rule.role is Role.PART][:2]})

    def _is_bare_part(self, mention: Mention) -> bool:
        """ "The beans", "ripe plums": with a subject known, the plant's own and no other plant's name."""
        return (
            mention.whose is About.OTHER
            and mention.name.lower() in word_class("bare-fruits")
            and (mention.name[0].islower() or mention.start == 0)
            and self.context.current.about is not About.UNCLEAR
        )

    def _without_part(self, mention: Mention) -> tuple[int, int]:
        """The span of a name without a part at its end: "fieldquill seeds", "carrowberries"."""
        whole = self.folded.lower[mention.start : mention.end]
        words = whole.replace("-", " ").split()
        last = words[-1]
        own = self.finder.common
        plural = last.endswith("s") or whole[: -len(last) - 1] in own
        if len(words) > 1 and plural and last in part_words() and whole not in own:
            return mention.start, mention.end - len(last) - 1
        if _PLURAL_FRUIT.search(last):
            return mention.start, mention.start
        return mention.start, mention.end


def _is_no_answer(lower: str, field: Field, end: int) -> bool:
    """ "Harmful if eaten - skin irritant" is no label with its value, but two remarks."""
    return lower[: field.value_start].rstrip().endswith("-") and kind_of(lower[field.value_start : end]) == "other"


def _is_field(lower: str, start: int, end: int) -> bool:
    """ "Host: oak stumps", "Mistaken for: onions": only a field of names tells what the page is about."""
    match = _FIELD.match(lower, start, end)
    return match is not None and not _OF_NAMES.search(match[1])


@cache
def part_words() -> frozenset[str]:
    """Every single word that the tables read as a part."""
    return frozenset(word for word, rule in attribute_lexicon().words.items() if rule.role is Role.PART)


def _moved(mention: Mention, by: int) -> Mention:
    return Mention(mention.start + by, mention.end + by, mention.whose, mention.name, mention.rule, mention.comparison)
