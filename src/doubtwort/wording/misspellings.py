"""Words that carry a statement, with one letter wrong: typing slips, and letters that scanning confuses."""

from __future__ import annotations

from functools import cache
from typing import Final

_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"
# Words that are right as they stand, one letter away from a word of the tables.
_RIGHT: Final = frozenset({"armless", "charmless", "tonic", "topic", "toxin", "ionic", "prisonous"})


@cache
def misspellings(word: str) -> frozenset[str]:
    """Every form of a word with one letter changed, left out, added, doubled or swapped with its neighbour.

    The first letter stands, for a letter before or in place of it may deny the word ("nedible" of "inedible").

    >>> {"poisonus", "poifonous", "posionous", "poisonnous"} <= misspellings("poisonous")
    True
    """
    found: set[str] = set()
    for at in range(1, len(word)):
        head, tail = word[:at], word[at:]
        found.add(head + tail[1:])
        if len(tail) > 1:
            found.add(head + tail[1] + tail[0] + tail[2:])
        for letter in _LETTERS:
            found |= {head + letter + tail[1:], head + letter + tail}
    return frozenset(found - {word} - _RIGHT)
