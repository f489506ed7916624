"""What the second reader makes of one sentence: for every wording the chance that it is stated, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from doubtwort.model import About, Certainty, Wording
from doubtwort.wording.second.encoder import LONGEST, encoder
from doubtwort.wording.second.pieces import PLANT, cut

Span = tuple[int, int]

# The order of the network's outputs: each wording said of the plant asked about, each said of any other, then doubt.
WORDINGS: Final = (Wording.EDIBLE, Wording.NON_TOXIC, Wording.UNPALATABLE, Wording.INEDIBLE, Wording.TOXIC)
_MOST_TOLD: Final = 3
_NEAR: Final = 2.0  # in log odds
DOUBTS: Final = (Certainty.HEDGED, Certainty.HEARSAY)
_AFTER_SUBJECT: Final = " : "
# Scores of all pieces are joined as log(sum(exp(score)) / 4): one high score suffices, many low ones do not.
LOG_SHARE: Final = float(np.log(4.0))


@dataclass(frozen=True, slots=True)
class Opinion:
    """``lead`` and ``text`` are what was read. ``of_plant`` and ``of_other``: chance, 0 to 1, that people are told so
    of the plant asked about, or of another; ``doubts``: that it is told with doubt or from hearsay; ``seats``: the word
    where each wording shows most; ``told``: that word and up to two more that score nearly as high."""

    lead: str
    text: str
    of_plant: dict[Wording, float]
    of_other: dict[Wording, float]
    doubts: dict[Certainty, float]
    seats: dict[Wording, Span]
    told: dict[Wording, tuple[str, ...]]

    def chance(self, wording: Wording) -> float:
        """That the sentence states the wording, of whichever plant."""
        return max(self.of_plant[wording], self.of_other[wording])


def opinion_of(lower: str, start: int, end: int, names: Sequence[Span], subject: str) -> Opinion:
    """The opinion on ``lower[start:end]``; ``names`` are spans of the plant asked about, ``subject`` what the text is
    about so far (``PLANT``, another name, or "").

    >>> found = opinion_of("the ripe berries make a good jam.", 0, 33, [], PLANT)
    >>> found.of_plant[Wording.EDIBLE] > 0.9 > 0.1 > found.of_plant[Wording.TOXIC]
    True
    """
    text, moves = _with_plant(lower, start, end, names)
    read = _read(lead_of(subject), text)
    seats = {each: _moved(span, moves) for each, span in read.seats.items()}
    return replace(read, seats=seats)


def subject_words(about: About, name: str) -> str:
    """The subject so far in the words that the network was taught: PLANT, another's name, or nothing."""
    return PLANT if about is About.TAXON else "" if about is About.UNCLEAR else name.lower()


def lead_of(subject: str) -> str:
    """What stands before a sentence to tell its subject.

    >>> lead_of(PLANT), lead_of("")
    ('[plant] : ', '')
    """
    return f"{subject}{_AFTER_SUBJECT}" if subject else ""


@lru_cache(maxsize=8192)
def _read(lead: str, text: str) -> Opinion:
    cuts = cut(lead + text, LONGEST)
    scores = encoder().scores(cuts.numbers)
    joined = np.logaddexp.reduce(scores, axis=0) - LOG_SHARE
    chances = [float(each) for each in 1.0 / (1.0 + np.exp(-joined))]
    count = len(WORDINGS)
    # Pieces of the lead are no place where the sentence says something.
    own = [at for at, span in enumerate(cuts.spans) if span[0] >= len(lead) and 0 < at < len(cuts.spans) - 1]
    seats, told = {}, {}
    for number, wording in enumerate(WORDINGS):
        highest = np.maximum(scores[:, number], scores[:, number + count])
        ranked = sorted(own, key=lambda at: -highest[at])
        low, high = cuts.spans[ranked[0]] if ranked else (0, 0)
        seats[wording] = (max(low - len(lead), 0), max(high - len(lead), 0))
        near = [at for at in ranked if highest[at] >= highest[ranked[0]] - _NEAR]
        words = dict.fromkeys((lead + text)[slice(*cuts.spans[at])] for at in near)
        told[wording] = tuple(word for word in words if word.isalpha())[:_MOST_TOLD]
    return Opinion(
        lead,
        text,
        dict(zip(WORDINGS, chances[:count], strict=True)),
        dict(zip(WORDINGS, chances[count : 2 * count], strict=True)),
        dict(zip(DOUBTS, chances[2 * count :], strict=True)),
        seats,
        told,
    )


def _with_plant(lower: str, start: int, end: int, names: Sequence[Span]) -> tuple[str, list[tuple[int, int]]]:
    """The text with PLANT for each name, and (offset in it, offset in ``lower``) of each stretch that is unchanged."""
    pieces: list[str] = []
    moves = [(0, start)]
    at, length = start, 0
    for low, high in sorted(names):
        if low < at or high > end or high <= low:
            continue
        pieces += [lower[at:low], PLANT]
        length += low - at + len(PLANT)
        moves.append((length, high))
        at = high
    pieces.append(lower[at:end])
    return "".join(pieces), moves


def _moved(span: Span, moves: list[tuple[int, int]]) -> Span:
    """The span in the whole text; a PLANT gives the span before it, empty."""
    low, high = span
    offset, origin = next(move for move in reversed(moves) if move[0] <= low or move is moves[0])
    return origin + low - offset, origin + max(high - offset, low - offset)
