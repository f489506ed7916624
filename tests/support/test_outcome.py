"""The table of outcomes, row by row. The expectations are read off the definitions of the outcomes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.model import About, Outcome, Reading, Wording
from doubtwort.support.outcome import judge
from doubtwort.support.wordings import STRENGTH, denies
from support.shorthand import claim, reading, statement

# claim | what the source says | outcome | deciding reason
CASES = """
edible                | edible                                     | supports    | same-wording
edible                | edible whole_plant                         | supports    | same-wording
edible                | edible /raw,cooked                         | supports    | same-wording
edible                | edible /boiled,raw                         | supports    | same-wording
edible                | edible #large                              | supports    | same-wording
edible                | edible leaf; edible                        | supports    | same-wording
edible                | edible; unpalatable                        | supports    | same-wording
edible                | edible; toxic &genus                       | supports    | same-wording
edible                | edible; toxic &other                       | supports    | same-wording
edible                | edible; toxic !animals                     | supports    | same-wording
edible                | edible; toxic &unclear                     | supports    | same-wording
edible leaf           | edible                                     | supports    | same-wording
edible leaf           | edible leaf                                | supports    | same-wording
edible leaf           | edible leaf,root                           | supports    | same-wording
edible leaf           | edible whole_plant                         | supports    | same-wording
edible leaf           | edible whole_plant -seed                   | supports    | same-wording
edible leaf           | edible leaf; toxic root                    | supports    | same-wording
edible leaf,root      | edible leaf; edible root                   | supports    | case-by-case
edible leaf /boiled   | edible leaf /cooked                        | supports    | same-wording
edible leaf /boiled   | toxic leaf /raw + edible leaf /boiled      | supports    | same-wording
edible leaf /boiled   | toxic; edible leaf /boiled                 | supports    | other-case-warned
edible fruit          | toxic + edible fruit                       | supports    | other-case-warned
edible fruit          | edible fruit; toxic seed                   | supports    | same-wording
edible fruit_body     | edible                                     | supports    | same-wording
edible cap            | edible fruit_body                          | supports    | same-wording
edible leaf @young    | edible leaf                                | supports    | same-wording
edible leaf @young    | edible leaf @young                         | supports    | same-wording
edible leaf @young    | toxic @old; edible leaf @young             | supports    | same-wording
edible fruit @ripe    | edible fruit @ripe + toxic fruit @unripe   | supports    | same-wording

edible leaf /raw      | edible leaf                                | narrower    | raw-not-named
edible /raw           | edible                                     | narrower    | raw-not-named
edible leaf /raw      | edible                                     | narrower    | raw-not-named
edible leaf /raw,boiled | edible leaf                              | narrower    | raw-not-named
edible leaf /raw      | edible leaf; edible leaf /raw              | supports    | same-wording
edible leaf /raw      | edible leaf /cooked,raw                    | supports    | same-wording
edible leaf /boiled   | edible leaf                                | supports    | same-wording
non-toxic leaf /raw   | non-toxic leaf                             | narrower    | raw-not-named
toxic leaf /raw       | toxic leaf                                 | supports    | same-wording
inedible /raw         | inedible                                   | supports    | same-wording

