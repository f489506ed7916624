"""The lesson as a file and on a terminal: what each form shows and leaves out, hostile text, policy, warnings."""

from __future__ import annotations

import io
import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256

import pytest
from bs4 import BeautifulSoup
from large_audits import HOSTILE, hostile
from rich.cells import cell_len
from sample_audits import STRETCHED

from doubtwort.reporting.lesson_answers import summarise
from doubtwort.reporting.lesson_html import lesson_page
from doubtwort.reporting.lesson_terminal import (
    ask_lesson,
    print_handout,
    print_key,
    print_summary_of,
)
from doubtwort.reporting.lesson_words import INTRODUCTION, KIND_TEACHES, NEVER_ENOUGH, NO_WARNING, QUESTIONS
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import open_console
from lesson_audits import a_lesson

FORMS = ("", "handout", "key")
LESSON = a_lesson()


def soup(lesson=LESSON, only=""):
    return BeautifulSoup(lesson_page(lesson, only), "html.parser")


def said(tag) -> str:
    return " ".join(tag.get_text(" ").split())


def on_terminal(write, *arguments, **named) -> str:
    stream = io.StringIO()
    write(*arguments, open_console(stream), **named)
    return stream.getvalue()


def asked(lines, lesson=LESSON, *, interactive=False):
    """What the exercise printed, and the answers that it took."""
    stream = io.StringIO()
    given, lasted = ask_lesson(lesson, open_console(stream), iter(lines), interactive=interactive)
    return stream.getvalue(), given, lasted


@pytest.mark.parametrize("only", FORMS)
def test_dangers_and_standing_cautions_come_first_in_every_form(only):
    page = soup(only=only)
    assert [said(each) for each in page.find_all("h2")][:2] == ["What could hurt", "Always"]
    danger = said(page.find(class_="danger"))
    for taxon, texts in LESSON.warned:
        assert taxon in danger
        assert texts[0] in danger
    always = said(page.find(class_="standing"))
    for each in standing_cautions(None):
        assert each.text in always


def test_a_lesson_without_warnings_says_that_this_shows_nothing():
    quiet = a_lesson([STRETCHED])
    assert not quiet.dangers
    assert NO_WARNING in said(soup(quiet).find(class_="danger"))
    assert "That shows nothing" in " ".join(on_terminal(print_handout, quiet).split())


@pytest.mark.parametrize("only", FORMS)
def test_nothing_is_called_safe(only):
    texts = [said(soup(only=only)), " ".join(on_terminal(print_key, LESSON).split()), *KIND_TEACHES.values()]
    texts += [*INTRODUCTION, NEVER_ENOUGH, NO_WARNING]
    for text in texts:
        for found in re.finditer(r"\bsafe(?:ly|ty)?\b", text):
            before = text[max(0, found.start() - 120) : found.start()]
            assert re.search(r"\b(?:No|not|never|nothing)\b", before), text[found.start() - 120 : found.end() + 20]


def test_the_handout_holds_no_answer_in_text_or_markup():
    text = lesson_page(LESSON, "handout")
    assert "data-answer" not in text.split("<script>")[0]
    for each in LESSON.exercises:
        assert each.teaches not in text
        assert each.title not in text
        assert not any(reason in text for reason in each.reasons)
        assert all(rule not in text for quote in each.readings for rule in quote.rules if "-" in rule)
    assert "<mark" not in text


def test_the_key_has_every_answer_and_no_box_to_tick():
    page = soup(only="key")
    assert not page.find_all("input")
    assert page.find("script") is None
    solved = page.find_all(class_="solved")
    assert len(solved) == len(LESSON.exercises)
    for shown, exercise in zip(solved, LESSON.exercises, strict=True):
        text = said(shown)
        assert f"Exercise {exercise.number} {exercise.id}" in text
        right = (f"{q.key}: {' + '.join(a)}" for q, a in zip(QUESTIONS, exercise.answer, strict=True))
        assert " · ".join(right) in text
        assert exercise.teaches in text
        assert all(reason in text for reason in exercise.reasons)


def test_the_key_quotes_every_warning():
    key = said(soup(only="key").find(class_="answer-key"))
    for each in LESSON.dangers:
        assert each.danger.text in key
        assert each.danger.quote is None or each.danger.quote.text.split()[-2] in key


def test_each_exercise_has_its_claim_its_sentence_and_all_choices():
    page = soup()
    for exercise in LESSON.exercises:
        section = page.find("section", id=exercise.id)
        assert " ".join(exercise.claim_quote.split()) in said(section)
        assert said(section.find(class_="asked")) == " ".join(exercise.sentence.split())
        fields = section.find_all("fieldset")
        assert [each["data-key"] for each in fields] == [each.key for each in QUESTIONS]
        for field, question, right in zip(fields, QUESTIONS, exercise.answer, strict=True):
            assert [each["value"] for each in field.find_all("input")] == [each.word for each in question.choices]
            assert field["data-answer"].split() == list(right)
            assert {each["type"] for each in field.find_all("input")} == {"checkbox" if question.several else "radio"}


