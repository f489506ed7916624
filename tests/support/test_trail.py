"""Ends of trails: own word, unchecked, traced, overstates, circles."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.model import Grounds, Outcome, Shift, Wording
from doubtwort.support import CLAIM
from doubtwort.support.trail import Node, best_wording, settle, shift, supporting_roots
from support.shorthand import reading

# name: outcome of each source by itself; edges; what each settles to (outcome/grounds)
CASES = {
    "own word": ("s1 supports", "", "s1 supports/own-word"),
    "traced to one that supports": ("s1 supports, s2 supports", "s1-s2", "s1 supports/traced, s2 supports/own-word"),
    "traced to one that is narrower": ("s1 supports, s2 narrower", "s1-s2", "s1 supports/traced"),
    "overstates a silent source": ("s1 supports, s2 silent", "s1-s2", "s1 overstates/-"),
    "overstates a weaker source": ("s1 supports, s2 weaker", "s1-s2", "s1 overstates/-, s2 weaker/-"),
    "overstates one that contradicts": ("s1 supports, s2 contradicts", "s1-s2", "s1 overstates/-"),
    "overstates a mixed one": ("s1 supports, s2 mixed", "s1-s2", "s1 overstates/-"),
    "overstates if one was read, one not": ("s1 supports, s2 unread, s3 absent", "s1-s2 s1-s3", "s1 overstates/-"),
    "unchecked": ("s1 supports, s2 unread", "s1-s2", "s1 supports/unchecked"),
    "borne out by one of two": ("s1 supports, s2 silent, s3 supports", "s1-s2 s1-s3", "s1 supports/traced"),
    "overstating is passed up": (
        "s1 supports, s2 supports, s3 silent",
        "s1-s2 s2-s3",
        "s1 overstates/-, s2 overstates/-",
    ),
    "narrower keeps its outcome": ("s1 narrower, s2 silent", "s1-s2", "s1 narrower/-"),
    "back to the claim": ("s1 supports", "s1-claim", "s1 circular/-"),
    "back to the claim in two steps": ("s1 supports, s2 supports", "s1-s2 s2-claim", "s1 circular/-, s2 circular/-"),
    "back to the claim, and to a root": ("s1 supports, s2 supports", "s1-claim s1-s2", "s1 supports/traced"),
    "back to the claim, and unread": ("s1 supports, s2 unread", "s1-claim s1-s2", "s1 supports/unchecked"),
    "back to the claim, and silent": ("s1 supports, s2 silent", "s1-claim s1-s2", "s1 overstates/-"),
    "a copy of the claim": ("s1 supports, s2 circular", "s1-s2", "s1 circular/-"),
    "cites itself": ("s1 supports", "s1-s1", "s1 circular/-"),
    "a circle of two": ("s1 supports, s2 supports", "s1-s2 s2-s1", "s1 circular/-, s2 circular/-"),
    "a circle with a way out": (
        "s1 supports, s2 supports, s3 supports",
        "s1-s2 s2-s1 s2-s3",
        "s1 supports/traced, s2 supports/traced, s3 supports/own-word",
    ),
    "a circle that ends unread": (
        "s1 supports, s2 supports, s3 unread",
        "s1-s2 s2-s1 s2-s3",
        "s1 supports/traced, s2 supports/unchecked",
    ),
    "a circle that overstates": (
        "s1 supports, s2 supports, s3 silent",
        "s1-s2 s2-s1 s2-s3",
        "s1 overstates/-, s2 overstates/-",
    ),
    "a circle that ends unread on one side and silent on the other": (
        "s1 supports, s2 supports, s3 unread, s4 silent",
        "s1-s2 s2-s1 s1-s3 s2-s4",
        "s1 supports/unchecked, s2 supports/traced",
    ),
    "leads into a circle": (
        "s1 supports, s2 supports, s3 supports",
        "s1-s2 s2-s3 s3-s2",
        "s1 circular/-, s2 circular/-, s3 circular/-",
    ),
    "a circle broken by one that does not support": ("s1 supports, s2 silent", "s1-s2 s2-s1", "s1 overstates/-"),
    "beyond a ceiling": ("s1 supports*", "", "s1 supports/unchecked"),
    "what does not support keeps its outcome": ("s1 weaker, s2 supports", "s1-s2", "s1 weaker/-"),
}


def nodes_of(text: str) -> dict[str, Node]:
    made = {}
    for each in text.split(","):
        name, outcome = each.split()
        made[name] = Node(name, Outcome(outcome.rstrip("*")), beyond=outcome.endswith("*"))
    return made


def edges_of(text: str) -> list[tuple[str, str]]:
    return [("claim", "s1"), *(tuple(each.split("-")) for each in text.split())]  # type: ignore[list-item]


@pytest.mark.parametrize("name", CASES)
def test_the_end_of_the_trail_decides(name: str) -> None:
    nodes, edges, expected = CASES[name]
    settled = settle(nodes_of(nodes), edges_of(edges))
    for each in expected.split(","):
        source, outcome, grounds = each.strip().replace("/", " ").split()
        found = settled[source]
        assert (found.outcome.value, found.grounds.value if found.grounds else "-") == (outcome, grounds), source


def test_roots_that_support_are_the_ends() -> None:
    settled = settle(nodes_of("s1 supports, s2 supports, s3 narrower, s4 supports"), edges_of("s1-s2 s4-s3"))
    assert supporting_roots(settled) == ("s2",)


def test_a_source_that_rests_on_a_narrower_one_is_no_supporting_root() -> None:
    settled = settle(nodes_of("s1 supports, s2 narrower"), edges_of("s1-s2"))
    assert supporting_roots(settled) == ()


names = [f"s{number}" for number in range(1, 7)]
graphs = st.tuples(
    st.fixed_dictionaries(
        {name: st.sampled_from([each for each in Outcome if each != "overstates"]) for name in names}
    ),
    st.lists(st.tuples(st.sampled_from(names), st.sampled_from([CLAIM, *names])), max_size=15),
)


@given(graphs)
def test_every_source_settles_and_grounds_stand_only_beside_support(
    made: tuple[dict[str, Outcome], list[tuple[str, str]]],
) -> None:
    outcomes, edges = made
    settled = settle({name: Node(name, outcome) for name, outcome in outcomes.items()}, edges)
    assert settled.keys() == outcomes.keys()
    for name, found in settled.items():
        if found.outcome is Outcome.SUPPORTS:
            assert outcomes[name] is Outcome.SUPPORTS
            assert found.grounds is not None
        if found.grounds is Grounds.TRACED:
            cited = [settled[target].outcome for origin, target in edges if origin == name and target != CLAIM]
            assert Outcome.SUPPORTS in cited or Outcome.NARROWER in cited
        if outcomes[name] not in (Outcome.SUPPORTS, Outcome.NARROWER):
            assert found.outcome is outcomes[name]


@given(graphs, st.randoms(use_true_random=False))
def test_the_order_of_sources_and_edges_does_not_matter(
    made: tuple[dict[str, Outcome], list[tuple[str, str]]], random: object
) -> None:
    outcomes, edges = made
    nodes = {name: Node(name, outcome) for name, outcome in outcomes.items()}
    mixed_edges, mixed_names = list(edges), list(names)
    random.shuffle(mixed_edges)  # type: ignore[attr-defined]
    random.shuffle(mixed_names)  # type: ignore[attr-defined]
    assert settle(nodes, edges) == settle({name: nodes[name] for name in mixed_names}, mixed_edges)


@given(graphs)
def test_support_always_ends_in_a_root_of_its_own_or_a_narrower_one(
    made: tuple[dict[str, Outcome], list[tuple[str, str]]],
) -> None:
    outcomes, edges = made
    settled = settle({name: Node(name, outcome) for name, outcome in outcomes.items()}, edges)
    if any(found.outcome is Outcome.SUPPORTS for found in settled.values()):
        narrower = any(found.outcome is Outcome.NARROWER for found in settled.values())
        assert supporting_roots(settled) or narrower


def test_a_long_chain_is_settled_from_its_end() -> None:
    chain = [f"s{number}" for number in range(1, 3000)]
    nodes = {name: Node(name, Outcome.SUPPORTS) for name in chain}
    settled = settle(nodes, itertools.pairwise(chain))
    assert settled["s1"].grounds is Grounds.TRACED
    assert supporting_roots(settled) == (chain[-1],)


E, N, U, I, T = Wording  # noqa: E741  the five wordings in a table


@pytest.mark.parametrize(
    ("claimed", "cited", "expected"),
    [
        (E, E, Shift.KEPT),
        (E, N, Shift.STRENGTHENED),
        (E, U, Shift.STRENGTHENED),
        (E, T, Shift.STRENGTHENED),
        (N, E, Shift.WEAKENED),
        (N, I, Shift.STRENGTHENED),
        (T, I, Shift.STRENGTHENED),
        (T, E, Shift.STRENGTHENED),
        (T, T, Shift.KEPT),
        (I, T, Shift.WEAKENED),
        (I, U, Shift.STRENGTHENED),
        (U, I, Shift.WEAKENED),
        (U, E, Shift.STRENGTHENED),
        (E, None, None),
    ],
)
def test_shift(claimed: Wording, cited: Wording | None, expected: Shift | None) -> None:
    assert shift(claimed, cited, claimed) is expected


def test_the_best_wording_is_of_this_taxon_and_for_people() -> None:
    said = reading("toxic; unpalatable; edible &genus; edible &other; edible !animals").statements
    assert best_wording(said, Wording.EDIBLE) is Wording.UNPALATABLE
    assert best_wording(said, Wording.TOXIC) is Wording.TOXIC
    assert best_wording((), Wording.EDIBLE) is None
