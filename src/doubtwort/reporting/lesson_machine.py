"""A lesson and its summary as JSON: schemas "doubtwort.lesson/1" and "doubtwort.lesson-summary/1"."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from doubtwort.reporting.lesson import Exercise, Lesson
from doubtwort.reporting.lesson_answers import Summary
from doubtwort.reporting.lesson_terminal import lacking
from doubtwort.reporting.lesson_words import KEYS, NEVER_ENOUGH, QUESTIONS


def lesson_object(lesson: Lesson, *, answers: bool = True) -> dict[str, Any]:
    """The whole lesson; without its answers, readings and reasons for the hand-out alone."""
    return {
        "schema": "doubtwort.lesson/1",
        "made_by": lesson.made_by,
        "invented": lesson.invented,
        "questions": [asdict(each) for each in QUESTIONS],
        "exercises": [_exercise(each, answers=answers) for each in lesson.exercises],
        "lacking": lacking(lesson) if lesson.lacking else "",
        **_warnings(lesson),
    }


def summary_object(summary: Summary, lesson: Lesson) -> dict[str, Any]:
    """Where a class erred. Learners are counted, not named."""
    return {"schema": "doubtwort.lesson-summary/1", "made_by": lesson.made_by, **asdict(summary), **_warnings(lesson)}


def _warnings(lesson: Lesson) -> dict[str, Any]:
    return {
        "dangers": [
            {
                "taxon": each.taxon,
                "text": each.danger.text,
                "quote": each.danger.quote.text if each.danger.quote else "",
                "source": each.danger.source_title or each.danger.cited,
            }
            for each in lesson.dangers
        ],
        "cautions": [asdict(each) for each in lesson.standing],
        "never_enough": NEVER_ENOUGH,
    }


def _exercise(exercise: Exercise, *, answers: bool) -> dict[str, Any]:
    asked: dict[str, Any] = {
        "id": exercise.id,
        "number": exercise.number,
        "taxon": exercise.taxon,
        "common_names": list(exercise.common_names),
        "claimed": exercise.claimed,
        "conditions": list(exercise.conditions),
        "claim_quote": exercise.claim_quote,
        "claim_url": exercise.claim_url,
        "source_title": exercise.source_title,
        "place": exercise.place,
        "before": exercise.before,
        "sentence": exercise.sentence,
        "after": exercise.after,
    }
    if not answers:
        return asked
    return asked | {
        "kind": exercise.kind.value,
        "teaches": exercise.teaches,
        "answer": dict(zip(KEYS, map(list, exercise.answer), strict=True)),
        "readings": [
            {"wording": q.wording, "about": q.about, "conditions": list(q.conditions), "rules": list(q.rules)}
            for q in exercise.readings
        ],
        "reasons": list(exercise.reasons),
        "beside": exercise.beside,
    }
