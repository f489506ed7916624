"""Misspelt common names of one taxon in running text."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from typing import Final

from doubtwort.taxa.lexicon import key, plural
from doubtwort.taxa.spelling import Nearness, near_common

_LEAST: Final = 6
_MOST_NAMES: Final = 40


class Misspelt:
    """A word is looked at when it begins with the name's first two letters or ends with its last three.

    >>> lower = "the bearbery is small"
    >>> [lower[a:b] for a, b in Misspelt(["bearberry"], frozenset()).spans(lower)]
    ['bearbery']
    """

    def __init__(self, names: Iterable[str], known: frozenset[str]) -> None:
        self._names = [each for each in dict.fromkeys(names) if len(key(each)) >= _LEAST][:_MOST_NAMES]
        self._known = known
        self._exact = {form for name in self._names for form in (name, plural(name))}
        parts = dict.fromkeys(part for name in self._names for part in _patterns(name))
        self._pattern = re.compile(rf"(?<![\w'-])(?:{'|'.join(parts)})(?![\w])") if parts else None

    def may_occur(self, lower: str) -> bool:
        """Does anything in the text resemble a name from afar?"""
        return self._pattern is not None and self._pattern.search(lower) is not None

    def spans(self, lower: str, named: Collection[str] = ()) -> Iterator[tuple[int, int]]:
        """Spans of misspelt names. ``named`` are keys of names printed in full on the page."""
        if self._pattern is None:
            return
        for match in self._pattern.finditer(lower):
            printed = match[0]
            if printed in self._exact or key(printed) in self._known:
                continue
            if any(self._same(printed, name, named) for name in self._names):
                yield match.span()

    @staticmethod
    def _same(printed: str, name: str, named: Collection[str]) -> bool:
        taken = {name, plural(name)} if key(name) in named else ()
        return any(
            near_common(printed, form, named=taken) in {Nearness.SLIP, Nearness.EDIT} for form in (name, plural(name))
        )


def _patterns(name: str) -> Iterator[str]:
    """One pattern for each word of the name that may be misspelt, the other words as they are."""
    words = re.split(r"[\s-]+", name)
    for at, word in enumerate(words):
        if len(word) < 5 or not word.isalpha():
            continue
        low, high = max(1, len(word) - 4), len(word) + 2
        loose = rf"(?:{re.escape(word[:2])}\w{{{low},{high}}}|\w{{{low},{high}}}{re.escape(word[-3:])}(?:s|es)?)"
        yield "[ -]".join(loose if index == at else re.escape(each) for index, each in enumerate(words))