edible                | edible leaf                                | narrower    | only-under-condition
edible                | edible /boiled                             | narrower    | only-under-condition
edible                | edible @young                              | narrower    | only-under-condition
edible                | edible #small                              | narrower    | only-under-condition
edible                | edible -seed                               | narrower    | only-under-condition
edible                | edible whole_plant -root                   | narrower    | only-under-condition
edible                | edible ~hedged                             | narrower    | hedged
edible                | edible ~hearsay                            | narrower    | hearsay
edible                | edible &genus                              | narrower    | only-higher-taxon
edible                | edible &family                             | narrower    | only-higher-taxon
edible                | edible ~hedged; non-toxic                  | narrower    | hedged
edible                | toxic /raw + edible /boiled                | narrower    | warned-under-condition
edible                | edible; toxic /raw                         | narrower    | warned-under-condition
edible                | edible fruit; toxic seed                   | narrower    | warned-under-condition
edible                | edible; toxic #large                       | narrower    | warned-under-condition
edible                | edible #small; toxic                       | narrower    | warned-under-condition
edible                | toxic; edible @young                       | narrower    | warned-under-condition
edible                | toxic; edible leaf /leached                | narrower    | warned-under-condition
edible                | toxic + edible fruit                       | narrower    | warned-under-condition
edible                | toxic /raw; edible /dried                  | narrower    | warned-under-condition
edible                | inedible /raw; edible /cooked              | narrower    | warned-under-condition
edible                | toxic whole_plant -fruit; edible fruit     | narrower    | warned-under-condition
edible fruit          | edible fruit; toxic fruit @unripe          | narrower    | warned-under-condition
edible fruit          | edible fruit -seed                         | supports    | same-wording
edible fruit          | edible flesh                               | narrower    | only-under-condition
edible fruit          | edible aril                                | narrower    | only-under-condition
edible leaf           | edible leaf ~hearsay                       | narrower    | hearsay
edible leaf           | edible leaf /boiled                        | narrower    | only-under-condition
edible leaf,root      | edible leaf                                | narrower    | some-cases-only
edible leaf /cooked   | edible leaf /boiled                        | narrower    | only-under-condition
edible leaf /boiled   | edible leaf /boiled,leached                | narrower    | only-under-condition
edible leaf /raw      | edible leaf /peeled,raw                    | narrower    | only-under-condition
edible leaf @young    | edible leaf @spring                        | narrower    | only-under-condition
edible whole_plant    | edible                                     | narrower    | part-not-named
edible whole_plant    | edible leaf                                | narrower    | only-under-condition
edible fruit_body     | edible cap                                 | narrower    | only-under-condition

edible                | edible; toxic                              | mixed       | both-ways
edible                | edible; inedible                           | mixed       | both-ways
edible                | edible + toxic                             | mixed       | both-ways
edible                | edible ~hearsay; toxic                     | mixed       | both-ways
edible                | edible; toxic ~hedged                      | mixed       | both-ways
edible                | edible leaf; toxic whole_plant             | mixed       | both-ways
edible                | toxic; edible leaf /raw                    | mixed       | both-ways
edible                | toxic; edible leaf                         | mixed       | both-ways
edible                | edible /boiled; toxic /cooked              | mixed       | both-ways
edible                | edible fruit; toxic fruit                  | mixed       | both-ways
edible                | edible whole_plant; toxic seed             | mixed       | both-ways
edible                | edible whole_plant + toxic seed            | narrower    | warned-under-condition
edible                | toxic whole_plant + edible fruit           | narrower    | warned-under-condition
edible leaf           | edible leaf; toxic whole_plant             | mixed       | both-ways
edible leaf           | edible leaf; toxic                         | mixed       | both-ways
edible leaf           | edible; toxic                              | mixed       | both-ways

