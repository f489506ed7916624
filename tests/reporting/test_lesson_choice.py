"""Which sentences a lesson asks about, what each teaches, and that the choice is the same on every machine."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_audits import CLAIM, CONTRADICTED, CORROBORATED, HARMLESS, STRETCHED, WEAKER

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import About, Certainty, Eater, Outcome, Statement, Taxon, Wording
from doubtwort.reporting.lesson import make_lesson
from doubtwort.reporting.lesson_choose import LONGEST_SENTENCE, candidates_of
from doubtwort.reporting.lesson_words import KIND_TEACHES, KIND_TITLE, NOTHING, QUESTIONS, Kind
from doubtwort.reporting.view import view_audit
from lesson_audits import a_lesson, invented

# What the invented pages say, labelled by hand: taxon, a piece of the sentence, kind, wording, whose, support.
LABELLED = [
    ("Hesitanthus cinereus", "said to be edible", "hearsay", "edible", "taxon", "narrower"),
    ("Dubiocarpus pronus", "is not edible", "negation", "inedible", "taxon", "contradicts"),
    ("Vaguelia serena", "not known to be poisonous", "negation", "non-toxic", "taxon", "weaker"),
    ("Nusquamia alta", "Thrushes eat", "animals", "nothing", "taxon", "nothing"),
    ("Fictaria praecox", "leaves of late fictwort", "other-taxon", "edible", "other", "nothing"),
    ("Hesitanthus altus", "but the seeds are not", "negation", "edible inedible", "taxon", "contradicts"),
    ("Fabulella cauta", "may be edible", "hearsay", "edible", "taxon", "narrower"),
    ("Nusquamia cocta", "edible when boiled", "faithful", "edible", "taxon", "supports"),
    ("Dubiocarpus latens", "leaves of hidden doubtfruit", "condition", "edible", "taxon", "elsewhere"),
    ("Fictaria silvana", "Fictwort is harmless", "less", "non-toxic", "taxon", "weaker"),
    ("Fictaria silvana", "not worth eating", "less", "unpalatable", "taxon", "weaker"),
    ("Fictaria silvana", "Fictwort is edible", "borrowed", "edible", "taxon", "supports"),
    ("Dubiocarpus dulcis", "All species of Dubiocarpus", "genus", "edible", "genus", "narrower"),
    ("Dubiocarpus amarus", "poisonous raw, but edible", "condition", "edible toxic", "taxon", "narrower"),
    ("Apocrypharia nigra", "All parts of black apocryph", "opposite", "toxic", "taxon", "contradicts"),
    ("Apocrypharia nigra", "root of rough vaguewort", "other-taxon", "toxic", "other", "nothing"),
    ("Nusquamia rotunda", "good to eat", "borrowed", "edible", "taxon", "supports"),
    ("Vaguelia aspera", "the root is edible", "faithful", "edible", "taxon", "supports"),
]


@pytest.mark.parametrize(("taxon", "piece", "kind", "wording", "whose", "support"), LABELLED)
def test_every_sentence_has_the_answers_that_it_was_written_for(taxon, piece, kind, wording, whose, support):
    found = [
        each
        for audit in invented()
        if audit.claim.taxon.scientific_name == taxon
        for each in candidates_of(audit)
        if piece in " ".join(each.statements[0].quote.split())
    ]
    assert found
    for each in found:
        assert each.kind == kind
        assert each.answer == (frozenset(wording.split()), frozenset((whose,)), frozenset((support,)))


def test_a_lesson_of_ten_teaches_every_kind_of_error_once():
    lesson = a_lesson()
    assert {each.kind for each in lesson.exercises} == set(Kind)
    assert [each.number for each in lesson.exercises] == list(range(1, 11))
    assert lesson.lacking == ()
    assert len({each.sentence for each in lesson.exercises}) == 10


@pytest.mark.parametrize("seed", range(6))
def test_the_same_seed_makes_the_same_lesson_whatever_the_order_of_the_notebook(seed):
    backwards = make_lesson(tuple(reversed(invented())), view_audit, seed=seed)
    assert [each.id for each in backwards.exercises] == [each.id for each in a_lesson(seed=seed).exercises]


def test_another_seed_makes_another_lesson():
    lessons = {tuple(each.id for each in a_lesson(seed=seed).exercises) for seed in range(6)}
    assert len(lessons) > 3


def test_the_default_lesson_stays_the_one_whose_hand_outs_are_in_use():
    # Ids are part of the answers that a class hands in: a change here breaks answers that were written down.
    assert [each.id for each in a_lesson().exercises][:3] == ["x14759b7", "x14d269d", "x0691f55"]


def test_kinds_come_one_after_the_other_and_a_true_source_is_never_far():
    assert {each.kind for each in a_lesson(count=2).exercises} == {Kind.LESS, Kind.FAITHFUL}
    for count in range(1, 25):
        kinds = [each.kind for each in a_lesson(count=count).exercises]
        assert len(kinds) == count
        assert max(map(kinds.count, kinds)) <= -(-count // 10) + 1


def test_more_exercises_than_there_are_gives_all_of_them_and_none_twice():
    lesson = a_lesson(count=60)
    assert 20 < len(lesson.exercises) < 60
    assert len({(each.taxon, each.sentence) for each in lesson.exercises}) == len(lesson.exercises)


@pytest.mark.parametrize("count", [0, -1, 61, 10**9])
def test_a_count_out_of_bounds_is_refused(count):
    with pytest.raises(CallError, match="1 to 60 exercises"):
        a_lesson(count=count)


def test_audits_without_a_sentence_make_no_lesson():
    with pytest.raises(DoubtwortError, match="sentence to ask about"):
        a_lesson([replace(STRETCHED, sources=())])


def test_kinds_without_an_example_are_named():
    lesson = a_lesson([STRETCHED])
    assert [each.kind for each in lesson.exercises] == [Kind.LESS]
    assert set(lesson.lacking) == set(Kind) - {Kind.LESS}


def test_a_statement_of_an_unclear_taxon_is_no_exercise():
    quotes = {each.sentence for each in a_lesson([CORROBORATED]).exercises}
    assert "It may be edible." not in quotes
    assert "Most species of Fictaria are poisonous." in quotes


def only(*statements, claim=CLAIM, outcome=Outcome.SILENT):
    audit = replace(STRETCHED, claim=claim, sources=(replace(WEAKER, outcome=outcome, statements=statements),))
    return tuple(candidates_of(audit))


def test_a_sentence_of_two_taxa_wants_both_of_them_and_teaches_whose_it_is():
    quote = "Unlike deadly vaguelia, fictwort is eaten."
    (found,) = only(
        Statement(quote, Wording.TOXIC, About.OTHER, subject="vaguelia"),
        Statement(quote, Wording.EDIBLE, About.TAXON, parts=("leaf",)),
    )
    assert found.kind is Kind.OTHER_TAXON
    assert found.answer == (frozenset({"edible", "toxic"}), frozenset({"taxon", "other"}), frozenset({"supports"}))


def test_what_animals_eat_is_no_word_on_people():
    (found,) = only(replace(HARMLESS, wording=Wording.TOXIC, eater=Eater.ANIMALS))
    assert (found.kind, found.answer[0], found.answer[2]) == (Kind.ANIMALS, {NOTHING}, {NOTHING})


def test_a_source_against_a_warning_is_the_opposite_of_what_is_claimed():
    (found,) = only(replace(HARMLESS, wording=Wording.EDIBLE), claim=replace(CLAIM, wording=Wording.TOXIC, parts=()))
    assert (found.kind, found.answer[2]) == (Kind.OPPOSITE, {"contradicts"})


def test_a_sentence_too_long_for_paper_is_left_out():
    assert only(replace(HARMLESS, quote="x" * (LONGEST_SENTENCE + 1))) == ()
    assert len(only(replace(HARMLESS, quote="x" * LONGEST_SENTENCE))) == 1


def test_a_hedged_denial_is_a_negation_and_not_hearsay():
    (found,) = only(replace(HARMLESS, certainty=Certainty.HEDGED, rules=("toxic-adjective", "no-evidence")))
    assert found.kind is Kind.NEGATION


def test_warnings_of_every_plant_of_the_lesson_go_with_it():
    lesson = a_lesson([CONTRADICTED])
    assert [each.danger.text for each in lesson.dangers] == [each.text for each in view_audit(CONTRADICTED).dangers]
    assert lesson.warned[0][0] == "Fictaria silvana"


def test_a_claim_that_warns_adds_that_low_support_is_no_evidence_of_safety():
    warning = replace(CONTRADICTED, claim=replace(CLAIM, wording=Wording.TOXIC))
    assert any("never evidence of safety" in each.text for each in a_lesson([warning]).standing)
    assert not any("never evidence of safety" in each.text for each in a_lesson([CONTRADICTED]).standing)


def test_only_the_plants_that_are_asked_about_are_looked_at():
    asked = []
    make_lesson(invented(), lambda audit: asked.append(audit.claim.id) or view_audit(audit), count=2)
    assert len(asked) == 2


def test_every_kind_has_its_words_and_no_answer_is_outside_its_question():
    assert set(KIND_TITLE) == set(KIND_TEACHES) == set(Kind)
    for exercise in a_lesson(count=60).exercises:
        for question, right in zip(QUESTIONS, exercise.answer, strict=True):
            assert right
            assert set(right) <= {each.word for each in question.choices}
            assert question.several or len(right) == 1


def test_an_odd_taxon_makes_a_lesson_too():
    odd = replace(STRETCHED, claim=replace(CLAIM, taxon=Taxon("")))
    assert a_lesson([odd]).exercises[0].taxon == ""


@pytest.mark.parametrize("seed", range(6))
def test_plants_are_as_varied_as_the_claims_allow(seed):
    plants = [each.taxon for each in a_lesson(seed=seed).exercises]
    assert len(set(plants)) >= 9


def test_beside_people_what_animals_eat_of_another_taxon_does_not_count():
    quote = "Fictwort is eaten; goats eat vaguelia."
    (found,) = only(
        replace(HARMLESS, quote=quote, wording=Wording.EDIBLE, parts=("leaf",)),
        Statement(quote, Wording.EDIBLE, About.OTHER, Eater.ANIMALS, subject="vaguelia"),
    )
    assert (found.kind, found.answer[1]) == (Kind.FAITHFUL, {"taxon"})


def test_a_lesson_says_how_to_make_it_again():
    assert a_lesson(count=4, seed=7).made_by == "doubtwort lesson --count 4 --seed 7"
