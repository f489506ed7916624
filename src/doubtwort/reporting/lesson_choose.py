"""Which sentences of audits make good exercises, what each teaches, and a choice of them that mixes the kinds.

The same audits, count and seed give the same choice on every machine: the order comes from hashes, not from the
order of the notebook.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from typing import Final

from doubtwort.model import About, Audit, Certainty, Eater, Outcome, Reading, Source, Statement, Wording
from doubtwort.reporting.lesson_words import NOTHING, Kind
from doubtwort.support.outcome import Verdict, judge
from doubtwort.text import fold, one_line
from doubtwort.wording.rules import Role, statement_rules

# A sentence longer than this is no exercise for a sheet of paper.
LONGEST_SENTENCE: Final = 500
_BORROWING: Final = (Outcome.OVERSTATES, Outcome.CIRCULAR)
_BEARING: Final = (
    Outcome.SUPPORTS, Outcome.NARROWER, Outcome.WEAKER, Outcome.ELSEWHERE, Outcome.MIXED, Outcome.CONTRADICTS,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Candidate:
    """One sentence of a source that can be asked about. ``numbers`` are those of its statements in the source;
    ``answer`` has the right words for each question of ``lesson_words.QUESTIONS``."""

    id: str
    audit: Audit
    source: Source
    numbers: tuple[int, ...]
    kind: Kind
    verdict: Verdict
    answer: tuple[frozenset[str], ...]

    @property
    def statements(self) -> tuple[Statement, ...]:
        return tuple(self.source.statements[number] for number in self.numbers)

    @property
    def plain(self) -> bool:
        """Whether it shows its kind at its plainest: "harmless" cited for food comes before "not worth eating"."""
        return self.kind is not Kind.LESS or any(each.wording is Wording.NON_TOXIC for each in self.statements)


def candidates_of(audit: Audit) -> Iterator[Candidate]:
    """Every sentence of the audit's sources with statements that a learner can judge."""
    for source in audit.sources:
        by_quote: dict[str, list[int]] = defaultdict(list)
        for number, statement in enumerate(source.statements):
            by_quote[statement.quote].append(number)
        for quote, numbers in by_quote.items():
            said = tuple(source.statements[number] for number in numbers)
            people = tuple(each for each in said if each.eater is Eater.PEOPLE)
            if not 0 < len(one_line(quote)) <= LONGEST_SENTENCE or any(each.about is About.UNCLEAR for each in people):
                continue
            verdict = judge(audit.claim, Reading(said, named=True, main_subject=source.main_subject))
            kind = kind_of(audit.claim.wording, said, verdict.outcome, source.outcome)
            named = "\n".join((audit.claim.id, source.url, quote))
            answer = (
                frozenset(each.wording.value for each in people) or frozenset((NOTHING,)),
                frozenset(each.about.value for each in people or said),
                frozenset((verdict.outcome.value if verdict.outcome in _BEARING else NOTHING,)),
            )
            yield Candidate(f"x{_hash(named)[:7]}", audit, source, tuple(numbers), kind, verdict, answer)


def kind_of(claimed: Wording, said: Sequence[Statement], outcome: Outcome, source: Outcome) -> Kind:
    """What a sentence teaches, by what it states, what that alone is worth to the claim, and what its source is worth.

    >>> hearsay = Statement("It is said to be eaten.", Wording.EDIBLE, About.TAXON, certainty=Certainty.HEARSAY)
    >>> kind_of(Wording.EDIBLE, (hearsay,), Outcome.NARROWER, Outcome.NARROWER)
    <Kind.HEARSAY: 'hearsay'>
    """
    people = [each for each in said if each.eater is Eater.PEOPLE]
    if not people:
        return Kind.ANIMALS
    if any(each.about is About.OTHER for each in people):
        return Kind.OTHER_TAXON
    if all(each.about is not About.TAXON for each in people):
        return Kind.GENUS
    if any(each.wording in (Wording.INEDIBLE, Wording.NON_TOXIC) and _denying() & set(each.rules) for each in people):
        return Kind.NEGATION
    same = [each for each in people if each.wording is claimed]
    if same and all(each.certainty is not Certainty.STATED for each in same):
        return Kind.HEARSAY
    if outcome in (Outcome.NARROWER, Outcome.ELSEWHERE) or (same and outcome is Outcome.SILENT):
        return Kind.CONDITION
    if outcome in (Outcome.CONTRADICTS, Outcome.MIXED):
        return Kind.OPPOSITE
    if outcome is Outcome.SUPPORTS:
        return Kind.BORROWED if source in _BORROWING else Kind.FAITHFUL
    return Kind.LESS if outcome is Outcome.WEAKER else Kind.CONDITION


@cache
def _denying() -> frozenset[str]:
    """Ids of the rules that turn what is said into its denial."""
    negating = (Role.NEGATE, Role.NEGATE_HEDGED)
    return frozenset(each.id for each in statement_rules() if each.role in negating) | {"ellipsis"}


def choose(candidates: Iterable[Candidate], count: int, seed: int) -> tuple[Candidate, ...]:
    """So many of the candidates, each kind in turn, plants as varied as can be; no sentence twice of one plant. Their
    order tells nothing of their kinds."""
    by_kind: dict[Kind, list[Candidate]] = defaultdict(list)
    asked: set[tuple[str, str]] = set()
    for each in sorted(candidates, key=lambda each: each.id):
        question = (_plant(each), _sentence(each))
        if question not in asked:
            asked.add(question)
            by_kind[each.kind].append(each)
    chosen: list[Candidate] = []
    plants: Counter[str] = Counter()
    sentences: Counter[str] = Counter()
    while len(chosen) < count and any(by_kind.values()):
        for kind in Kind:
            if by_kind[kind] and len(chosen) < count:
                best = min(
                    by_kind[kind],
                    key=lambda each: (
                        sentences[_sentence(each)],
                        plants[_plant(each)],
                        not each.plain,
                        _hash(f"{seed} {each.id}"),
                    ),
                )
                by_kind[kind].remove(best)
                plants[_plant(best)] += 1
                sentences[_sentence(best)] += 1
                chosen.append(best)
    return tuple(sorted(chosen, key=lambda each: _hash(f"{seed} order {each.id}")))


def _plant(candidate: Candidate) -> str:
    return candidate.audit.claim.taxon.scientific_name


def _sentence(candidate: Candidate) -> str:
    return fold(one_line(candidate.statements[0].quote)).lower


def _hash(text: str) -> str:
    return sha256(text.encode("utf-8", "replace")).hexdigest()
