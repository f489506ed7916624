"""When an assertion states nothing after all: conditions, questions, cures, tastes alone, other uses.

Each silence has a name, which the explanation shows.
"""

from __future__ import annotations

from typing import Final

from doubtwort.model import About, Eater, Wording
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.cues import begins_instruction
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.grammar import is_plants, word_class
from doubtwort.wording.rules import Role

_FOR: Final = word_class("for")
_ASKS: Final = word_class("asks")
_AUXILIARY: Final = word_class("auxiliary")
_AFTER_PREDICATE: Final = word_class("after-predicate")
_BEFORE_PREDICATE: Final = word_class("before-predicate")
_SUBORDINATES: Final = word_class("subordinates")
_AFTER_EATEN: Final = word_class("after-eaten")
_PASSIVE: Final = frozenset({"edible-cooked-passive", "edible-serve", "edible-used-in-dishes"})
_PREPARED: Final = frozenset(
    {"edible-preserved", "edible-cooked-passive", "edible-must-be-cooked", "edible-before-eating"}
)
_BEFORE_EATEN: Final = word_class("before-eaten")
_REFUSALS: Final = (Wording.UNPALATABLE, Wording.INEDIBLE)
_NO_SUBJECT: Final = word_class("no-subject")
_OUTCOMES: Final = frozenset({"toxic-death", "toxic-illness", "toxic-deadly"})
_NOT: Final = word_class("not") | {"avoid", "without", "neither", "nor"}
_CURES: Final = tuple(word_class("cures"))
_CONTRAST: Final = word_class("contrast") | {"once", "when", "if", "unless", "except", "however"}
_CONDITIONS: Final = word_class("conditions")


def yield_to_others(sentence: Sentence, drafts: list[Draft]) -> None:
    """Weak rows yield to medicine and craft, lone rows to any other statement of their clause."""
    for draft in drafts:
        rule = draft.cue.rule
        if draft.wording is None:
            continue
        if rule.initial and not _is_initial(sentence, draft):
            draft.silence("no instruction")
        elif rule.initial and any(cue.rule.role in (Role.MEDICINE, Role.CRAFT) for cue in sentence.attributes):
            draft.silence("medicine or craft")
        elif rule.alone and any(
            other is not draft and (other.clause == draft.clause or rule.alone == "sentence") for other in drafts
        ):
            draft.silence("another statement in its clause")
        elif (
            rule.says is Wording.EDIBLE
            and rule.kind
            and any(other.cue.last == draft.cue.first and other.cue.rule.says in _REFUSALS for other in drafts)
        ):
            draft.silence("another statement in its clause")  # "hardly worth the picking for the table"
        elif rule.needs == "predicate" and not _is_predicate(sentence, draft):
            draft.silence("a taste of something else")
        elif rule.needs == "eating" and not (
            any(other is not draft and other.wording in PRAISE for other in drafts) and _is_predicate(sentence, draft)
        ):
            draft.silence("a taste alone")
        elif rule.says is Wording.EDIBLE and rule.kind and _is_of_animals(sentence, draft):
            draft.silence("said of animals that are eaten")
        elif (rule.id == "edible-eaten" and _is_condition(sentence, draft, drafts)) or (
            rule.id in _PASSIVE and _is_subordinate(sentence, draft)
        ):
            draft.silence("a condition, not a statement")
        elif rule.id == "toxic-poison-noun" and any(
            cue.rule.id == "contact-irritant" and sentence.clause(cue) == draft.clause for cue in sentence.attributes
        ):
            draft.silence("contact alone")
        elif rule.id == "toxic-illness" and _is_cure(sentence, draft):
            draft.silence("medicine or craft")
        elif rule.eater and draft.cue.last - draft.cue.first > 1 and not _animal_before(sentence, draft):
            draft.silence("no animal that eats it")
        elif rule.says is Wording.EDIBLE and rule.kind and not rule.eater and _is_other_use(sentence, draft):
            draft.silence("medicine or craft")


