"""The trail: a statement is only as strong as its end.

Nodes are the claim and its sources; an edge leads from a statement to what it cites for itself. Sources are settled
from the ends of the trail backwards, circle by circle (strongly connected components in reverse topological order).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import networkx as nx

from doubtwort.model import About, Eater, Grounds, Outcome, Shift, Statement, Wording
from doubtwort.support import CLAIM
from doubtwort.support.wordings import STRENGTH

_BEARS: Final = (Outcome.SUPPORTS, Outcome.NARROWER)


@dataclass(frozen=True, slots=True)
class Node:
    """A source before its trail is looked at. ``beyond`` tells that it also cites, for its supporting statement,
    works that no row stands for (a ceiling was reached): they count as unread."""

    id: str
    outcome: Outcome
    beyond: bool = False


@dataclass(frozen=True, slots=True)
class Settled:
    """A source after its trail was looked at. ``grounds`` only where it supports or is narrower, and
    not where what it cites was read and does not bear it out."""

    outcome: Outcome
    grounds: Grounds | None = None


def graph(edges: Iterable[tuple[str, str]], ids: Iterable[str] = ()) -> nx.DiGraph:
    """The trail as a directed graph; ``ids`` are nodes that may have no edge."""
    made = nx.DiGraph()
    made.add_node(CLAIM)
    made.add_nodes_from(ids)
    made.add_edges_from(edges)
    return made


def settle(nodes: Mapping[str, Node], edges: Iterable[tuple[str, str]]) -> dict[str, Settled]:
    """The outcome and the grounds of every source once the end of its trail is known.

    >>> settle({"s1": Node("s1", Outcome.SUPPORTS), "s2": Node("s2", Outcome.SILENT)}, [("s1", "s2")])["s1"].outcome
    <Outcome.OVERSTATES: 'overstates'>
    """
    trail = graph(edges, nodes)
    followed = trail.copy()
    for node in nodes.values():
        if node.outcome not in _BEARS:
            followed.remove_edges_from(list(followed.out_edges(node.id)))
    followed.remove_edges_from(list(followed.out_edges(CLAIM)))
    settled: dict[str, Settled] = {CLAIM: Settled(Outcome.CIRCULAR)}
    circles = nx.condensation(followed)
    for number in reversed(list(nx.topological_sort(circles))):
        members = sorted(each for each in circles.nodes[number]["members"] if each != CLAIM)
        _settle_circle(members, nodes, followed, settled)
    return {each: settled[each] for each in nodes}


def _settle_circle(members: list[str], nodes: Mapping[str, Node], trail: nx.DiGraph, done: dict[str, Settled]) -> None:
    """Settles the sources of one circle (mostly a single one), given everything that they lead to. A source is looked
    at again only when one that it cites was settled, so a circle costs as much as it has edges."""
    waiting = dict.fromkeys(each for each in members if each not in done)
    look = deque(waiting)
    while waiting:
        while look:
            each = look.popleft()
            if each in waiting and (made := _open(each, nodes, trail, done)):
                done[each] = made
                del waiting[each]
                look.extend(citing for citing in trail.predecessors(each) if citing in waiting)
        if waiting:  # nothing inside can lean on anything outside: the circle shows
            found = {each: made for each in waiting if (made := _leaning_outward(each, nodes, trail, done))}
            unchecked = {each: made for each, made in found.items() if made.outcome in _BEARS}
            found = unchecked or found or {each: Settled(Outcome.CIRCULAR) for each in waiting}
            done.update(found)
            for each in found:
                del waiting[each]
            look.extend(citing for each in found for citing in trail.predecessors(each) if citing in waiting)


def _open(each: str, nodes: Mapping[str, Node], trail: nx.DiGraph, done: Mapping[str, Settled]) -> Settled | None:
    """What can be said without looking at the circle: an outcome of its own, or a cited source that bears it out."""
    node = nodes[each]
    if node.outcome not in _BEARS:
        return Settled(node.outcome)
    cited = list(trail.successors(each))
    known = [done[target] for target in cited if target in done]
    if any(target.outcome in _BEARS for target in known):
        return Settled(node.outcome, Grounds.TRACED)
    if not cited and not node.beyond:
        return Settled(node.outcome, Grounds.OWN_WORD)
    if len(known) < len(cited):
        return None
    return _leaning_outward(each, nodes, trail, done) or Settled(Outcome.CIRCULAR)


def _leaning_outward(
    each: str, nodes: Mapping[str, Node], trail: nx.DiGraph, done: Mapping[str, Settled]
) -> Settled | None:
    """Judged by what it cites outside its circle, none of which bears it out; None: it cites only circles."""
    node = nodes[each]
    known = [done[target].outcome for target in trail.successors(each) if target in done]
    if any(outcome not in (Outcome.UNREAD, Outcome.CIRCULAR) for outcome in known):
        return Settled(Outcome.OVERSTATES if node.outcome is Outcome.SUPPORTS else node.outcome)
    if node.beyond or Outcome.UNREAD in known:
        return Settled(node.outcome, Grounds.UNCHECKED)
    return None


def supporting_roots(settled: Mapping[str, Settled]) -> tuple[str, ...]:
    """Sources that support and whose trail ends with themselves; a traced one leaves that to what it cites."""
    ends = (Grounds.OWN_WORD, Grounds.UNCHECKED)
    return tuple(each for each, found in settled.items() if found.outcome is Outcome.SUPPORTS and found.grounds in ends)


def best_wording(statements: Iterable[Statement], claimed: Wording) -> Wording | None:
    """The most that a source offers on this taxon for people, in the order of strength for the claim's wording."""
    order = STRENGTH[claimed]
    said = [each.wording for each in statements if each.about is About.TAXON and each.eater is Eater.PEOPLE]
    return min(said, key=order.index, default=None)


def shift(citing: Wording, cited: Wording | None, claimed: Wording) -> Shift | None:
    """How the wording changed from the cited source to the citing statement; None: nothing to compare with.

    >>> shift(Wording.EDIBLE, Wording.NON_TOXIC, Wording.EDIBLE)
    <Shift.STRENGTHENED: 'strengthened'>
    """
    if cited is None:
        return None
    order = STRENGTH[claimed]
    here, there = order.index(citing), order.index(cited)
    if here == there:
        return Shift.KEPT
    return Shift.STRENGTHENED if here < there else Shift.WEAKENED
