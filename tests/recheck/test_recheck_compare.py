"""What two audits of one claim differ in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from doubtwort.model import (
    About,
    Audit,
    Citation,
    Claim,
    Outcome,
    Rating,
    Source,
    Statement,
    Taxon,
    UnreadReason,
    Wording,
)
from doubtwort.recheck import Difference, differences

CLAIM = Claim("c1", Taxon("Fictaria silvana"), Wording.EDIBLE, "The leaves are edible.", "http://herb.example/f")
HERE = "http://a.example/"
SAID = Statement("The young leaves of fictwort are eaten.", Wording.EDIBLE, About.TAXON, parts=("leaf",))
SOURCE = Source("s1", HERE, "A", 1, ("claim",), Outcome.SUPPORTS, statements=(SAID,))
BEFORE = Audit(CLAIM, Rating.SUPPORTED, (), (), (SOURCE,), ())
DIED = replace(SOURCE, outcome=Outcome.UNREAD, reason=UnreadReason.GONE, detail="HTTP 410", statements=())


def with_source(**changes) -> Audit:
    return replace(BEFORE, sources=(replace(SOURCE, **changes),))


def said(quote, wording=Wording.EDIBLE, about=About.TAXON, parts=("leaf",)):
    return Statement(quote, wording, about, parts=parts)


@pytest.mark.parametrize(
    ("after", "found"),
    [
        (BEFORE, ()),
        (replace(BEFORE, audited_at="2027-01-01T00:00:00Z"), ()),
        (with_source(id="s7", title="Another title", fetched_at="2027"), ()),
        (with_source(statements=(SAID, said("Nettles are eaten.", about=About.OTHER))), ()),
        (replace(BEFORE, rating=Rating.DISPUTED), (Difference("rating", "", "supported", "disputed"),)),
        (
            replace(BEFORE, claim=replace(CLAIM, quote="Some eat it.", url="http://herb.example/new")),
            (
                Difference("claim-sentence", "", "The leaves are edible.", "Some eat it."),
                Difference("page-moved", "", "http://herb.example/f", "http://herb.example/new"),
            ),
        ),
        (replace(BEFORE, sources=(DIED,)), (Difference("source-died", HERE, "supports", "gone (HTTP 410)"),)),
        (replace(BEFORE, sources=()), (Difference("source-gone", HERE, "supports", ""),)),
        (
            replace(BEFORE, sources=(SOURCE, replace(SOURCE, id="s2", url="http://b.example/"))),
            (Difference("source-new", "http://b.example/", "", "supports"),),
        ),
        (with_source(outcome=Outcome.NARROWER), (Difference("outcome", HERE, "supports", "narrower"),)),
        (
            with_source(statements=(said("The young leaves of fictwort are not eaten.", Wording.INEDIBLE),)),
            (
                Difference(
                    "sentence",
                    HERE,
                    "edible [leaf]: “The young leaves of fictwort are eaten.”",
                    "inedible [leaf]: “The young leaves of fictwort are not eaten.”",
                ),
            ),
        ),
        (
            with_source(statements=(said(SAID.quote, Wording.TOXIC),)),
            (Difference("wording", HERE, f"edible [leaf]: “{SAID.quote}”", f"toxic [leaf]: “{SAID.quote}”"),),
        ),
        (
            with_source(statements=(said("Whoever swallows its seed dies.", Wording.TOXIC, parts=("seed",)),)),
            (
                Difference("statement-gone", HERE, f"edible [leaf]: “{SAID.quote}”", ""),
                Difference("statement-new", HERE, "", "toxic [seed]: “Whoever swallows its seed dies.”"),
            ),
        ),
    ],
)
def test_differences(after, found):
    assert differences(BEFORE, after) == found


def test_a_link_that_lives_again_and_a_reason_that_changed():
    dead = replace(BEFORE, sources=(DIED,))
    assert differences(dead, dead) == ()
    assert differences(dead, BEFORE) == (Difference("source-back", HERE, "gone (HTTP 410)", "supports"),)
    other = replace(BEFORE, sources=(replace(DIED, reason=UnreadReason.TIMEOUT, detail=""),))
    assert differences(dead, other) == (Difference("outcome", HERE, "gone (HTTP 410)", "timeout"),)


def test_sentences_are_paired_with_those_most_like_them():
    one, two = said("Leaves are eaten raw in spring."), said("Roots are eaten boiled in autumn.")
    new_one, new_two = said("Leaves are eaten raw in early spring."), said("Roots are eaten boiled in late autumn.")
    before, after = with_source(statements=(one, two)), with_source(statements=(new_two, new_one))
    assert [(each.before, each.after) for each in differences(before, after)] == [
        ("edible [leaf]: “Leaves are eaten raw in spring.”", "edible [leaf]: “Leaves are eaten raw in early spring.”"),
        (
            "edible [leaf]: “Roots are eaten boiled in autumn.”",
            "edible [leaf]: “Roots are eaten boiled in late autumn.”",
        ),
    ]


def test_works_without_an_address_are_told_apart_by_their_text():
    def book(number):
        text = f"Alder {number}. Herbs."
        return Source(f"s{number}", "", "", 1, (), Outcome.UNREAD, reason=UnreadReason.OFFLINE_WORK,
                      citation=Citation(str(number), text))  # fmt: skip

    before, after = replace(BEFORE, sources=(book(1), book(2))), replace(BEFORE, sources=(book(2), book(3)))
    assert [(each.what, each.source) for each in differences(before, after)] == [
        ("source-new", "Alder 3. Herbs."),
        ("source-gone", "Alder 1. Herbs."),
    ]
