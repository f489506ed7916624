"""A sentence that takes back the praise before it: "It is listed as a vegetable. This rests on a confusion.\""""

from __future__ import annotations

from typing import Final

from doubtwort.wording.cues import spot, tokenize
from doubtwort.wording.drafts import PRAISE, Draft
from doubtwort.wording.rules import retraction_lexicon

_BEFORE: Final = frozenset({"but", "yet", "however", "alas", "sadly", ",", '"', "'", "-", "(", "now"})
_REACH: Final = 160


def takes_back(lower: str, start: int, end: int) -> bool:
    """Does the sentence at [start, end) of a folded text begin by taking back what was said?

    >>> takes_back("this rests on a confusion.", 0, 26), takes_back("this is a herb.", 0, 15)
    (True, False)
    """
    end = min(end, start + _REACH)
    tokens = tokenize(lower, start, end)
    cues = spot(retraction_lexicon(), lower, end, tokens, [])
    return bool(cues) and all(word in _BEFORE for word in tokens.words[: cues[0].first])


def silence_retracted(drafts: list[Draft], lower: str, following: tuple[int, int] | None) -> None:
    """Praise that the ``following`` sentence takes back is not stated. A warning is."""
    praised = [draft for draft in drafts if draft.wording in PRAISE]
    if praised and following is not None and takes_back(lower, *following):
        for draft in praised:
            draft.silence("taken back in the next sentence")
