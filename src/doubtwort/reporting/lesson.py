"""A lesson in reading sources, made from audits: exercises with their readings and reasons, and the warnings.

What is right is never written down beforehand: it is what the audit's statements and the table of outcomes say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Audit, Caution, Wording
from doubtwort.reporting.lesson_choose import Candidate, candidates_of, choose
from doubtwort.reporting.lesson_words import KIND_TEACHES, KIND_TITLE, QUESTIONS, Kind, Question
from doubtwort.reporting.quotes import Quote
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.view import AuditView, Danger
from doubtwort.reporting.words import OUTCOME_SAYS

USUAL_COUNT: Final = 10
MOST_EXERCISES: Final = 60


@dataclass(frozen=True, slots=True)
class Exercise:
    """One claim and one sentence of a source. ``answer`` has the right words for each of ``QUESTIONS``, in the order
    of their choices; ``reasons`` say why; ``readings`` are the sentence's statements as they were read.

    ``beside`` tells what the source is worth as a whole, where that differs from what the sentence is worth.
    """

    id: str
    number: int
    kind: Kind
    taxon: str
    common_names: tuple[str, ...]
    claimed: str
    conditions: tuple[str, ...]
    claim_quote: str
    claim_url: str
    source_id: str
    source_title: str
    source_link: str
    main_subject: str
    sentence: str
    before: str
    after: str
    place: str
    readings: tuple[Quote, ...]
    answer: tuple[tuple[str, ...], ...]
    reasons: tuple[str, ...]
    beside: str = ""

    @property
    def title(self) -> str:
        return KIND_TITLE[self.kind]

    @property
    def teaches(self) -> str:
        return KIND_TEACHES[self.kind]


@dataclass(frozen=True, slots=True)
class LessonDanger:
    """A warning about a plant of the lesson."""

    taxon: str
    danger: Danger


@dataclass(frozen=True, slots=True)
class Lesson:
    """A hand-out, its answers, and what has to be said with it. ``lacking`` are kinds of error that no audited claim
    gives an example of; ``invented``: the plants of the exercises do not exist; ``made_by`` are the options of
    ``doubtwort lesson`` that give this very lesson again."""

    exercises: tuple[Exercise, ...]
    dangers: tuple[LessonDanger, ...]
    standing: tuple[Caution, ...]
    lacking: tuple[Kind, ...]
    made_by: str
    invented: bool = False

    @property
    def warned(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The warnings in short: each plant once, with what is said of it."""
        found: dict[str, dict[str, None]] = {}
        for each in self.dangers:
            found.setdefault(each.taxon, {})[each.danger.text] = None
        return tuple((taxon, tuple(texts)) for taxon, texts in found.items())


def make_lesson(
    audits: Iterable[Audit],
    view_of: Callable[[Audit], AuditView],
    *,
    count: int = USUAL_COUNT,
    seed: int = 0,
    made_by: str = "",
    invented: bool = False,
) -> Lesson:
    """Chooses ``count`` sentences of the audits so that each teaches one kind of error. ``view_of`` is asked for the
    audits of the chosen ones only."""
    if not 1 <= count <= MOST_EXERCISES:
        raise CallError(f"A lesson has 1 to {MOST_EXERCISES} exercises, not {count}.")
    candidates = [each for audit in audits for each in candidates_of(audit)]
    if not candidates:
        raise DoubtwortError(
            "None of the claims has a source with a sentence to ask about. Audit more claims, or leave out --notebook "
            "for a lesson on invented ones."
        )
    chosen = choose(candidates, count, seed)
    views = {audit.claim.id: view_of(audit) for audit in {each.audit.claim.id: each.audit for each in chosen}.values()}
    dangers: dict[tuple[str, str, str], LessonDanger] = {}
    for each in chosen:
        taxon = each.audit.claim.taxon.scientific_name
        for danger in views[each.audit.claim.id].dangers:
            quoted = danger.quote.text if danger.quote else danger.cited
            dangers.setdefault((taxon, danger.text, quoted), LessonDanger(taxon, danger))
    found = {each.kind for each in candidates}
    return Lesson(
        exercises=tuple(
            _exercise(number, each, views[each.audit.claim.id]) for number, each in enumerate(chosen, start=1)
        ),
        dangers=tuple(dangers.values()),
        standing=_standing([each.audit.claim.wording for each in chosen]),
        lacking=tuple(kind for kind in Kind if kind not in found),
        made_by=made_by,
        invented=invented,
    )


def _exercise(number: int, chosen: Candidate, view: AuditView) -> Exercise:
    claim, source = chosen.audit.claim, chosen.source
    shown = next(each for each in view.sources if each.id == source.id)
    readings = tuple(shown.quotes[each] for each in chosen.numbers)
    outcome = chosen.verdict.outcome
    beside = ""
    if source.outcome is not outcome:
        beside = f"The source as a whole is rated “{source.outcome.value}”: it {OUTCOME_SAYS[source.outcome]}."
    return Exercise(
        id=chosen.id,
        number=number,
        kind=chosen.kind,
        taxon=claim.taxon.scientific_name,
        common_names=claim.taxon.common_names,
        claimed=claim.wording.value,
        conditions=view.conditions,
        claim_quote=claim.quote,
        claim_url=claim.url,
        source_id=source.id,
        source_title=shown.title,
        source_link=readings[0].link or shown.link,
        main_subject=source.main_subject,
        sentence=readings[0].text,
        before=readings[0].before,
        after=readings[0].after,
        place=" › ".join(chosen.statements[0].place.headings) if chosen.statements[0].place else "",
        readings=readings,
        answer=tuple(_ordered(asked, right) for asked, right in zip(QUESTIONS, chosen.answer, strict=True)),
        reasons=tuple(dict.fromkeys(each.text for each in chosen.verdict.reasons)),
        beside=beside,
    )


def _ordered(question: Question, words: frozenset[str]) -> tuple[str, ...]:
    return tuple(each.word for each in question.choices if each.word in words)


def _standing(wordings: Sequence[Wording]) -> tuple[Caution, ...]:
    """The standing cautions, and what a claim that is itself a warning adds to them."""
    return tuple(dict.fromkeys(each for wording in dict.fromkeys(wordings) for each in standing_cautions(wording)))
