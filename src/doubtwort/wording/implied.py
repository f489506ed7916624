"""What a statement says besides: "can safely be eaten", "not edible except the shoots", "destroyed by cooking"."""

from __future__ import annotations

from doubtwort.model import Wording
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.rules import Role, statement_rules


def with_safely(sentence: Sentence, drafts: list[Draft]) -> list[Draft]:
    """ "People can safely eat the tubers" says two things."""
    made: list[Draft] = []
    for draft in drafts:
        made.append(draft)
        cue = draft.cue
        if cue.rule.says is Wording.EDIBLE and "safely" in sentence.tokens.words[cue.first : cue.last]:
            harmless = next(rule for rule in statement_rules() if rule.id == "non-toxic-adjective")
            also = Cue(harmless, cue.start, cue.end, cue.first, cue.last)
            made.append(Draft(also, draft.clause, Wording.NON_TOXIC, rules=[harmless.id]))
    return made


def _detoxified_elsewhere(sentence: Sentence, drafts: list[Draft]) -> None:
    """ "It holds a poison, but this is removed by boiling": the clause has no assertion of its own."""
    clauses = {draft.clause for draft in drafts}
    for cue in sentence.cues:
        clause = sentence.structure.number[cue.first]
        if cue.rule.role is not Role.DETOXIFY or clause in clauses:
            continue
        before = [draft for draft in drafts if draft.cue.last <= cue.first and draft.wording is Wording.TOXIC]
        treated = [
            each.rule.value
            for each in sentence.attributes
            if each.rule.role is Role.PREPARATION and sentence.structure.number[each.first] == clause
        ]
        if before and treated:
            before[-1].modifiers.append(cue)
            before[-1].rules.append(cue.rule.id)
            before[-1].preparations += treated


def with_detoxified(sentence: Sentence, drafts: list[Draft]) -> list[Draft]:
    """ "The poison is destroyed by cooking": poisonous raw, and not poisonous once cooked."""
    made: list[Draft] = []
    _detoxified_elsewhere(sentence, drafts)
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


def with_exceptions(sentence: Sentence, drafts: list[Draft]) -> list[Draft]:
    """ "Not edible except the shoots" says that the shoots are; "the only part not poisonous", that the rest is."""
    made: list[Draft] = []
    words = sentence.tokens.words
    for draft in drafts:
        made.append(draft)
        rule = draft.cue.rule
        if draft.wording is None or not draft.negated or rule.says is None:
            continue
        lead = words[sentence.structure.first[draft.clause] : draft.cue.first]
        if draft.except_parts:
            made.append(_opposite(draft, rule.says, draft.except_parts))
            draft.except_parts = []
        elif "only" in lead and {"part", "parts"} & set(lead):
            made.append(_opposite(draft, rule.says, ["whole plant"]))
    return made


def _opposite(draft: Draft, wording: Wording, parts: list[str]) -> Draft:
    made = Draft(draft.cue, draft.clause, wording, certainty=draft.certainty, rules=[draft.cue.rule.id, "exception"])
    made.parts = list(parts)
    made.eaters = list(draft.eaters)
    if wording is Wording.EDIBLE:  # conditions stand with the part that is eaten
        made.preparations, draft.preparations = draft.preparations, []
        made.stages, draft.stages = draft.stages, []
    return made