def _is_condition(sentence: Sentence, draft: Draft, drafts: list[Draft]) -> bool:
    """Is "eaten" without a verb "to be" only the condition of what follows: "eaten in excess it is harmful"?"""
    words, at = sentence.tokens.words, draft.cue.first
    once = words[max(at - 1, 0)] == "once" and at > 1 and words[at - 2] in FINITE  # "were once eaten"
    often = words[max(at - 1, 0)] in _BEFORE_EATEN  # "once widely eaten"
    if (words[max(at - 1, 0)] in _CONDITIONS and not once) or (
        at > 1 and not often and words[at - 1].endswith("ly") and words[at - 2] in _CONDITIONS
    ):
        return True
    first = sentence.structure.first[draft.clause]
    if _is_subordinate(sentence, draft):
        return True
    if draft.negated:
        return False
    if any(
        other.cue.rule.id in _OUTCOMES
        and other.clause == draft.clause
        and words[draft.cue.last : draft.cue.last + 1] == ["with"]
        and other.cue.first <= draft.cue.last + 2
        for other in drafts
    ):
        return True
    lead = words[max(first, at - 5) : at]
    if any(word in _AUXILIARY for word in lead):
        return False
    following = words[draft.cue.last] if draft.cue.last < len(words) else "."
    before = words[at - 1] if at else ""
    if following not in _AFTER_EATEN and before not in _BEFORE_EATEN and not _is_telegraphic(sentence, draft):
        return True
    return any(
        other.cue.first > at
        and other.clause == draft.clause
        and other.cue.rule.says in (Wording.TOXIC, Wording.NON_TOXIC, Wording.UNPALATABLE)
        for other in drafts
    )


def _is_subordinate(sentence: Sentence, draft: Draft) -> bool:
    """Does the verb stand in a clause of time or condition: "several hours after seeds are eaten"?"""
    words, at = sentence.tokens.words, draft.cue.first
    first = sentence.structure.first[draft.clause]
    if sentence.structure.opener[draft.clause] == "which" and words[first - 1] == "in":
        return True
    since = max((index for index in range(first, at) if words[index] == ","), default=first)
    reduced = {cue.first for cue in sentence.attributes if cue.rule.role in (Role.STAGE, Role.PREPARATION)}
    return any(
        words[index] in _SUBORDINATES
        and not (index and words[index - 1] in FINITE)
        and index not in reduced
        and index + 1 not in reduced
        and sum(word in FINITE for word in words[index:at]) < 2
        and words[index + 1].removesuffix("ly") == words[index + 1]
        for index in range(since, at)
    )


def _is_telegraphic(sentence: Sentence, draft: Draft) -> bool:
    """ "Fruit eaten", as in tables: a part right before, and no other verb in the clause."""
    words, at = sentence.tokens.words, draft.cue.first
    first = sentence.structure.first[draft.clause]
    if any(word in FINITE for word in words[first:at]) or "of" in words[max(at - 3, 0) : at]:
        return False
    return any(
        cue.rule.role is Role.PART and (cue.last == at or words[at - 1] == ",") and first <= cue.first < at
        for cue in sentence.attributes
    )


def _is_cure(sentence: Sentence, draft: Draft) -> bool:
    """ "Used for treating indigestion": the illness is what it is given for."""
    words, target = sentence.tokens.words, draft.cue
    if words[target.first - 1 : target.first] in (["for"], ["against"]):
        return True
    return any(
        cue.rule.role is Role.MEDICINE
        and cue.first < target.last
        and sentence.clause(cue) == draft.clause
        and words[cue.first].startswith(_CURES)
        for cue in sentence.attributes
    )


