"""One sentence → drafts of statements: cues, scope, attributes, ellipsis, and the rules on weak and lone cues."""

from __future__ import annotations

import re
from typing import Final

from doubtwort.model import Certainty, Eater, Wording
from doubtwort.wording.attributes import attach
from doubtwort.wording.clauses import clauses
from doubtwort.wording.cues import Cue, Tokens, runs_into_trap, spot, tokenize
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.ellipsis import with_ellipses
from doubtwort.wording.grammar import word_class
from doubtwort.wording.implied import with_detoxified, with_exceptions, with_safely
from doubtwort.wording.rules import Role, attribute_lexicon, part_rule, statement_lexicon
from doubtwort.wording.scope import modify
from doubtwort.wording.sieve import could_say, words_of
from doubtwort.wording.silence import silence_for_groups, silence_questions, silence_unreal, yield_to_others

_HYPHENED: Final = re.compile(r"-([a-z]{2,})")
_HEDGES: Final = word_class("hedges")
_HEARSAY: Final = word_class("hearsay")


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
    if not is_value and not could_say(own := lower[start:end], words_of(own)):
        return None
    tokens = tokenize(lower, start, end)
    if not tokens.words:
        return None
    lexicon = statement_lexicon()
    cues = spot(lexicon, lower, end, tokens, names)
    cues = [cue for cue in cues if cue.rule.role is not Role.TRAP and not _is_proper_name(text, start, end, cue)]
    cues = [cue for cue in cues if not (_praises(cue) and runs_into_trap(lexicon, lower, end, tokens, cue))]
    if not is_value and not any(cue.rule.role is Role.SAYS for cue in cues):
        return None
    free = names if names_without_parts is None else names_without_parts
    attributes = spot(attribute_lexicon(), lower, end, tokens, free)
    attributes = _with_fruits(tokens, attributes)
    return Sentence(text, lower, start, end, tokens, cues, attributes, clauses(tokens, lower))


def _with_fruits(tokens: Tokens, attributes: list[Cue]) -> list[Cue]:
    """Adds the parts that plural names of fruits and nuts are: "elderberries", "hazelnuts"."""
    named = [
        Cue(part_rule("fruit" if word.endswith("ies") else "nut"), tokens.starts[at], tokens.end(at), at, at + 1)
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
    drafts = with_safely(sentence, drafts)
    modify(sentence, drafts)
    for draft in drafts:
        _weigh(sentence, draft)
    yield_to_others(sentence, drafts)
    drafts = with_ellipses(sentence, drafts)
    attach(sentence, drafts, inherited)
    drafts = with_exceptions(sentence, with_detoxified(sentence, drafts))
    silence_questions(sentence, drafts)
    silence_unreal(sentence, drafts)
    silence_for_groups(sentence, drafts)
    return drafts


def _weigh(sentence: Sentence, draft: Draft) -> None:
    """Certainty that lies in the assertion's own words: "may follow", "has been reported", "were eaten"."""
    if draft.certainty is Certainty.HEARSAY or draft.wording is None:
        return
    words, cue = sentence.tokens.words, draft.cue
    own = words[cue.first : cue.last]
    if any(word in _HEDGES for word in own):
        draft.certainty = Certainty.HEDGED
    if ("reported" in own and "no" not in own) or not _HEARSAY.isdisjoint(own) or own[-3:-1] == ["used", "to"]:
        draft.certainty = Certainty.HEARSAY


def _praises(cue: Cue) -> bool:
    return cue.last - cue.first > 1 and cue.rule.says in PRAISE


def _is_proper_name(text: str, start: int, end: int, cue: Cue) -> bool:
    """A cue word with a capital inside a sentence, beside another capital, is part of a name: "Poison Creek"; one that
    a hyphen joins to a noun, too: "edible-star"."""
    if cue.rule.role is Role.SAYS and cue.rule.says is Wording.EDIBLE and _joined_to_noun(text, cue.end):
        return True
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


def _joined_to_noun(text: str, end: int) -> bool:
    match = _HYPHENED.match(text, end)
    return match is not None and not match[1].endswith("ed") and match[1] not in attribute_lexicon().words


def eaters_of(draft: Draft) -> list[Eater]:
    """Who eats or is harmed: people unless only animals are named."""
    return draft.eaters or [Eater.PEOPLE]
