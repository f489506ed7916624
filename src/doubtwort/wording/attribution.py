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
from doubtwort.wording.grammar import word_class

_GENERIC: Final = word_class("generic")
_INTRODUCES: Final = word_class("introduces")
_JOINS: Final = word_class("joins-names")
_PRONOUNS: Final = word_class("pronouns")
_CONNECTIVES: Final = word_class("connectives")
_ADVERBS: Final = word_class("adverbs")
_RELATIVES: Final = word_class("relatives")
_OTHER_PHRASES: Final = (
    "last species", "preceding species", "previous species", "other species", "related species", "similar species",
    "allied species", "another species", "look alike", "look alikes", "other member", "other members", "other plants",
    "other kinds", "sister species", "look - alike", "look - alikes", "preceding", "other mushrooms", "other relatives",
    "other fungi", "the others", "the other", "last named", "last mentioned", "others", "another plant", "next species",
    "another mushroom", "the last", "following species", "other wild plants", "other plant",
)  # fmt: skip
_GENUS_PHRASES: Final = (
    "members of the genus", "species of the genus", "member of the genus", "members of this genus", "the genus", "this genus", "all species",
    "most species", "many species", "some species", "several species", "species in the genus", "species of this genus",
    "most members", "all members", "some members", "many members", "several members", "whole genus", "few species",
    "other members of the genus", "other species of the genus", "all the species", "entire genus", "the species of",
    "certain species", "its genus", "both species", "none of the species", "no species", "its congeners",
)  # fmt: skip
_FAMILY_PHRASES: Final = (
    "members of the family", "the family", "this family", "members of this family", "plants of the family", "its family",
    "most of the family", "species in the family", "whole family",
)  # fmt: skip
_COMPARES: Final = word_class("compares")
_MEASURES: Final = word_class("measures")
_OWN_KIND: Final = (About.TAXON, About.GENUS, About.FAMILY)


@dataclass(slots=True)
class Context:
    """What is known when a sentence begins: the page's or heading's topic, the running one, names just mentioned."""

    page: Topic
    current: Topic
    recent: list[Mention] = field(default_factory=list)


def attribute(sentence: Sentence, drafts: list[Draft], mentions: list[Mention], context: Context) -> None:
    """Gives every draft its subjects: one, or several when names are joined by "and"."""
    places = _subjects_only(sentence, [(sentence.tokens.at(mention.start), mention) for mention in mentions])
    for draft in drafts:
        draft.subjects, draft.why_subject = _decide(sentence, draft, drafts, places, context)


def _subjects_only(sentence: Sentence, places: list[tuple[int, Mention]]) -> list[tuple[int, Mention]]:
    """Without names that only place the plant: its family in brackets or in a cell, other names of a row's first."""
    words = sentence.tokens.words
    if "|" in words and places and places[0][1].rule in ("scientific name", "synonym", "other binomial", "spelling"):
        return places[:1]
    return [
        place
        for number, place in enumerate(places)
        if place[1].rule != "family name" or number == 0 or "the" in words[max(place[0] - 2, 0) : place[0]]
    ]


def advance(sentence_words: list[str], spans: list[int], mentions: list[Mention], context: Context) -> None:
    """Moves the running topic past a sentence: to the name that stands before its first verb."""
    verb = next((at for at, word in enumerate(sentence_words) if word in FINITE), len(sentence_words))
    opening = sentence_words[:verb]
    if not (opening and opening[0] in _PRONOUNS):
        for at, mention in zip(spans, mentions, strict=True):
            if at < verb and not mention.comparison:
                context.current = Topic(mention.whose, mention.name, "named as the subject of the sentence before")
                break
    if mentions:
        context.recent = (context.recent + mentions)[-6:]


