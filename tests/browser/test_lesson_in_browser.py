"""The lesson in a real browser: the exercise, the answers to copy, the key, paper, no barrier, no request."""

from __future__ import annotations

import io
from types import SimpleNamespace

import pypdf
import pytest
from browser_help import violations

from doubtwort.reporting.lesson_answers import read_answers
from doubtwort.reporting.lesson_html import lesson_page
from lesson_audits import a_lesson


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The lesson, and its page in each form as a file."""
    folder, lesson = tmp_path_factory.mktemp("lesson"), a_lesson()
    files = {"full": "", "handout": "handout", "key": "key"}
    for name, only in files.items():
        (folder / f"{name}.html").write_text(lesson_page(lesson, only), encoding="utf-8")
    return SimpleNamespace(lesson=lesson, **{name: folder / f"{name}.html" for name in files})


@pytest.fixture
def lesson(page, made):
    page.goto(made.full.as_uri())
    return page


def answer(page, exercise, words):
    """Ticks the words of each question."""
    section = page.locator(f"#{exercise.id}")
    for field, chosen in zip(section.locator("fieldset").all(), words, strict=True):
        for word in chosen:
            field.locator(f"input[value='{word}']").check()
    return section


def test_it_asks_for_nothing_and_complains_of_nothing(lesson, made):
    answer(lesson, made.lesson.exercises[0], [("edible",), ("taxon",), ("supports",)]).get_by_role("button").click()
    lesson.fill("#mark", "7")
    lesson.click(".unfolds")
    assert [each.split("#")[0] for each in lesson.asked] == [made.full.as_uri()] * len(lesson.asked)
    assert lesson.complaints == []


def test_no_answer_is_seen_before_it_is_asked_for(lesson):
    assert lesson.locator(".solution:visible").count() == 0
    assert lesson.locator(".teaches:visible").count() == 0
    assert lesson.locator("mark:visible").count() == 0


def test_right_answers_are_told_to_be_as_read_and_the_reason_opens(lesson, made):
    for number, exercise in enumerate(made.lesson.exercises, start=1):
        section = answer(lesson, exercise, exercise.answer)
        section.get_by_role("button").click()
        told = section.locator(".verdicts p").all_inner_texts()
        assert len(told) == 3
        assert all("as it was read" in each for each in told)
        assert section.locator(".teaches").is_visible()
        assert f"Compared: {number} of 10 exercises" in lesson.locator("#score").inner_text()
    score = lesson.locator("#score").inner_text()
    assert "As they were read: 30 of 30 answers" in score
    assert "Look again" not in score
    assert "Gravest" not in score


def test_wrong_answers_are_told_with_the_reading_and_the_gravest_named(lesson, made):
    exercise = next(each for each in made.lesson.exercises if each.kind == "less")
    section = answer(lesson, exercise, [("edible", "non-toxic"), (), ("supports",)])
    section.get_by_role("button").click()
    assert section.locator(".verdicts p").all_inner_texts() == [
        "wording: you say edible + non-toxic; the reading is non-toxic",
        "whose: left open; the reading is taxon",
        "support: you say supports; the reading is weaker",
    ]
    score = lesson.locator("#score").inner_text()
    assert "0 of 2 answers" in score
    assert "Look again at: less than is claimed" in score
    assert "Gravest: a sentence that does not bear its claim out was taken to." in score


def test_answers_can_be_changed_and_compared_again(lesson, made):
    exercise = made.lesson.exercises[0]
    section = answer(lesson, exercise, [("edible",), ("other",), ("supports",)])
    section.get_by_role("button").click()
    section.locator("input[value=edible]").uncheck()
    section.locator("input[value=other]").uncheck()
    answer(lesson, exercise, exercise.answer).get_by_role("button").click()
    assert "3 of 3 answers" in lesson.locator("#score").inner_text()
    assert "1 of 10 exercises" in lesson.locator("#score").inner_text()


@pytest.mark.parametrize("form", ["full", "handout"])
def test_the_answers_that_it_writes_are_those_that_the_command_reads(page, made, form):
    page.goto(getattr(made, form).as_uri())
    for exercise in made.lesson.exercises:
        answer(page, exercise, exercise.answer)
    page.fill("#mark", '=1+1,"Zoë"')
    responses = read_answers(page.locator("#csv").input_value(), made.lesson)
    assert [each.chosen for each in responses] == [each.answer for each in made.lesson.exercises]
    assert {each.learner for each in responses} == {"11Zoë"}  # nothing that a table would reckon with


def test_learners_without_a_mark_are_told_apart(browser, made):
    marks = set()
    for _ in range(2):
        context = browser.new_context()
        opened = context.new_page()
        opened.goto(made.handout.as_uri())
        marks |= {each.learner for each in read_answers(opened.locator("#csv").input_value(), made.lesson)}
        context.close()
    assert len(marks) == 2


def test_the_handout_compares_nothing(page, made):
    page.goto(made.handout.as_uri())
    assert page.locator("button").count() == 0
    assert page.locator("#summary").is_visible()
    assert page.complaints == []


def test_the_key_unfolds_and_folds(lesson):
    assert lesson.locator(".solved:visible").count() == 0
    lesson.click(".unfolds")
    assert lesson.locator(".solved:visible").count() == 10
    lesson.click(".hides")
    assert lesson.locator(".solved:visible").count() == 0


def test_the_link_of_the_warnings_leads_to_their_sentences(lesson, made):
    lesson.click(".danger a")
    quoted = next(each.danger.quote.text for each in made.lesson.dangers if each.danger.quote)
    assert quoted in " ".join(lesson.locator(".folded").inner_text().split())


def test_it_is_worked_by_keyboard_alone(lesson, made):
    exercise = made.lesson.exercises[0]
    lesson.locator(f"#{exercise.id} input").first.focus()
    lesson.keyboard.press("Space")
    assert lesson.locator(f"#{exercise.id} input").first.is_checked()
    for _ in range(20):
        lesson.keyboard.press("Tab")
        if lesson.evaluate("document.activeElement.tagName") == "BUTTON":
            break
    lesson.keyboard.press("Enter")
    assert lesson.locator(f"#{exercise.id} .solution").is_visible()


@pytest.mark.parametrize("form", ["full", "handout", "key"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_that_axe_core_knows(page, made, form, scheme):
    page.emulate_media(color_scheme=scheme)
    page.goto(getattr(made, form).as_uri())
    for button in page.get_by_role("button").all():
        button.click()
    if form == "full":
        page.click(".unfolds")
    assert violations(page) == []


@pytest.mark.parametrize("form", ["full", "handout", "key"])
@pytest.mark.parametrize("width", [320, 360, 768, 1280])
def test_the_page_never_scrolls_sideways(page, made, form, width):
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(getattr(made, form).as_uri())
    for button in page.get_by_role("button").all():
        button.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_without_a_script_it_is_ticked_and_answers_open_by_themselves(browser, made):
    context = browser.new_context(java_script_enabled=False)
    opened = context.new_page()
    opened.goto(made.full.as_uri())
    assert not opened.locator(".checks").first.is_visible()
    assert not opened.locator("#summary").is_visible()
    opened.locator(".exercise input").first.check()
    opened.locator(".solution summary").first.click()
    assert opened.locator(".teaches:visible").count() == 1
    opened.click(".unfolds")
    assert opened.locator(".solved:visible").count() == 10
    context.close()


def pages_of(page) -> list[str]:
    """The text of each sheet of paper."""
    return [" ".join(each.extract_text().split()) for each in pypdf.PdfReader(io.BytesIO(page.pdf(format="A4"))).pages]


def test_paper_has_the_exercises_first_and_the_key_on_pages_of_its_own(lesson, made):
    answer(lesson, made.lesson.exercises[0], [(), (), ()]).get_by_role("button").click()  # an open answer stays at home
    sheets = pages_of(lesson)
    first = next(number for number, each in enumerate(sheets) if "Answer key" in each)
    before, after = " ".join(sheets[:first]), " ".join(sheets[first:])
    assert sheets[first].startswith("Answer key")
    for exercise in made.lesson.exercises:
        assert f"Exercise {exercise.number} {exercise.id}" in before
        assert exercise.teaches.split(". ")[0] not in before
        assert exercise.teaches.split()[-1] in after
    assert "What could hurt" in sheets[0]
    assert "Always" in sheets[0]


def test_a_handout_of_ten_takes_no_more_than_three_leaves(page, made):
    page.goto(made.handout.as_uri())
    sheets = pages_of(page)
    assert len(sheets) <= 6
    assert "only under a condition" in " ".join(sheets)  # what the words mean
    assert "Answer key" not in " ".join(sheets)
