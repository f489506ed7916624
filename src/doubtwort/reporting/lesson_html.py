"""A lesson as one HTML file: an exercise on the screen, a hand-out on paper, the answer key on pages of its own.

Its script checks answers and writes them down as CSV; without it, answers open by themselves and boxes are ticked by
hand. Nothing is sent and nothing is kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from doubtwort.reporting.html import MOST_DANGERS, page, sheet
from doubtwort.reporting.lesson import Lesson
from doubtwort.reporting.lesson_terminal import lacking
from doubtwort.reporting.lesson_words import INTRODUCTION, NEVER_ENOUGH, NO_WARNING, QUESTIONS

# Which parts each form of the lesson has: the exercises, their answers below them, the key.
PARTS: Final[Mapping[str, tuple[bool, bool, bool]]] = MappingProxyType(
    {"": (True, True, True), "handout": (True, False, False), "key": (False, False, True)}
)
_TITLES: Final = {"": "", "handout": "", "key": ": answer key"}


def lesson_page(lesson: Lesson, only: str = "") -> str:
    """The lesson as a page. ``only``: "handout" leaves every answer out of the file, "key" leaves the exercises out."""
    exercises, answers, key = PARTS[only]
    return page(
        "lesson.html",
        f"Reading what sources say{_TITLES[only]}",
        script=sheet("lesson.js") if exercises else "",
        sheets=("page.css", "lesson.css"),
        lesson=lesson,
        heading=f"Reading what sources say{_TITLES[only]}",
        with_exercises=exercises,
        with_answers=answers,
        with_key=key,
        questions=QUESTIONS,
        introduction=INTRODUCTION,
        never_enough=NEVER_ENOUGH,
        no_warning=NO_WARNING,
        lacking=lacking(lesson) if lesson.lacking else "",
        most_dangers=MOST_DANGERS,
    )
