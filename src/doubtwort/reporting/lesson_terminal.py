"""A lesson on a terminal or in a pipe: the hand-out, the key, the exercise that asks, and where a class erred."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from doubtwort.errors import CallError
from doubtwort.reporting.lesson import Exercise, Lesson, LessonDanger
from doubtwort.reporting.lesson_answers import Response, Summary, Tally, is_right, words_chosen
from doubtwort.reporting.lesson_words import (
    INTRODUCTION,
    KIND_TITLE,
    NEVER_ENOUGH,
    NO_WARNING,
    QUESTIONS,
    Question,
)
from doubtwort.reporting.terminal import standing_section, write_parts
from doubtwort.text import one_line

_LABEL_WIDTH: Final = 10
_LONGEST: Final = 700
_MOST_DANGERS: Final = 12
_MOST_SAID: Final = 3


def print_head(lesson: Lesson, console: Console, *, title: str = "Reading what sources say") -> None:
    """What could hurt, the standing cautions, and how the lesson goes."""
    parts: list[RenderableType] = [_text(title, "bold"), ""]
    if lesson.invented:
        parts += [_text("Invented material: the sites, plants and people of the exercises do not exist."), ""]
    if lesson.dangers:
        lines = [_warning(f"{taxon}: {' '.join(said[:_MOST_SAID])}") for taxon, said in lesson.warned[:_MOST_DANGERS]]
        more = len(lesson.warned) - _MOST_DANGERS
        lines += [_warning(f"and warnings of {more} more plants")] if more > 0 else []
        parts += [_section("DANGER", lines, "bold red"), ""]
    else:
        parts += [_section("DANGER", [_text(NO_WARNING)]), ""]
    parts += [standing_section(lesson.standing), ""]
    parts += [_section("LESSON", [_text(each) for each in (*INTRODUCTION, NEVER_ENOUGH)]), ""]
    if lesson.lacking:
        parts += [_section("", [_text(lacking(lesson))]), ""]
    write_parts(console, parts)


def lacking(lesson: Lesson) -> str:
    """Which kinds of error the claims give no example of."""
    return f"These claims give no example of: {', '.join(KIND_TITLE[each] for each in lesson.lacking)}."


def print_handout(lesson: Lesson, console: Console) -> None:
    """Everything that is asked, and no answer."""
    print_head(lesson, console)
    for each in lesson.exercises:
        asked = [part for question in QUESTIONS for part in (*_question(question, boxes=True), "")]
        write_parts(console, [*_shown(each, len(lesson.exercises)), *asked])
    write_parts(console, [_text(f"Made by: {lesson.made_by}", "dim")])


def print_key(lesson: Lesson, console: Console) -> None:
    """The answers, with the warnings in full."""
    print_head(lesson, console, title="Reading what sources say: answer key")
    if lesson.dangers:
        warned = [part for each in lesson.dangers[:_MOST_DANGERS] for part in _danger(each)]
        write_parts(console, [_section("WARNINGS", warned, "bold red")])
    for each in lesson.exercises:
        title = _text(f"Exercise {each.number} ({each.id}), {each.taxon}: {each.title}", "bold")
        answers = [_text(f"{q.key}: {' + '.join(each.answer[n])}") for n, q in enumerate(QUESTIONS)]
        write_parts(console, ["", title, _indented([_quoted(each.sentence), *answers, *_reasons(each)])])
    write_parts(console, ["", _text(f"Made by: {lesson.made_by}", "dim")])


def ask_lesson(
    lesson: Lesson, console: Console, lines: Iterator[str], *, interactive: bool
) -> tuple[tuple[Response, ...], bool]:
    """Asks each question, takes the answer from the next of ``lines``, then shows the reading and the reason. An empty
    line leaves a question open. What is no answer is asked again, but not in a pipe, where the next line answers the
    next question. Gives the answers, and whether the lines lasted."""
    given: list[Response] = []
    for exercise in lesson.exercises:
        write_parts(console, _shown(exercise, len(lesson.exercises)))
        chosen: list[tuple[str, ...]] = []
        for question in QUESTIONS:
            said = _ask(question, console, lines, interactive)
            if said is None:
                write_parts(console, ["", _text("No more answers: the lesson ends here.")])
                return (*given, _response(exercise, chosen)) if chosen else tuple(given), False
            chosen.append(said)
        given.append(_response(exercise, chosen))
        write_parts(console, ["", *_told(exercise, chosen), ""])
    return tuple(given), True


def _response(exercise: Exercise, chosen: Sequence[tuple[str, ...]]) -> Response:
    left_open = [()] * (len(QUESTIONS) - len(chosen))
    return Response("you", exercise, (*chosen, *left_open))


def _ask(question: Question, console: Console, lines: Iterator[str], interactive: bool) -> tuple[str, ...] | None:
    write_parts(console, _question(question))
    while True:
        console.print("> ", end="")
        line = next(lines, None)
        if not interactive:
            console.print()
        if line is None:
            return None
        try:
            return words_chosen(question, line)
        except CallError as error:
            write_parts(console, [_text(f"{error}{'' if interactive else ' The question counts as left open.'}")])
            if not interactive:
                return ()


def print_summary_of(summary: Summary, console: Console, *, of_a_class: bool) -> None:
    """Where a class (or the one who was asked) erred, worst first."""
    who = f"{summary.learners} learners" if of_a_class and summary.learners != 1 else "one learner"
    parts: list[RenderableType] = [_text(f"Where {'the class' if of_a_class else 'you'} erred ({who})", "bold"), ""]
    parts.append(_section("GRAVEST", [_text(each) for each in gravest(summary)], "bold red"))
    parts += ["", _section("QUESTIONS", [_text(_share(each)) for each in summary.questions])]
    if summary.kinds:
        parts += ["", _section("KINDS", [_text(_share(each)) for each in summary.kinds])]
    for each in summary.exercises:
        if not each.mistakes:
            continue
        wrong = [
            _text(
                f"{m.question}: “{m.chosen}” instead of “{m.reading}”" + (f", {m.times} times" if m.times > 1 else "")
            )
            for m in each.mistakes
        ]
        head = _text(f"Exercise {each.number}, {each.taxon}: {each.kind}", "bold")
        parts += ["", head, _indented([_quoted(each.sentence), *wrong])]
    write_parts(console, [*parts, "", _text(NEVER_ENOUGH), ""])


def gravest(summary: Summary) -> tuple[str, ...]:
    """The two errors that could hurt, in words."""
    trusted, missed = summary.overtrusted, summary.warnings_missed
    said = [f"A sentence that does not bear its claim out was taken to: {_of(trusted)}."] if trusted.answered else []
    said += [f"A sentence that says the opposite was not seen to: {_of(missed)}."] if missed.answered else []
    return tuple(said) or ("Nothing was answered that could tell.",)


def _of(tally: Tally) -> str:
    return f"{tally.right} of {tally.answered} answers"


def _share(tally: Tally) -> str:
    return f"{tally.label}: {tally.right} of {tally.answered} right"


# --------------------------------------------------------------------------- parts


def _shown(exercise: Exercise, count: int) -> list[RenderableType]:
    """The claim and the sentence, without what was read from it."""
    names = f" ({', '.join(exercise.common_names)})" if exercise.common_names else ""
    conditions = f" [{', '.join(exercise.conditions)}]" if exercise.conditions else ""
    claim = [
        _text(f"{exercise.taxon}{names}: {exercise.claimed}{conditions}", "bold"),
        _quoted(exercise.claim_quote),
        _text(exercise.claim_url, "dim"),
    ]
    source = Text(overflow="fold")
    source.append(one_line(exercise.before), "dim")
    source.append((" " if exercise.before.strip() else "") + "[")
    source.append(one_line(exercise.sentence, _LONGEST), "bold")
    source.append("]" + (" " if exercise.after.strip() else ""))
    source.append(one_line(exercise.after), "dim")
    under = f", under “{one_line(exercise.place, 200)}”" if exercise.place else ""
    told = [_text(f"{exercise.source_id}: {exercise.source_title}{under}"), source]
    head = _text(f"Exercise {exercise.number} of {count} ({exercise.id})", "bold reverse")
    return [head, "", _section("CLAIM", claim), _section("SOURCE", told), ""]


def _question(question: Question, *, boxes: bool = False) -> list[RenderableType]:
    """With numbers to type, or with boxes to tick on paper."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=3, no_wrap=True)
    grid.add_column(width=11, no_wrap=True)
    grid.add_column(overflow="fold")
    for number, each in enumerate(question.choices, start=1):
        grid.add_row("[ ]" if boxes else f"{number}", Text(str(each.word), "bold"), Text(each.says))
    return [_text(question.asks, "bold"), Padding(grid, (0, 0, 0, 2))]


