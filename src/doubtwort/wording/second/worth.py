"""Which sentences the second reader is asked about: one sum over the words, so that most of a page costs it nothing."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import Final

_BAR: Final = "[bar]"


@cache
def _weights() -> tuple[dict[bytes, float], float]:
    """The weight of each word towards "something is said of eating here", and the sum from which on it is asked."""
    lines = files("doubtwort.wording.second").joinpath("words.txt").read_text("utf-8").splitlines()
    weights = {word: float(weight) for word, weight in (line.split() for line in lines)}
    bar = weights.pop(_BAR)
    return {word.encode(): weight for word, weight in weights.items()}, bar


def worth_asking(words: Iterable[bytes]) -> bool:
    """Could a sentence of these words (as ``sieve.words_of`` gives them) say something of eating?

    >>> worth_asking([b"the", b"pounded", b"roots", b"made", b"a", b"coarse", b"bread"])
    True
    >>> worth_asking([b"leaves", b"alternate", b"with", b"toothed", b"margins"])
    False
    """
    weights, bar = _weights()
    return sum(weights.get(word, 0.0) for word in set(words)) > bar
