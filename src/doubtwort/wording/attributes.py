"""Who eats, which part, how prepared, at what stage, how much: what belongs to each assertion of a sentence."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from doubtwort.model import Eater, Wording
from doubtwort.wording.clauses import FINITE, denies_all_before, related
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Role, inverting_words

_BEFALLS: Final = frozenset({"toxic-illness", "toxic-death"})
_SHARED_BY_EATERS: Final = _BEFALLS | {"non-toxic-without-harm"}
_SEPARATORS: Final = frozenset({",", "and", "or", ";"})
_EXCEPT: Final = frozenset({"except", "excepting", "excluding", "save", "barring", "without"})
_YIELDED: Final = frozenset(
    {"another statement in its clause", "a taste alone", "no instruction", "a condition, not a statement"}
)
_EXCEPT_PHRASES: Final = ("apart from", "other than", "with the exception", "aside from", "all but", "but for")
_TO: Final = word_class("to")
_ABOVE_ALL: Final = word_class("above-all")
_OPINIONS: Final = word_class("opinions")
_NO_SUBJECT: Final = word_class("no-subject")
_REASONS: Final = word_class("reasons")
_COMPANY: Final = word_class("company")
_INVERT_WORDS: Final = frozenset(phrase.split()[-1] for phrase in inverting_words())
_INVERTS: Final = tuple(sorted((tuple(phrase.split()) for phrase in inverting_words()), key=len, reverse=True))
_EATS: Final = frozenset({"eat", "eats", "ate"})
_PLURAL_PRONOUNS: Final = word_class("plural-pronouns")
_NOUN_STOPS: Final = word_class("noun-stops")


def attach(sentence: Sentence, drafts: list[Draft], inherited: list[str]) -> None:
    """Gives every draft its eaters, parts, preparations, stages and amount. ``inherited`` are the parts that a plural
    pronoun at the start of the sentence stands for."""
    by_clause: dict[int, list[Draft]] = {}
    speaking = {draft.clause for draft in drafts if draft.why_silent not in _YIELDED}
    for draft in drafts:
        if draft.why_silent in _YIELDED and draft.clause in speaking:
            continue
        by_clause.setdefault(draft.clause, []).append(draft)
    excepted = [
        _exception(sentence, cue) if cue.rule.role in (Role.PART, Role.STAGE, Role.PREPARATION) else ""
        for cue in sentence.attributes
    ]
    for at, cue in enumerate(sentence.attributes):
        owner = _owner(sentence, cue, by_clause)
        if owner is None:
            continue
        role, value = cue.rule.role, cue.rule.value
        if role is Role.PART:
            if excepted[at] and excepted[at] != "without":
                owner.except_parts.append(value)
        elif role is Role.PREPARATION:
            _prepare(sentence, owner, cue, value)
        elif role is Role.STAGE:
            if not (excepted[at] and not owner.negated) and value not in owner.stages:
                owner.stages.append(value)
        elif role is Role.AMOUNT:
            owner.amount = owner.amount or value
        elif role is Role.ANIMALS and _is_eater(sentence, owner, cue):
            if Eater.ANIMALS not in owner.eaters:
                owner.eaters.append(Eater.ANIMALS)
                owner.rules.append(cue.rule.id)
        elif role is Role.PEOPLE and _is_eater(sentence, owner, cue) and Eater.PEOPLE not in owner.eaters:
            owner.eaters.append(Eater.PEOPLE)
    _attach_parts(sentence, drafts, by_clause, excepted, inherited)
    _they_are_animals(sentence, drafts)
    _share(sentence, drafts)
    for one, other in pairwise(drafts):
        # "Sheep may browse it; in a hungry spring they fall ill.": the illness befalls those who ate.
        if one.eaters == [Eater.ANIMALS] and not other.eaters and other.cue.rule.id in _BEFALLS:
            lead = sentence.tokens.words[max(other.cue.first - 3, 0) : other.cue.first]
            if "they" in lead:
                other.eaters = [Eater.ANIMALS]
    for draft in drafts:
        if draft.model is not None and not draft.eaters:
            draft.eaters = list(draft.model.eaters)
        if draft.model is not None and not draft.parts:
            draft.parts = list(draft.model.parts)


def _they_are_animals(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "Ewes gained less on it, though they ate it readily": they are the animals named before."""
    roles = [(cue.rule.role, cue.first) for cue in sentence.attributes]
    for draft in drafts:
        at = draft.cue.first
        if sentence.tokens.words[at] == "they" and not draft.eaters:
            before = [role for role, first in roles if first < at]
            if Role.ANIMALS in before and Role.PEOPLE not in before:
                draft.eaters.append(Eater.ANIMALS)


