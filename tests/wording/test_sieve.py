"""The sieve lets through every match of a row that states a wording, and stops most of what states nothing."""

from __future__ import annotations

import random
import re
import re._constants as signs
import re._parser as parser
from typing import Any

import pytest

from doubtwort.model import Passage
from doubtwort.text import fold
from doubtwort.wording.fields import labels
from doubtwort.wording.passage import may_state
from doubtwort.wording.patterns import to_regex
from doubtwort.wording.rules import Role, Rule, full_pattern, macros, statement_rules
from doubtwort.wording.sieve import could_be_field, could_say, words_of

SAYING = [rule for rule in statement_rules() if rule.role is Role.SAYS]
MADE = 60


def made(parsed: Any, chance: random.Random) -> str:
    """A text that a parsed regular expression matches, look-arounds aside."""
    text = ""
    for sign, value in parsed:
        if sign is signs.LITERAL:
            text += chr(value)
        elif sign is signs.BRANCH:
            text += made(chance.choice(value[1]), chance)
        elif sign is signs.SUBPATTERN:
            text += made(value[-1], chance)
        elif sign is signs.MAX_REPEAT:
            least, most, inner = value
            text += "".join(made(inner, chance) for _ in range(chance.randint(least, min(most, least + 3))))
        elif sign is signs.IN:
            literals = [chr(each) for kind, each in value if kind is signs.LITERAL]
            text += chance.choice(literals or ["a", "b"])
        elif sign is signs.CATEGORY:
            text += chance.choice("ab")
    return text


@pytest.mark.parametrize("rule", SAYING, ids=lambda rule: rule.id)
def test_every_match_of_a_row_passes(rule: Rule):
    chance = random.Random(rule.id)
    for pattern in rule.patterns:
        regex = re.compile(to_regex(full_pattern(pattern, macros())))
        for _ in range(MADE):
            text = made(parser.parse(regex.pattern), chance)
            if regex.match(text):
                assert could_say(f"so {text}", words_of(f"so {text}")), (pattern, text)


@pytest.mark.parametrize("rule", SAYING, ids=lambda rule: rule.id)
def test_every_example_of_a_row_passes(rule: Rule):
    for text in rule.fires:
        assert may_state(Passage(text), fold(text).lower), text


def test_every_label_with_a_value_passes():
    for label in labels():
        for text in (f"{label}: none", f"• {label} - leaves", f"x; {label} | yes"):
            assert could_be_field(text, words_of(text)), text


@pytest.mark.parametrize(
    "text",
    [
        "The plants are used in gardens, and the leaves are green.",
        "Flowers and fruit on the common herb: which is seen in spring.",
        "The stems of this plant hold on to walls.",
    ],
)
def test_plain_description_is_stopped(text: str):
    assert not may_state(Passage(text), fold(text).lower)
