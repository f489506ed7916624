"""The second reader: how it cuts and scores a sentence, and what the two readers come to together."""

from __future__ import annotations

import math

import numpy as np
import pytest

from doubtwort.model import About, Certainty, Eater, Taxon, Wording
from doubtwort.reading import read_text
from doubtwort.wording import explain_document, read_document
from doubtwort.wording.classify import parse
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.rules import Role, Rule
from doubtwort.wording.second import opinion_of, subject_words, worth_asking
from doubtwort.wording.second.encoder import LONGEST, _gelu, _Layer, _Linear, _Norm, encoder
from doubtwort.wording.second.opinion import DOUBTS, WORDINGS, Opinion
from doubtwort.wording.second.pieces import PLANT, cut, numbers
from doubtwort.wording.second_look import BARS, SECOND, missed, reassign, withhold

FICTWORT = Taxon("Fictaria silvana", (), ("fictwort",))


def pieces(text: str) -> list[str]:
    known = {number: piece for piece, number in numbers().items()}
    return [known[each] for each in cut(text, LONGEST).numbers]


# ---------------------------------------------------------------- pieces


def test_a_known_word_is_one_piece_and_an_unknown_one_its_longest_parts() -> None:
    assert pieces("edible roots") == ["[begin]", "edible", "roots", "[end]"]
    assert "".join(each.removeprefix("##") for each in pieces("unpalatability")[1:-1]) == "unpalatability"
    assert pieces("crème") == pieces("creme")
    assert pieces("☃")[1] == "[unknown]"


def test_spans_point_at_the_words_in_the_text() -> None:
    text = "the pounded roots of [plant]."
    found = cut(text, LONGEST)
    assert {text[low:high] for low, high in found.spans} == {"", "the", "pounded", "roots", "of", PLANT, "."}
    assert len(found.spans) == len(found.numbers)


def test_a_long_text_is_cut_short() -> None:
    assert len(cut("edible " * 5000, LONGEST).numbers) == LONGEST
    assert len(cut("x" * 100_000, LONGEST).numbers) == 3


# ---------------------------------------------------------------- the network


def test_gelu_is_that_of_its_paper() -> None:
    # Hendrycks and Gimpel 2016: x times the normal distribution's share below x; the form with tanh is within 0.001.
    for x in (-3.0, -1.0, -0.1, 0.0, 0.5, 2.0):
        exact = x * 0.5 * (1 + math.erf(x / math.sqrt(2)))
        assert float(_gelu(np.float32(x))) == pytest.approx(exact, abs=0.001)


def test_a_norm_gives_mean_zero_and_spread_one() -> None:
    rows = np.random.default_rng(1).normal(3, 5, (4, 12)).astype(np.float32)
    made = _Norm(np.ones(12, np.float32), np.zeros(12, np.float32))(rows)
    assert np.allclose(made.mean(-1), 0, atol=1e-5)
    assert np.allclose(made.std(-1), 1, atol=1e-4)


def test_attention_with_equal_keys_is_the_mean_of_all_values() -> None:
    width, chance = 24, np.random.default_rng(2)
    values = chance.normal(size=(width, width)).astype(np.float32)
    silent = np.zeros((width, 2 * width), np.float32)
    same = _Linear(np.concatenate([silent, values], axis=1), np.zeros(3 * width, np.float32))
    none = _Linear(np.zeros((width, width), np.float32), np.zeros(width, np.float32))
    norm = _Norm(np.ones(width, np.float32), np.zeros(width, np.float32))
    x = chance.normal(size=(5, width)).astype(np.float32)
    attended = _Layer(same, none, norm, none, none, norm)._attended(x)
    assert np.allclose(attended, (x @ values).mean(0), atol=1e-4)


def test_every_piece_gets_a_score_for_every_output() -> None:
    found = cut("the seeds are not edible.", LONGEST)
    scores = encoder().scores(found.numbers)
    assert scores.shape == (len(found.numbers), 2 * len(WORDINGS) + len(DOUBTS))
    assert np.isfinite(scores).all()
    assert np.array_equal(scores, encoder().scores(found.numbers))


# ---------------------------------------------------------------- opinions


@pytest.mark.parametrize(
    ("text", "wording"),
    [
        ("the pounded roots were kneaded into a grey loaf in hungry years.", Wording.EDIBLE),
        ("three guests were buried within the week after a salad of it.", Wording.TOXIC),
        ("no ill effects have followed from its use.", Wording.NON_TOXIC),
        ("so bitter that nobody takes a second mouthful.", Wording.UNPALATABLE),
        ("it should never be eaten.", Wording.INEDIBLE),
    ],
)
def test_it_finds_what_is_said_in_words_of_its_own(text: str, wording: Wording) -> None:
    found = opinion_of(text, 0, len(text), [], PLANT)
    assert max(WORDINGS, key=found.chance) is wording
    low, high = found.seats[wording]
    assert text[low:high].isalpha()


