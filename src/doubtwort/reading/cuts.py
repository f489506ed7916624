"""What goes out of a text together with its citation marks: brackets and commas between them, and editors' remarks.

"eaten ([1], [2])." leaves "eaten." behind, not "eaten (,).", and "eaten[1]:12" leaves "eaten".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

Cut = tuple[int, int]

_BETWEEN = re.compile(r"[\s,;–—-]*(?:(?:and|&|und|et)\s+)?")
# What is left of a bracket that held nothing but marks.
_LEFT_OVER = r"\s*(?:(?:see(?: also)?|cf\.?|refs?\.?|references?|notes?|nos?\.?|e\.g\.,?|in|from|after)\s*:?\s*)?"
_OPENS = re.compile(rf"([(\[{{<]){_LEFT_OVER}$", re.IGNORECASE)
_CLOSES = {"(": ")", "[": "]", "{": "}", "<": ">"}
_LONGEST_OPENING = 24
# The page within a work that is cited several times stands raised or plain behind the mark: "[1]: 12–14".
_PAGES = re.compile(
    r"\s*:\s*(?:pp?\.\s*)?\d{1,4}(?:\s*[-–]\s*\d{1,4})?(?:\s*,\s*\d{1,4}(?:\s*[-–]\s*\d{1,4})?)*"
    r"(?=\s*(?:$|[.,;)\[\]“A-ZÀ-Ž]))"
)
# Editors' remarks on what stands before them, as encyclopedias set them; no part of the sentence, and no citation.
_REMARK = re.compile(
    r"\s*\[\s*(?:(?:full |page |better source |additional )?(?:citations?|sources?|references?)(?: \(?s\)?)? ?needed"
    r"|page needed|clarification needed|verification needed|failed verification|not in citation given|need quotation"
    r"(?: to verify)?|when\?|who\?|which\?|where\?|by whom\?|according to whom\?|dubious(?: ?[–-] ?discuss)?|disputed"
    r"(?: ?[–-] ?discuss)?|original research\??|(?:un|self-published |medical )?reliable source\??|unreliable source\??"
    r"|self-published source\??|dead link|permanent dead link)\s*\]",
    re.IGNORECASE,
)


def remarks(text: str) -> Iterator[Cut]:
    """Where editors' remarks stand.

    >>> [*remarks("It is edible.[citation needed] Raw.")]
    [(13, 30)]
    """
    if "[" in text:
        for match in _REMARK.finditer(text):
            yield match.start() + len(match.group()) - len(match.group().lstrip()), match.end()


def widened(text: str, cuts: Iterable[Cut]) -> list[Cut]:
    """Cuts with the commas between them, the brackets around them and page numbers behind them.

    >>> widened("eaten ([1], [2]).", [(7, 10), (12, 15)])
    [(6, 16)]
    """
    joined: list[list[int]] = []
    for start, end in sorted(cuts):
        if joined and _BETWEEN.fullmatch(text[joined[-1][1] : start]):
            joined[-1][1] = max(end, joined[-1][1])
        else:
            joined.append([start, end])
    found = []
    for start, end in joined:
        if pages := _PAGES.match(text, end):
            end = pages.end()
        opening = _OPENS.search(text[max(0, start - _LONGEST_OPENING) : start])
        closing = re.compile(r"\s*").match(text, end)
        after = closing.end() if closing else end
        if opening and text[after : after + 1] == _CLOSES[opening[1]]:
            start, end = max(0, start - _LONGEST_OPENING) + opening.start(), after + 1
        found.append((start, end))
    return found