edible                | toxic                                      | contradicts | says-opposite
edible leaf           | edible; toxic leaf                         | contradicts | says-opposite
edible leaf           | edible; toxic leaf ~hedged                 | contradicts | says-opposite-hedged
edible leaf /raw      | edible leaf; toxic leaf /raw               | contradicts | says-opposite
edible leaf /raw      | edible; toxic /raw                         | contradicts | says-opposite
edible /raw           | edible; toxic /raw                         | contradicts | says-opposite
edible leaf @young    | edible leaf; toxic leaf @young             | contradicts | says-opposite
edible fruit @ripe    | edible fruit; toxic fruit @ripe            | contradicts | says-opposite
edible leaf /raw      | toxic /raw; edible leaf /boiled            | contradicts | says-opposite
edible leaf           | edible leaf; edible; toxic leaf            | mixed       | both-ways
edible leaf,root      | edible leaf; toxic root                    | mixed       | one-case-denied
edible leaf /raw,boiled | edible leaf /boiled; toxic leaf /raw     | mixed       | one-case-denied
edible leaf           | edible; toxic leaf /raw                    | narrower    | warned-under-condition
edible leaf           | toxic leaf; edible leaf /boiled            | narrower    | warned-under-condition
edible leaf           | edible; toxic leaf @old                    | narrower    | warned-under-condition
toxic leaf            | toxic; edible leaf                         | contradicts | says-opposite
edible                | toxic ~hedged                              | contradicts | says-opposite-hedged
edible                | toxic ~hearsay                             | contradicts | says-opposite-hedged
edible                | inedible                                   | contradicts | says-opposite
edible                | toxic /raw                                 | contradicts | says-opposite
edible                | toxic seed                                 | contradicts | says-opposite
edible                | toxic @unripe                              | contradicts | says-opposite
edible                | toxic #large                               | contradicts | says-opposite
edible                | non-toxic; inedible                        | contradicts | says-opposite
edible                | toxic; edible &genus                       | contradicts | says-opposite
edible                | toxic; edible &other                       | contradicts | says-opposite
edible leaf           | toxic                                      | contradicts | says-opposite
edible leaf           | toxic whole_plant                          | contradicts | says-opposite
edible leaf           | toxic leaf,root                            | contradicts | says-opposite
edible leaf           | toxic -fruit                               | contradicts | says-opposite
edible leaf           | toxic shoot                                | contradicts | says-opposite
edible leaf           | edible root; toxic                         | contradicts | says-opposite
edible tuber          | toxic root                                 | contradicts | says-opposite
edible fruit          | toxic skin                                 | contradicts | says-opposite
edible cap            | toxic fruit_body                           | contradicts | says-opposite
edible leaf /boiled   | toxic leaf /cooked                         | contradicts | says-opposite
edible leaf /cooked   | toxic leaf /boiled                         | contradicts | says-opposite
edible leaf /dried    | toxic leaf /raw                            | contradicts | says-opposite
edible whole_plant    | toxic seed                                 | contradicts | says-opposite

edible                | non-toxic                                  | weaker      | says-less
edible                | unpalatable                                | weaker      | says-less
edible                | non-toxic; unpalatable                     | weaker      | says-less
edible                | non-toxic ~hedged                          | weaker      | says-less
edible leaf           | non-toxic; edible root                     | weaker      | says-less
edible                | non-toxic; toxic &genus                    | weaker      | says-less

edible leaf           | edible root                                | elsewhere   | other-case
edible seed           | edible fruit                               | elsewhere   | other-case
edible leaf /raw      | edible leaf /boiled                        | elsewhere   | other-case
edible leaf /cooked   | edible leaf /raw                           | elsewhere   | other-case
edible leaf           | edible root &genus                         | elsewhere   | other-case
edible leaf           | edible root ~hedged                        | elsewhere   | other-case
edible leaf @young    | edible leaf @old                           | elsewhere   | other-case
edible fruit @ripe    | edible fruit @unripe                       | elsewhere   | other-case
edible seed           | edible -seed                               | elsewhere   | other-case
edible leaf           | edible root; toxic seed                    | elsewhere   | other-case

edible                | edible &other                              | other-taxon | only-other-taxa
edible                | toxic &other; edible &other                | other-taxon | only-other-taxa
edible                | toxic !animals &other                      | other-taxon | only-other-taxa

edible                | edible !animals                            | silent      | only-animals
edible                | toxic !animals                             | silent      | only-animals
edible                | toxic !animals; edible &other              | silent      | only-animals
edible                | toxic &genus                               | silent      | higher-taxon-other-wording
edible                | non-toxic &family                          | silent      | higher-taxon-other-wording
edible                | edible &unclear                            | silent      | unclear-taxon
edible                | toxic &unclear                             | silent      | unclear-taxon
edible leaf           | toxic root                                 | silent      | warns-of-other-case
edible leaf           | toxic whole_plant -leaf                    | silent      | warns-of-other-case
edible fruit          | toxic seed                                 | silent      | warns-of-other-case
edible leaf /boiled   | toxic leaf /raw                            | silent      | warns-of-other-case
edible fruit @ripe    | toxic fruit @unripe                        | silent      | warns-of-other-case
edible                |                                            | silent      | no-word-on-eating
edible                | absent                                     | absent      | not-named

