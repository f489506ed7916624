"""A class's answers: read from CSV (RFC 4180) or JSON lines, compared with the readings, summed up without names.

Columns or keys: ``learner`` (any mark, may be missing), ``exercise`` (its number or id), ``wording``, ``whose``,
``support`` (words of the choices or their numbers from 1; several with ";" or a space between, "" for none given).
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from doubtwort.errors import CallError
from doubtwort.model import Outcome
from doubtwort.reporting.lesson import Exercise, Lesson
from doubtwort.reporting.lesson_words import KEYS, KIND_TITLE, QUESTIONS, Kind, Question
from doubtwort.text import one_line

MOST_ROWS: Final = 100_000
_MOST_MISTAKES: Final = 3
_BETWEEN: Final = re.compile(r"[\s;,+/|]+")
_SUPPORT: Final = KEYS.index("support")


@dataclass(frozen=True, slots=True)
class Response:
    """What one learner said of one exercise: the words chosen for each of ``QUESTIONS``, none where not answered."""

    learner: str
    exercise: Exercise
    chosen: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """``right`` of ``answered`` answers to what ``label`` says."""

    label: str
    right: int
    answered: int


@dataclass(frozen=True, slots=True)
class Mistake:
    """A wrong answer that was given ``times`` times."""

    question: str
    chosen: str
    reading: str
    times: int


@dataclass(frozen=True, slots=True)
class ExerciseSummary:
    """One exercise: a tally for each question, and the wrong answers given most often."""

    number: int
    id: str
    kind: str
    taxon: str
    sentence: str
    questions: tuple[Tally, ...]
    mistakes: tuple[Mistake, ...]


@dataclass(frozen=True, slots=True)
class Summary:
    """Where a class erred. ``kinds`` has the one that went worst first. ``overtrusted``: how often a sentence that does
    not bear its claim out was taken to do so; ``warnings_missed``: how often one that says the opposite was not seen
    to. Both count errors, not right answers."""

    learners: int
    questions: tuple[Tally, ...]
    kinds: tuple[Tally, ...]
    overtrusted: Tally
    warnings_missed: Tally
    exercises: tuple[ExerciseSummary, ...]

    @property
    def answered(self) -> int:
        return sum(each.answered for each in self.questions)


def words_chosen(question: Question, given: str) -> tuple[str, ...]:
    """The choices named by words or numbers, in their order; none for "". Raises CallError for anything else.

    >>> words_chosen(QUESTIONS[0], "5; edible")
    ('edible', 'toxic')
    """
    known = [each.word for each in question.choices]
    found = set()
    for each in filter(None, _BETWEEN.split(given.strip().lower())):
        if each in known:
            found.add(each)
        elif each.isascii() and each.isdecimal() and len(each) < 3 and 1 <= int(each) <= len(known):
            found.add(known[int(each) - 1])
        else:
            raise CallError(f"{one_line(each, 40)!r} is no answer. Known: {', '.join(known)}, or 1 to {len(known)}.")
    if len(found) > 1 and not question.several:
        raise CallError(f"One answer only: {', '.join(known)}.")
    return tuple(word for word in known if word in found)


def is_right(exercise: Exercise, question: int, chosen: tuple[str, ...]) -> bool:
    """Whether all of the right choices, and no other, were made."""
    return chosen == exercise.answer[question]


def read_answers(text: str, lesson: Lesson, name: str = "answers") -> tuple[Response, ...]:
    """CSV with a header, or JSON lines: told apart by the first character. Where a learner answered an exercise
    twice, the later answer counts; rows without a learner all count. A CallError names the line that is no answer."""
    rows = _json_rows(text, name) if text.lstrip()[:1] == "{" else _csv_rows(text, name)
    by_name = {each.id: each for each in lesson.exercises} | {str(each.number): each for each in lesson.exercises}
    found: dict[tuple[str, str], Response] = {}
    for count, (line, row) in enumerate(rows, start=1):
        if count > MOST_ROWS:
            raise CallError(f"{name} has more than {MOST_ROWS} answers. Split it.")
        wanted = _cell(row.get("exercise")).strip().lower().removeprefix("#")
        if wanted == "exercise":
            continue  # the first line of another sheet, where several were put together
        exercise = by_name.get(wanted)
        if exercise is None:
            raise CallError(
                f"{name}, line {line}: there is no exercise {one_line(wanted, 40)!r} in this lesson. Give the options "
                "with which the hand-out was made; they stand on it."
            )
        try:
            chosen = tuple(words_chosen(question, _cell(row.get(question.key))) for question in QUESTIONS)
        except CallError as error:
            raise CallError(f"{name}, line {line}: {error}") from error
        learner = one_line(_cell(row.get("learner")), 200)
        found[learner or f"line {line}", exercise.id] = Response(learner, exercise, chosen)
    if not found:
        raise CallError(f"{name} holds no answers. It needs the columns learner, exercise, {', '.join(KEYS)}.")
    return tuple(found.values())


def _csv_rows(text: str, name: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    header = text.lstrip().partition("\n")[0]
    between = max(",;\t", key=header.count)
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    try:
        reader.fieldnames = [each.strip().lower() for each in reader.fieldnames or ()]
        lacking = [each for each in ("exercise", *KEYS) if each not in reader.fieldnames]
        if lacking:
            raise CallError(f"{name} lacks the column {', '.join(lacking)}. Its first line has to name the columns.")
        for row in reader:
            if None in row:
                raise CallError(f"{name}, line {reader.line_num}: more cells than columns. Put quotes around commas.")
            yield reader.line_num, row
    except csv.Error as error:
        raise CallError(f"{name}, line {reader.line_num}: not CSV: {one_line(str(error), 120)}.") from error


def _json_rows(text: str, name: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            row = json.loads(line)
        except (ValueError, RecursionError) as error:
            raise CallError(f"{name}, line {number}: not JSON: {one_line(str(error), 120)}.") from error
        if not isinstance(row, dict):
            raise CallError(f"{name}, line {number}: not a JSON object.")
        yield number, row


def _cell(value: object) -> str:
    """A cell as text; a list of words becomes words with ";" between."""
    if isinstance(value, list):
        return ";".join(str(each) for each in value[:20])
    return "" if value is None else str(value)


def summarise(lesson: Lesson, responses: Iterable[Response]) -> Summary:
    """Counts what was right; questions left open count for nothing."""
    given = tuple(responses)
    marks = [
        (each, number, is_right(each.exercise, number, chosen))
        for each in given
        for number, chosen in enumerate(each.chosen)
        if chosen
    ]

    def tally(label: str, wanted: Callable[[Response, int], bool]) -> Tally:
        counted = [right for each, number, right in marks if wanted(each, number)]
        return Tally(label, sum(counted), len(counted))

    kinds = [tally(KIND_TITLE[kind], lambda each, _, kind=kind: each.exercise.kind is kind) for kind in Kind]  # type: ignore[misc]
    supports, opposite = Outcome.SUPPORTS.value, Outcome.CONTRADICTS.value
    judged = [(each.chosen[_SUPPORT], each.exercise.answer[_SUPPORT]) for each in given if each.chosen[_SUPPORT]]
    doubtful = [chosen for chosen, right in judged if right != (supports,)]
    opposed = [chosen for chosen, right in judged if right == (opposite,)]
    return Summary(
        learners=_learners(given),
        questions=tuple(
            tally(question.key, lambda _, number, wanted=wanted: number == wanted)  # type: ignore[misc]
            for wanted, question in enumerate(QUESTIONS)
        ),
        kinds=tuple(sorted((each for each in kinds if each.answered), key=lambda each: each.right / each.answered)),
        overtrusted=Tally("taken to bear the claim out", doubtful.count((supports,)), len(doubtful)),
        warnings_missed=Tally("the opposite not seen", len(opposed) - opposed.count((opposite,)), len(opposed)),
        exercises=tuple(_exercise_summary(each, given) for each in lesson.exercises),
    )


def _learners(given: Sequence[Response]) -> int:
    """Those with a mark, and as many without one as there must be at least."""
    unmarked = Counter(each.exercise.id for each in given if not each.learner)
    return len({each.learner for each in given if each.learner}) + max(unmarked.values(), default=0)


def _exercise_summary(exercise: Exercise, responses: Sequence[Response]) -> ExerciseSummary:
    own = [each.chosen for each in responses if each.exercise.id == exercise.id]
    tallies, mistakes = [], []
    for number, question in enumerate(QUESTIONS):
        answers = Counter(chosen[number] for chosen in own if chosen[number])
        right = exercise.answer[number]
        tallies.append(Tally(question.key, answers[right], answers.total()))
        mistakes += [
            Mistake(question.key, " + ".join(chosen), " + ".join(right), times)
            for chosen, times in answers.items()
            if chosen != right
        ]
    mistakes.sort(key=lambda each: (-each.times, KEYS.index(each.question), each.chosen))
    return ExerciseSummary(
        exercise.number,
        exercise.id,
        exercise.title,
        exercise.taxon,
        exercise.sentence,
        tuple(tallies),
        tuple(mistakes[:_MOST_MISTAKES]),
    )
