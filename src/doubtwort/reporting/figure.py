"""What the trail picture shows: boxes, lines, roots. Much of it is folded where there are many sources."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import networkx as nx

from doubtwort.reporting.boxes import CLAIM, Box, circle_box, claim_box, fold_box, is_alarming, source_box
from doubtwort.reporting.view import AuditView, Edge, SourceView

# Sources further from the claim than this stand in the last row.
DEEPEST = 7
MOST_IN_CIRCLE = 8
SEVERAL = "several"
_MOST_ROOTS_NAMED = 8
# Groups of outcomes, those that matter most first: what is told by one shape, and folded together.
GROUPS = {
    "against": ("contradicts", "mixed"),
    "bears": ("supports",),
    "narrower": ("narrower",),
    "less": ("weaker", "elsewhere", "overstates"),
    "circular": ("circular",),
    "nothing": ("other-taxon", "silent", "absent"),
    "unread": ("unread",),
}
GROUP_OF = {outcome: group for group, outcomes in GROUPS.items() for outcome in outcomes}
_RANK_OF = {group: number for number, group in enumerate(GROUPS)}


@dataclass(frozen=True, slots=True)
class Line:
    """A line from one box down to another. ``shift`` decides its shape (``SEVERAL``: steps that differ), ``label`` is
    what is written on it."""

    origin: str
    target: str
    shift: str
    label: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """``ranks`` by box key; ``back`` are boxes that lead back to the claim; ``roots`` are keys of boxes that share a
    root, one tuple a root; ``notes`` stand below the picture."""

    boxes: Mapping[str, Box]
    ranks: Mapping[str, int]
    lines: tuple[Line, ...]
    back: tuple[str, ...]
    roots: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Unit:
    """One source, or the sources of one circle in the order of their round."""

    members: tuple[str, ...]
    rank: int


def figure_of(view: AuditView, columns: int) -> Figure:
    """The picture's content, at most ``columns`` boxes in a row (a circle takes two)."""
    sources = {each.id: each for each in (*view.sources, *view.unread)}
    edges = [each for each in view.edges if each.origin in (CLAIM, *sources)]
    forward = [each for each in edges if each.target in sources]
    back = {each.origin for each in edges if each.target == CLAIM and each.origin in sources}
    boxes: dict[str, Box] = {CLAIM: claim_box(view, columns)}
    ranks = {CLAIM: 0}
    box_of = {CLAIM: CLAIM}
    rows: dict[int, list[_Unit]] = {}
    for unit in _units(sources, forward, {each for group in view.roots for each in group}):
        rows.setdefault(unit.rank, []).append(unit)
    for number, rank in enumerate(sorted(rows), start=1):
        for units in _chosen(rows[rank], sources, columns):
            box = _box(units, sources, forward, back, f"fold-{number}-{len(boxes)}")
            boxes[box.key], ranks[box.key] = box, number
            box_of |= {each: box.key for unit in units for each in unit.members}
    lines = _lines(forward, box_of, ranks, boxes)
    roots = tuple(tuple(dict.fromkeys(box_of[each] for each in group if each in box_of)) for group in view.roots)
    folded = [box for box in boxes.values() if box.kind == "fold"]
    notes = [_roots_words(view.roots)]
    if folded:
        notes.append(
            f"Folded: {sum(len(box.ids) for box in folded)} of {len(sources)} sources stand together in "
            f"{len(folded)} {'box' if len(folded) == 1 else 'boxes'}; each is listed by its number in the report."
        )
    if any(unit.rank == DEEPEST for units in rows.values() for unit in units):
        notes.append(f"Sources {DEEPEST} and more citations away from the claim stand in the last row.")
    kept_back = tuple(dict.fromkeys(box_of[each] for each in sources if each in back))
    return Figure(boxes, ranks, lines, kept_back, tuple(group for group in roots if group), tuple(notes))


def _units(sources: Mapping[str, SourceView], forward: Sequence[Edge], roots: set[str]) -> list[_Unit]:
    """Sources and circles with their ranks: one more than that of the last one that cites them; ends that are roots
    stand in the last row, at the ground."""
    graph = nx.DiGraph()
    graph.add_nodes_from((CLAIM, *sources))
    graph.add_edges_from((each.origin, each.target) for each in forward if each.origin != each.target)
    circles = nx.condensation(graph)
    found: list[_Unit] = []
    places = {key: number for number, key in enumerate(sources)}
    for generation, numbers in enumerate(nx.topological_generations(circles)):
        for number in numbers:
            members = sorted(
                (each for each in circles.nodes[number]["members"] if each != CLAIM), key=places.__getitem__
            )
            if members:
                found.append(_Unit(_round(graph, members), min(max(1, generation), DEEPEST)))
    last = max((unit.rank for unit in found), default=1)
    found = [
        _Unit(unit.members, last)
        if len(unit.members) == 1 and unit.members[0] in roots and not graph.out_degree(unit.members[0])
        else unit
        for unit in found
    ]
    return sorted(found, key=lambda unit: places[unit.members[0]])


def _round(graph: nx.DiGraph, members: Sequence[str]) -> tuple[str, ...]:
    """The members of a circle in an order in which each cites the next, where there is one round through all."""
    if not 2 < len(members) <= MOST_IN_CIRCLE:
        return tuple(members)
    paths: list[tuple[str, ...]] = [(members[0],)]
    while paths:
        path = paths.pop()
        if len(path) == len(members):
            if graph.has_edge(path[-1], path[0]):
                return path
            continue
        paths += [(*path, each) for each in reversed(members) if each not in path and graph.has_edge(path[-1], each)]
    return tuple(members)


