"""Near-copies of statements and of whole pages: shared runs of five words find the candidates, a ratio confirms."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from rapidfuzz import fuzz

from doubtwort.text import fold

SHINGLE: Final = 5
# A statement with fewer words is common coin: two people write "The leaves are edible raw or cooked." unprompted.
FEWEST_WORDS: Final = 8
# rapidfuzz.fuzz.ratio of the two lists of words, sorted, 0 to 100: clauses may have changed places. In the labelled
# table of tests/support/test_copies.py the least alike copy has 88, the most alike pair written independently 75.
COPY_RATIO: Final = 82.0
# Share of all runs of five words that two pages have in common (Jaccard), when one is a copy of the other.
PAGE_SHARE: Final = 0.6
# A page with fewer runs than this is too short to be called a copy.
FEWEST_RUNS: Final = 20
# What is compared of one page. A copy is recognised by far less.
MOST_WORDS: Final = 20_000

_WORD = re.compile(r"[^\W_]+(?:['-][^\W_]+)*")


def words(text: str, most: int = MOST_WORDS) -> list[str]:
    """Lower-case words without punctuation and reference marks.

    >>> words("Its “leaves”[3] are well-known.")
    ['its', 'leaves', 'are', 'well-known']
    """
    found = []
    for match in _WORD.finditer(fold(text).lower):
        if not match.group().isdigit():
            found.append(match.group())
            if len(found) >= most:
                break
    return found


def runs(of: Sequence[str]) -> set[tuple[str, ...]]:
    """All runs of five words."""
    return {tuple(of[at : at + SHINGLE]) for at in range(len(of) - SHINGLE + 1)}


def is_copy(one: str, other: str) -> bool:
    """Whether one statement is a near-copy of the other.

    >>> is_copy("Young leaves of the mock nettle are boiled and eaten like spinach in spring.",
    ...         "Young leaves of mock nettle are boiled and eaten like spinach in the spring.")
    True
    """
    first, second = words(one), words(other)
    return not runs(first).isdisjoint(runs(second)) and _alike(first, second)


def _alike(one: list[str], other: list[str]) -> bool:
    if min(len(one), len(other)) < FEWEST_WORDS:
        return False
    return fuzz.ratio(sorted(one), sorted(other), score_cutoff=COPY_RATIO) >= COPY_RATIO


def copied_pairs(groups: Sequence[Iterable[str]]) -> Iterator[tuple[int, int]]:
    """Pairs of groups of statements, by position, of which one holds a near-copy of a statement of the other.

    Only statements that share a run of five words are compared, so the cost grows with what is shared, not with the
    square of what there is.
    """
    texts: list[tuple[int, list[str]]] = []
    for number, group in enumerate(groups):
        texts += [(number, found) for text in dict.fromkeys(group) if len(found := words(text)) >= FEWEST_WORDS]
    by_run: dict[tuple[str, ...], list[int]] = defaultdict(list)
    told: set[tuple[int, int]] = set()
    for at, (number, found) in enumerate(texts):
        compared: set[int] = set()
        for run in runs(found):
            for before in by_run[run]:
                owner = texts[before][0]
                pair = (owner, number)
                if owner == number or pair in told or before in compared:
                    continue
                compared.add(before)
                if _alike(texts[before][1], found):
                    told.add(pair)
                    yield pair
            by_run[run].append(at)


def is_copied_page(one: str, other: str) -> bool:
    """Whether two pages carry the same text: most runs of five words of either stand in the other as well.

    A page that merely quotes a paragraph of a longer one is no copy of it.
    """
    first, second = runs(words(one)), runs(words(other))
    if min(len(first), len(second)) < FEWEST_RUNS:
        return False
    return len(first & second) / len(first | second) >= PAGE_SHARE
