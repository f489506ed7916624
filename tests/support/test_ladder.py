"""Where the wording was strengthened, from the claim to the root. All pages are invented."""

from __future__ import annotations

import pytest

from doubtwort.model import Audit, Outcome, Rating, Source, Step
from doubtwort.support.ladder import MOST_LADDERS, ladders, strengthened_at
from support.shorthand import claim, reading


def audit(claimed: str, pages: dict[str, str], edges: str) -> Audit:
    sources = tuple(
        Source(
            name, f"http://{name}.example/", "", 1, (), Outcome.UNREAD if said == "unread" else Outcome.SUPPORTS,
            statements=() if said in ("unread", "") else reading(said).statements,
        )
        for name, said in pages.items()
    )  # fmt: skip
    steps = tuple(Step(*each.split("-")) for each in edges.split())
    return Audit(claim(claimed), Rating.STRETCHED, (), (), sources, steps)


# claim | pages | edges | what each rung of the first ladder gained
CASES = [
    ("edible", {"s1": "non-toxic"}, "claim-s1", {"claim": ["edible from non-toxic"]}),
    ("edible", {"s1": "edible", "s2": "non-toxic"}, "claim-s1 s1-s2", {"s1": ["edible from non-toxic"]}),
    ("edible", {"s1": "edible", "s2": "edible"}, "claim-s1 s1-s2", {}),
    ("edible", {"s1": "edible", "s2": "edible ~hearsay"}, "claim-s1 s1-s2", {"s1": ["stated from hearsay"]}),
    ("edible", {"s1": "edible ~hedged"}, "claim-s1", {"claim": ["stated from hedged"]}),
    ("edible", {"s1": "edible leaf /boiled"}, "claim-s1", {"claim": ["leaves out: leaf, boiled"]}),
    (
        "edible",
        {"s1": "edible leaf", "s2": "edible leaf /boiled"},
        "claim-s1 s1-s2",
        {"claim": ["leaves out: leaf"], "s1": ["leaves out: boiled"]},
    ),
    ("edible leaf /boiled", {"s1": "edible leaf /boiled"}, "claim-s1", {}),
    ("edible leaf /boiled", {"s1": "edible /cooked"}, "claim-s1", {}),
    ("edible", {"s1": "edible /raw,cooked"}, "claim-s1", {}),
    ("edible", {"s1": "edible @young"}, "claim-s1", {"claim": ["leaves out: young"]}),
    ("edible", {"s1": "edible #small"}, "claim-s1", {"claim": ["leaves out: small amounts"]}),
    ("edible", {"s1": "edible -seed"}, "claim-s1", {"claim": ["leaves out: except seed"]}),
    ("edible", {"s1": "edible &genus"}, "claim-s1", {"claim": ["this taxon from its genus"]}),
    ("edible", {"s1": "toxic &other"}, "claim-s1", {"claim": ["edible from nothing on eating it"]}),
    ("edible", {"s1": ""}, "claim-s1", {"claim": ["edible from nothing on eating it"]}),
    ("edible", {"s1": "edible", "s2": "unread"}, "claim-s1 s1-s2", {}),
    ("edible", {"s1": "edible", "s2": "unpalatable ~hedged"}, "claim-s1 s1-s2",
     {"s1": ["edible from unpalatable", "stated from hedged"]}),
    ("toxic", {"s1": "inedible"}, "claim-s1", {"claim": ["toxic from inedible"]}),
    ("toxic", {"s1": "toxic seed"}, "claim-s1", {"claim": ["leaves out: seed"]}),
    ("non-toxic", {"s1": "edible"}, "claim-s1", {}),
]  # fmt: skip


@pytest.mark.parametrize("number", range(len(CASES)))
def test_what_each_page_gained(number: int) -> None:
    claimed, pages, edges, gained = CASES[number]
    (ladder,) = ladders(audit(claimed, pages, edges))
    assert [rung.id for rung in ladder] == ["claim", *pages]
    assert {rung.id: list(rung.gained) for rung in ladder if rung.gained} == gained
    assert strengthened_at(audit(claimed, pages, edges)) == tuple(gained)


def test_one_ladder_for_each_end_that_with_most_gained_first() -> None:
    made = audit("edible", {"s1": "edible", "s2": "edible", "s3": "non-toxic"}, "claim-s1 s1-s2 claim-s3 s2-claim")
    assert [[rung.id for rung in each] for each in ladders(made)] == [["claim", "s3"], ["claim", "s1", "s2"]]


def test_a_circle_has_no_end_and_no_ladder() -> None:
    assert ladders(audit("edible", {"s1": "edible", "s2": "edible"}, "claim-s1 s1-s2 s2-s1")) == ()


def test_a_trail_of_thousands_gives_so_many_ladders_and_no_more() -> None:
    pages = {f"s{n}": "edible" for n in range(3_000)}
    edges = " ".join(
        ["claim-s0", *(f"s{n}-s{n + 1}" for n in range(1_500)), *(f"s{n}-s{n + 1500}" for n in range(1_499))]
    )
    assert 0 < len(ladders(audit("edible", pages, edges))) <= MOST_LADDERS
