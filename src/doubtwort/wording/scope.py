"""What modifies an assertion: negation, doubt, hearsay, and how far each reaches.

The frame is ConText's (Harkema et al. 2009, J Biomed Inform 42:839): a cue with a direction, a scope that ends at a
termination point, and pseudo-cues that look like one and are none. Scope here ends with the clause, not with a number
of words, and a negation passes from one listed word to the next only over "or" and "nor".
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from doubtwort.model import Certainty, Wording
from doubtwort.wording.clauses import FINITE, related
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Role

_MODIFIERS: Final = frozenset({Role.NEGATE, Role.NEGATE_HEDGED, Role.CANCEL, Role.HEDGE, Role.HEARSAY, Role.DETOXIFY})
_PHRASE_ENDS: Final = word_class("phrase-ends")
_JOINS: Final = word_class("joins-under-negation")
_AFTER_ADJECTIVE: Final = word_class("after-predicate") | word_class("after-eaten") | word_class("to")
_ASIDES: Final = word_class("asides")
_MONTH_BEFORE: Final = word_class("month-before")
_NOTHING: Final = ("nothing", "none")  # "nothing in it that is eaten" denies what its relative clause says
_RELATIVES: Final = ("that", "which", "who", "whose")
_NOT: Final = word_class("not")
_WITHOUT: Final = ("without", "unharmed", "unhurt")
_LONGEST: Final = {"near": 4, "phrase": 12, "subject": 20}


def modify(sentence: Sentence, drafts: list[Draft]) -> None:
    """Applies every modifier of the sentence to the drafts in its scope."""
    modifiers = [cue for cue in sentence.cues if cue.rule.role in _MODIFIERS and not _is_month(sentence, cue)]
    if not modifiers:
        return
    muted = [_muted_span(sentence, cue) for cue in modifiers if cue.rule.reach == "comma"]
    for draft in drafts:
        found = [
            cue
            for cue in modifiers
            if not (cue.rule.reach != "comma" and any(low <= cue.first < high for low, high in muted))
            and _reaches(sentence, cue, draft, drafts)
        ]
        if found:
            _apply(draft, found)


def _apply(draft: Draft, found: list[Cue]) -> None:
    rule = draft.cue.rule
    negations = [cue for cue in found if cue.rule.role in (Role.NEGATE, Role.NEGATE_HEDGED)]
    detoxifier = next((cue for cue in found if cue.rule.role is Role.DETOXIFY), None)
    forward = detoxifier is not None and detoxifier.last <= draft.cue.first
    if detoxifier is not None and any(
        cue.last <= detoxifier.first and (forward or cue.first >= draft.cue.last) for cue in negations
    ):
        # "boiling does not destroy the poison": the negation is of the destroying.
        found = [cue for cue in found if cue not in negations and cue is not detoxifier]
        negations = []
    if any(_first_word(cue) == "nor" for cue in negations):
        negations = [cue for cue in negations if _first_word(cue) == "nor"][-1:]
    if "non-toxic-no-hazard" in draft.rules:
        found = [cue for cue in found if cue.rule.id != "reported-after"]
    draft.modifiers = [cue for cue in found if cue not in negations or cue in negations]
    draft.rules += [cue.rule.id for cue in found]
    if any(cue.rule.role is Role.CANCEL for cue in found):
        draft.silence("cancelled")
        return
    if rule.says is Wording.EDIBLE and any(cue.rule.id == "no-evidence" for cue in negations):
        draft.silence("negated")
        return
    if len(negations) % 2:
        draft.negated = True
        draft.wording = rule.negated
        if rule.negated is None:
            draft.why_silent = "negated"
    elif negations and rule.says in PRAISE:
        draft.silence("negated twice")
    roles = {cue.rule.role for cue in found}
    if Role.HEARSAY in roles:
        draft.certainty = Certainty.HEARSAY
    elif Role.HEDGE in roles or Role.NEGATE_HEDGED in roles:
        draft.certainty = Certainty.HEDGED


def _first_word(cue: Cue) -> str:
    return "nor" if "nor" in cue.rule.patterns and cue.last - cue.first == 1 and cue.end - cue.start == 3 else ""


def _is_month(sentence: Sentence, cue: Cue) -> bool:
    """Is this "may" the month?"""
    words = sentence.tokens.words
    if words[cue.first] != "may" or sentence.text[cue.start] != "M":
        return False
    before = words[cue.first - 1] if cue.first else ""
    after = words[cue.last] if cue.last < len(words) else ""
    return before in _MONTH_BEFORE or after in ("and", "to", "or", "-", ",", ".", "until") or before.isdigit()


def _comments_on_before(sentence: Sentence, cue: Cue, target: Draft, drafts: list[Draft]) -> bool:
    """ "…, according to those who survived it, …" is said of what stands before it."""
    words = sentence.tokens.words
    if not cue.first or words[cue.first - 1] != ",":
        return False
    between = words[cue.last : target.cue.first]
    if not any(one == "," and other in ("and", "but") for one, other in pairwise(between)):
        return False
    clause = sentence.structure.number[cue.first]
    return any(draft.clause == clause and draft.cue.last <= cue.first for draft in drafts)


def _muted_span(sentence: Sentence, cue: Cue) -> tuple[int, int]:
    """Tokens from a "contrary to" up to the comma that ends it: what others say there is denied."""
    words = sentence.tokens.words
    end = next((at for at in range(cue.last, len(words)) if words[at] == ","), len(words))
    return cue.first, end


def _reaches(sentence: Sentence, cue: Cue, draft: Draft, drafts: list[Draft]) -> bool:
    """Does the modifier's scope cover the draft's assertion?"""
    structure, target = sentence.structure, draft.cue
    if not _is_meant(cue, target):
        return False
    reach = cue.rule.reach
    direction = cue.rule.direction
    forward = direction == "forward" or (direction == "both" and cue.last <= target.first)
    if direction == "both" and forward and _comments_on_before(sentence, cue, draft, drafts):
        return False
    if forward != (cue.last <= target.first):
        return False
    if not forward and cue.first < target.last:
        return False
    if reach == "comma":
        return target.first < _muted_span(sentence, cue)[1]
    same = related(structure, structure.number[cue.first], draft.clause)
    if reach == "sentence":
        return forward or same or structure.number[cue.first] > draft.clause
    if forward and cue.rule.role is Role.HEARSAY and cue.first <= 1 and not same:
        # "According to the herbal, a; b": the reporter named first speaks to the end of the sentence.
        return cue.rule.id == "according-to"
    if not same and not (not forward and related(structure, draft.clause, structure.number[cue.first])):
        return False
    if reach == "near" and not forward:
        return cue.first - target.last <= 1
    if reach in ("near", "phrase", "subject"):
        return _phrase_reaches(sentence, cue, draft, drafts)
    if not forward:
        return not any(other.cue.first >= target.last and other.cue.last <= cue.first for other in drafts)
    return True


def _is_meant(cue: Cue, target: Cue) -> bool:
    """May the modifier change this wording at all?"""
    if cue.rule.only == "food":
        return target.rule.says is Wording.EDIBLE and bool(target.rule.kind)
    return not cue.rule.only or target.rule.says in PRAISE


def _without_asides(words: list[str]) -> list[str]:
    """ "Not, however, poisonous": a word or two between commas that only joins thoughts is passed over."""
    if words[:1] == [","] and words[1:2] and words[1] in _ASIDES and "," in words[1:4]:
        return words[words.index(",", 1) + 1 :]
    return words


def _phrase_reaches(sentence: Sentence, cue: Cue, draft: Draft, drafts: list[Draft]) -> bool:
    words, target = sentence.tokens.words, draft.cue
    number = sentence.structure.number
    aside = number[cue.first] == draft.clause  # "no member of the family, to which it belongs, is edible"
    between = [words[at] for at in range(cue.last, target.first) if not aside or number[at] == draft.clause]
    if "more" in between[1:] or "more" in words[max(target.first, cue.last + 1) : target.last]:
        return False  # "none has made more people ill", "nothing is more poisonous"
    between = _without_asides(between)
    if between and between[0] in FINITE:  # "never did any harm", "nor is it good to eat"
        between = between[2:] if between[1:2] in (["it"], ["they"], ["this"]) else between[1:]
        if between[:1] == [","] and "," in words[max(cue.first - 2, 0) : cue.first + 1]:
            between = between[1:]  # "is not, and never was, a food plant"
    subject = cue.rule.reach == "subject"
    if len(between) > _LONGEST[cue.rule.reach]:
        return False
    verbs = sum(word in FINITE for word in between)
    if subject and between[:1] == [","]:
        return False  # "this one is for nobody, being poisonous"
    unharmed = subject and target.rule.says is Wording.NON_TOXIC and words[target.first] in _WITHOUT
    twice = unharmed or (
        subject and any(word in _RELATIVES for word in between) and not _NOT.isdisjoint(between)
    )  # "no one who ate it was without pain", "no species that is not poisonous"
    passed = ("it", "they", *_RELATIVES) if twice or words[cue.first] in _NOTHING else ("it", "they")
    ends = [word for word in between if word in _PHRASE_ENDS and not (subject and word in passed)]
    if verbs > (3 if unharmed else 1 if subject else 0) or ends:
        return False
    if subject and "," in between and any(word in FINITE for word in between[: between.index(",")]):
        return False
    if any(one == "and" and other in FINITE for one, other in pairwise(between)):
        return False  # "sets no fruit and is listed as non-toxic"
    inner = [other for other in drafts if cue.last <= other.cue.first and other.cue.last <= target.first]
    if inner:
        last = inner[-1].cue
        joint = words[last.last : target.first]
        if not all(word in _JOINS for word in joint):
            return False
        joined = not joint or "or" in joint or "nor" in joint or ("and" in joint and last.rule.says is target.rule.says)
        return joined or _list_ends_in_or(words, target.last)
    if not verbs and _is_attributive(words, draft) and any(word in word_class("prepositions") for word in between[1:]):
        return False  # "no change in the poisonous root"
    commas = between.count(",")
    if commas == 1 and not ("or" in between or "nor" in between or subject):
        return False
    return not ("and" in between and not subject)


def _is_attributive(words: list[str], draft: Draft) -> bool:
    """Does a noun follow the adjective?"""
    at = draft.cue.last
    return not draft.cue.rule.kind and at < len(words) and words[at].isalpha() and words[at] not in _AFTER_ADJECTIVE


def _list_ends_in_or(words: list[str], at: int) -> bool:
    """In "not tough, bitter or poisonous" the first words of the list are under the negation too."""
    for word in words[at : at + 6]:
        if word in ("or", "nor"):
            return True
        if word in FINITE or word in (";", ".", "but", "and"):
            return False
    return False
