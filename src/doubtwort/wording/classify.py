"""One sentence → drafts of statements: cues, scope, attributes, ellipsis, and the rules on weak and lone cues."""

from __future__ import annotations

from typing import Final

from doubtwort.model import Certainty, Eater, Wording
from doubtwort.wording.attributes import attach
from doubtwort.wording.clauses import FINITE, clauses
from doubtwort.wording.cues import WORDS, Cue, Tokens, spot, tokenize
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Role, attribute_lexicon, part_rule, statement_lexicon, telling
from doubtwort.wording.scope import modify

_FOR: Final = word_class("for")
_NOT: Final = word_class("not")
_ASKS: Final = word_class("asks")
_AUXILIARY: Final = word_class("auxiliary")
_AFTER_PREDICATE: Final = word_class("after-predicate")
_BEFORE_PREDICATE: Final = word_class("before-predicate")
_SUBORDINATES: Final = word_class("subordinates")
_AFTER_EATEN: Final = word_class("after-eaten")
_HEDGES: Final = word_class("hedges")
_PASSIVE: Final = frozenset({"edible-cooked-passive", "edible-serve", "edible-used-in-dishes"})
_BEFORE_EATEN: Final = word_class("before-eaten")
_CURES: Final = (
    "treat",
    "remed",
    "cur",
    "medic",
    "heal",
    "tonic",
    "reliev",
    "allevi",
    "sooth",
    "poultice",
    "fever",
    "cough",
    "digest",
    "aid",
    "help",
)
_CONDITIONS: Final = word_class("conditions")
_BEFORE_INSTRUCTION: Final = word_class("before-instruction")
_ARE: Final = word_class("are")


def parse(
    text: str,
    lower: str,
    start: int,
    end: int,
    names: list[tuple[int, int]],
    names_without_parts: list[tuple[int, int]] | None = None,
    *,
    is_value: bool = False,
) -> Sentence | None:
    """The sentence ``text[start:end]`` with its cues, or None when nothing in it states a wording.

    The value of a field (``is_value``) is parsed in any case: its label may make a statement of it.
    """
    if not is_value and telling().isdisjoint(WORDS.findall(lower, start, end)):
        return None
    tokens = tokenize(lower, start, end)
    if not tokens.words:
        return None
    cues = spot(statement_lexicon(), lower, end, tokens, names)
    cues = [cue for cue in cues if cue.rule.role is not Role.TRAP and not _is_proper_name(text, start, end, cue)]
    if not is_value and not any(cue.rule.role is Role.SAYS for cue in cues):
        return None
    free = names if names_without_parts is None else names_without_parts
    attributes = spot(attribute_lexicon(), lower, end, tokens, free)
    attributes = _with_fruits(tokens, attributes)
    return Sentence(text, lower, start, end, tokens, cues, attributes, clauses(tokens, lower))


def _with_fruits(tokens: Tokens, attributes: list[Cue]) -> list[Cue]:
    """Adds the parts that plural names of fruits and nuts are: "elderberries", "hazelnuts"."""
    named = [
        Cue(part_rule("fruit" if word.endswith("ies") else "nut"), tokens.starts[at], tokens.ends[at], at, at + 1)
        for at, word in enumerate(tokens.words)
        if len(word) > 7 and word.endswith(("berries", "cherries", "nuts"))
    ]
    if not named:
        return attributes
    taken = {cue.first for cue in attributes}
    return sorted([*attributes, *(cue for cue in named if cue.first not in taken)], key=lambda cue: cue.first)


def drafts_of(sentence: Sentence, inherited: list[str]) -> list[Draft]:
    """Every assertion of the sentence, in order; silent ones (``wording`` None) stay in for the explanation."""
    drafts = [
        Draft(
            cue,
            sentence.clause(cue),
            cue.rule.says,
            certainty=cue.rule.certainty,
            rules=[cue.rule.id],
            eaters=[Eater.ANIMALS] if cue.rule.eater else [],
        )
        for cue in sentence.cues
        if cue.rule.role is Role.SAYS
    ]
    modify(sentence, drafts)
    for draft in drafts:
        _weigh(sentence, draft)
    _yield_to_others(sentence, drafts)
    drafts = _with_ellipses(sentence, drafts)
    attach(sentence, drafts, inherited)
    drafts = _with_detoxified(drafts)
    _silence_questions(sentence, drafts)
    _silence_for_groups(sentence, drafts)
    return drafts