non-toxic             | non-toxic                                  | supports    | same-wording
non-toxic             | non-toxic leaf                             | narrower    | only-under-condition
non-toxic             | non-toxic ~hedged                          | narrower    | hedged
non-toxic             | toxic                                      | contradicts | says-opposite
non-toxic             | non-toxic; toxic                           | mixed       | both-ways
non-toxic             | edible                                     | weaker      | says-other
non-toxic             | inedible                                   | weaker      | says-less
non-toxic             | unpalatable                                | weaker      | says-less
non-toxic fruit       | non-toxic leaf                             | elsewhere   | other-case
unpalatable           | unpalatable                                | supports    | same-wording
unpalatable           | unpalatable @old                           | narrower    | only-under-condition
unpalatable           | edible                                     | weaker      | says-less
unpalatable           | inedible                                   | weaker      | says-other
unpalatable           | toxic                                      | weaker      | says-other
inedible              | inedible                                   | supports    | same-wording
inedible              | edible                                     | contradicts | says-opposite
inedible              | toxic                                      | weaker      | says-other
inedible              | unpalatable                                | weaker      | says-less
inedible              | non-toxic                                  | weaker      | says-less
inedible              | inedible; edible                           | mixed       | both-ways
toxic                 | toxic                                      | supports    | same-wording
toxic                 | toxic root                                 | narrower    | only-under-condition
toxic                 | toxic /raw                                 | narrower    | only-under-condition
toxic                 | toxic #large                               | narrower    | only-under-condition
toxic                 | toxic #small                               | supports    | same-wording
toxic                 | toxic ~hearsay                             | narrower    | hearsay
toxic                 | toxic &genus                               | narrower    | only-higher-taxon
toxic                 | toxic /raw + edible /boiled                | narrower    | warned-under-condition
toxic                 | edible                                     | contradicts | says-opposite
toxic                 | non-toxic                                  | contradicts | says-opposite
toxic                 | non-toxic ~hedged                          | contradicts | says-opposite-hedged
toxic                 | toxic; edible                              | mixed       | both-ways
toxic                 | inedible                                   | weaker      | says-less
toxic                 | unpalatable                                | weaker      | says-less
toxic                 | toxic !animals                             | silent      | only-animals
toxic root            | toxic leaf                                 | elsewhere   | other-case
toxic root            | edible leaf                                | silent      | warns-of-other-case
"""


def rows() -> list[tuple[str, str, str, str]]:
    found = []
    for line in CASES.strip().splitlines():
        if line.strip():
            claimed, said, outcome, name = (each.strip() for each in line.split("|"))
            found.append((claimed, said, outcome, name))
    return found


@pytest.mark.parametrize(("claimed", "said", "outcome", "name"), rows())
def test_outcome(claimed: str, said: str, outcome: str, name: str) -> None:
    verdict = judge(claim(claimed), reading(said))
    assert (verdict.outcome.value, verdict.reasons[0].id) == (outcome, name)


def test_every_outcome_that_one_source_alone_can_have_is_in_the_table() -> None:
    alone = set(Outcome) - {Outcome.OVERSTATES, Outcome.CIRCULAR, Outcome.UNREAD}
    assert {Outcome(row[2]) for row in rows()} == alone


def test_every_wording_is_claimed_in_the_table() -> None:
    assert {row[0].split()[0] for row in rows()} == set(Wording)


def test_reasons_name_the_quote_that_decided() -> None:
    verdict = judge(claim("edible"), reading("edible &genus; toxic"))
    assert verdict.reasons[0].quote == "Sentence 1 about Fictaria silvana: toxic."
    assert str(verdict.reasons[0]).endswith("(says-opposite)")


def test_conditions_that_the_claim_leaves_out_are_named() -> None:
    assert judge(claim("edible"), reading("edible leaf /boiled @young")).conditions == ("leaf", "boiled", "young")
    told = judge(claim("edible"), reading("toxic /raw + edible /boiled")).conditions
    assert told == ("edible: boiled", "toxic: raw")
    assert judge(claim("edible"), reading("edible ~hedged")).conditions == ()
    assert judge(claim("edible"), reading("edible /boiled &genus")).conditions == ("boiled",)


def test_a_condition_that_the_claim_names_is_not_left_out() -> None:
    assert judge(claim("edible leaf"), reading("edible leaf /boiled")).conditions == ("boiled",)


def test_the_statements_whose_citations_are_followed_are_those_that_affirm() -> None:
    verdict = judge(claim("edible leaf"), reading("edible leaf; edible root; non-toxic; edible leaf &other"))
    assert [each.parts for each in verdict.affirming] == [("leaf",)]


def test_denial_has_no_direction() -> None:
    assert all(denies(one, other) == denies(other, one) for one in Wording for other in Wording)
    assert all(sorted(order) == sorted(Wording) for order in STRENGTH.values())
    assert not any(denies(one, one) for one in Wording)


def test_a_page_with_thousands_of_statements_is_judged_at_once_and_never_in_favour() -> None:
    many = [f"edible leaf @stage{number}" for number in range(3000)] + [f"toxic @stage{n}" for n in range(3000)]
    assert judge(claim("edible leaf"), reading("; ".join(many))).outcome is Outcome.MIXED


PARTS = ["", "leaf", "root", "fruit", "seed", "whole_plant", "leaf,root"]
said_of_ours = st.builds(
    lambda *words: " ".join(word for word in words if word),
    st.sampled_from(list(Wording)),
    st.sampled_from(PARTS),
    st.sampled_from(["", "/raw", "/boiled", "/cooked", "/leached"]),
    st.sampled_from(["", "@young", "@ripe", "@unripe"]),
    st.sampled_from(["", "#large", "#small"]),
    st.sampled_from(["", "~hedged", "~hearsay"]),
    st.sampled_from(["", "&genus", "&other", "&unclear"]),
    st.sampled_from(["", "!animals"]),
)
claimed_of_ours = st.builds(
    lambda *words: " ".join(word for word in words if word),
    st.sampled_from(list(Wording)),
    st.sampled_from(PARTS),
    st.sampled_from(["", "/raw", "/boiled", "/cooked"]),
    st.sampled_from(["", "@young", "@ripe"]),
)


@given(claimed_of_ours, st.lists(said_of_ours, max_size=5))
def test_the_table_is_total_and_always_gives_a_reason(claimed: str, said: list[str]) -> None:
    verdict = judge(claim(claimed), reading("; ".join(said)))
    assert verdict.reasons
    assert all(each.text for each in verdict.reasons)


@given(claimed_of_ours, st.lists(said_of_ours, max_size=5), st.randoms(use_true_random=False))
def test_the_order_of_statements_does_not_matter(claimed: str, said: list[str], random: object) -> None:
    found = reading("; ".join(said))
    mixed = list(found.statements)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert judge(claim(claimed), found).outcome is judge(claim(claimed), Reading(tuple(mixed), named=True)).outcome


@given(claimed_of_ours, said_of_ours)
def test_nothing_but_a_statement_of_the_same_wording_on_the_same_taxon_or_above_supports(
    claimed: str, said: str
) -> None:
    verdict = judge(claim(claimed), reading(said))
    one = statement(said)
    if verdict.outcome is Outcome.SUPPORTS:
        assert one.wording is claim(claimed).wording
        assert one.about is About.TAXON
        assert one.certainty == "stated"
        assert one.eater == "people"
    if verdict.outcome is Outcome.NARROWER:
        assert one.wording is claim(claimed).wording


@given(st.sampled_from(PARTS), st.lists(said_of_ours, max_size=4))
def test_a_bare_warning_of_the_taxon_never_leaves_an_edible_claim_supported(part: str, said: list[str]) -> None:
    claimed = claim(f"edible {part}")
    found = reading("; ".join([*said, "toxic whole_plant"]))
    assert judge(claimed, found).outcome in (Outcome.CONTRADICTS, Outcome.MIXED, Outcome.NARROWER, Outcome.SUPPORTS)
    if not any(each.preparations or each.stages or each.amount for each in found.statements):
        assert judge(claimed, found).outcome in (Outcome.CONTRADICTS, Outcome.MIXED)