def _decide(
    sentence: Sentence,
    draft: Draft,
    drafts: list[Draft],
    places: list[tuple[int, Mention]],
    context: Context,
) -> tuple[list[tuple[About, str]], str]:
    words, target, structure = sentence.tokens.words, draft.cue, sentence.structure
    following = _named_after(sentence, draft, places)
    if following is None and _is_compared(sentence, draft):
        return [(About.OTHER, "another plant")], "only what the plant is compared with"
    if following:
        return _joined(words, following, places), "the name that the word stands before"
    first = structure.first[draft.clause]
    if structure.opener[draft.clause] == "which":
        before = [place for place in places if place[0] < first]
        if before and not _generic_between(words, before[-1][0], first):
            return [_own(before[-1][1])], "the name that “which” refers to"
    clause = [
        place
        for place in places
        if structure.number[min(place[0], len(words) - 1)] == draft.clause and place[0] < target.first
    ]
    named = [place for place in clause if not place[1].comparison]
    verb = next((at for at in range(target.first - 1, first - 1, -1) if words[at] in FINITE), -1)
    lead_end = verb if verb >= 0 else target.first
    generic = _generic_subject(sentence, draft, first, lead_end if verb >= 0 else target.last, named, places, context)
    if generic is not None:
        return generic
    before_verb = [place for place in named if place[0] < lead_end]
    elided = verb >= 0 and _elided(words, verb, first)
    if before_verb and not elided:
        chosen = _outside_brackets(sentence, before_verb)
        if _relative_of(words, chosen[0]):
            return [(About.OTHER, chosen[1].name)], "a relative of the name, not the name itself"
        return _joined(words, chosen, [p for p in places if p[0] < target.first]), "named as the subject"
    if named and not elided and verb < 0:
        return _joined(words, named[-1], places), "named in the clause"
    return _from_before(sentence, draft, drafts, places, context, first, lead_end)


def _from_before(
    sentence: Sentence,
    draft: Draft,
    drafts: list[Draft],
    places: list[tuple[int, Mention]],
    context: Context,
    first: int,
    lead_end: int,
) -> tuple[list[tuple[About, str]], str]:
    """A clause without a name before its verb: the sentence's own subject, a name after it, or the running topic."""
    words, target, structure = sentence.tokens.words, draft.cue, sentence.structure
    earlier = [place for place in places if place[0] < max(first, 1) or place[0] < lead_end]
    subject = [place for place in earlier if not place[1].comparison]
    lead = words[first:lead_end]
    starts_with_pronoun = words[0] in _PRONOUNS
    if subject and not (starts_with_pronoun and context.current.about is not About.UNCLEAR):
        start_verb = next((at for at, word in enumerate(words) if word in FINITE), len(words))
        heads = [place for place in subject if place[0] < start_verb] or subject[:1]
        general = len(heads) > 1 and heads[0][1].whose in (About.GENUS, About.FAMILY) and heads[1][0] - heads[0][0] < 5
        chosen = heads[-1] if structure.opener[draft.clause] == "which" else heads[1 if general else 0]
        if heads and not _relative_of(words, chosen[0]):
            return _joined(words, chosen, [p for p in places if p[0] < start_verb]), "the subject of the sentence"
    pronoun = any(word in _PRONOUNS for word in lead) or starts_with_pronoun
    if not pronoun:
        after = [
            place
            for place in places
            if place[0] >= target.first
            and not place[1].comparison
            and structure.number[min(place[0], len(words) - 1)] in (draft.clause, draft.clause + 1)
        ]
        if after:
            known = context.current.about is not About.UNCLEAR
            fronted = not any(word in FINITE for word in words[: target.first])
            if not known or fronted or _object(words, after[0][0]):
                return _joined(words, after[0], places), "the only name in the sentence"
    current = context.current
    if current.about is About.UNCLEAR:
        anywhere = [place for place in places if not place[1].comparison]
        if anywhere:
            return _joined(words, anywhere[0], places), "the only name in the sentence"
    return [(current.about, current.name)], current.why