def test_a_name_is_hidden_and_the_seat_points_into_the_whole_text() -> None:
    text = "tall. the roots of fictwort fed the poor."
    start = text.index("the roots")
    name = text.index("fictwort")
    found = opinion_of(text, start, len(text), [(name, name + 8)], "")
    assert "fictwort" not in found.text
    assert PLANT in found.text
    assert all(start <= low <= high <= len(text) for low, high in found.seats.values())


def test_the_word_where_it_is_seated_is_the_first_of_those_that_tell() -> None:
    text = "the berries make an excellent jam."
    found = opinion_of(text, 0, len(text), [], PLANT)
    assert found.told[Wording.EDIBLE][0] == text[slice(*found.seats[Wording.EDIBLE])]
    assert set(found.told[Wording.EDIBLE]) <= set(text[:-1].split())


def test_the_subject_so_far_is_told_in_the_taught_words() -> None:
    assert subject_words(About.TAXON, "Fictaria silvana") == PLANT
    assert subject_words(About.OTHER, "Brindlea alta") == "brindlea alta"
    assert subject_words(About.UNCLEAR, "") == ""


def test_most_plain_description_is_not_asked_about() -> None:
    assert worth_asking([b"the", b"pounded", b"roots", b"were", b"kneaded", b"into", b"loaves"])
    assert not worth_asking([b"leaves", b"opposite", b"ovate", b"margins", b"serrate", b"petioles", b"short"])


# ---------------------------------------------------------------- both readers


def opinion(**chances: float) -> Opinion:
    of_plant = {each: chances.get(each.name.lower(), 0.0) for each in WORDINGS}
    of_other = {each: chances.get(f"other_{each.name.lower()}", 0.0) for each in WORDINGS}
    doubts = {Certainty.HEDGED: chances.get("hedged", 0.0), Certainty.HEARSAY: chances.get("hearsay", 0.0)}
    return Opinion(
        "", "", of_plant, of_other, doubts, dict.fromkeys(WORDINGS, (4, 9)), dict.fromkeys(WORDINGS, ("seeds",))
    )


def sentence() -> Sentence:
    text = "the seeds are kept."
    found = parse(text, text, 0, len(text), [], is_value=True)
    assert found is not None
    return found


def draft(wording: Wording, about: About = About.TAXON, *, eaters: tuple[Eater, ...] = ()) -> Draft:
    cue = Cue(Rule("a-row", Role.SAYS, (), says=wording), 4, 9, 1, 2)
    return Draft(cue, 0, wording, eaters=list(eaters), subjects=[(about, "x")], rules=["a-row"])


@pytest.mark.parametrize("wording", [each for each in Wording if each is not Wording.TOXIC])
def test_what_the_tables_read_is_withheld_only_below_its_bar(wording: Wording) -> None:
    bar = BARS[wording].keep
    name = wording.name.lower()
    kept, gone = draft(wording), draft(wording)
    withhold(sentence(), [kept], opinion(**{name: bar}))
    withhold(sentence(), [gone], opinion(**{name: bar - 0.01}))
    assert kept.wording is wording
    assert (gone.wording, gone.why_silent) == (None, "the second reader finds no such statement")


def test_a_warning_is_withheld_only_where_neither_it_nor_its_opposite_is_said() -> None:
    bar = BARS[Wording.TOXIC].keep
    assert bar <= 0.03
    kept, against, gone = draft(Wording.TOXIC), draft(Wording.TOXIC), draft(Wording.TOXIC)
    withhold(sentence(), [kept], opinion(toxic=bar))
    withhold(sentence(), [against], opinion(toxic=0.0, non_toxic=0.9))
    withhold(sentence(), [gone], opinion(toxic=bar - 0.01))
    assert (kept.wording, against.wording, gone.wording) == (Wording.TOXIC, Wording.TOXIC, None)


def test_a_note_and_the_value_of_a_label_are_left_to_the_tables() -> None:
    noted, valued = draft(Wording.EDIBLE), draft(Wording.EDIBLE)
    text = "bracket with edible flesh"
    note = parse(text, text, 0, len(text), [], is_value=True)
    assert note is not None
    withhold(note, [noted], opinion())
    valued.cue.rule = Rule("field-edible-uses", Role.SAYS, (), says=Wording.EDIBLE)
    withhold(sentence(), [valued], opinion())
    assert (noted.wording, valued.wording) == (Wording.EDIBLE, Wording.EDIBLE)


def test_what_is_said_of_animals_is_not_the_second_readers_business() -> None:
    browsed = draft(Wording.EDIBLE, eaters=(Eater.ANIMALS,))
    withhold(sentence(), [browsed], opinion())
    assert browsed.wording is Wording.EDIBLE


@pytest.mark.parametrize("wording", list(Wording))
def test_what_the_tables_missed_is_added_only_from_its_bar_on(wording: Wording) -> None:
    bar, name = BARS[wording].add, wording.name.lower()
    assert missed(sentence(), [], opinion(**{name: bar - 0.01})) == []
    (added,) = missed(sentence(), [], opinion(**{name: bar, "hearsay": 0.9}))
    assert (added.wording, added.rules, added.certainty) == (wording, [SECOND + wording.value], Certainty.HEARSAY)
    assert (added.cue.start, added.cue.end) == (4, 9)