def _is_initial(sentence: Sentence, draft: Draft) -> bool:
    """Does the cue begin a clause, as an instruction does?"""
    at, words = draft.cue.first, sentence.tokens.words
    if any(word in _NOT for word in words[max(at - 8, 0) : at]):
        return False  # "best not to touch it or eat it"
    return begins_instruction(words, at)


def _is_predicate(sentence: Sentence, draft: Draft) -> bool:
    """Is the taste said of the plant ("it is bitter"), not of a noun that follows ("a bitter juice")?"""
    words, cue = sentence.tokens.words, draft.cue
    if cue.first and words[cue.first - 1] in ("but", "though", "although", "yet", "if", "albeit") and cue.first > 1:
        return True
    after = words[cue.last] if cue.last < len(words) else "."
    if after in ("but", "yet", "though", "although"):
        return True
    if after not in _AFTER_PREDICATE:
        return False
    if after == "," and not any(word in FINITE for word in words[max(cue.first - 3, 0) : cue.first]):
        return False
    lead = words[sentence.structure.first[draft.clause] : cue.first]
    return any(word in _AUXILIARY or word in _BEFORE_PREDICATE for word in lead) or not lead


def _animal_before(sentence: Sentence, draft: Draft) -> bool:
    return draft.cue.rule.id != "edible-by-animals" or any(
        cue.rule.role is Role.ANIMALS and cue.first <= draft.cue.last for cue in sentence.attributes
    )


def _is_other_use(sentence: Sentence, draft: Draft) -> bool:
    """Is the use in this clause one as medicine or for craft?"""
    words, target = sentence.tokens.words, draft.cue
    first = sentence.structure.first[draft.clause]
    goes_on = any(word.endswith("ed") for word in words[first : first + 2])  # "as bait; mashed with bread they stay on"
    for cue in sentence.attributes:
        if cue.rule.role not in (Role.MEDICINE, Role.CRAFT):
            continue
        if goes_on and draft.cue.rule.weak and sentence.clause(cue) < draft.clause <= sentence.clause(cue) + 2:
            return True
        if sentence.clause(cue) != draft.clause:
            continue
        if cue.rule.role is Role.MEDICINE and cue.last - cue.first > 2:
            return True  # "spread on sprained ankles"
        if target.first <= cue.first < target.last:
            return True
        if draft.cue.rule.weak:
            before = words[max(cue.first - 2, 0) : cue.first]
            if cue.first < target.first and any(word in _NO_SUBJECT for word in before):
                continue
            between = words[target.last : cue.first] or words[cue.last : target.first]
            if "and" not in between and "or" not in between:
                return True
        if cue.first >= target.last:
            between = words[target.last : cue.first]
            if len(between) <= 6 and any(word in _FOR for word in between) and not {"and", "or", ","} & set(between):
                return True
    return False


def silence_tastes(drafts: list[Draft]) -> None:
    """ "It tastes good and is deadly" does not say that it is food."""
    toxic = [draft for draft in drafts if draft.wording is Wording.TOXIC]
    for draft in drafts:
        if draft.wording is Wording.EDIBLE and draft.cue.rule.id == "edible-tasty":
            for other in toxic:
                same = not draft.subjects or draft.subjects == other.subjects
                if (
                    same
                    and other.parts == draft.parts
                    and not (other.preparations or draft.preparations or other.stages)
                ):
                    draft.silence("a good taste of something poisonous")