def test_the_policy_allows_this_script_and_this_style_and_no_request():
    page = soup()
    policy = page.find("meta", attrs={"http-equiv": "Content-Security-Policy"})["content"]
    assert "default-src 'none'" in policy
    for tag in ("script", "style"):
        # W3C, Content Security Policy Level 3, section 2.3.1: base64 of the SHA-256 of the element's text.
        digest = b64encode(sha256(page.find(tag).string.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy


def hostile_lesson():
    """Every field filled by a hostile page, with a sentence short enough to be asked about."""
    audit = hostile()
    sources = tuple(
        replace(each, statements=tuple(replace(said, quote=HOSTILE) for said in each.statements))
        for each in audit.sources
    )
    return a_lesson([replace(audit, sources=sources)])


@pytest.mark.parametrize("only", FORMS)
def test_hostile_text_shows_as_text(only):
    page = soup(hostile_lesson(), only)
    assert len(page.find_all("script")) == (only != "key")
    assert not page.find_all(["img", "iframe", "form", "object", "base", "link"])
    assert not [tag for tag in page.find_all(True) if any(key.startswith("on") for key in tag.attrs)]
    assert all(each["href"].startswith(("#", "http://", "https://")) for each in page.find_all("a"))
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", str(page))
    assert "<script>alert(1)</script>" in page.get_text()
    assert len(str(page).encode("utf-8")) < 120_000


@pytest.mark.parametrize("write", [print_handout, print_key])
def test_hostile_text_reaches_no_terminal(write):
    text = on_terminal(write, hostile_lesson())
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


@pytest.mark.parametrize("write", [print_handout, print_key])
def test_a_pipe_is_eighty_columns_wide(write):
    assert max(cell_len(line) for line in on_terminal(write, LESSON).splitlines()) <= 80


def test_the_paper_handout_asks_everything_and_answers_nothing():
    text = " ".join(on_terminal(print_handout, LESSON).split())
    for each in LESSON.exercises:
        assert " ".join(each.sentence.split()) in text
        assert each.teaches not in text
    assert text.count("[ ]") == 10 * sum(len(each.choices) for each in QUESTIONS)
    assert LESSON.made_by in text


def test_all_right_is_told_and_each_reason_given():
    lines = [";".join(right) for each in LESSON.exercises for right in each.answer]
    text, given, lasted = asked(lines)
    told = " ".join(text.split())
    assert lasted
    assert told.count("as it was read:") == 30
    assert "you say" not in told
    assert all(" ".join(each.teaches.split()) in told for each in LESSON.exercises)
    assert all(tally.right == tally.answered for tally in summarise(LESSON, given).questions)


def test_the_answer_is_never_shown_before_the_question_is_answered():
    text, _, _ = asked([])
    assert "the reading is" not in text
    assert "rules:" not in text
    assert LESSON.exercises[0].teaches not in " ".join(text.split())


def test_in_a_pipe_each_line_answers_one_question_whatever_it_holds():
    text, given, lasted = asked(["tasty\n", "taxon\n", "\n", "1\n"])
    assert not lasted
    assert "'tasty' is no answer" in text
    assert [each.chosen for each in given] == [((), ("taxon",), ()), (("edible",), (), ())]


def test_on_a_terminal_a_slip_is_asked_again():
    text, given, _ = asked(["tasty\n", "5\n", "9\n", "1\n", "1 2\n", "6\n"], interactive=True)
    assert given[0].chosen == (("toxic",), ("taxon",), ("contradicts",))
    assert text.count("is no answer") == 2
    assert "left open" not in text


def test_a_summary_puts_the_gravest_first_and_names_nobody():
    lines = [";".join(right) for each in LESSON.exercises for right in each.answer]
    first = next(n for n, each in enumerate(LESSON.exercises) if each.answer[2] == ("contradicts",))
    lines[3 * first + 2] = "supports"
    _, given, _ = asked(lines)
    named = [replace(each, learner="Ada Unreal") for each in given]
    text = " ".join(on_terminal(print_summary_of, summarise(LESSON, named), of_a_class=True).split())
    assert "taken to: 1 of 8 answers" in text
    assert "not seen to: 1 of 2 answers" in text
    assert "support: “supports” instead of “contradicts”" in text
    assert text.index("GRAVEST") < text.index("QUESTIONS") < text.index("KINDS")
    assert NEVER_ENOUGH in text
    assert "Unreal" not in text
