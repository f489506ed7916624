"""Which words of a quote its reading hangs on: those that the named rules match."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from functools import lru_cache

from doubtwort.text import fold
from doubtwort.wording.cues import spot, tokenize
from doubtwort.wording.rules import Lexicon, attribute_lexicon, statement_lexicon

PLAIN, WORDING, CONDITION = "", "wording", "condition"


def marked(quote: str, rules: Collection[str], values: Collection[str] = ()) -> tuple[tuple[str, str], ...]:
    """The quote in pieces, each with its mark: "wording" for what the rules matched, "condition" for the words that
    name a part, preparation or stage, "" for the rest. The pieces together are the quote.

    >>> marked("Its root is poisonous.", ("toxic-adjective",), ("root",))
    (('Its ', ''), ('root', 'condition'), (' is ', ''), ('poisonous', 'wording'), ('.', ''))
    """
    return _marked(quote, frozenset(rules), frozenset(values))


@lru_cache(maxsize=2_000)
def _marked(quote: str, rules: frozenset[str], values: frozenset[str]) -> tuple[tuple[str, str], ...]:
    folded = fold(quote)
    spans = [(start, end, WORDING) for start, end in _found(statement_lexicon(), folded.lower, rules, frozenset())]
    if values:
        spans += [(start, end, CONDITION) for start, end in _found(attribute_lexicon(), folded.lower, rules, values)]
    pieces: list[tuple[str, str]] = []
    done = 0
    for start, end, kind in sorted(spans, key=lambda span: (span[0], span[2] != WORDING)):
        first, last = folded.original(start, end)
        if first < done or last <= first:
            continue
        if first > done:
            pieces.append((quote[done:first], PLAIN))
        pieces.append((quote[first:last], kind))
        done = last
    if done < len(quote) or not pieces:
        pieces.append((quote[done:], PLAIN))
    return tuple(pieces)


def _found(lexicon: Lexicon, lower: str, rules: frozenset[str], values: frozenset[str]) -> Iterator[tuple[int, int]]:
    tokens = tokenize(lower, 0, len(lower))
    for cue in spot(lexicon, lower, len(lower), tokens, []):
        if cue.rule.id in rules or cue.rule.value in values:
            yield cue.start, cue.end
