"""Where the phrases of the tables occur in one sentence: tokens, and cues over them."""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Lexicon, Role, Rule

WORDS = re.compile(r"[^\W_]+(?:'[^\W_]+)*")
_PASSED = frozenset("-\"'")
_BEFORE_INSTRUCTION = word_class("before-instruction")
_INSTRUCTIONS = word_class("instructions")
_BEGINNING = frozenset(".,;:!?)(")
_TOKEN = re.compile(r"[^\W_]+(?:'[^\W_]+)*|[^\w\s]")


@dataclass(slots=True)
class Tokens:
    """One sentence: its words in lower case (marks included), and their spans in the folded text."""

    words: list[str]
    starts: list[int]

    def end(self, index: int) -> int:
        """Offset behind the token."""
        return self.starts[index] + len(self.words[index])

    def at(self, offset: int) -> int:
        """Index of the first token that starts at ``offset`` or later."""
        return bisect_left(self.starts, offset)


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
    words: list[str] = _TOKEN.findall(lower, start, end)
    starts: list[int] = []
    find, add = lower.index, starts.append
    at = start
    for word in words:
        at = find(word, at)
        add(at)
        at += len(word)
    return Tokens(words, starts)


def spot(lexicon: Lexicon, lower: str, end: int, tokens: Tokens, names: list[tuple[int, int]]) -> list[Cue]:
    """Cues from left to right; at each token the longest match wins, and nothing inside it counts again.

    A weak row yields to a trap as long as itself. Where a new instruction can begin, a row of instructions wins over a
    longer row of another kind.

    ``names`` are spans of names in which no cue may begin: "poison" in a plant's name states nothing.
    """
    cues: list[Cue] = []
    words, starts = tokens.words, tokens.starts
    singles, phrases, firsts = lexicon.words, lexicon.phrases, lexicon.first
    free = name = 0
    for at in [at for at, word in enumerate(words) if word in firsts]:
        if at < free:
            continue
        word, start = words[at], starts[at]
        while name < len(names) and names[name][1] <= start:
            name += 1
        if name < len(names) and names[name][0] <= start:
            continue
        rule = singles.get(word)
        best = start + len(word) if rule is not None else -1
        if (listed := phrases.get(word)) is not None:
            for pattern, candidate in listed[1].get(_second(words, at), listed[0]):
                if candidate.initial and not begins_instruction(words, at):
                    continue
                match = pattern.match(lower, start, end)
                if match is None:
                    continue
                if candidate.initial:
                    best, rule = match.end(), candidate
                    break
                yields = match.end() == best and rule is not None and rule.weak and candidate.role is Role.TRAP
                if match.end() > best or yields:
                    best, rule = match.end(), candidate
        if rule is None or best < 0:
            continue
        free = bisect_left(starts, best, at)
        cues.append(Cue(rule, start, best, at, free))
    return cues


def runs_into_trap(lexicon: Lexicon, lower: str, end: int, tokens: Tokens, cue: Cue) -> bool:
    """Is the last word of a cue the first of a phrase that states nothing: "turned into butter moulds"?"""
    for at in range(cue.first + 1, cue.last):
        listed = lexicon.phrases.get(tokens.words[at])
        if listed is None:
            continue
        for pattern, rule in listed[1].get(_second(tokens.words, at), listed[0]):
            match = pattern.match(lower, tokens.starts[at], end) if rule.role is Role.TRAP else None
            if match is not None and match.end() > cue.end:
                return True
    return False


def begins_instruction(words: list[str], at: int) -> bool:
    """Can an instruction begin at this token: at the start, or after a mark or a word such as "always"?"""
    if at and words[at - 1] in ("and", "or", "so"):
        begin = max((mark for mark in range(at) if words[mark] in _BEGINNING), default=-1) + 1
        return words[begin] in _INSTRUCTIONS  # "peel and eat the stems", not "bears dig up and eat the tubers"
    return at == 0 or words[at - 1] in _BEFORE_INSTRUCTION


def _second(words: list[str], at: int) -> str:
    """The word after a token, over a hyphen or a quotation mark."""
    for word in words[at + 1 : at + 4]:
        if word not in _PASSED:
            return word
    return ""