def test_praise_needs_more_than_a_warning() -> None:
    praise, warning = BARS[Wording.EDIBLE], BARS[Wording.TOXIC]
    assert praise.add > max(bar.add for wording, bar in BARS.items() if wording is not Wording.EDIBLE)
    assert praise.keep > warning.keep
    assert praise.take < warning.take


def test_what_the_tables_found_denied_or_open_is_not_added() -> None:
    for reason in ("negated", "cancelled", "question"):
        denied = draft(Wording.EDIBLE)
        denied.silence(reason)
        assert missed(sentence(), [denied], opinion(edible=0.999)) == []
    turned = draft(Wording.INEDIBLE)
    turned.cue.rule = Rule("a-row", Role.SAYS, (), says=Wording.EDIBLE)
    turned.negated = True
    assert missed(sentence(), [turned], opinion(edible=0.999)) == []


def test_a_warning_is_added_though_the_tables_see_it_denied_and_no_plant_is_cleared_beside_one() -> None:
    denied = draft(Wording.NON_TOXIC)
    denied.cue.rule = Rule("a-row", Role.SAYS, (), says=Wording.TOXIC, negated=Wording.NON_TOXIC)
    denied.negated = True
    assert missed(sentence(), [denied], opinion(toxic=0.89)) == []
    assert [each.wording for each in missed(sentence(), [denied], opinion(toxic=0.91))] == [Wording.TOXIC]
    assert missed(sentence(), [draft(Wording.TOXIC)], opinion(non_toxic=0.999)) == []
    browsed = draft(Wording.TOXIC, eaters=(Eater.ANIMALS,))
    assert missed(sentence(), [browsed], opinion(toxic=0.99)) == []


def test_a_phrase_too_weak_alone_is_where_the_statement_is_seated() -> None:
    weak = draft(Wording.EDIBLE)
    weak.silence("another statement in its clause")
    (added,) = missed(sentence(), [weak], opinion(edible=0.999))
    assert added.rules == [f"{SECOND}edible", "a-row"]


def test_a_statement_is_taken_from_the_plant_and_given_to_it_only_by_a_wide_margin() -> None:
    taken, kept = draft(Wording.EDIBLE), draft(Wording.EDIBLE)
    reassign([taken], opinion(other_edible=0.9), "Fictaria silvana", ["marsh brindle"])
    reassign([kept], opinion(edible=0.9, other_edible=0.9), "Fictaria silvana", ["marsh brindle"])
    assert taken.subjects == [(About.OTHER, "marsh brindle")]
    assert kept.subjects == [(About.TAXON, "x")]
    given, left = draft(Wording.TOXIC, About.OTHER), draft(Wording.TOXIC, About.OTHER)
    reassign([given], opinion(toxic=0.99), "Fictaria silvana", [])
    reassign([left], opinion(toxic=0.99), "", [])
    assert given.subjects == [(About.TAXON, "Fictaria silvana")]
    assert left.subjects == [(About.OTHER, "x")]
    praise = draft(Wording.EDIBLE, About.OTHER)
    reassign([praise], opinion(edible=1.0), "Fictaria silvana", ["marsh brindle"])
    assert praise.subjects == [(About.OTHER, "x")]  # it may be the neighbour's
    reassign([praise], opinion(edible=0.94), "Fictaria silvana", [])
    assert praise.subjects == [(About.OTHER, "x")]
    reassign([praise], opinion(edible=1.0), "Fictaria silvana", [])
    assert praise.subjects == [(About.TAXON, "Fictaria silvana")]


def test_a_warning_is_not_taken_from_the_plant_for_a_name_in_no_list() -> None:
    warning = draft(Wording.TOXIC)
    reassign([warning], opinion(other_toxic=0.99), "Fictaria silvana", [])
    assert warning.subjects == [(About.TAXON, "x")]
    reassign([warning], opinion(other_toxic=0.99), "Fictaria silvana", ["marsh brindle"])
    assert warning.subjects == [(About.OTHER, "marsh brindle")]


def test_a_statement_without_a_phrase_of_the_tables_says_so_in_its_rules_and_its_explanation() -> None:
    text = "Fictwort roots thickened the gravy of the whole valley."
    document = read_text(text, title="")
    (statement,) = read_document(document, FICTWORT).statements
    assert (statement.wording, statement.about, statement.eater) == (Wording.EDIBLE, About.TAXON, Eater.PEOPLE)
    assert statement.rules[0] == f"{SECOND}edible"
    assert statement.parts == ("root",)
    (explained,) = explain_document(document, FICTWORT)
    decision = next(each for each in explained.decisions if each.wording is Wording.EDIBLE)
    assert decision.chance is not None
    assert decision.chance > BARS[Wording.EDIBLE].add