def _named_after(sentence: Sentence, draft: Draft, places: list[tuple[int, Mention]]) -> tuple[int, Mention] | None:
    """The name that an adjective stands before: "the poisonous X", "poisonous species such as X"."""
    if draft.cue.rule.kind or len(sentence.tokens.words) <= draft.cue.last:
        return None
    words, target = sentence.tokens.words, draft.cue
    after = [place for place in places if place[0] >= target.last]
    if not after:
        return None
    at = after[0][0]
    gap = words[target.last : at]
    if not gap or all(word in ("and", "but", "very", "though", "harmless", "little") for word in gap) and len(gap) < 3:
        before = words[target.first - 1] if target.first else ""
        return after[0] if before not in ("is", "are", "was", "were") or not gap else None
    if len(gap) > 7 or gap[0] not in _GENERIC:
        return None
    if all(word in _GENERIC or word in _INTRODUCES for word in gap):
        of_genus = "genus" in gap or "of" in gap
        subject = any(place[0] < target.first and not place[1].comparison for place in places)
        if not (of_genus and subject) and not ("is" in words[max(target.first - 4, 0) : target.first] and subject):
            return after[0]
    return None


def _is_compared(sentence: Sentence, draft: Draft) -> bool:
    """Is the adjective said of plants that the subject is only compared with: "unlike most edible mushrooms"?"""
    words, target = sentence.tokens.words, draft.cue
    if draft.cue.rule.kind or target.last >= len(words):
        return False
    noun = next((at for at in range(target.last, min(target.last + 4, len(words))) if words[at] in _GENERIC), -1)
    if noun < 0 or any(word in FINITE or word in (",", ".", ";", ")", "(") for word in words[target.last : noun]):
        return False
    for at in range(target.first - 1, max(target.first - 7, -1), -1):
        if words[at] in _COMPARES or (words[at] in ("from", "to", "with", "for", "by") and _measures(words, at)):
            return True
        if words[at] in FINITE or words[at] in (",", ".", ";", "(", ")", "this", "that", "these", "as", "which"):
            return False
    return False


def _measures(words: list[str], at: int) -> bool:
    return any(word in _MEASURES for word in words[max(at - 5, 0) : at])


def _generic_subject(
    sentence: Sentence,
    draft: Draft,
    first: int,
    lead_end: int,
    named: list[tuple[int, Mention]],
    places: list[tuple[int, Mention]],
    context: Context,
) -> tuple[list[tuple[About, str]], str] | None:
    """Subjects that are no names: "the latter", "its cousin", "most members of the genus"."""
    words = sentence.tokens.words
    last_name = named[-1][0] if named else -1
    lead = words[max(first, last_name + 1) : lead_end]
    text = " " + " ".join(lead) + " "
    if " latter " in text or " former " in text:
        known = [mention for at, mention in places if at < draft.cue.first] or context.recent
        if not [place for place in places if place[0] < draft.cue.first] and context.recent:
            known = context.recent
        if known:
            pick = known[-1] if " latter " in text else known[-2 if len(known) > 1 else -1]
            return [_own(pick)], "“the latter”" if " latter " in text else "“the former”"
    ours = (
        context.current.about in _OWN_KIND
        or context.page.about in _OWN_KIND
        or any(mention.whose in _OWN_KIND for _, mention in places)
    )
    if named and named[-1][1].whose is About.GENUS and named[-1][0] < lead_end:
        return None
    for phrase in _GENUS_PHRASES:
        if f" {phrase} " in text and not any(at > first and at < lead_end for at, _ in named):
            return [(About.GENUS if ours else About.OTHER, phrase)], f"“{phrase}”"
    for phrase in _FAMILY_PHRASES:
        if f" {phrase} " in text:
            return [(About.FAMILY if ours else About.OTHER, phrase)], f"“{phrase}”"
    for phrase in _OTHER_PHRASES:
        at = text.find(f" {phrase} ")
        if at < 0 or text.startswith(" the other hand", at) or " on the other hand" in text[: at + 16]:
            continue
        if phrase in ("others", "the others") and context.current.about is About.GENUS:
            return [(About.GENUS, phrase)], f"“{phrase}”"
        if text[:at].split()[-1:] in (["and"], ["or"]) and named and not text[:at].split()[:-1]:
            names = _joined(words, named[-1], places)
            return [*names, (About.OTHER, phrase)], f"the names before “and {phrase}”"
        return [(About.OTHER, phrase)], f"“{phrase}”"
    head = next((word for word in lead if word in _RELATIVES), "")
    if head and not any(word in ("like", "unlike") for word in lead[: lead.index(head)]):
        return [(About.OTHER, head)], f"“{head}”"
    return None


