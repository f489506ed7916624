"""Why a text reads as it does, ready to be drawn: each sentence with its phrases, their reach, and the decisions.

One render-neutral view (``SentenceView``) for the terminal, the page and the machine-readable output. Its text has lost
its control characters and line breaks; every span is an offset in that text.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from doubtwort.model import About, Document, Place, Statement, Taxon, Wording
from doubtwort.reporting.explain_words import (
    CERTAINTY_SAYS,
    NOTICE_WORDS,
    REACHING,
    ROLE_WORDS,
    chance_words,
    silence_words,
)
from doubtwort.reporting.plaintext import clean
from doubtwort.reporting.words import ABOUT_SAYS
from doubtwort.wording import read_document
from doubtwort.wording.explain import Decision, Explained, ShownCue, ShownName, explain_document
from doubtwort.wording.fields import answers_label
from doubtwort.wording.rules import Role
from doubtwort.wording.second_look import SECOND

Span = tuple[int, int]

# Characters of a sentence that are drawn, and those that are given to a program.
LONGEST_SENTENCE: Final = 2_000
LONGEST_GIVEN: Final = 100_000
_LABEL_BEFORE: Final = re.compile(r"[^\n.;:|=]{1,60}(?::|\||=|\s[-–—]\s)\s*$")
_ANSWERS: Final = {"answer-yes": "yes", "answer-no": "no"}


@dataclass(frozen=True, slots=True)
class Mark:
    """A phrase or name: what it does, in words that stand under it. ``decisions`` are numbers from 1; ``kind`` is
    "says", "turns", "weakens", "who", "use", "notice", "limits", "name", "label", "value", "unsaid" or "answer"."""

    span: Span
    kind: str
    label: str
    rule: str
    decisions: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a modifier reaches. ``lane`` keeps lines over the same words apart, 0 being nearest to the words."""

    span: Span
    words: str
    label: str
    lane: int
    decisions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one phrase came to. ``wording`` is "" when it states nothing, ``silent`` then tells why in a sentence.
    ``facts`` are (label, value) such as ("part", "root")."""

    number: int
    span: Span
    words: str
    wording: str
    silent: str
    facts: tuple[tuple[str, str], ...]
    rules: tuple[str, ...]
    dangerous: bool


@dataclass(frozen=True, slots=True)
class SentenceView:
    """One sentence as it is drawn. ``left_out`` counts marks and decisions behind the longest text that is shown."""

    text: str
    place: Place
    marks: tuple[Mark, ...]
    reaches: tuple[Reach, ...]
    verdicts: tuple[Verdict, ...]
    source: Explained
    left_out: int = 0

    @property
    def lanes(self) -> int:
        return 1 + max((each.lane for each in self.reaches), default=-1)


def explained_views(document: Document, taxon: Taxon, longest: int = LONGEST_SENTENCE) -> Iterator[SentenceView]:
    """Every sentence of the document that holds a phrase of the wording tables.

    >>> from doubtwort.model import Passage
    >>> page = Document("", "Fictaria silvana", (Passage("The seeds may not be edible."),))
    >>> view = next(explained_views(page, Taxon("Fictaria silvana")))
    >>> [(view.text[slice(*mark.span)], mark.label) for mark in view.marks][1:3]
    [('may', 'weakens (1): may'), ('not', 'turns it round (1): not')]
    >>> view.verdicts[0].wording, view.verdicts[0].facts[0]
    ('inedible', ('certainty', 'hedged: not said for certain'))
    """
    answers: dict[int, list[Statement]] = {}
    for each in read_document(document, taxon).statements:
        if each.place is not None and not _ANSWERS.keys().isdisjoint(each.rules):
            answers.setdefault(each.place.start, []).append(each)
    for explained in explain_document(document, taxon):
        yield _view(explained, answers.get(explained.passage.start + explained.span[0], ()), longest)


class _Shown:
    """A window of a passage as it is shown, with the way from the passage's offsets to those of the shown text."""

    def __init__(self, raw: str, low: int, high: int) -> None:
        self.low = low
        self.at: list[int] = []
        pieces: list[str] = []
        length = 0
        for each in raw[low:high]:
            self.at.append(length)
            shown = " " if each.isspace() else "" if unicodedata.category(each) == "Cf" else clean(each)
            if shown == " " and (not pieces or pieces[-1] == " "):
                continue
            if shown:
                pieces.append(shown)
                length += len(shown)
        self.at.append(length)
        self.text = "".join(pieces).rstrip()

    def span(self, span: Span) -> Span:
        """The shown span of a span of the passage, without spaces at its ends."""
        start, end = (self.at[min(max(each - self.low, 0), len(self.at) - 1)] for each in span)
        end = min(end, len(self.text))
        inner = self.text[start:end]
        return start + len(inner) - len(inner.lstrip()), max(start, end - len(inner) + len(inner.rstrip()))


