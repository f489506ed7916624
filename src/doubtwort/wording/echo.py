"""A sentence that leaves unsaid what the one before it said: "The leaves are eaten. The roots are not.\""""

from __future__ import annotations

from typing import Final

from doubtwort.model import Eater
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.ellipsis import denies
from doubtwort.wording.grammar import word_class

_LONGEST: Final = 14
_ENDS: Final = frozenset({".", ";", "!", ",", "-"})


def may_echo(words: list[str]) -> bool:
    """Could the sentence be one? It is short, and its only verb ends a clause."""
    verb = next((at for at, word in enumerate(words[:_LONGEST]) if word in word_class("are")), -1)
    if verb < 1 or words[0] in word_class("asks"):
        return False
    rest = words[verb + 1 : verb + 3]
    rest = rest[1:] if rest[:1] == ["not"] else rest
    return not rest or rest[0] in _ENDS


def echo(sentence: Sentence, before: list[Draft]) -> Draft | None:
    """What the first clause of the sentence says by way of the last assertion ``before`` it; None for nothing."""
    words = sentence.tokens.words
    if not before or not may_echo(words):
        return None
    end = next((at for at, word in enumerate(words) if word in (".", ";", "!") and at), len(words))
    verb = next(at for at, word in enumerate(words) if word in word_class("are"))
    if any(word in FINITE for word in words[:verb]):
        return None
    own = list(range(min(end, verb + (3 if words[verb + 1 : verb + 2] == ["not"] else 2))))
    own = [at for at in own if at < end]
    while own and words[own[-1]] == ",":
        own.pop()
    denied = denies(words, own)
    model = before[-1]
    if denied is None or Eater.ANIMALS in model.eaters:
        return None
    rule = model.cue.rule
    starts = sentence.tokens.starts
    cue = Cue(rule, starts[own[-1]], sentence.tokens.end(own[-1]), own[-1], own[-1] + 1)
    said = rule.negated if denied else rule.says
    return Draft(cue, sentence.structure.number[0], said, denied, rules=[rule.id, "echo"])
