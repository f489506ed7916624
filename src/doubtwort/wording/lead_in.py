"""Lists under one statement: "The following plants are poisonous:", and then names alone."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from doubtwort.text import fold
from doubtwort.wording.classify import drafts_of, parse
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.grammar import is_plants, word_class

_LONGEST: Final = 160
_GENERIC: Final = word_class("generic")
_POINTS: Final = frozenset({"following", "these", "those", "below", "listed"})
_ASIDE: Final = frozenset(
    {"to", "with", "for", "like", "from", "against", "than", "between", "resembling", "and", "or"}
)
_COUNTS: Final = frozenset({"list", "lists", "number", "examples", "kinds", "types", "sorts", "some", "many", "most"})
_REACH: Final = 4


@dataclass(frozen=True, slots=True)
class LeadIn:
    """What a line says of every name in the list below it: ``text`` as printed, and the assertion."""

    text: str
    draft: Draft

    def over(self, sentence: Sentence, start: int, end: int) -> Draft:
        """The same assertion made of the name at [start, end) of a list's item."""
        first, last = sentence.tokens.at(start), sentence.tokens.at(end)
        cue = Cue(self.draft.cue.rule, start, end, first, max(last, first + 1))
        why = f"the list stands under “{self.text}”"
        return replace(
            self.draft, cue=cue, clause=sentence.structure.number[first], eaters=list(self.draft.eaters),
            parts=[], preparations=list(self.draft.preparations), stages=list(self.draft.stages),
            rules=list(self.draft.rules), modifiers=[], why_subject=why,
        )  # fmt: skip


@lru_cache(maxsize=1024)
def lead_in(text: str) -> LeadIn | None:
    """The one assertion that a line makes about plants of a list, or None when it makes none, or several.

    >>> lead_in("The following plants are poisonous:").draft.wording.value
    'toxic'
    >>> lead_in("Edible uses"), lead_in("Edible plants and their poisonous doubles:")
    (None, None)
    """
    if len(text) > _LONGEST:
        return None
    folded = fold(text.strip().rstrip(":"))
    sentence = parse(folded.text, folded.lower, 0, len(folded.text), [])
    if sentence is None:
        return None
    drafts = [draft for draft in drafts_of(sentence, []) if draft.wording is not None]
    if len({draft.wording for draft in drafts}) != 1 or not word_class("relatives").isdisjoint(sentence.tokens.words):
        return None
    draft = drafts[0]
    if not _tells_of_plants(sentence, draft):
        return None
    draft.rules.append("list-lead-in")
    return LeadIn(text.strip(), draft)


def _tells_of_plants(sentence: Sentence, draft: Draft) -> bool:
    words, cue = sentence.tokens.words, draft.cue
    before = words[: cue.first]
    if draft.cue.rule.id.startswith("inedible-instruction"):
        return not before or not _POINTS.isdisjoint(words)
    if not _POINTS.isdisjoint(before) and any(word in FINITE for word in before):
        return True
    behind = words[cue.last : cue.last + _REACH]
    stop = next((at for at, word in enumerate(behind) if word in FINITE or not word.isalpha()), len(behind))
    if not any(_is_plural(word) for word in behind[:stop]):
        return False
    if any(word in _ASIDE for word in before[-3:]):
        return False
    return "of" not in before[-3:] or not _COUNTS.isdisjoint(before)


def _is_plural(word: str) -> bool:
    return is_plants(word) or (word.endswith("s") and word in _GENERIC)
