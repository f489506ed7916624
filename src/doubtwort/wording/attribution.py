"""Whose statement it is: the taxon named as the subject, else the one that a pronoun, a heading or the page stands for.

Every decision carries its reason in words, which the explanation shows.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from doubtwort.mentions.find import Mention
from doubtwort.mentions.subject import Topic
from doubtwort.model import About
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.fields import answers_label
from doubtwort.wording.generic import generic_subject, is_compared, relative_of
from doubtwort.wording.grammar import phrase_class, word_class
from doubtwort.wording.names import Named, joined, units
from doubtwort.wording.unlisted import behind_comparison, unlisted_antecedent, unlisted_subject

_GENERIC: Final = word_class("generic")
_INTRODUCES: Final = word_class("introduces")
_SINGLES_OUT: Final = tuple(f" {phrase}" for phrase in phrase_class("singles-out"))
_PARTS_FROM: Final = FINITE | {"but", "though", "although", "while", "whereas", "not", "except", "and", ";"}
_MARKS: Final = frozenset({",", "(", ":", ".", "-", "the"})
_PRONOUNS: Final = word_class("pronouns")
_PLACES: Final = word_class("places")
_ADVERBS: Final = word_class("adverbs")

Subjects = list[tuple[About, str]]


@dataclass(slots=True)
class Context:
    """What is known when a sentence begins: the page's or heading's topic, the running one, names just mentioned."""

    page: Topic
    current: Topic
    recent: list[Mention] = field(default_factory=list)


def attribute(sentence: Sentence, drafts: list[Draft], mentions: list[Mention], context: Context) -> None:
    """Gives every draft its subjects: one, or several when names are joined by "and"."""
    named = units(sentence, mentions)
    known = context.current.about is not About.UNCLEAR
    for draft in drafts:
        # "Toxic parts: roots, whose poison is like that of the foxglove": the row is about what it stands under.
        own = [each for each in named if each.last == 0] if known and answers_label(draft.cue.rule.id) else named
        draft.subjects, draft.why_subject = _Decision(sentence, draft, own, context).decide()
        if draft.subjects[0][0] in (About.GENUS, About.FAMILY):
            draft.subjects += _singled_out(sentence.tokens.words, draft.cue.last, own)


def _singled_out(words: list[str], begins: int, named: list[Named]) -> list[tuple[About, str]]:
    """The plant itself where it is named behind ``begins`` for an example: "many are eaten, among them X and Y"."""
    example = False
    for each in named:
        if each.first < begins:
            continue
        if not example and not _PARTS_FROM.isdisjoint(words[begins : each.first]):
            break
        gap = [word for word in words[begins : each.first] if word not in _MARKS]
        example = (example and gap in ([], ["and"], ["or"])) or (" " + " ".join(gap)).endswith(_SINGLES_OUT)
        if example and each.whose is About.TAXON:
            return [each.own]
        begins = each.last
    return []


def advance(words: list[str], spans: list[int], mentions: list[Mention], context: Context) -> None:
    """Moves the running topic past a sentence: to the name that stands before its first verb."""
    verb = next((at for at, word in enumerate(words) if word in FINITE), len(words))
    if not (words[:verb] and words[0] in _PRONOUNS):
        for at, mention in zip(spans, mentions, strict=True):
            if at < verb and not mention.comparison and not _is_place(words, at):
                context.current = Topic(mention.whose, mention.name, "named as the subject of the sentence before")
                break
    named = {(mention.whose, mention.name) for mention in mentions if not mention.comparison}
    if context.current.about is About.UNCLEAR and len({whose for whose, _ in named}) == 1:
        context.current = Topic(mentions[0].whose, mentions[0].name, "the only plant named in the sentence before")
    if mentions:
        context.recent = (context.recent + mentions)[-6:]


def _is_apposition(words: list[str]) -> bool:
    """The words between a name with its comma and what is said of it: "X, an important traditional food plant"."""
    if set(words) <= word_class("before-apposition"):
        return True
    plain = all(word.isalpha() and word not in FINITE and word not in word_class("prepositions") for word in words)
    return words[0] in ("a", "an", "another", "our", "one") and plain and len(words) < 6


def _is_place(words: list[str], at: int) -> bool:
    """Does the name only tell where the plant grows: "waste ground near docks"?"""
    return not _PLACES.isdisjoint(words[max(at - 2, 0) : at])


class _Decision:
    """One draft's subject, decided from the nearest evidence to the farthest."""

    def __init__(self, sentence: Sentence, draft: Draft, named: list[Named], context: Context) -> None:
        self.words = sentence.tokens.words
        self.sentence, self.draft, self.named, self.context = sentence, draft, named, context
        self.structure = sentence.structure
        self.target = draft.cue
        self.first = sentence.structure.first[draft.clause]
        lead = range(self.target.first - 1, self.first - 1, -1)
        self.verb = next((at for at in lead if self.words[at] in FINITE), -1)
        if self.words[self.target.first] in FINITE:
            self.verb = self.target.first  # the row begins with the verb: "are boiled and eaten"
        self.lead_end = self.verb if self.verb >= 0 else self.target.first

    def decide(self) -> tuple[Subjects, str]:
        following = self._named_after()
        if following is None and is_compared(self.sentence, self.draft):
            return [(About.OTHER, "another plant")], "only what the plant is compared with"
        if following is not None:
            alone = following.comparison
            given = [following.own] if alone else joined(self.words, following, self.named)
            return given, "the name that the word stands before"
        which = self.structure.opener[self.draft.clause] == "which"
        unlisted = unlisted_antecedent(self.sentence, self.draft, self.first) if which else ""
        if unlisted and not any(self.first - 2 <= each.last <= self.first for each in self.named):
            return [(About.OTHER, unlisted)], "a name that is in no list"
        if which and (own := self._of_group()) is not None:
            return own
        if (relative := self._before_relative()) is not None:
            return [relative.own], "the name that “which” or “that” refers to"
        in_clause = [
            each
            for each in self.named
            if each.first < self.target.first and self.structure.number[each.first] == self.draft.clause
        ]
        subjects = [each for each in in_clause if not each.comparison]
        end = self.lead_end if self.verb >= 0 else self.target.last
        if generic := generic_subject(self.sentence, self.draft, (self.first, end), subjects, self.named, self.context):
            return generic
        if unlisted := self._unlisted(subjects):
            return [(About.OTHER, unlisted)], "a name that is in no list"
        before_verb = [each for each in subjects if each.first < self.lead_end]
        if before_verb and not self._elided():
            chosen = before_verb[-1]
            if relative_of(self.words, chosen.first):
                return [(About.OTHER, chosen.name)], "a relative of the name, not the name itself"
            return joined(self.words, chosen, self._until(self.target.first)), "named as the subject"
        if before_verb:
            verb = next((at for at in range(self.first, self.target.first) if self.words[at] in FINITE), -1)
            heads = [each for each in before_verb if each.first < verb]
            if heads:
                return joined(self.words, heads[-1], self._until(verb)), "the subject of the clause"
        current = self.context.current
        defines = self.verb < 0 and self.words[0] in word_class("defines") and current.about is About.TAXON
        if defines and not any(each.whose is About.TAXON for each in subjects):
            return [(current.about, current.name)], current.why
        if subjects and self.verb < 0:
            return joined(self.words, subjects[-1], self.named), "named in the clause"
        return self._from_before()

    def _of_group(self) -> tuple[Subjects, str] | None:
        """ "A genus in which several species are deadly": the relative clause has a group for its own subject."""
        found = generic_subject(self.sentence, self.draft, (self.first, self.lead_end), [], self.named, self.context)
        return found if found is not None and found[0][0][0] in (About.GENUS, About.FAMILY) else None

    def _unlisted(self, subjects: list[Named]) -> str:
        first = behind_comparison(self.words, self.first, self.verb)
        near = [each for each in self.named if first <= each.first < first + 4]
        if near or any(first <= each.first < self.lead_end for each in subjects):
            return ""
        number = self.structure.number
        apart = any(
            each.whose is About.TAXON and number[each.first] != self.draft.clause and not each.comparison
            for each in self.named
            if each.first < len(number)
        )
        return unlisted_subject(self.sentence, self.draft, first, self.verb, apart=apart)

    def _clause_before(self) -> list[Named]:
        """The names before the verb of the nearest clause before this one: what "its nuts" refers to."""
        for clause in range(self.draft.clause - 1, 0, -1):
            at = [index for index, number in enumerate(self.structure.number) if number == clause]
            if not at or self.structure.opener[clause] in ("(", "which"):
                continue
            verb = next((index for index in at if self.words[index] in FINITE), -1)
            found = [each for each in self.named if at[0] <= each.first < verb and not each.comparison]
            if found:
                return found
        return []

    def _until(self, end: int) -> list[Named]:
        return [each for each in self.named if each.first < end]

    def _from_before(self) -> tuple[Subjects, str]:
        """Without a name before its verb: the sentence's own subject, a name after it, or the running topic."""
        words, current = self.words, self.context.current
        earlier = [each for each in self.named if each.first < max(self.first, 1) or each.first < self.lead_end]
        subject = [each for each in earlier if not each.comparison]
        pronoun_first = words[0] in _PRONOUNS
        if subject and not (pronoun_first and current.about is not About.UNCLEAR):
            start_verb = next((at for at, word in enumerate(words) if word in FINITE), len(words))
            heads = [each for each in subject if each.first < start_verb] or subject[:1]
            if any(word in ("it", "its") for word in words[self.first : self.lead_end]):
                heads = self._clause_before() or heads
            general = (
                len(heads) > 1 and heads[0].whose in (About.GENUS, About.FAMILY) and heads[1].first < heads[0].last + 3
            )
            chosen = heads[-1] if self.structure.opener[self.draft.clause] == "which" else heads[1 if general else 0]
            if not relative_of(words, chosen.first):
                return joined(words, chosen, self._until(start_verb)), "the subject of the sentence"
        if not (pronoun_first or any(word in _PRONOUNS for word in words[self.first : self.lead_end])):
            after = [
                each
                for each in self.named
                if each.first >= self.target.first
                and not each.comparison
                and self.structure.number[min(each.first, len(words) - 1)] in (self.draft.clause, self.draft.clause + 1)
            ]
            fronted = self.target.first - self.first <= 2
            after = [each for each in after if not self.structure.inside[min(each.first, len(words) - 1)]]
            acts = self.verb < 0 or bool(self.draft.cue.rule.kind)
            if after and (current.about is About.UNCLEAR or fronted or (acts and after[0].is_object(words))):
                return joined(words, after[0], self.named), "the only name in the sentence"
        if current.about is About.UNCLEAR:
            anywhere = [each for each in self.named if not each.comparison]
            if anywhere:
                return joined(words, anywhere[0], self.named), "the only name in the sentence"
            examples = [
                each for each in self.named if words[max(each.first - 2, 0) : each.first] and self._is_example(each)
            ]
            if examples:
                return joined(words, examples[0], self.named), "named as an example"
        return [(current.about, current.name)], current.why

    def _is_example(self, named: Named) -> bool:
        before = self.words[max(named.first - 2, 0) : named.first]
        return before[-1] in ("like", "including", "e.g") or before == ["such", "as"]

    def _before_relative(self) -> Named | None:
        """The name right before "which", "that has", "whose": even one that is only compared with."""
        if self.structure.opener[self.draft.clause] == "which":
            if self.words[self.first - 1] == "of" and self.words[self.first - 2] in word_class("some-of"):
                near = [each for each in self.named if each.last <= self.first and self.first - each.last <= 4]
                heads = [each for each in self.named if each.last <= self.first]
                if not near and heads and heads[0].whose is About.GENUS:
                    return heads[0]
                if not near and any(word in _GENERIC for word in self.words[: self.first]):
                    return Named(0, 0, About.OTHER, "other plants", False)
            before = [each for each in self.named if each.last <= self.first + 1 and each.first < self.first]
            before = [each for each in before if not self.structure.inside[each.first]]
            if before and not any(
                word in word_class("relatives") for word in self.words[before[-1].first : self.first]
            ):
                return before[-1]
        for each in reversed(self._until(self.target.first)):
            apposed = self.words[each.last : self.target.first]
            if apposed[:1] == [","] and len(apposed) > 1 and _is_apposition(apposed[1:]):
                return each
            following = self.words[each.last : each.last + 2]
            if "of" in self.words[max(each.first - 3, 0) : each.first]:
                continue  # "one of the few Xaceae that …"
            if (
                following[:1] in (["that"], ["whose"], ["which"])
                and self.structure.number[each.first] == self.draft.clause
            ):
                return each
        return None

    def _named_after(self) -> Named | None:
        """The name that an adjective stands before: "the poisonous X", "poisonous species such as X"."""
        words, target = self.words, self.target
        if self.draft.cue.rule.kind or len(words) <= target.last:
            return None
        after = next((each for each in self.named if each.first >= target.last), None)
        if after is None:
            return None
        gap = words[target.last : after.first]
        if not gap:
            return after
        if len(gap) < 3 and all(word in word_class("between-adjectives") for word in gap):
            before = words[target.first - 1] if target.first else ""
            return after if before not in ("is", "are", "was", "were") else None
        if len(gap) > 7 or gap[0] not in _GENERIC:
            return None
        if not all(word in _GENERIC or word in _INTRODUCES for word in gap):
            return None
        subject = any(each.first < target.first and not each.comparison for each in self.named)
        lead = words[max(target.first - 4, 0) : target.first]
        predicate = "is" in lead and "there" not in lead
        return None if subject and (predicate or "genus" in gap or "of" in gap) else after

    def _elided(self) -> bool:
        """Has the verb no subject of its own: "… and is edible"?"""
        if self.verb < 0:
            return False
        at = self.verb - 1
        while at >= self.first and self.words[at] in _ADVERBS:
            at -= 1
        return at >= self.first and self.words[at] in ("and", "but", "or", "yet")
