"""The table of ratings: every row, and which goes before which."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.model import Outcome, Rating
from doubtwort.support.outcome import judge
from doubtwort.support.rate import ROWS, Tally, rate
from doubtwort.support.trail import Node, settle, supporting_roots
from support.shorthand import claim, reading

# outcomes | independent roots | rating
CASES = """
                                   | 0 | uncited
unread                             | 0 | unverifiable
unread unread                      | 0 | unverifiable
supports contradicts               | 1 | disputed
narrower contradicts               | 0 | disputed
mixed                              | 0 | disputed
mixed supports                     | 1 | disputed
mixed contradicts                  | 0 | disputed
mixed unread                       | 0 | disputed
supports supports contradicts      | 2 | disputed
contradicts                        | 0 | contradicted
contradicts weaker                 | 0 | contradicted
contradicts overstates             | 0 | contradicted
contradicts circular silent        | 0 | contradicted
contradicts unread                 | 0 | contradicted
supports supports                  | 2 | corroborated
supports supports narrower         | 2 | corroborated
supports supports                  | 1 | supported
supports unread                    | 1 | supported
supports narrower                  | 1 | supported
supports overstates weaker         | 1 | supported
supports narrower                  | 0 | partly-supported
narrower                           | 0 | partly-supported
narrower narrower                  | 0 | partly-supported
narrower weaker elsewhere          | 0 | partly-supported
weaker                             | 0 | stretched
elsewhere                          | 0 | stretched
overstates silent                  | 0 | stretched
weaker absent other-taxon          | 0 | stretched
silent                             | 0 | unsupported
absent                             | 0 | unsupported
other-taxon                        | 0 | unsupported
circular                           | 0 | unsupported
circular unread                    | 0 | unsupported
"""


def tally(outcomes: str, roots: int = 0) -> Tally:
    found = {f"s{number}": Outcome(each) for number, each in enumerate(outcomes.split(), start=1)}
    return Tally(bool(found), found, roots)


@pytest.mark.parametrize("line", CASES.strip("\n").splitlines())
def test_rating(line: str) -> None:
    outcomes, roots, expected = (each.strip() for each in line.split("|"))
    assert rate(tally(outcomes, int(roots)))[0].value == expected


def test_every_rating_has_one_row_and_one_case() -> None:
    assert [row.rating for row in ROWS] == list(Rating)
    assert {line.split("|")[2].strip() for line in CASES.strip("\n").splitlines()} == set(Rating)


def test_a_claim_whose_citations_all_fell_to_a_ceiling_is_not_uncited() -> None:
    assert rate(Tally(True, {}))[0] is Rating.UNVERIFIABLE


def test_reasons_name_rule_and_sources() -> None:
    assert rate(tally("silent contradicts narrower"))[1] == (
        "Sources disagree: s2, s3 affirm or deny the claim. (disputed)"
    )


@given(st.lists(st.sampled_from(list(Outcome)), max_size=8), st.randoms(use_true_random=False))
def test_the_table_is_total_and_blind_to_order(outcomes: list[Outcome], random: object) -> None:
    roots = outcomes.count(Outcome.SUPPORTS)
    mixed = list(outcomes)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    one, other = tally(" ".join(outcomes), roots), tally(" ".join(mixed), roots)
    assert rate(one)[0] is rate(other)[0]
    assert rate(one)[1]


BETTER_FIRST = [
    {Rating.CORROBORATED},
    {Rating.SUPPORTED},
    {Rating.PARTLY_SUPPORTED},
    {Rating.STRETCHED},
    {Rating.UNSUPPORTED},
    {Rating.DISPUTED, Rating.CONTRADICTED},
]
WORDS = ["edible", "edible leaf", "edible /boiled", "edible ~hedged", "edible leaf /raw", "edible @young", "non-toxic"]
WORDS += [
    "edible root",
    "inedible",
    "edible &genus",
    "edible &other",
    "edible !animals",
    "unpalatable",
    "edible #small",
]
TOXIC = [
    "toxic",
    "toxic /raw",
    "toxic root",
    "toxic leaf",
    "toxic @old",
    "toxic ~hedged",
    "toxic #large",
    "toxic &genus",
]
TOXIC += ["toxic whole_plant", "toxic !animals", "toxic &other", "toxic leaf /boiled", "toxic seed"]


def rating_of(claimed: str, pages: list[list[str]], edges: list[tuple[str, str]]) -> Rating:
    case = claim(claimed)
    nodes = {
        f"s{number}": Node(f"s{number}", judge(case, reading("; ".join(said))).outcome)
        for number, said in enumerate(pages, start=1)
    }
    settled = settle(nodes, [("claim", each) for each in nodes] + edges)
    outcomes = {name: found.outcome for name, found in settled.items()}
    return rate(Tally(True, outcomes, len(supporting_roots(settled))))[0]


@given(
    st.sampled_from(["edible", "edible leaf", "edible leaf /boiled", "edible root", "non-toxic", "edible leaf @young"]),
    st.lists(st.lists(st.sampled_from(WORDS + TOXIC), max_size=3), min_size=1, max_size=4),
    st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), max_size=3),
    st.integers(0, 3),
    st.sampled_from(TOXIC),
)
def test_adding_a_toxic_statement_never_improves_a_rating(
    claimed: str, pages: list[list[str]], links: list[tuple[int, int]], at: int, toxic: str
) -> None:
    edges = [(f"s{a}", f"s{b}") for a, b in links if a < b <= len(pages)]
    at %= len(pages)
    worse = [[*said, toxic] if number == at else said for number, said in enumerate(pages)]

    def rank(rating: Rating) -> int:
        return next(number for number, group in enumerate(BETTER_FIRST) if rating in group)

    assert rank(rating_of(claimed, worse, edges)) >= rank(rating_of(claimed, pages, edges))
