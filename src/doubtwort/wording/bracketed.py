"""Sources named in a bracket at the end of a sentence: their titles are no part of what it says."""

from __future__ import annotations

import re
from typing import Final

from doubtwort.model import Passage
from doubtwort.text import Folded

_LAST: Final = re.compile(r"\s?\([^()]{1,300}\)[.\s]*$")


def before_sources(passage: Passage, folded: Folded, start: int, end: int) -> int:
    """Where the sentence at [start, end) of the folded passage ends without "(Flora of Nowhere; letter 17)"."""
    bracket = _LAST.search(folded.lower, start, end)
    if bracket is None:
        return end
    low, high = folded.original(bracket.start(), bracket.end())
    return bracket.start() if any(low <= mark.start < high for mark in passage.marks) else end