def _silence_for_groups(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "To be avoided by nursing mothers" is a caution for them, no word on the plant."""
    if any(cue.rule.id == "special-groups" for cue in sentence.attributes):
        for draft in drafts:
            if draft.wording is Wording.INEDIBLE and draft.cue.rule.id == "inedible-instruction":
                draft.silence("a caution for some people")


def _weigh(sentence: Sentence, draft: Draft) -> None:
    """Certainty that lies in the assertion's own words: "may follow", "has been reported", "were eaten"."""
    if draft.certainty is Certainty.HEARSAY or draft.wording is None:
        return
    words, cue = sentence.tokens.words, draft.cue
    own = words[cue.first : cue.last]
    if any(word in _HEDGES for word in own):
        draft.certainty = Certainty.HEDGED
    if "reported" in own and "no" not in own:
        draft.certainty = Certainty.HEARSAY


def _with_detoxified(drafts: list[Draft]) -> list[Draft]:
    """ "The poison is destroyed by cooking": poisonous raw, and not poisonous once cooked."""
    made: list[Draft] = []
    for draft in drafts:
        made.append(draft)
        if draft.wording is not Wording.TOXIC or not any(cue.rule.role is Role.DETOXIFY for cue in draft.modifiers):
            continue
        treated = [value for value in draft.preparations if value != "raw"]
        draft.preparations = ["raw"]
        if treated:
            made.append(
                Draft(
                    draft.cue,
                    draft.clause,
                    Wording.NON_TOXIC,
                    certainty=draft.certainty,
                    parts=list(draft.parts),
                    preparations=treated,
                    eaters=list(draft.eaters),
                    rules=[*draft.rules, "detoxified"],
                )
            )
    return made


def _silence_questions(sentence: Sentence, drafts: list[Draft]) -> None:
    """A question states nothing; of "it can be eaten, but should it be?" only the last clause is one."""
    words = sentence.tokens.words
    if "?" not in words[-3:]:
        return
    whole = words[0] in _ASKS or len(words) <= 6
    last = max(sentence.structure.number, default=0)
    for draft in drafts:
        if whole or draft.clause == last or last == 0:
            draft.silence("question")


def _is_proper_name(text: str, start: int, end: int, cue: Cue) -> bool:
    """A cue word with a capital inside a sentence, beside another capital, is part of a name: "Poison Creek"."""
    if cue.rule.role is not Role.SAYS or not text[cue.start].isupper() or cue.last - cue.first > 1:
        return False
    if text[start:end].isupper():
        return False
    before = text[start : cue.start].rstrip()
    after = text[cue.end : end].lstrip()
    neighbour = bool(after[:1].isupper()) or bool(
        before and before.split()[-1][:1].isupper() and len(before.split()) > 1
    )
    if not neighbour or (not before and not after[:1].isupper()):
        return False
    words = [word for word in text[start:end].split() if word[:1].isalpha()]
    capitals = sum(word[0].isupper() for word in words)
    return bool(before or capitals < len(words)) and capitals < 0.7 * len(words)


def _yield_to_others(sentence: Sentence, drafts: list[Draft]) -> None:
    """Weak rows yield to medicine and craft, lone rows to any other statement of their clause."""
    for draft in drafts:
        rule = draft.cue.rule
        if draft.wording is None:
            continue
        if rule.initial and not _is_initial(sentence, draft):
            draft.silence("no instruction")
        elif rule.alone and any(
            other is not draft and (other.clause == draft.clause or rule.alone == "sentence") for other in drafts
        ):
            draft.silence("another statement in its clause")
        elif rule.needs and not (
            any(other is not draft and other.wording in (Wording.EDIBLE, Wording.NON_TOXIC) for other in drafts)
            and _is_predicate(sentence, draft)
        ):
            draft.silence("a taste alone")
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
    if words[max(at - 1, 0)] in _CONDITIONS or (
        at > 1 and words[at - 1].endswith("ly") and words[at - 2] in _CONDITIONS
    ):
        return True
    first = sentence.structure.first[draft.clause]
    if _is_subordinate(sentence, draft):
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
        and other.cue.rule.says in (Wording.TOXIC, Wording.NON_TOXIC)
        for other in drafts
    )


def _is_subordinate(sentence: Sentence, draft: Draft) -> bool:
    """Does the verb stand in a clause of time or condition: "several hours after seeds are eaten"?"""
    words, at = sentence.tokens.words, draft.cue.first
    first = sentence.structure.first[draft.clause]
    if sentence.structure.opener[draft.clause] == "which" and words[first - 1] == "in":
        return True
    since = max((index for index in range(first, at) if words[index] == ","), default=first)
    return any(word in _SUBORDINATES for word in words[since:at])


def _is_telegraphic(sentence: Sentence, draft: Draft) -> bool:
    """ "Fruit eaten", as in tables: a part right before, and no other verb in the clause."""
    words, at = sentence.tokens.words, draft.cue.first
    first = sentence.structure.first[draft.clause]
    if any(word in FINITE for word in words[first:at]) or "of" in words[max(at - 3, 0) : at]:
        return False
    return any(cue.rule.role is Role.PART and cue.last == at for cue in sentence.attributes)


