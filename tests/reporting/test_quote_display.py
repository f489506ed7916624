"""A quote as shown: cue words marked, the words around it, its facts; and what would settle the question."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from large_audits import EDIBLE, many
from sample_audits import ALL, CONTRADICTED, CORROBORATED, HARMLESS, POISONOUS, STRETCHED, WEAKER

from doubtwort.model import About, Document, Eater, Outcome, Passage, Rating, Statement, UnreadReason, Wording
from doubtwort.reporting.context import CLAIM_KEY, REACH, contexts_of, words_around
from doubtwort.reporting.cuemarks import marked
from doubtwort.reporting.quotes import quote_of, says_of_taxon
from doubtwort.reporting.reasons import why_of
from doubtwort.reporting.settle import settles
from doubtwort.reporting.view import view_audit


def words(quote, rules, values=()):
    return [(text, kind) for text, kind in marked(quote, rules, values) if kind]


def test_the_words_of_the_named_rules_are_marked_and_no_others():
    quote = "The root is poisonous, the leaves are edible."
    assert words(quote, ("toxic-adjective",)) == [("poisonous", "wording")]
    assert words(quote, ("edible-adjective",), ("leaf",)) == [("leaves", "condition"), ("edible", "wording")]
    assert words(quote, ("no-such-rule",)) == []


def test_marks_keep_the_writer_s_own_letters():
    quote = "Said to be “NON–TOXIC”, and the ﬂowers edi\u00adble."
    assert "".join(text for text, _ in marked(quote, ("edible-adjective",), ("flower",))) == quote
    assert words(quote, ("edible-adjective",)) == [("edi\u00adble", "wording")]


@given(st.text(max_size=200))
def test_the_pieces_are_the_quote(quote):
    assert "".join(text for text, _ in marked(quote, ("toxic-adjective", "edible-adjective"), ("root", "raw"))) == quote


PAGE = Document(
    "http://herb.example/",
    "",
    (Passage("Uses", "heading"), Passage("Roots kill. Leaves are eaten. Buds too.", start=6)),
)


def test_the_words_around_a_quote_are_those_of_its_own_passage():
    assert words_around(PAGE, "Leaves are eaten.", 18) == ("Roots kill. ", " Buds too.")
    assert words_around(PAGE, "Roots kill.", 6) == ("", " Leaves are eaten. Buds too.")
    assert words_around(PAGE, "Leaves are eaten.", 3) == ("Roots kill. ", " Buds too.")  # moved: found again
    assert words_around(PAGE, "Nobody eats it.", 18) is None
    assert words_around(PAGE, "") is None


def test_long_surroundings_are_cut_at_words():
    page = Document("", "", (Passage(f"{'before ' * 90}Leaves are eaten.{' after' * 90}"),))
    before, after = words_around(page, "Leaves are eaten.")
    assert before.startswith("… before ")
    assert before.endswith("before ")
    assert after.startswith(" after")
    assert after.endswith("after …")
    assert len(before) <= REACH + 2
    assert len(after) <= REACH + 2


def test_surroundings_reach_the_view():
    quoted = replace(WEAKER, statements=(replace(HARMLESS, quote="Leaves are eaten."),))
    audit = replace(STRETCHED, claim=replace(STRETCHED.claim, quote="Roots kill."), sources=(quoted,))
    contexts = contexts_of(audit, PAGE, lambda source: PAGE)
    view = view_audit(audit, contexts)
    assert contexts[CLAIM_KEY] == ("", " Leaves are eaten. Buds too.")
    assert (view.claim_after, view.sources[0].quotes[0].before) == (" Leaves are eaten. Buds too.", "Roots kill. ")
    assert contexts_of(audit, None, lambda source: None) == {}


def test_what_is_said_of_the_taxon_goes_before_what_is_said_of_its_genus():
    genus = Statement("Most are poisonous.", Wording.TOXIC, About.GENUS)
    goats = Statement("Goats eat it.", Wording.EDIBLE, About.TAXON, Eater.ANIMALS)
    assert says_of_taxon((genus, EDIBLE, EDIBLE, POISONOUS)) == ("edible", "toxic")
    assert says_of_taxon((genus, goats)) == ("of the genus: toxic",)
    assert says_of_taxon((replace(EDIBLE, about=About.OTHER),)) == ()


def test_the_facts_name_part_preparation_certainty_and_whose_statement_it_is():
    facts = dict(quote_of(POISONOUS, STRETCHED.claim.taxon, "http://herb.example/a").facts)
    assert facts == {
        "says": "toxic",
        "of": "this taxon",
        "part": "root",
        "preparation": "raw",
        "eaten by": "people",
        "certainty": "stated",
    }


def test_reasons_are_taken_apart_and_stay_in_order():
    made = why_of(["Sources disagree: s1, s2. (disputed)", "s2: It says (so). “x” (says-opposite)", "no name"])
    assert [(each.source, each.text, each.name) for each in made] == [
        ("", "Sources disagree: s1, s2.", "disputed"),
        ("s2", "It says (so). “x”", "says-opposite"),
        ("", "no name", ""),
    ]


@pytest.mark.parametrize("why", list(UnreadReason))
def test_every_unread_source_has_a_way_to_look_it_up(why):
    unread = replace(WEAKER, id="s9", outcome=Outcome.UNREAD, reason=why, statements=())
    assert any("s9" in each for each in settles(replace(STRETCHED, sources=(unread,))))


@pytest.mark.parametrize("rating", list(Rating))
def test_no_step_promises_safety(rating):
    for audit in (*ALL, many(60)):
        for claimed in Wording:
            claim = replace(audit.claim, wording=claimed)
            for each in settles(replace(audit, claim=claim, rating=rating)):
                assert "safe" not in each.lower()


def test_a_contradiction_is_to_be_settled_first_and_the_warning_stands_until_then():
    assert "the warning stands" in settles(CONTRADICTED)[0]
    assert "s3" in settles(CONTRADICTED)[0]
    assert any("It cites nothing" in each or "it cites nothing" in each for each in settles(CORROBORATED))


@pytest.mark.parametrize("outcome", [Outcome.NARROWER, Outcome.OVERSTATES, Outcome.CIRCULAR, Outcome.CONTRADICTS])
def test_what_is_open_about_a_source_names_it(outcome):
    open_ = replace(WEAKER, id="s7", outcome=outcome)
    assert any("s7" in each for each in settles(replace(STRETCHED, sources=(open_,))))