def _told(exercise: Exercise, chosen: Sequence[tuple[str, ...]]) -> list[RenderableType]:
    """What was right, the reading, and the reason."""
    lines: list[RenderableType] = []
    for number, (question, said) in enumerate(zip(QUESTIONS, chosen, strict=True)):
        right = " + ".join(exercise.answer[number])
        if not said:
            lines.append(_text(f"{question.key}: left open; the reading is {right}"))
        elif is_right(exercise, number, said):
            lines.append(_text(f"{question.key}: as it was read: {right}", "green"))
        else:
            lines.append(_text(f"{question.key}: you say {' + '.join(said)}; the reading is {right}", "yellow"))
    return [_section("READING", [*lines, *_reasons(exercise)])]


def _reasons(exercise: Exercise) -> list[RenderableType]:
    said: list[RenderableType] = [
        _text(f"· {', '.join([each.wording, each.about, *each.conditions])} (rules: {', '.join(each.rules) or 'none'})")
        for each in exercise.readings
    ]
    said += [_text(f"· {each}") for each in exercise.reasons]
    said += [_text(f"· {exercise.beside}")] if exercise.beside else []
    return [*said, _text(f"{exercise.title.capitalize()}. {exercise.teaches}", "bold")]


def _danger(each: LessonDanger) -> list[RenderableType]:
    danger = each.danger
    below: list[RenderableType] = []
    if danger.quote is not None:
        below = [_quoted(danger.quote.text), _text(f"— {danger.source_title}", "dim")]
    elif danger.cited:
        below = [_text(f"— {danger.cited}", "dim")]
    return [_warning(f"{each.taxon}: {danger.text}"), _indented(below)]


def _warning(said: str) -> Text:
    return _text(f"! {said}", "bold red")


def _section(label: str, parts: Sequence[RenderableType], style: str = "bold") -> Table:
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(width=_LABEL_WIDTH, no_wrap=True)
    grid.add_column(ratio=1, overflow="fold")
    grid.add_row(Text(label, style), Group(*parts))
    return grid


def _indented(parts: Sequence[RenderableType]) -> Padding:
    return Padding(Group(*parts), (0, 0, 0, 2))


def _quoted(said: str) -> Text:
    return _text(f"“{said}”", "italic")


def _text(said: str, style: str = "") -> Text:
    return Text(one_line(said, _LONGEST), style, overflow="fold")