def _is_cure(sentence: Sentence, draft: Draft) -> bool:
    """ "Used for treating indigestion": the illness is what it is given for."""
    words, target = sentence.tokens.words, draft.cue
    return any(
        cue.rule.role is Role.MEDICINE
        and cue.first < target.last
        and sentence.clause(cue) == draft.clause
        and words[cue.first].startswith(_CURES)
        for cue in sentence.attributes
    )


def _is_initial(sentence: Sentence, draft: Draft) -> bool:
    """Does the cue begin a clause, as an instruction does?"""
    at = draft.cue.first
    return at == 0 or sentence.tokens.words[at - 1] in _BEFORE_INSTRUCTION


def _is_predicate(sentence: Sentence, draft: Draft) -> bool:
    """Is the taste said of the plant ("it is bitter"), not of a noun that follows ("a bitter juice")?"""
    words, cue = sentence.tokens.words, draft.cue
    if cue.first and words[cue.first - 1] in ("but", "though", "although", "yet", "if", "albeit") and cue.first > 1:
        return True
    after = words[cue.last] if cue.last < len(words) else "."
    if after not in _AFTER_PREDICATE:
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
    for cue in sentence.attributes:
        if cue.rule.role not in (Role.MEDICINE, Role.CRAFT) or sentence.clause(cue) != draft.clause:
            continue
        if target.first <= cue.first < target.last:
            return True
        if draft.cue.rule.weak:
            between = words[target.last : cue.first] or words[cue.last : target.first]
            if "and" not in between and "or" not in between:
                return True
        if cue.first >= target.last:
            between = words[target.last : cue.first]
            if len(between) <= 6 and any(word in _FOR for word in between) and not {"and", "or", ","} & set(between):
                return True
    return False


def _with_ellipses(sentence: Sentence, drafts: list[Draft]) -> list[Draft]:
    """Adds what "… but the seeds are not" and "… but not the seeds" leave unsaid."""
    if not drafts:
        return drafts
    words, structure = sentence.tokens.words, sentence.structure
    taken = {draft.clause for draft in drafts}
    added: list[Draft] = []
    for clause in range(1, len(structure.parent)):
        if clause in taken:
            continue
        span = [at for at, number in enumerate(structure.number) if number == clause]
        model = next((draft for draft in reversed(drafts) if draft.cue.last <= (span[0] if span else 0)), None)
        if not span or model is None or model.why_silent in ("question", "cancelled"):
            continue
        own = [at for at in span if words[at] not in (".", ";", ")", "!", "(")]
        if not own:
            continue
        named = any(cue.rule.role in (Role.PART, Role.STAGE) and cue.first in span for cue in sentence.attributes)
        if not named and (model.cue.rule.kind or not {"is", "are"} & {words[at] for at in own}):
            continue
        denies = _denies(words, own)
        if denies is None:
            continue
        rule = model.cue.rule
        cue = Cue(rule, sentence.tokens.starts[own[-1]], sentence.tokens.ends[own[-1]], own[-1], own[-1] + 1)
        added.append(
            Draft(
                cue,
                clause,
                rule.negated if denies else rule.says,
                denies,
                model.certainty,
                rules=[rule.id, "ellipsis"],
                model=model,
            )
        )
    return sorted([*drafts, *added], key=lambda draft: draft.cue.first)


def _denies(words: list[str], own: list[int]) -> bool | None:
    """True for "but not the seeds" or "the seeds are not", False for "the seeds are", None when it is neither."""
    texts = [words[at] for at in own]
    if texts[0] in ("but", "and", "though", "although", "while", "whereas", ";", "-", ",", "("):
        texts = texts[1:]
    if texts[:1] == [","]:
        texts = texts[1:]
    if not texts:
        return None
    if texts[0] in ("so", "as") and len(texts) > 2 and texts[1] in _ARE:
        return False
    if texts[0] in _NOT and len(texts) < 9 and not any(word in FINITE for word in texts):
        return True
    verb = next((at for at, word in enumerate(texts) if word in _ARE), -1)
    if verb < 1 or verb > 8:
        return None
    rest = texts[verb + 1 :]
    denied = texts[verb].endswith("n't")
    if rest and rest[0] == "not":
        denied, rest = True, rest[1:]
    return denied if not rest or rest[0] == "," else None


def eaters_of(draft: Draft) -> list[Eater]:
    """Who eats or is harmed: people unless only animals are named."""
    return draft.eaters or [Eater.PEOPLE]
