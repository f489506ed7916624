"""What the two readers come to together: bars for chances, and a named reason for whatever is changed.

A statement of the tables stands unless the second reader finds it most unlikely; one that they missed is added when
it is all but sure. The bars differ by what an error costs: praise needs both readers or near certainty, while a
warning is easy to add and hard to take back.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from doubtwort.model import About, Certainty, Eater, Wording
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.fields import answers_label
from doubtwort.wording.rules import Role, Rule
from doubtwort.wording.second.opinion import Opinion

OF_PLANT: Final = "the second reader, who finds it said of the plant asked about"
OF_ANOTHER: Final = "the second reader, who finds it said of another plant"
ANOTHER: Final = "another plant"
SECOND: Final = "second-reader-"
UNCONFIRMED: Final = "the second reader finds no such statement"


@dataclass(frozen=True, slots=True)
class Bar:
    """Chances. Under ``keep`` a statement of the tables is withheld; from ``add`` on one that they missed is added;
    from ``give`` on it is given to the plant asked about, and from ``take`` on to another, against the rules."""

    keep: float
    add: float
    give: float
    take: float


BARS: Final[Mapping[Wording, Bar]] = {
    Wording.EDIBLE: Bar(keep=0.35, add=0.98, give=0.95, take=0.5),
    Wording.NON_TOXIC: Bar(keep=0.2, add=0.9, give=0.9, take=0.5),
    Wording.UNPALATABLE: Bar(keep=0.05, add=0.88, give=0.8, take=0.6),
    Wording.INEDIBLE: Bar(keep=0.2, add=0.85, give=0.8, take=0.6),
    Wording.TOXIC: Bar(keep=0.03, add=0.65, give=0.8, take=0.95),
}
_CLEARED: Final = 0.97  # from here on even a sentence with a word of poison in it says that the plant has none
_WARNS: Final = 0.9  # from here on a warning is added though the tables see it denied
# What the tables have found denied, open or harmful is not stated after all because the second reader thinks so.
_DENIALS: Final = frozenset(
    {
        "negated", "negated twice", "cancelled", "question", "a good taste of something poisonous",
        "a dish that made people ill", "a case of poisoning told",
    }
)  # fmt: skip
# "Inedible", "non-edible", and a slip of the press ("nedible") are no praise, whatever stands around them.
_DENIED_WORD: Final = re.compile(r"[a-z](?:-\s*)?(?:edible|eatable)\b")
_STOPS: Final = frozenset('.!?")')
_DOUBTED: Final = 0.5
_RULES: Final = {wording: Rule(SECOND + wording.value, Role.SAYS, (), says=wording, kind="verb") for wording in BARS}


def withhold(sentence: Sentence, drafts: list[Draft], opinion: Opinion) -> None:
    """Silences what the tables read and the second reader finds most unlikely. A warning stands unless it finds neither
    that nor the opposite; the value of a label stands, a misspelt word, which it cannot judge, and all of a note."""
    if is_note(sentence):
        return
    words = sentence.tokens.words
    for draft in drafts:
        wording, rule = _of_people(draft), draft.cue.rule
        if wording is None:
            continue
        if answers_label(rule.id) or (rule.misspelt and words[draft.cue.first] not in rule.patterns):
            continue
        if wording is Wording.TOXIC and opinion.chance(Wording.NON_TOXIC) >= _DOUBTED:
            continue  # "nobody has eaten it without harm": one of the two has read it the wrong way round
        if opinion.chance(wording) < BARS[wording].keep:
            draft.silence(UNCONFIRMED)


def missed(sentence: Sentence, drafts: list[Draft], opinion: Opinion) -> list[Draft]:
    """What the second reader finds beyond the drafts, each at the word where it shows most."""
    return [
        _draft(sentence, drafts, wording, opinion)
        for wording, bar in BARS.items()
        if opinion.chance(wording) >= bar.add and not _is_settled(wording, sentence, drafts, opinion)
    ]


def _is_settled(wording: Wording, sentence: Sentence, drafts: list[Draft], opinion: Opinion) -> bool:
    """Have the tables said so much on this wording that the second reader may not add it?"""
    said = {_of_people(draft) for draft in drafts}
    if wording in said:
        return True
    if wording is Wording.TOXIC:
        if any(draft.wording is wording and Eater.ANIMALS in draft.eaters for draft in drafts):
            return True
        if is_note(sentence) and any(cue.rule.role is Role.TRAP for cue in sentence.cues):
            return True  # another thing with poison in its name
        if opinion.chance(wording) >= _WARNS:
            return False
    if is_note(sentence) and any(answers_label(draft.cue.rule.id) for draft in drafts):
        return True
    if wording is Wording.NON_TOXIC and any(draft.cue.rule.says is Wording.TOXIC for draft in drafts):
        return Wording.TOXIC in said or opinion.chance(wording) < _CLEARED
    if wording is Wording.EDIBLE and (
        Wording.INEDIBLE in said or _DENIED_WORD.search(sentence.lower, sentence.start, sentence.end)
    ):
        return True
    denied = [draft.cue.rule for draft in drafts if draft.negated or draft.why_silent in _DENIALS]
    return any(wording in (rule.says, rule.negated) for rule in denied)


def reassign(drafts: list[Draft], opinion: Opinion, plant: str, others: list[str]) -> None:
    """Gives a statement to the plant asked about, or takes it from it, where the second reader is sure of the whole
    sentence. ``plant`` is "" where nothing points to that plant, ``others`` are the other plants named."""
    for draft in drafts:
        wording = _of_people(draft)
        if wording is None:
            continue
        bar, own, other = BARS[wording], opinion.of_plant[wording], opinion.of_other[wording]
        is_own = any(about is About.TAXON for about, _ in draft.subjects)
        if is_own and draft.subjects[0][0] in (About.GENUS, About.FAMILY):
            continue  # said of its whole kind, with the plant for an example
        if is_own and other >= bar.take and own < 1 - bar.take:
            if wording is Wording.TOXIC and not others:
                continue  # a name that is in no list may be one of the plant's own: the warning stays
            rest = [each for each in draft.subjects if each[0] is not About.TAXON]
            draft.subjects = rest or [(About.OTHER, others[0] if others else ANOTHER)]
            draft.why_subject = OF_ANOTHER
        elif not is_own and own >= bar.give and other < 1 - bar.give:
            if not plant or (others and wording in PRAISE):
                continue  # praise may be of whatever else is named
            draft.subjects, draft.why_subject = [(About.TAXON, plant)], OF_PLANT


def is_note(sentence: Sentence) -> bool:
    """Is it a note, gloss or cell, which ends without a stop? The second reader was taught too few of them to overrule
    the tables."""
    return sentence.tokens.words[-1] not in _STOPS


def _of_people(draft: Draft) -> Wording | None:
    """What the draft states of people who eat, if anything."""
    return None if Eater.ANIMALS in draft.eaters else draft.wording


def _draft(sentence: Sentence, drafts: list[Draft], wording: Wording, opinion: Opinion) -> Draft:
    """A statement at the phrase that the tables found too weak, else at the word where the second reader sees it."""
    weak = next((each.cue for each in drafts if each.wording is None and each.cue.rule.says is wording), None)
    if weak is not None:
        cue, rules = replace(weak, rule=_RULES[wording]), [SECOND + wording.value, weak.rule.id]
    else:
        low, high = opinion.seats[wording]
        words = sentence.tokens.words
        first = min(sentence.tokens.at(low), len(words) - 1)
        last = max(first + 1, min(sentence.tokens.at(high), len(words)))
        cue = Cue(_RULES[wording], sentence.tokens.starts[first], sentence.tokens.end(last - 1), first, last)
        rules = [SECOND + wording.value]
    doubt, chance = max(opinion.doubts.items(), key=lambda each: each[1])
    certainty = doubt if chance >= _DOUBTED else Certainty.STATED
    return Draft(cue, sentence.clause(cue), wording, certainty=certainty, rules=rules)