def _view(explained: Explained, answers: Iterable[Statement], most: int) -> SentenceView:
    raw = explained.passage.text
    low, high = explained.span
    is_field = any(_is_field(each) for each in explained.decisions)
    label = _LABEL_BEFORE.search(raw, max(0, low - 80), low)
    begin = label.start() + len(label[0]) - len(label[0].lstrip()) if label is not None else low
    answers = [each for each in answers if any(one.silent == "question" for one in explained.decisions)]
    ends = [each.place.end - explained.passage.start for each in answers if each.place is not None]
    end = max(high, *ends, *(each.span[1] for each in explained.names), 0)
    shown = _Shown(raw, begin, min(end, begin + most))
    longest = begin + len(shown.at) - 1
    verdicts = [_verdict(number, each, explained, shown, answers) for number, each in _numbered(explained)]
    marks = [_cue_mark(each, explained, shown) for each in explained.cues]
    marks += [_name_mark(each, shown) for each in explained.names]
    marks += [_own_mark(number, each, shown) for number, each in _numbered(explained) if _is_own(each, explained)]
    if is_field and label is not None:
        marks.append(Mark(shown.span((begin, low)), "label", "the label: it asks", ""))
    marks += [_answer_mark(shown, high, end, each) for each in answers[:1]]
    inside = [each.span[0] < longest for each in explained.decisions]
    kept = sorted((each for each in marks if each.span[1] > each.span[0]), key=lambda each: (each.span, each.label))
    start = explained.passage.start
    return SentenceView(
        text=shown.text,
        place=Place(explained.passage.headings, start + begin, start + end, explained.passage.page),
        marks=tuple(kept),
        reaches=_reaches(explained, shown),
        verdicts=tuple(each for each, shows in zip(verdicts, inside, strict=True) if shows),
        source=explained,
        left_out=len(marks) - len(kept) + inside.count(False),
    )


def _numbered(explained: Explained) -> Iterator[tuple[int, Decision]]:
    return enumerate(explained.decisions, start=1)


def _is_field(decision: Decision) -> bool:
    return bool(decision.rules) and answers_label(decision.rules[0])


def _is_ellipsis(decision: Decision) -> bool:
    return "ellipsis" in decision.rules


def _is_own(decision: Decision, explained: Explained) -> bool:
    """Does it hang on no phrase of its own?"""
    says = (cue for cue in explained.cues if cue.role == Role.SAYS)
    return _is_ellipsis(decision) or not any(cue.span == decision.span for cue in says)


def _changes(cue: ShownCue, explained: Explained) -> tuple[int, ...]:
    """Numbers of the decisions that a modifier changes: those it reaches, or what is left unsaid in its clause."""
    if cue.modifies or cue.role != Role.NEGATE:
        return tuple(number + 1 for number in cue.modifies)
    clause = next((start, end) for start, end in (*explained.clauses, explained.span) if start <= cue.span[0] < end)
    return tuple(
        number
        for number, each in _numbered(explained)
        if _is_ellipsis(each) and each.negated and clause[0] <= each.span[0] < clause[1]
    )


# --------------------------------------------------------------------------- marks


def _cue_mark(cue: ShownCue, explained: Explained, shown: _Shown) -> Mark:
    span = shown.span(cue.span)
    said = ROLE_WORDS[Role(cue.role)]
    numbers = _changes(cue, explained)
    if cue.role == Role.SAYS:
        same = ((number, each) for number, each in _numbered(explained) if each.span == cue.span)
        numbers = tuple(number for number, each in same if not _is_ellipsis(each))
    value = NOTICE_WORDS.get(cue.value, cue.value)
    head, colon, words = said.label.format(value=value, words=shown.text[slice(*span)]).partition(": ")
    label = head + _among(numbers) + colon + words
    if said.kind in REACHING and not numbers:
        label += " (reaches nothing)"
    return Mark(span, said.kind, label, cue.rule, numbers)


def _among(numbers: tuple[int, ...]) -> str:
    return f" ({', '.join(str(each) for each in numbers)})" if numbers else ""


def _name_mark(name: ShownName, shown: _Shown) -> Mark:
    label = f"names {ABOUT_SAYS[name.whose]}" + (", to compare" if name.comparison else "")
    return Mark(shown.span(name.span), "name", label, name.rule)