def _own(mention: Mention) -> tuple[About, str]:
    return mention.whose, mention.name


def _joined(
    words: list[str], chosen: tuple[int, Mention], places: list[tuple[int, Mention]]
) -> list[tuple[About, str]]:
    """The chosen name with those joined to it by "and": one subject for each kind."""
    index = places.index(chosen) if chosen in places else -1
    group = [chosen]
    if index >= 0:
        for other in reversed(places[:index]):
            gap = words[other[0] : group[0][0]]
            rest = gap[len(other[1].name.split()) + other[1].name.count("-") * 2 :]
            if other[1].comparison or not rest or not _only_joins(rest):
                break
            group.insert(0, other)
        for other in places[index + 1 :]:
            gap = words[group[-1][0] : other[0]]
            rest = gap[len(group[-1][1].name.split()) + group[-1][1].name.count("-") * 2 :]
            if not rest or not _only_joins(rest):
                break
            group.append(other)
    subjects: dict[About, str] = {}
    for _, mention in group:
        subjects.setdefault(mention.whose, mention.name)
    if About.TAXON in subjects and len(group) > 1:
        subjects.pop(About.GENUS, None)
        subjects.pop(About.FAMILY, None)
    return list(subjects.items())


def _only_joins(words: list[str]) -> bool:
    """Do the words only join two names, an author after the first at most ("Bull.,")?"""
    if words[:1] and words[0] not in _JOINS and len(words) > 2 and "." in words[1:4]:
        words = words[words.index(".") + 1 :] or ["and"]
    return all(word in _JOINS or word == "." for word in words)


def _outside_brackets(sentence: Sentence, candidates: list[tuple[int, Mention]]) -> tuple[int, Mention]:
    """The nearest name; one in brackets right behind another is the same plant under its scientific name."""
    chosen = candidates[-1]
    if len(candidates) > 1 and sentence.structure.inside[min(chosen[0], len(sentence.tokens.words) - 1)]:
        outside = candidates[-2]
        if chosen[1].whose in (About.FAMILY, About.GENUS) or chosen[0] - outside[0] > 6:
            return outside
    return chosen


def _elided(words: list[str], verb: int, first: int) -> bool:
    """Has the verb no subject of its own: "… and is edible"?"""
    at = verb - 1
    while at >= first and words[at] in _ADVERBS:
        at -= 1
    return at >= first and words[at] in ("and", "but", "or", "yet")


def _relative_of(words: list[str], at: int) -> bool:
    """Is the name at ``at`` only what a relative is compared with: "a cousin of X"?"""
    before = words[max(at - 4, 0) : at]
    return any(word in _RELATIVES for word in before) and any(word in ("of", "to") for word in before)


def _generic_between(words: list[str], start: int, end: int) -> bool:
    return any(word in _RELATIVES for word in words[start:end])


def _object(words: list[str], at: int) -> bool:
    """Is the name the object: "the roots of X", "after eating X"?"""
    before = words[max(at - 2, 0) : at]
    return any(
        word in ("of", "in", "eating", "eat", "ate", "eaten", "from", "by", "with", "taste", "from") for word in before
    )
