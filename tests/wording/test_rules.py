"""Every row of every wording table: each example fires it, each near miss does not; broken tables stop the program."""

import pytest

from doubtwort.errors import TableError
from doubtwort.text import fold
from doubtwort.wording import rules
from doubtwort.wording.classify import drafts_of, parse
from doubtwort.wording.cues import Cue, spot, tokenize
from doubtwort.wording.retraction import takes_back
from doubtwort.wording.rules import Role, Rule

STATEMENT_ROWS = list(rules.statement_rules())
ATTRIBUTE_ROWS = [rule for rule in rules.attribute_rules() if rule.fires]

MODIFIERS = {Role.NEGATE, Role.NEGATE_HEDGED, Role.CANCEL, Role.HEDGE, Role.HEARSAY, Role.DETOXIFY}


def cues(sentence: str) -> list[Cue]:
    folded = fold(sentence)
    tokens = tokenize(folded.lower, 0, len(folded.lower))
    end = len(folded.lower)
    return [
        *spot(rules.statement_lexicon(), folded.lower, end, tokens, []),
        *spot(rules.attribute_lexicon(), folded.lower, end, tokens, []),
    ]


def fires(rule: Rule, sentence: str) -> bool:
    """For a row that states: does it state in the sentence? For one that modifies: does it modify a statement? For any
    other: does its phrase occur?"""
    if rule in rules.retraction_rules():
        folded = fold(sentence)
        return takes_back(folded.lower, 0, len(folded.lower))
    if rule.role is Role.SAYS:
        folded = fold(sentence)
        parsed = parse(folded.text, folded.lower, 0, len(folded.text), [])
        return parsed is not None and any(
            draft.cue.rule.id == rule.id and draft.why_silent != "negated" and draft.wording is not None
            for draft in drafts_of(parsed, [])
        )
    if rule.role in MODIFIERS:
        folded = fold(sentence)
        parsed = parse(folded.text, folded.lower, 0, len(folded.text), [])
        return parsed is not None and any(rule.id in draft.rules for draft in drafts_of(parsed, []))
    return any(cue.rule.id == rule.id for cue in cues(sentence))


def examples(side: str) -> list[object]:
    return [
        pytest.param(rule, sentence, id=f"{rule.id}-{number}")
        for rule in [*STATEMENT_ROWS, *ATTRIBUTE_ROWS, *rules.retraction_rules()]
        for number, sentence in enumerate(getattr(rule, side))
    ]


@pytest.mark.parametrize(("rule", "sentence"), examples("fires"))
def test_a_row_fires_on_its_examples(rule: Rule, sentence: str) -> None:
    assert fires(rule, sentence)


@pytest.mark.parametrize(("rule", "sentence"), examples("spares"))
def test_a_row_spares_its_near_misses(rule: Rule, sentence: str) -> None:
    assert not fires(rule, sentence)


def test_rows_have_ids_of_their_own() -> None:
    ids = [rule.id for rule in [*rules.statement_rules(), *rules.attribute_rules()]]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("rule", [*STATEMENT_ROWS, *rules.attribute_rules()], ids=lambda rule: rule.id)
def test_every_pattern_is_one(rule: Rule) -> None:
    for pattern in rule.patterns:
        found = rules.phrase(rules.full_pattern(pattern, rules.macros()))
        assert found is None or found.compiled()


def test_a_pattern_that_is_none_is_told_where_it_is_first_tried() -> None:
    broken = rules.phrase("used as) food")
    assert broken is not None
    with pytest.raises(TableError, match="is wrong"):
        broken.match("used as food", 0, 12)