def _weight(unit: _Unit, sources: Mapping[str, SourceView]) -> tuple[int, int]:
    """What matters most comes first: its group, and within it what warns."""
    group = min(_RANK_OF[GROUP_OF[sources[each].outcome]] for each in unit.members)
    return group, 0 if any(is_alarming(sources[each]) for each in unit.members) else 1


def _chosen(units: list[_Unit], sources: Mapping[str, SourceView], columns: int) -> list[list[_Unit]]:
    """Which of a row's units share a box. Each group keeps a place; what is left over goes to those that matter."""
    if sum(min(2, len(unit.members)) for unit in units) <= columns:
        return [[unit] for unit in units]
    groups: dict[int, list[_Unit]] = {}
    for unit in sorted(units, key=lambda unit: _weight(unit, sources)):
        groups.setdefault(_weight(unit, sources)[0], []).append(unit)
    kept = list(groups.values())
    while len(kept) > columns:
        least = kept.pop()
        kept[-1] += least
    spare = columns - len(kept)
    made: list[list[_Unit]] = []
    for group in kept:
        extra = min(spare, len(group) - 1)
        spare -= extra
        alone = group if extra == len(group) - 1 else group[:extra]
        made += [[unit] for unit in alone]
        if rest := group[len(alone) :]:
            made.append(rest)
    return made


def _box(
    units: list[_Unit], sources: Mapping[str, SourceView], forward: Sequence[Edge], back: set[str], key: str
) -> Box:
    members = [each for unit in units for each in unit.members]
    group = GROUP_OF[min((sources[each].outcome for each in members), key=lambda each: _RANK_OF[GROUP_OF[each]])]
    if len(members) == 1:
        return source_box(sources[members[0]], group, leads_back=members[0] in back)
    if len(units) == 1 and len(members) <= MOST_IN_CIRCLE:
        inside = [each for each in forward if each.origin in members and each.target in members]
        drawn = [
            source_box(
                sources[each],
                GROUP_OF[sources[each].outcome],
                leads_back=each in back,
                cites=[(edge.target, edge.shift) for edge in inside if edge.origin == each],
            )
            for each in members
        ]
        pairs = {(edge.origin, edge.target) for edge in inside}
        return circle_box(f"circle-{members[0]}", drawn, pairs)
    if group != "against" and len({GROUP_OF[sources[each].outcome] for each in members}) > 1:
        group = SEVERAL
    order = sorted(members, key=lambda each: _RANK_OF[GROUP_OF[sources[each].outcome]])
    return fold_box(key, [sources[each] for each in order], group, circles=len(units) == 1)


def _lines(
    forward: Iterable[Edge], box_of: Mapping[str, str], ranks: Mapping[str, int], boxes: Mapping[str, Box]
) -> tuple[Line, ...]:
    """One line between two boxes for each shift; where either is folded, one line for all, with their number. Steps
    within a row are not drawn."""
    between: dict[tuple[str, str], dict[tuple[str, str], list[str]]] = {}
    for each in forward:
        pair = box_of[each.origin], box_of[each.target]
        if ranks[pair[0]] < ranks[pair[1]]:
            opposite = "for the opposite" if "the opposite" in each.said else ""
            between.setdefault(pair, {}).setdefault((each.shift, opposite), []).append(each.target)
    made: list[Line] = []
    for (origin, target), shifts in between.items():
        if "fold" in (boxes[origin].kind, boxes[target].kind):
            made.append(_bundle(origin, target, shifts))
            continue
        for (shift, opposite), targets in shifts.items():
            said = f"{', '.join(dict.fromkeys(targets))}: {shift}" if boxes[target].kind == "circle" else shift
            label = tuple(each for each in (said, opposite) if each) if shift else ()
            made.append(Line(origin, target, shift, label))
    return tuple(made)


def _bundle(origin: str, target: str, shifts: Mapping[tuple[str, str], list[str]]) -> Line:
    """All steps between two boxes as one line, such as ("3 × kept", "1 × weakened")."""
    count = Counter[str]()
    for (shift, _), targets in shifts.items():
        count[shift] += len(targets)
    if len(count) == 1:
        shift, many = next(iter(count.items()))
        alone = f"{many} × {shift}" if many > 1 else shift
        return Line(origin, target, shift, (alone,) if shift else ())
    said = tuple(f"{many} × {shift or 'not compared'}" for shift, many in count.most_common())
    return Line(origin, target, SEVERAL, said)


def _roots_words(groups: tuple[tuple[str, ...], ...]) -> str:
    """Such as "2 independent roots: s1; s3 + s4 (counted once: same site, same work or same words)."."""
    if not groups:
        return "At the ground: no root bears the claim out as it stands."
    named = [
        f"{' + '.join(group[:_MOST_ROOTS_NAMED])}{' …' if len(group) > _MOST_ROOTS_NAMED else ''}"
        + (" (counted once: same site, same work or same words)" if len(group) > 1 else "")
        for group in groups[:_MOST_ROOTS_NAMED]
    ]
    more = len(groups) - len(named)
    roots = "1 root" if len(groups) == 1 else f"{len(groups)} independent roots"
    return f"At the ground: {roots}: {'; '.join(named)}{f'; and {more} more' if more else ''}."
