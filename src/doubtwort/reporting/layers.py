"""Layered layout: boxes in levels from top to bottom, lines that pass levels through places of their own.

Levels come from the ranks given; within a level the order is chosen by barycentres (K. Sugiyama, S. Tagawa, M. Toda,
1981), and across positions are the least-squares ones that keep boxes apart (pool adjacent violators).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import fmean

_SWEEPS = 12
_PASSING = 14.0  # room for a line that passes a level


@dataclass(frozen=True, slots=True)
class Cell:
    """Something that takes room in a level: a box or a label."""

    key: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Link:
    """A line from one box down to another; ``label`` is the key of the label that it passes, "" for none."""

    origin: str
    target: str
    label: str = ""


@dataclass(slots=True)
class Layout:
    """``levels`` of keys from left to right; ``across`` the middle of each; ``routes`` the keys that each link passes,
    its ends included. A key that is no cell is a line passing by."""

    levels: list[list[str]] = field(default_factory=list)
    across: dict[str, float] = field(default_factory=dict)
    routes: list[tuple[str, ...]] = field(default_factory=list)


def lay_out(cells: Mapping[str, Cell], ranks: Mapping[str, int], links: Sequence[Link], gap: float) -> Layout:
    """Boxes of rank r stand in level 2r, the labels of lines that lead to them in level 2r - 1.

    >>> cells = {key: Cell(key, 10, 10) for key in "abc"}
    >>> lay_out(cells, {"a": 0, "b": 1, "c": 1}, [Link("a", "b"), Link("a", "c")], 2).levels
    [['a'], ['b|1', 'c|1'], ['b', 'c']]
    """
    made = Layout(levels=[[] for _ in range(2 * max(ranks.values(), default=0) + 1)])
    for key, rank in ranks.items():
        made.levels[2 * rank].append(key)
    joints: dict[tuple[str, str], None] = {}
    placed = set(ranks)
    for link in links:
        first, last = 2 * ranks[link.origin], 2 * ranks[link.target]
        route = [link.origin]
        for level in range(first + 1, last):
            key = link.label if link.label and level == last - 1 else f"{link.label or link.target}|{level}"
            if key not in placed:
                placed.add(key)
                made.levels[level].append(key)
            route.append(key)
        made.routes.append((*route, link.target))
        joints.update(dict.fromkeys(pairwise(made.routes[-1])))
    above, below = _neighbours(joints)
    _order(made.levels, above, below)
    widths = {key: cells[key].width if key in cells else _PASSING for key in placed}
    _place(made, above, below, widths, gap)
    return made


def _neighbours(joints: Iterable[tuple[str, str]]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    above: dict[str, list[str]] = defaultdict(list)
    below: dict[str, list[str]] = defaultdict(list)
    for upper, lower in joints:
        below[upper].append(lower)
        above[lower].append(upper)
    return above, below


def _order(levels: list[list[str]], above: Mapping[str, list[str]], below: Mapping[str, list[str]]) -> None:
    """Sweeps down and up, each level sorted by the mean place of its neighbours; the order with the fewest crossings
    is kept."""
    best, fewest = [list(level) for level in levels], _crossings(levels, below)
    for sweep in range(_SWEEPS):
        if not fewest:
            break
        downwards = sweep % 2 == 0
        towards = above if downwards else below
        numbers = range(1, len(levels)) if downwards else range(len(levels) - 2, -1, -1)
        for number in numbers:
            beside = levels[number - 1 if downwards else number + 1]
            levels[number].sort(key=_barycentres(levels[number], beside, towards).__getitem__)
        if (count := _crossings(levels, below)) < fewest:
            best, fewest = [list(level) for level in levels], count
    levels[:] = best


def _barycentres(level: Sequence[str], beside: Sequence[str], towards: Mapping[str, list[str]]) -> dict[str, float]:
    """The mean place of each key's neighbours in the level beside; its own place where it has none."""
    places = {key: place for place, key in enumerate(beside)}
    return {
        key: fmean([places[each] for each in towards[key]]) if towards.get(key) else place
        for place, key in enumerate(level)
    }


def _crossings(levels: Sequence[Sequence[str]], below: Mapping[str, list[str]]) -> int:
    count = 0
    for upper, lower in pairwise(levels):
        places = {key: place for place, key in enumerate(lower)}
        ends: list[int] = []
        for key in upper:
            found = sorted(places[each] for each in below.get(key, ()) if each in places)
            count += sum(1 for end in ends for place in found if place < end)
            ends += found
    return count


def _place(
    made: Layout,
    above: Mapping[str, list[str]],
    below: Mapping[str, list[str]],
    widths: Mapping[str, float],
    gap: float,
) -> None:
    across = made.across
    for level in made.levels:
        across.update(_apart(level, dict.fromkeys(level, 0.0), widths, gap))
    for sweep in range(_SWEEPS):
        for level in made.levels if sweep % 2 == 0 else reversed(made.levels):
            wanted = {}
            for key in level:
                beside = [*above.get(key, ()), *below.get(key, ())] if sweep >= _SWEEPS - 4 else (
                    above.get(key) if sweep % 2 == 0 else below.get(key)
                ) or []  # fmt: skip
                wanted[key] = fmean([across[each] for each in beside]) if beside else across[key]
            across.update(_apart(level, wanted, widths, gap))
    left = min((across[key] - widths[key] / 2 for key in across), default=0.0)
    for key in across:
        across[key] -= left


def _apart(
    level: Sequence[str], wanted: Mapping[str, float], widths: Mapping[str, float], gap: float
) -> dict[str, float]:
    """The places nearest to those wanted (least squares) at which neighbours keep their distance."""
    offsets: list[float] = []
    at = 0.0
    for number, key in enumerate(level):
        if number:
            at += (widths[level[number - 1]] + widths[key]) / 2 + gap
        offsets.append(at)
    pools: list[tuple[float, int]] = []  # mean, count
    for key, offset in zip(level, offsets, strict=True):
        mean, count = wanted[key] - offset, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    means = [mean for mean, count in pools for _ in range(count)]
    return {key: mean + offset for key, mean, offset in zip(level, means, offsets, strict=True)}
