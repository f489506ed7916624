"""The view: danger before all else, every source in its place, the trail as a tree without endless circles."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_audits import ALL, CLAIM, CONTRADICTED, CORROBORATED, LEAFLET, POISONOUS, STRETCHED

from doubtwort.model import (
    About,
    Caution,
    Certainty,
    Citation,
    Grounds,
    Outcome,
    Rating,
    Shift,
    Step,
    UnreadReason,
    Wording,
)
from doubtwort.reporting import words
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.view import all_cautions, view_audit
from doubtwort.taxa.hazards import load_hazards

NOT_SAFE = standing_cautions(None)[0]


def test_contradicting_statements_come_first():
    dangers = view_audit(CONTRADICTED).dangers
    assert dangers[0].text == "Poisonous (root, raw), says s3 of this taxon."
    assert dangers[0].quote.text == POISONOUS.quote
    assert dangers[0].quote.place == "page 2, characters 20–58"
    assert [each.text for each in dangers[1:]] == ["It is confused with the deadly Vaguelia mollis."]


def test_toxic_statements_are_shown_beside_a_good_rating():
    view = view_audit(CORROBORATED)
    assert [each.quote.text for each in view.dangers] == ["Most species of Fictaria are poisonous."]
    assert view.dangers[0].text == "Poisonous, says s1 of the genus Fictaria."
    assert not view.alarming


def test_animals_and_other_taxa_raise_no_alarm_and_are_still_quoted():
    quotes = {each.text: each for each in view_audit(CORROBORATED).sources[0].quotes}
    goats = quotes["Fictwort is poisonous to goats."]
    other = quotes["Vaguelia aspera is deadly."]
    assert (goats.dangerous, goats.conditions) == (False, ("for animals",))
    assert (other.dangerous, other.about) == (False, "another taxon (Vaguelia aspera)")
    assert quotes["It may be edible."].conditions == ("hedged",)


def test_not_edible_is_a_danger_only_where_it_contradicts():
    inedible = replace(POISONOUS, wording=Wording.INEDIBLE, quote="It is not edible.")
    against = replace(CONTRADICTED, cautions=(), sources=(replace(LEAFLET, statements=(inedible,)),))
    assert [each.text for each in view_audit(against).dangers] == ["Not edible (root, raw), says s3 of this taxon."]
    silent = replace(against, sources=(replace(LEAFLET, outcome=Outcome.ELSEWHERE, statements=(inedible,)),))
    assert view_audit(silent).dangers == ()


def test_a_toxic_caution_without_a_quoted_statement_is_kept():
    bare = replace(CONTRADICTED, sources=(replace(LEAFLET, statements=()),))
    assert view_audit(bare).dangers[0].text == "A source on the trail calls it poisonous."


def test_what_is_known_from_a_list_names_the_list():
    lookalike = view_audit(CONTRADICTED).dangers[1]
    assert (lookalike.cited, lookalike.source_id) == ("hazards", "")


@pytest.mark.parametrize(
    ("cited", "title"), [("2", "http://a.example/"), ("[12]", "http://a.example/"), ("Ode", "Ode")]
)
def test_a_bare_mark_is_no_title(cited, title):
    source = replace(STRETCHED.sources[1], url="http://a.example/", citation=Citation("k", cited))
    assert view_audit(replace(STRETCHED, sources=(source,))).unread[0].title == title


def test_read_and_unread_sources_are_told_apart():
    view = view_audit(STRETCHED)
    assert [each.id for each in view.sources] == ["s1"]
    assert view.unread[0].title == "E. Mirage (1979): Almanac of Nowhere"
    assert view.unread[0].unread.startswith("offline-work: ")


def test_trail_is_a_tree_that_opens_each_source_once():
    (first, second) = view_audit(CONTRADICTED).trail
    assert (first.source_id, first.again) == ("s1", False)
    assert first.shift.startswith("strengthened")
    leaflet = first.below[0]
    assert [(each.source_id, each.again, each.below) for each in leaflet.below] == [
        ("claim", True, ()),
        ("s1", True, ()),
    ]
    assert second.source_id == "s2"


def test_a_source_cited_for_the_opposite_is_said_to_be_so():
    audit = replace(
        CONTRADICTED, trail=(Step("claim", "s3", Shift.STRENGTHENED), Step("claim", "s1", Shift.STRENGTHENED))
    )
    assert [each.shift for each in view_audit(audit).trail] == [
        "strengthened: cited for the opposite of what it says",
        "strengthened: cited for more than it says",
    ]


def test_trail_of_many_sources_in_a_row_is_no_trouble():
    steps = [Step("claim", "s1"), *(Step(f"s{n}", f"s{n + 1}") for n in range(1, 200))]
    rungs = view_audit(replace(STRETCHED, trail=tuple(steps))).trail
    depth = 0
    while rungs:
        depth, rungs = depth + 1, rungs[0].below
    assert depth == 200


@pytest.mark.parametrize("audit", ALL, ids=lambda audit: audit.rating.value)
def test_standing_cautions_stand_under_every_audit(audit):
    view = view_audit(audit)
    assert NOT_SAFE in view.standing
    assert NOT_SAFE in all_cautions(audit)
    assert not any("never evidence of safety" in each.text for each in view.standing)


def test_little_support_for_a_warning_is_no_evidence_of_safety():
    warning = replace(STRETCHED, claim=replace(CLAIM, wording=Wording.TOXIC), rating=Rating.UNSUPPORTED)
    assert view_audit(warning).standing[0].text.endswith("is never evidence of safety.")
    assert NOT_SAFE in view_audit(warning).standing


def test_the_table_of_cautions_is_the_one_source_of_the_standing_ones():
    table = tuple(Caution(each.code, each.text, each.citation) for each in load_hazards().standing)
    assert standing_cautions(None) == table
    assert view_audit(STRETCHED).standing == table
    earlier = Caution("not-safe", "An earlier version of the words.")
    invented = Caution("animals-no-guide", "That animals eat it proves nothing for people.", "a manual")
    audit = replace(STRETCHED, cautions=(*STRETCHED.cautions, table[0], earlier, invented))
    assert view_audit(audit).standing == (*table, invented)
    assert all_cautions(audit).count(NOT_SAFE) == 1
    assert view_audit(audit).cautions == STRETCHED.cautions


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        (words.RATING_SAYS, Rating),
        (words.OUTCOME_SAYS, Outcome),
        (words.UNREAD_SAYS, UnreadReason),
        (words.GROUNDS_SAYS, Grounds),
        (words.SHIFT_SAYS, Shift),
        (words.ABOUT_SAYS, About),
        (words.CERTAINTY_SAYS, Certainty),
    ],
)
def test_every_fixed_word_has_its_clause(table, kind):
    assert set(table) == set(kind)


def test_no_clause_calls_anything_safe():
    said = [*words.RATING_SAYS.values(), *words.OUTCOME_SAYS.values(), *words.GROUNDS_SAYS.values()]
    assert not [each for each in said if "safe" in each or "harmless" in each]
