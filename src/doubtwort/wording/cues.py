"""Where the phrases of the tables occur in one sentence: tokens, and cues over them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from doubtwort.wording.rules import Lexicon, Rule

WORDS = re.compile(r"[^\W_]+(?:'[^\W_]+)*")
_TOKEN = re.compile(r"[^\W_]+(?:'[^\W_]+)*|[^\w\s]")


@dataclass(slots=True)
class Tokens:
    """One sentence: its words in lower case (marks included), and their spans in the folded text."""

    words: list[str]
    starts: list[int]
    ends: list[int]

    def at(self, offset: int) -> int:
        """Index of the first token that starts at ``offset`` or later."""
        starts = self.starts
        low, high = 0, len(starts)
        while low < high:
            middle = (low + high) // 2
            if starts[middle] < offset:
                low = middle + 1
            else:
                high = middle
        return low


@dataclass(slots=True)
class Cue:
    """One match of a rule: its span in the folded text, and the tokens [first, last) that it covers."""

    rule: Rule
    start: int
    end: int
    first: int
    last: int


def tokenize(lower: str, start: int, end: int) -> Tokens:
    """Words and marks of ``lower[start:end]``; hyphens stand alone, apostrophes within words do not.

    >>> tokenize("it's non-toxic.", 0, 15).words
    ["it's", 'non', '-', 'toxic', '.']
    """
    words: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    for match in _TOKEN.finditer(lower, start, end):
        words.append(match.group())
        starts.append(match.start())
        ends.append(match.end())
    return Tokens(words, starts, ends)


def spot(lexicon: Lexicon, lower: str, end: int, tokens: Tokens, names: list[tuple[int, int]]) -> list[Cue]:
    """Cues from left to right; at each token the longest match wins, and nothing inside it counts again.

    ``names`` are spans of names in which no cue may begin: "poison" in a plant's name states nothing.
    """
    cues: list[Cue] = []
    words, starts, ends = tokens.words, tokens.starts, tokens.ends
    singles, phrases = lexicon.words, lexicon.phrases
    at, count, name = 0, len(words), 0
    while at < count:
        word = words[at]
        rule = singles.get(word)
        entries = phrases.get(word)
        if rule is None and entries is None:
            at += 1
            continue
        start = starts[at]
        while name < len(names) and names[name][1] <= start:
            name += 1
        if name < len(names) and names[name][0] <= start:
            at += 1
            continue
        best = ends[at] if rule is not None else -1
        if entries is not None:
            for pattern, candidate in entries:
                match = pattern.match(lower, start, end)
                if match is not None and match.end() > best:
                    best, rule = match.end(), candidate
        if rule is None or best < 0:
            at += 1
            continue
        first = at
        while at < count and starts[at] < best:
            at += 1
        cues.append(Cue(rule, start, best, first, at))
    return cues
