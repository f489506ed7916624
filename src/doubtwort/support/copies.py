"""Near-copies of statements and of whole pages: shared runs of five words find the candidates, a ratio confirms."""

from __future__ import annotations

import re
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import nsmallest
from typing import Final

from rapidfuzz import fuzz

from doubtwort.text import fold

SHINGLE: Final = 5
# A statement with fewer words is common coin: two people write "The leaves are edible raw or cooked." unprompted.
FEWEST_WORDS: Final = 8
# rapidfuzz.fuzz.ratio of the two lists of words, sorted, 0 to 100: clauses may have changed places. In the labelled
# table of tests/support/test_copies.py the least alike copy has 88, the most alike pair written independently 75.
COPY_RATIO: Final = 82.0
# Share of all runs of five words that two pages have in common (Jaccard), when one is a copy of the other. In the
# labelled table of tests/support/test_copied_pages.py the least alike copy has 0.82, the most alike other page 0.48.
PAGE_SHARE: Final = 0.6
# A page with fewer runs than this is too short to be called a copy.
FEWEST_RUNS: Final = 20
# What is compared of one page. A copy is recognised by far less.
MOST_WORDS: Final = 20_000
# Hashes kept of one page.
SKETCH: Final = 400
# Statements that one is compared with, those that share most with it first; a copy shares nearly all of its runs.
MOST_COMPARED: Final = 64
# Copies of each other that are kept for comparing, and statements that a run of words leads to: a run that more have is
# common coin, and a copy shares rarer ones as well.
MOST_OF_CLUSTER: Final = 8
MOST_OF_RUN: Final = 64

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
    """Pairs of groups of statements, by position, of which one holds a near-copy of a statement of the other: as many
    pairs as it takes to connect all that belong together.

    A statement is compared with those before it that share most runs of five words with it, and of those that are
    copies of each other with a few only: a thousand copies of one cost a thousand comparisons, not half a million.
    """
    told: set[tuple[int, int]] = set()
    exact: dict[tuple[str, ...], int] = {}  # the words of a statement → the group that had them first
    kept: list[tuple[int, list[str]]] = []
    of_cluster: list[int] = []  # for each kept statement the number of its cluster
    members: list[int] = []  # for each cluster how many of it are kept
    by_run: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for number, group in enumerate(groups):
        for text in dict.fromkeys(group):
            found = words(text)
            if len(found) < FEWEST_WORDS:
                continue
            first = exact.setdefault(tuple(found), number)
            if first != number:
                if (first, number) not in told:
                    told.add((first, number))
                    yield first, number
                continue
            own_runs = runs(found)
            shared = Counter(before for run in own_runs for before in by_run.get(run, ()))
            cluster = -1
            seen: set[int] = set()
            for before, _ in shared.most_common(MOST_COMPARED):
                owner, other = kept[before]
                if of_cluster[before] in seen or not _alike(other, found):
                    continue
                seen.add(of_cluster[before])
                cluster = of_cluster[before] if cluster < 0 else cluster
                if owner != number and (owner, number) not in told:
                    told.add((owner, number))
                    yield owner, number
            if cluster < 0:
                cluster = len(members)
                members.append(0)
            if members[cluster] < MOST_OF_CLUSTER:
                members[cluster] += 1
                kept.append((number, found))
                of_cluster.append(cluster)
                for run in own_runs:
                    if len(by_run[run]) < MOST_OF_RUN:
                        by_run[run].append(len(kept) - 1)


def copied_pages(sketches: Sequence[Sketch | None]) -> Iterator[tuple[int, int]]:
    """Pairs of pages, by position, that carry the same text: as many as connect all that belong together."""
    kept: list[int] = []
    by_run: dict[int, list[int]] = defaultdict(list)
    for number, sketch in enumerate(sketches):
        if sketch is None or sketch.count < FEWEST_RUNS:
            continue
        shared = Counter(before for run in sketch.lowest for before in by_run.get(run, ()))
        likely = [kept[before] for before, _ in shared.most_common(MOST_OF_CLUSTER)]
        same = next((each for each in likely if _same_page(sketch, sketches[each])), None)
        if same is not None:
            yield same, number
            continue
        kept.append(number)
        for run in sketch.lowest:
            if len(by_run[run]) < MOST_OF_RUN:
                by_run[run].append(len(kept) - 1)


@dataclass(frozen=True, slots=True)
class Sketch:
    """What is kept of a page to know it again: how many runs of five words it has, and the lowest hashes of them.

    The lowest hashes of two texts together are a fair sample of all their runs (bottom-k sketch, Broder 1997); of 400
    the share in common is found to within 0.05 in 19 of 20 cases.
    """

    count: int
    lowest: frozenset[int]


def sketch_of(text: str) -> Sketch:
    """The sketch of a page's text."""
    hashes = {zlib.crc32(" ".join(run).encode()) for run in runs(words(text))}
    return Sketch(len(hashes), frozenset(nsmallest(SKETCH, hashes)))


def _same_page(one: Sketch, other: Sketch | None) -> bool:
    if other is None:
        return False
    lowest = nsmallest(SKETCH, one.lowest | other.lowest)
    return sum(each in one.lowest and each in other.lowest for each in lowest) >= PAGE_SHARE * len(lowest)


def same_runs(first: set[tuple[str, ...]], second: set[tuple[str, ...]]) -> bool:
    """Whether two pages carry the same text: most runs of five words of either stand in the other as well. A page that
    merely quotes a paragraph of a longer one is no copy of it."""
    if min(len(first), len(second)) < FEWEST_RUNS:
        return False
    common = len(first & second)
    return common / (len(first) + len(second) - common) >= PAGE_SHARE
