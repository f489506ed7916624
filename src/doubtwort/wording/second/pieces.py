"""A sentence cut into word pieces, as the network knows them: whole words where it has them, else their longest parts.

WordPiece, longest match first: Wu et al. 2016, "Google's neural machine translation system", section 4.1.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

PLANT: Final = "[plant]"
BEGIN: Final = "[begin]"
END: Final = "[end]"
UNKNOWN: Final = "[unknown]"
SPECIAL: Final = (PLANT, BEGIN, END, UNKNOWN)
_WORD: Final = re.compile(r"\[plant\]|[^\W_]+|[^\w\s]|_")
_INNER: Final = "##"
_LONGEST_WORD: Final = 60


@dataclass(frozen=True, slots=True)
class Pieces:
    """The numbers of the pieces, with BEGIN and END, and where in the text each one's word starts and ends."""

    numbers: tuple[int, ...]
    spans: tuple[tuple[int, int], ...]


@cache
def numbers() -> dict[str, int]:
    """Every piece the network knows, with its number."""
    text = files("doubtwort.wording.second").joinpath("pieces.txt").read_text("utf-8")
    return {piece: number for number, piece in enumerate(text.split("\n"))}


def cut(lower: str, most: int) -> Pieces:
    """The pieces of a lower-case text, ``most`` at most; ``PLANT`` stands for the name of the plant asked about.

    >>> known = {number: piece for piece, number in numbers().items()}
    >>> [known[number] for number in cut("[plant] is inedible.", 20).numbers]
    ['[begin]', '[plant]', 'is', 'in', '##ed', '##ible', '.', '[end]']
    """
    known = numbers()
    found, spans = [known[BEGIN]], [(0, 0)]
    for match in _WORD.finditer(lower):
        own = _pieces_of(_plain(match.group()))
        found += own
        spans += [match.span()] * len(own)
        if len(found) >= most - 1:
            break
    del found[most - 1 :], spans[most - 1 :]
    end = spans[-1][1]
    return Pieces((*found, known[END]), (*spans, (end, end)))


def _plain(word: str) -> str:
    """Without accents."""
    if word.isascii():
        return word
    return "".join(each for each in unicodedata.normalize("NFD", word) if unicodedata.category(each) != "Mn")


def _pieces_of(word: str) -> list[int]:
    known = numbers()
    if word in known:
        return [known[word]]
    if len(word) > _LONGEST_WORD:
        return [known[UNKNOWN]]
    found: list[int] = []
    start = 0
    while start < len(word):
        lead = _INNER if start else ""
        end = next((end for end in range(len(word), start, -1) if lead + word[start:end] in known), 0)
        if not end:
            return [known[UNKNOWN]]
        found.append(known[lead + word[start:end]])
        start = end
    return found
