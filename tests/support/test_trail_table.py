"""Every pair of cited outcomes, against the definitions of ``overstates``, ``circular`` and the grounds."""

from __future__ import annotations

import itertools

import pytest

from doubtwort.model import Grounds, Outcome, Shift, Wording
from doubtwort.support import trail
from doubtwort.support.trail import Node, settle, shift

BY_ITSELF = [each for each in Outcome if each is not Outcome.OVERSTATES]
PAIRS = list(itertools.combinations_with_replacement(BY_ITSELF, 2))


def expected(own: Outcome, cited: tuple[Outcome, ...]) -> tuple[Outcome, Grounds | None]:
    """What a statement is worth that cites works of these outcomes for itself."""
    if Outcome.SUPPORTS in cited or Outcome.NARROWER in cited:
        return own, Grounds.TRACED  # citations that bear it out
    read = [each for each in cited if each not in (Outcome.UNREAD, Outcome.CIRCULAR)]
    if read:  # at least one was read, and none of those read supports it or is narrower
        return (Outcome.OVERSTATES, None) if own is Outcome.SUPPORTS else (own, None)
    if Outcome.UNREAD in cited:
        return own, Grounds.UNCHECKED  # citations that could not be read
    return Outcome.CIRCULAR, None  # leads back to the claim's own page


@pytest.mark.parametrize("own", [Outcome.SUPPORTS, Outcome.NARROWER])
@pytest.mark.parametrize("cited", PAIRS, ids=lambda pair: "-".join(each.value for each in pair))
def test_a_statement_is_as_strong_as_what_it_cites(own: Outcome, cited: tuple[Outcome, Outcome]) -> None:
    nodes = {"s1": Node("s1", own), "s2": Node("s2", cited[0]), "s3": Node("s3", cited[1])}
    found = settle(nodes, [("claim", "s1"), ("s1", "s2"), ("s1", "s3")])["s1"]
    assert (found.outcome, found.grounds) == expected(own, cited)


@pytest.mark.parametrize("own", [each for each in BY_ITSELF if each not in (Outcome.SUPPORTS, Outcome.NARROWER)])
@pytest.mark.parametrize("cited", BY_ITSELF)
def test_what_does_not_bear_the_claim_out_is_judged_by_its_own_words(own: Outcome, cited: Outcome) -> None:
    nodes = {"s1": Node("s1", own), "s2": Node("s2", cited)}
    found = settle(nodes, [("claim", "s1"), ("s1", "s2")])["s1"]
    assert (found.outcome, found.grounds) == (own, None)


@pytest.mark.parametrize("end", BY_ITSELF)
def test_the_end_is_passed_up_three_hops(end: Outcome) -> None:
    names = ["s1", "s2", "s3"]
    nodes = {each: Node(each, Outcome.SUPPORTS) for each in names} | {"s4": Node("s4", end)}
    settled = settle(nodes, [("claim", "s1"), ("s1", "s2"), ("s2", "s3"), ("s3", "s4")])
    last = expected(Outcome.SUPPORTS, (end,))
    assert (settled["s3"].outcome, settled["s3"].grounds) == last
    first = settled["s1"].outcome, settled["s1"].grounds
    passed = {Outcome.OVERSTATES: (Outcome.OVERSTATES, None), Outcome.CIRCULAR: (Outcome.CIRCULAR, None)}
    assert first == passed.get(last[0], (Outcome.SUPPORTS, Grounds.TRACED))


# citing | cited | claimed: how the wording changed on the way up
SHIFTS = """
edible      | edible      | edible    | kept
edible      | non-toxic   | edible    | strengthened
edible      | unpalatable | edible    | strengthened
edible      | inedible    | edible    | strengthened
edible      | toxic       | edible    | strengthened
non-toxic   | edible      | edible    | weakened
unpalatable | non-toxic   | edible    | weakened
non-toxic   | edible      | non-toxic | weakened
non-toxic   | non-toxic   | non-toxic | kept
non-toxic   | toxic       | non-toxic | strengthened
toxic       | inedible    | toxic     | strengthened
toxic       | unpalatable | toxic     | strengthened
toxic       | non-toxic   | toxic     | strengthened
toxic       | toxic       | toxic     | kept
inedible    | toxic       | toxic     | weakened
inedible    | unpalatable | inedible  | strengthened
inedible    | toxic       | inedible  | weakened
unpalatable | edible      | unpalatable | strengthened
"""


@pytest.mark.parametrize("row", SHIFTS.strip().splitlines())
def test_shift(row: str) -> None:
    citing, cited, claimed, how = (each.strip() for each in row.split("|"))
    assert shift(Wording(citing), Wording(cited), Wording(claimed)) is Shift(how)


@pytest.mark.parametrize("shape", ["chain", "circle"])
def test_thousands_of_sources_are_each_looked_at_a_few_times(monkeypatch: pytest.MonkeyPatch, shape: str) -> None:
    looked = []
    real = trail._open
    monkeypatch.setattr(trail, "_open", lambda *given: looked.append(1) or real(*given))
    size = 2_000
    nodes = {f"s{n}": Node(f"s{n}", Outcome.SUPPORTS) for n in range(size)}
    edges = [("claim", "s0"), *((f"s{n}", f"s{n + 1}") for n in range(size - 1))]
    if shape == "circle":
        nodes["end"] = Node("end", Outcome.SUPPORTS)
        edges += [(f"s{size - 1}", "s0"), (f"s{size - 1}", "end")]
    settled = settle(nodes, edges)
    assert {each.outcome for each in settled.values()} == {Outcome.SUPPORTS}
    assert settled["s0"].grounds is Grounds.TRACED
    assert len(looked) <= 3 * size