def silence_harmful_dishes(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "The leaves went into the soup, and all who had some fell ill": what made people ill is no food."""
    words, number = sentence.tokens.words, sentence.structure.number
    toxic = [draft for draft in drafts if draft.wording is Wording.TOXIC and Eater.ANIMALS not in draft.eaters]
    for draft in drafts:
        if draft.wording is not Wording.EDIBLE or not draft.cue.rule.kind or draft.negated:
            continue
        for other in toxic:
            low, high = sorted((draft.cue.first, other.cue.first))
            apart = any(
                words[at] in _CONTRAST or words[at] in (";", ".") or (words[at] == "(" and number[at] != number[low])
                for at in range(low, high)
            )
            told_apart = (
                other.preparations or other.stages or (other.parts and draft.parts and other.parts != draft.parts)
            )
            if not apart and not told_apart and not (set(draft.subjects) - set(other.subjects)):
                draft.silence("a dish that made people ill")


def _is_of_animals(sentence: Sentence, draft: Draft) -> bool:
    """Beetle grubs that are roasted and eaten: the animal is what is eaten."""
    words, first = sentence.tokens.words, sentence.structure.first[draft.clause]
    return any(
        cue.rule.id == "animals"
        and cue.first >= first
        and words[cue.last : cue.last + 1] in (["that"], ["which"])
        and "are" in words[cue.last : draft.cue.first + 1]
        for cue in sentence.attributes
        if cue.last <= draft.cue.first
    )


def silence_questions(sentence: Sentence, drafts: list[Draft]) -> None:
    """A question states nothing; of "it can be eaten, but should it be?" only the last clause is one."""
    words = sentence.tokens.words
    if "?" not in words[-3:]:
        if "?" in words:  # "can I eat this one?" asked Nell
            for draft in drafts:
                if draft.cue.last <= words.index("?"):
                    draft.silence("question")
        return
    whole = words[0] in _ASKS or len(words) <= 6
    last = max(sentence.structure.number, default=0)
    for draft in drafts:
        if whole or draft.clause == last or last == 0:
            draft.silence("question")


def silence_unreal(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "If the root were edible, it would feed a family": it is not said to be."""
    words = sentence.tokens.words
    if words[0] == "if" and "would" in words and not {"were", "was", "had"}.isdisjoint(words):
        for draft in drafts:
            if draft.wording in PRAISE:
                draft.silence("a condition, not a statement")


def silence_for_groups(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "To be avoided by nursing mothers" is a caution for them, no word on the plant."""
    if any(cue.rule.id == "special-groups" for cue in sentence.attributes):
        for draft in drafts:
            if draft.wording is Wording.INEDIBLE and draft.cue.rule.id.startswith("inedible-"):
                draft.silence("a caution for some people")


def silence_generalities(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "Many edible plants have deadly relatives": plants in general, where nothing tells of which one it is said."""
    words = sentence.tokens.words
    for draft in drafts:
        lead = words[sentence.structure.first[draft.clause] : draft.cue.first]
        if "there" in lead and not {"are", "were", "be"}.isdisjoint(lead) and _is_of_many(words, draft):
            draft.silence("said of plants in general")
            continue
        by_title = draft.why_subject == "the page's title, which names something else"
        if not (by_title or all(about is About.UNCLEAR for about, _ in draft.subjects)):
            continue
        if _is_of_many(words, draft):
            draft.silence("said of plants in general")


def _is_of_many(words: list[str], draft: Draft) -> bool:
    """Does the adjective stand before plants in the plural: "poisonous mushrooms"?"""
    following = words[draft.cue.last : draft.cue.last + 4]
    return not draft.cue.rule.kind and any(map(is_plants, following))


def silence_gardening(drafts: list[Draft]) -> None:
    """ "Soak the seed for a day in hot water", under a heading on sowing: what is done with it there is no cooking."""
    for draft in drafts:
        if draft.cue.rule.says is Wording.EDIBLE and (draft.cue.rule.initial or draft.cue.rule.id in _PREPARED):
            draft.silence("sowing and growing")


def silence_stories(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "I ate one", under a heading on poisoning: what led to a case, no word that it is food."""
    words = sentence.tokens.words
    for draft in drafts:
        if draft.wording is Wording.EDIBLE and draft.cue.rule.kind:
            told = words[sentence.structure.first[draft.clause] : draft.cue.last]
            if not {"ate", "was", "were", "had"}.isdisjoint(told):
                draft.silence("a case of poisoning told")
