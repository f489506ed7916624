"""A class's answers: what is understood, what is refused in one line, and what is counted."""

from __future__ import annotations

import contextlib
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.errors import CallError
from doubtwort.reporting import lesson_answers
from doubtwort.reporting.lesson_answers import read_answers, summarise, words_chosen
from doubtwort.reporting.lesson_words import KEYS, QUESTIONS, Kind
from lesson_audits import a_lesson

LESSON = a_lesson()
HEAD = "learner,exercise,wording,whose,support\n"


def of_kind(kind):
    return next(each for each in LESSON.exercises if each.kind is kind)


LESS, NEGATION, OPPOSITE = of_kind(Kind.LESS), of_kind(Kind.NEGATION), of_kind(Kind.OPPOSITE)


def rows(*lines: str) -> str:
    return HEAD + "\n".join(lines) + "\n"


def test_words_and_numbers_are_understood_and_put_in_the_order_of_the_choices():
    for typed in ("edible;inedible", "INEDIBLE edible", "4 1", "1+4", " 1 , inedible ", "edible|inedible|edible"):
        (found,) = read_answers(json.dumps({"exercise": NEGATION.id, "wording": typed}), LESSON)
        assert found.chosen == (("edible", "inedible"), (), ())


def test_the_same_class_as_csv_with_other_marks_and_as_json_lines():
    comma = rows(f"ada,{LESS.number},non-toxic,taxon,weaker", f"bo,{LESS.id},edible,taxon,supports")
    tables = [comma, comma.replace(",", ";"), comma.replace(",", "\t"), comma.replace("\n", "\r\n")]
    lines = [
        {"learner": "ada", "exercise": LESS.number, "wording": ["non-toxic"], "whose": "taxon", "support": "weaker"},
        {"learner": "bo", "exercise": LESS.id, "wording": "edible", "whose": ["taxon"], "support": "supports"},
    ]
    wanted = read_answers("\n".join(map(json.dumps, lines)), LESSON)
    assert [each.learner for each in wanted] == ["ada", "bo"]
    for table in tables:
        assert read_answers(table, LESSON) == wanted


def test_sheets_put_one_under_the_other_are_one_class():
    sheet = rows(f"ada,{LESS.number},edible,taxon,supports")
    assert len(read_answers(sheet + sheet.replace("ada", "bo"), LESSON)) == 2


def test_the_later_answer_of_a_learner_counts():
    text = rows(f"ada,{LESS.number},edible,taxon,supports", f"ada,{LESS.id},non-toxic,taxon,weaker")
    (found,) = read_answers(text, LESSON)
    assert found.chosen == (("non-toxic",), ("taxon",), ("weaker",))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "lacks the column"),
        ("learner,exercise\nada,1\n", "lacks the column wording, whose, support"),
        (HEAD, "holds no answers"),
        (rows("ada,99,,,"), "line 2: there is no exercise '99'"),
        (rows("ada,,,,"), "line 2: there is no exercise ''"),
        (rows("ada,1,,,", "bo,2,tasty,,"), "line 3: 'tasty' is no answer. Known: edible"),
        (rows("ada,1,9,,"), "line 2: '9' is no answer"),
        (rows("ada,1,,,supports weaker"), "line 2: One answer only"),
        (rows("ada,1,edible,toxic,taxon,supports"), "line 2: more cells than columns"),
        (rows('ada,1,"edible,taxon'), "not CSV"),
        ('{"exercise": 1}\n[1]\n', "line 2: not a JSON object"),
        ('{"exercise": 1}\n{"exercise"\n', "line 2: not JSON"),
        ('{"a":' * 100_000, "line 1: not JSON"),
        (rows("ada,1\x00,,,"), "line 2"),
        (rows("ada,\x1b[31m1,,,"), "there is no exercise"),
    ],
)
def test_what_is_no_answer_is_told_in_one_line_that_names_it(text, told):
    with pytest.raises(CallError) as caught:
        read_answers(text, LESSON, "class.csv")
    assert told in str(caught.value)
    assert "class.csv" in str(caught.value)
    assert "\x1b" not in str(caught.value)
    assert len(str(caught.value)) < 400


def test_too_many_answers_are_refused(monkeypatch):
    monkeypatch.setattr(lesson_answers, "MOST_ROWS", 3)
    with pytest.raises(CallError, match="more than 3 answers"):
        read_answers(rows(*["a,1,,,"] * 4), LESSON)


@given(st.text())
def test_any_text_is_read_or_refused_in_one_way(text):
    with contextlib.suppress(CallError):  # anything else is a fault
        assert read_answers(text, LESSON)


@given(st.sampled_from(QUESTIONS), st.data())
def test_every_set_of_choices_survives_writing_and_reading(question, data):
    words = [each.word for each in question.choices]
    most = len(words) if question.several else 1
    chosen = data.draw(st.lists(st.sampled_from(words), unique=True, max_size=most))
    assert words_chosen(question, ";".join(chosen)) == tuple(word for word in words if word in chosen)


def test_everything_right_leaves_nothing_to_tell():
    text = rows(*(f"ada,{each.id},{','.join(';'.join(right) for right in each.answer)}" for each in LESSON.exercises))
    summary = summarise(LESSON, read_answers(text, LESSON))
    assert summary.learners == 1
    assert all(each.right == each.answered == 10 for each in summary.questions)
    assert all(each.right == each.answered for each in summary.kinds)
    assert (summary.overtrusted.right, summary.overtrusted.answered) == (0, 8)  # ten, less the two that do support
    assert (summary.warnings_missed.right, summary.warnings_missed.answered) == (0, 2)
    assert not any(each.mistakes for each in summary.exercises)


def test_errors_are_counted_where_they_were_made():
    text = rows(
        f"ada,{LESS.number},edible,taxon,supports",
        f"bo,{LESS.number},edible,taxon,weaker",
        f"cy,{LESS.number},non-toxic,,weaker",
        f"ada,{OPPOSITE.number},toxic,taxon,nothing",
        f"bo,{OPPOSITE.number},toxic,taxon,contradicts",
    )
    summary = summarise(LESSON, read_answers(text, LESSON))
    assert summary.learners == 3
    assert [(each.label, each.right, each.answered) for each in summary.questions] == [
        ("wording", 3, 5), ("whose", 4, 4), ("support", 3, 5),
    ]  # fmt: skip
    # Worst kind first: 5 of 8 before 5 of 6.
    assert [(each.right, each.answered) for each in summary.kinds] == [(5, 8), (5, 6)]
    assert (summary.overtrusted.right, summary.overtrusted.answered) == (1, 5)
    assert (summary.warnings_missed.right, summary.warnings_missed.answered) == (1, 2)
    told = summary.exercises[LESS.number - 1]
    assert [(each.question, each.chosen, each.reading, each.times) for each in told.mistakes] == [
        ("wording", "edible", "non-toxic", 2), ("support", "supports", "weaker", 1),
    ]  # fmt: skip


def test_half_of_the_right_choices_is_not_right():
    text = rows(f"ada,{NEGATION.number},edible,,", f"bo,{NEGATION.number},edible;inedible;toxic,,")
    assert summarise(LESSON, read_answers(text, LESSON)).questions[0].right == 0


def test_those_without_a_mark_are_counted_as_few_as_they_can_be():
    text = rows(",1,toxic,,", ",1,edible,,", ",2,edible,,", "ada,2,toxic,,")
    responses = read_answers(text, LESSON)
    assert len(responses) == 4
    assert summarise(LESSON, responses).learners == 3


def test_keys_are_those_of_the_questions():
    assert KEYS == ("wording", "whose", "support")