def _own_mark(number: int, decision: Decision, shown: _Shown) -> Mark:
    """A decision that hangs on no phrase of its own: a row's value, or words that take up what was said before."""
    span = shown.span(decision.span)
    wording = decision.wording.value if decision.wording else "nothing"
    if _is_field(decision):
        return Mark(span, "value", f"the value: answers {wording} ({number})", decision.rules[0], (number,))
    if decision.rules[:1] and decision.rules[0].startswith(SECOND):
        return Mark(span, "says", f"the second reader: says {wording} ({number})", decision.rules[0], (number,))
    return Mark(span, "unsaid", f"takes up what was said ({number})", "ellipsis", (number,))


def _answer_mark(shown: _Shown, start: int, end: int, answer: Statement) -> Mark:
    said = next(_ANSWERS[rule] for rule in answer.rules if rule in _ANSWERS)
    return Mark(shown.span((start, end)), "answer", f"answers: {said}", f"answer-{said}")


def _reaches(explained: Explained, shown: _Shown) -> tuple[Reach, ...]:
    """Lines over the words, the short ones nearest to them."""
    found = [
        (shown.span(cue.scope), cue) for cue in explained.cues if cue.scope is not None and cue.modifies
    ]  # a span that lies behind the longest text is empty
    found = [(span, cue) for span, cue in found if span[1] > span[0]]
    taken: list[list[Span]] = []
    made = []
    for span, cue in sorted(found, key=lambda each: (each[0][1] - each[0][0], each[0])):
        free = (
            lane
            for lane, spans in enumerate(taken)
            if all(span[1] < start or end < span[0] for start, end in spans)
        )  # fmt: skip
        lane = next(free, len(taken))
        if lane == len(taken):
            taken.append([])
        taken[lane].append(span)
        words = shown.text[slice(*shown.span(cue.span))]
        label = ROLE_WORDS[Role(cue.role)].label.partition(":")[0]
        made.append(Reach(span, words, label, lane, tuple(number + 1 for number in cue.modifies)))
    return tuple(sorted(made, key=lambda each: (each.span, each.lane)))


# --------------------------------------------------------------------------- decisions


def _verdict(
    number: int, decision: Decision, explained: Explained, shown: _Shown, answers: Iterable[Statement]
) -> Verdict:
    span = shown.span(decision.span)
    wording, silent, rules = decision.wording, decision.silent, decision.rules
    answer = None
    if silent == "question":
        answer = next((each for each in answers if decision.rules[0] in each.rules), None)
    if answer is not None:
        wording, silent, rules = answer.wording, "", answer.rules
    return Verdict(
        number=number,
        span=span,
        words=shown.text[slice(*span)],
        wording=wording.value if wording is not None else "",
        silent=silence_words(silent) if wording is None else "",
        facts=tuple(_facts(number, decision, explained, shown, answer)),
        rules=rules,
        dangerous=wording is Wording.TOXIC and "people" in decision.eaters and _may_be_ours(decision),
    )


def _may_be_ours(decision: Decision) -> bool:
    return any(about is not About.OTHER for about, _ in decision.subjects) or not decision.subjects


def _facts(
    number: int, decision: Decision, explained: Explained, shown: _Shown, answer: Statement | None
) -> Iterator[tuple[str, str]]:
    """What was read from the sentence for one decision; of a silent one, only what made it so."""
    changed = [cue for cue in explained.cues if number in _changes(cue, explained)]
    says = decision.wording is not None or answer is not None
    if says:
        yield "certainty", CERTAINTY_SAYS[decision.certainty]
    if changed:
        labels = [
            f"“{shown.text[slice(*shown.span(cue.span))]}” ({ROLE_WORDS[Role(cue.role)].label.partition(':')[0]})"
            for cue in changed
        ]
        yield "changed by", "; ".join(labels)
    if _is_ellipsis(decision):
        yield "unsaid", "the words take up what the sentence said before them"
    if answer is not None:
        yield "answered", "a question; the words after it answer it"
    if decision.chance is not None:
        yield "2nd reader", chance_words(decision.chance, decision.telling)
    if not says:
        return
    yield "given to", " and ".join(_subject(about, name) for about, name in decision.subjects) or "nobody"
    yield "because", decision.why_subject
    yield "for whom", " and ".join(decision.eaters)
    yield "part", ", ".join(decision.parts) or "none named"
    if decision.except_parts:
        yield "all but", ", ".join(decision.except_parts)
    yield "prepared", ", ".join(decision.preparations) or "none named"
    if decision.stages:
        yield "stage", ", ".join(decision.stages)
    if decision.amount:
        yield "amount", decision.amount


def _subject(about: About, name: str) -> str:
    return f"{ABOUT_SAYS[about]} (“{name}”)" if name else ABOUT_SAYS[about]