def _share(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "Eaten with impunity when cooked": the manner and what was eaten have one preparation."""
    for one, other in pairwise(drafts):
        between = sentence.tokens.words[one.cue.last : other.cue.first]
        if between in (["and"], ["or"], [","], []) and one.cue.rule.says is other.cue.rule.says and not one.eaters:
            one.eaters = list(other.eaters)  # "toxic and dangerous to dogs"
        if one.clause == other.clause and one.eaters == [Eater.ANIMALS] and other.cue.rule.id in _SHARED_BY_EATERS:
            other.eaters = other.eaters or [Eater.ANIMALS]  # "goats eat it with impunity"
        if other.cue.rule.id == "non-toxic-without-harm" and one.clause == other.clause and one.cue.rule.kind:
            for name in ("preparations", "stages"):
                shared = sorted({*getattr(one, name), *getattr(other, name)})
                setattr(one, name, list(shared))
                setattr(other, name, list(shared))


def _owner(sentence: Sentence, cue: Cue, by_clause: dict[int, list[Draft]]) -> Draft | None:
    """The assertion of the cue's clause that the cue belongs to."""
    structure = sentence.structure
    clause = structure.number[cue.first]
    while clause not in by_clause:
        # A bracket, a dash or a colon without an assertion of its own comments on what it stands in.
        if clause < 0 or structure.opener[clause] not in ("(", "-", ":", "which"):
            break
        clause = structure.parent[clause]
    if clause not in by_clause:
        below = [
            number
            for number in by_clause
            if related(structure, clause, number)
            or (structure.parent[number] == clause and structure.opener[number] in ("-", ":"))
        ]
        if not below:
            # "When young, and while …, the plant is edible": what stands before any verb belongs to what follows.
            words = [sentence.tokens.words[at] for at, number in enumerate(structure.number) if number == clause]
            later = [number for number in by_clause if number > clause]
            if not later or any(word in FINITE for word in words):
                return None
            below = later
        clause = below[0]
    drafts = by_clause[clause]
    if len(drafts) == 1:
        return drafts[0]
    before = after = None
    for draft in drafts:
        if draft.cue.first <= cue.first:
            before = draft
        elif after is None:
            after = draft
    if before is None or after is None:
        return before or after
    if cue.first < before.cue.last:
        return before
    words = sentence.tokens.words
    left = any(word in _SEPARATORS for word in words[before.cue.last : cue.first])
    right = any(word in _SEPARATORS for word in words[cue.last : after.cue.first])
    return after if left and not right else before


def _exception(sentence: Sentence, cue: Cue) -> str:
    """The word behind which the part stands as an exception: "except", "apart from"; "" when it is none."""
    words = sentence.tokens.words
    for at in range(cue.first - 1, max(cue.first - 9, -1), -1):
        word = words[at]
        if word in _EXCEPT or (word == "but" and denies_all_before(words, at)):
            return word
        pair = f"{word} {words[at + 1]}" if at + 1 < len(words) else ""
        if pair in _EXCEPT_PHRASES:
            return pair
        if word in FINITE or word in (";", "(", ")"):
            return ""
        if f"{pair} {words[at + 2] if at + 2 < len(words) else ''}" in _EXCEPT_PHRASES:
            return pair
    return ""


def _prepare(sentence: Sentence, owner: Draft, cue: Cue, value: str) -> None:
    words = sentence.tokens.words
    before = words[max(cue.first - 5, 0) : cue.first]
    inverted = (
        value != "raw"
        and not _INVERT_WORDS.isdisjoint(before)
        and any(
            tuple(before[-len(phrase) - shift : len(before) - shift]) == phrase
            for phrase in _INVERTS
            for shift in (0, 1)
            if len(before) >= len(phrase) + shift
        )
    )
    if inverted:
        if owner.wording in (Wording.TOXIC, Wording.INEDIBLE, Wording.UNPALATABLE):
            value = "raw"
        elif before[-1:] == ["before"] or "until" in before:
            return
        else:
            return
    if value not in owner.preparations:
        owner.preparations.append(value)


def _is_eater(sentence: Sentence, owner: Draft, cue: Cue) -> bool:
    """Is the animal or person the one who eats, or is poisoned?"""
    words, target = sentence.tokens.words, owner.cue
    if cue.first >= target.first:
        if cue.first < target.last:
            return True
        gap = words[target.last : cue.first]
        if cue.rule.role is Role.ANIMALS and not _REASONS.isdisjoint(gap):
            return False  # "poisonous, since birds leave it alone"
        if "and" in gap and any(word in FINITE for word in gap[gap.index("and") :]):
            return False
        governed = max((at for at, word in enumerate(gap) if word in _TO), default=-1)
        if governed < 0:
            return not gap or owner.cue.rule.says is Wording.TOXIC
        if "and" in gap[:governed] and not owner.eaters and owner.cue.rule.says is not Wording.TOXIC:
            return False
        if cue.rule.role is Role.ANIMALS and governed and gap[governed - 1] in _ABOVE_ALL and not owner.eaters:
            owner.eaters.append(Eater.PEOPLE)
        return True
    between = words[cue.last : target.first]
    if not between:
        return True
    if any(word in _NO_SUBJECT for word in words[max(cue.first - 2, 0) : cue.first]):
        return False
    if owner.cue.rule.kind in ("verb", "use") or owner.cue.rule.says is Wording.TOXIC:
        return ";" not in between and not any(
            other.rule.role is Role.PEOPLE and cue.first < other.first < target.first for other in sentence.attributes
        )
    before = words[max(cue.first - 3, 0) : cue.first]
    return between[0] in _OPINIONS or any(word in ("for", "to") for word in before)


def _attach_parts(
    sentence: Sentence,
    drafts: list[Draft],
    by_clause: dict[int, list[Draft]],
    excepted: list[str],
    inherited: list[str],
) -> None:
    parts = [
        cue
        for at, cue in enumerate(sentence.attributes)
        if cue.rule.role is Role.PART and not excepted[at] and not _is_qualifier(sentence, cue)
    ]
    if any(cue.rule.role is Role.NOTICE for cue in sentence.attributes):
        parts = [cue for cue in parts if cue.rule.value != "skin"]
    left: dict[int, list[Cue]] = {}
    right: dict[int, list[Cue]] = {}
    for cue in parts:
        owner = _owner(sentence, cue, by_clause)
        if owner is not None:
            side = left if cue.first < owner.cue.first else right
            side.setdefault(id(owner), []).append(cue)
    for draft in drafts:
        before, after = left.get(id(draft), []), right.get(id(draft), [])
        words = sentence.tokens.words
        if attributed := _attributive(sentence, draft, after):
            chosen = attributed
        elif after and (draft.cue.rule.id == "edible-people-eat" or words[draft.cue.first] in _EATS):
            chosen = after
        else:
            chosen = before or _direct(words, after)
        draft.parts = _values(chosen)
    for number, draft in enumerate(drafts):
        if not draft.parts:
            draft.parts = _inherit(sentence, drafts, number, parts, inherited)


def _direct(words: list[str], after: list[Cue]) -> list[Cue]:
    """Of several parts behind a verb those that are no mere company: "leaves as a seasoning for bean dishes"."""
    direct = [cue for cue in after if not any(word in _COMPANY for word in words[max(cue.first - 3, 0) : cue.first])]
    return direct or after


def _values(cues: list[Cue]) -> list[str]:
    values = sorted({cue.rule.value for cue in cues})
    return [value for value in values if value != "flesh"] if "fruit" in values else values


def _is_qualifier(sentence: Sentence, cue: Cue) -> bool:
    """The second part in "seeds of the fruit", "skin of the root" only says whose seed or skin it is."""
    words = sentence.tokens.words
    at = cue.first - 1
    while at >= 0 and at > cue.first - 4 and words[at] not in ("of", "inside", "within"):
        at -= 1
    if at < 1 or words[at] not in ("of", "inside", "within") or at <= cue.first - 4:
        return False
    return any(
        other.rule.role is Role.PART and other.last == at and other.rule.value not in ("flesh", "whole plant")
        for other in sentence.attributes
    )


def _attributive(sentence: Sentence, draft: Draft, after: list[Cue]) -> list[Cue]:
    """The part nouns that an adjective stands before: "edible leaves and shoots"."""
    if draft.cue.rule.kind or not after:
        return []
    words = sentence.tokens.words
    first = after[0]
    gap = words[draft.cue.last : first.first]
    if "," in gap and any(word in FINITE for word in words[sentence.structure.first[draft.clause] : draft.cue.first]):
        return []
    if len(gap) > 4 or any(word in _NOUN_STOPS and word not in (",", "and", "-") for word in gap):
        return []
    chosen = [first]
    for cue in after[1:]:
        joint = words[chosen[-1].last : cue.first]
        if len(joint) > 4 or not any(word in ("and", "or", ",", "&") for word in joint):
            break
        if any(word in FINITE or word in ("with", "in", "on", "has", "from") for word in joint):
            break
        chosen.append(cue)
    return chosen


def _inherit(sentence: Sentence, drafts: list[Draft], number: int, parts: list[Cue], inherited: list[str]) -> list[str]:
    """Parts of a clause without a subject of its own: those of the clause that it continues."""
    draft, structure, words = drafts[number], sentence.structure, sentence.tokens.words
    first = structure.first[draft.clause]
    lead = words[first : draft.cue.first]
    verb = next((at for at, word in enumerate(lead) if word in FINITE), -1)
    opener = structure.opener[draft.clause]
    if opener == "which":
        before = [cue for cue in parts if cue.last <= first]
        return [before[-1].rule.value] if before and first - before[-1].last <= 3 else []
    subject = [word for word in (lead[:verb] if verb >= 0 else []) if word not in (opener, ",", "and", "or")]
    subject = [word for word in subject if not word.endswith("ly") and word not in ("then", "when", "also", "not")]
    earlier = [other for other in drafts[:number] if other.parts]
    if earlier and earlier[-1].clause == draft.clause:
        return list(earlier[-1].parts)
    if not subject or subject[-1] in ("ones", "specimens") or subject[-1] in _PLURAL_PRONOUNS or subject == ["it"]:
        if earlier and draft.clause != 0:
            if subject == ["it"] and not _singular(sentence, parts):
                return []
            return list(earlier[-1].parts)
        if not earlier and draft.clause != 0 and subject != ["it"]:
            before = [cue for cue in parts if cue.last <= first]
            if before:
                return _values(before)
    if inherited and words[0] in ("they", "these", "those", "both", "it", "raw", "once", "when", "if"):
        return list(inherited)
    return []


def _singular(sentence: Sentence, parts: list[Cue]) -> bool:
    return bool(parts) and not sentence.tokens.words[parts[0].last - 1].endswith("s")
