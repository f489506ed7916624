"""Digits that scanning put in place of letters inside known words: "edib1e", "p0isonous". Lengths stay the same."""

from __future__ import annotations

import re
from functools import cache

from doubtwort.wording.rules import attribute_lexicon, statement_lexicon

_MIXED = re.compile(
    r"(?<![\w'])(?=[a-z]*[015][a-z])(?:[a-z]+[015])+[a-z]*(?!\w)|(?<![\w'])[015](?=[a-z]{4})[a-z]+(?!\w)"
)
# A prefix parted from its word, at the end of a line or by a hyphen that does not belong there.
_PARTED = re.compile(r"(?<![\w'])(in|un)- ?edible\b")
_BEFORE_LETTER = re.compile(r"[015](?=[a-z])")
_READINGS = (("0", "o"), ("1", "l"), ("5", "s")), (("0", "o"), ("1", "i"), ("5", "s"))


@cache
def _vocabulary() -> frozenset[str]:
    return statement_lexicon().first | attribute_lexicon().first


def repaired(lower: str) -> str:
    """The text with known words restored; anything else is left as it stands.

    >>> repaired("boi1ed p0isonous b0b5")
    'boiled poisonous b0b5'
    """
    if "-edible" in lower or "- edible" in lower:
        lower = _PARTED.sub(_closed, lower)
    if "(in)edible" in lower:
        lower = lower.replace("(in)edible", " inedible ")
    if _BEFORE_LETTER.search(lower) is None:
        return lower
    return _MIXED.sub(_restored, lower)


def _closed(match: re.Match[str]) -> str:
    """ "in-edible" is inedible; the length stays."""
    return (match[1] + "edible").ljust(len(match[0]))


def _restored(match: re.Match[str]) -> str:
    for pairs in _READINGS:
        word = match.group()
        for digit, letter in pairs:
            word = word.replace(digit, letter)
        if word in _vocabulary():
            return word
    return match.group()
