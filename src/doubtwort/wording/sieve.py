"""Could a text state anything at all? Asked of every passage of a page, and answered from its words alone for most.

A sieve may let through what states nothing, and never the other way round.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from doubtwort.wording.fields import label_words, labels, qualifiers
from doubtwort.wording.misspellings import misspellings
from doubtwort.wording.openings import openings
from doubtwort.wording.patterns import needed_words, without_lookarounds
from doubtwort.wording.rules import Phrase, Role, full_pattern, macros, phrase, statement_rules

# Letters and digits of ASCII stay, all else parts words: the words of the tables are made of the former.
_PARTS = bytes(code if chr(code).isalnum() and code < 0x80 else ord(" ") for code in range(256))
_PIECE = re.compile(r"[a-z0-9]+")
_BEFORE_VALUE = re.compile(r"[:|=]|\s-\s")

_Words = frozenset[bytes]
# One pattern of the tables. Each match holds a word of every set, and begins with one of the words that stand last.
_Way = tuple[tuple[_Words, ...], Phrase, _Words]


def words_of(lower: str) -> list[bytes]:
    """The words of a lower-case text, cut at all but ASCII letters and digits.

    >>> words_of("it's non-toxic.")
    [b'it', b's', b'non', b'toxic']
    """
    return lower.encode("ascii", "replace").translate(_PARTS).split()


def could_say(lower: str, words: Iterable[bytes]) -> bool:
    """Could a row that states a wording match anywhere in the text? ``words`` are what ``words_of`` gives of it."""
    singles, ways, vocabulary = _ways()
    held = vocabulary.intersection(words)
    if not held.isdisjoint(singles):
        return True
    for word in held:
        for needed, pattern, firsts in ways.get(word, ()):
            for each in needed:
                if each.isdisjoint(held):
                    break
            else:
                if _matches(pattern, firsts & held, lower):
                    return True
    return False


def _matches(pattern: Phrase, firsts: _Words, lower: str) -> bool:
    """Does the pattern match where one of these words stands?"""
    for first in firsts:
        word = first.decode()
        at = lower.find(word)
        while at >= 0:
            if pattern.match(lower, at):
                return True
            at = lower.find(word, at + 1)
    return False


def could_be_field(lower: str, words: Iterable[bytes]) -> bool:
    """Could a label with its value stand in the text?"""
    return (
        not _label_words().isdisjoint(words)
        and _BEFORE_VALUE.search(lower) is not None
        and _labels().search(lower) is not None
    )


@cache
def _ways() -> tuple[_Words, dict[bytes, list[_Way]], _Words]:
    """Words that state a wording alone; every pattern, under each word of its most telling set; all words asked for."""
    singles: set[bytes] = set()
    ways: dict[bytes, list[_Way]] = {}
    vocabulary: set[bytes] = set()
    for rule in statement_rules():
        if rule.role is not Role.SAYS:
            continue
        singles |= {wrong.encode() for word in rule.misspelt for wrong in misspellings(word)}
        for pattern in rule.patterns:
            expanded = full_pattern(pattern, macros())
            telling, *further = (_pieces(words) for words in needed_words(expanded))
            firsts = frozenset(_PIECE.findall(word)[0].encode() for word in openings(expanded))
            vocabulary.update(telling, firsts, *further)
            looked_for = phrase(without_lookarounds(expanded))
            if looked_for is None:
                singles |= telling
                continue
            for word in telling:
                ways.setdefault(word, []).append((tuple(further), looked_for, firsts))
    return frozenset(singles), ways, frozenset(vocabulary | singles)


def _pieces(words: Iterable[str]) -> _Words:
    """The longest piece of each word that ``words_of`` leaves whole: "isn't" gives "isn"."""
    return frozenset(max(_PIECE.findall(word), key=len).encode() for word in words)


@cache
def _label_words() -> _Words:
    return _pieces(label_words())


@cache
def _labels() -> re.Pattern[str]:
    every = "|".join(re.escape(label) for label in sorted(labels(), key=len, reverse=True))
    beside = "|".join(map(re.escape, sorted(qualifiers())))
    return re.compile(rf"(?:{every})(?:\s\(?(?:{beside})\)?){{0,3}}\s*(?:[:|=]|-\s)")
