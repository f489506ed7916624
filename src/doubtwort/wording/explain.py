"""Why a text reads as it does: each sentence with its cues, their reach, the names in it and what was decided."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from doubtwort.mentions.find import Mention
from doubtwort.model import About, Certainty, Document, Passage, Taxon, Wording
from doubtwort.text import Folded
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.reader import passage_readers
from doubtwort.wording.second import Opinion

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class ShownCue:
    """One phrase of a table where it stands in the passage's own text. ``scope`` is the span that a modifier reaches
    over, ``modifies`` the numbers of the decisions that it changed."""

    span: Span
    rule: str
    role: str
    value: str
    scope: Span | None = None
    modifies: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ShownName:
    """A name in the sentence: whose it is, and the rule that told."""

    span: Span
    whose: About
    rule: str
    comparison: bool


@dataclass(frozen=True, slots=True)
class Decision:
    """What one asserting phrase came to. ``wording`` is None when it states nothing; ``silent`` says why.

    ``chance`` is the second reader's for the wording, None where it was not asked; ``telling`` are the words where the
    wording shows most to it.
    """

    span: Span
    wording: Wording | None
    silent: str
    negated: bool
    certainty: Certainty
    subjects: tuple[tuple[About, str], ...]
    why_subject: str
    eaters: tuple[str, ...]
    parts: tuple[str, ...]
    except_parts: tuple[str, ...]
    preparations: tuple[str, ...]
    stages: tuple[str, ...]
    amount: str
    rules: tuple[str, ...]
    chance: float | None = None
    telling: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Explained:
    """One sentence that holds a phrase of the wording tables; spans are offsets in ``passage.text``."""

    passage: Passage
    span: Span
    clauses: tuple[Span, ...]
    names: tuple[ShownName, ...]
    cues: tuple[ShownCue, ...]
    decisions: tuple[Decision, ...]

    @property
    def text(self) -> str:
        return self.passage.text[self.span[0] : self.span[1]]


def explain_document(document: Document, taxon: Taxon) -> Iterator[Explained]:
    """Every sentence of the document that could state a wording, with the reasons for what it states.

    >>> page = Document("", "Fictaria silvana", (Passage("The seeds are not edible."),))
    >>> explained = next(explain_document(page, Taxon("Fictaria silvana")))
    >>> [(cue.rule, cue.role) for cue in explained.cues]
    [('part-seed', 'part'), ('not', 'negate'), ('edible-adjective', 'says')]
    >>> explained.decisions[0].wording, explained.decisions[0].why_subject
    (<Wording.INEDIBLE: 'inedible'>, "the page's title")
    """
    for reader in passage_readers(document, taxon):
        shown: list[Explained] = []

        def observe(
            sentence: Sentence,
            drafts: list[Draft],
            mentions: list[Mention],
            passage: Passage = reader.passage,
            folded: Folded = reader.folded,
            into: list[Explained] = shown,
        ) -> None:
            into.append(_explained(passage, folded, sentence, drafts, mentions))

        reader.observe = observe
        reader.read()
        yield from shown


def _explained(
    passage: Passage, folded: Folded, sentence: Sentence, drafts: list[Draft], mentions: list[Mention]
) -> Explained:
    cues = sorted([*sentence.cues, *sentence.attributes], key=lambda cue: (cue.start, cue.end))
    return Explained(
        passage,
        folded.original(sentence.start, sentence.end),
        tuple(folded.original(*span) for span in _clause_spans(sentence)),
        tuple(
            ShownName(folded.original(each.start, each.end), each.whose, each.rule, each.comparison)
            for each in mentions
            if sentence.start <= each.start < sentence.end
        ),
        tuple(_shown(folded, sentence, cue, drafts) for cue in cues),
        tuple(_decision(folded, draft, sentence.opinion) for draft in drafts),
    )


def _clause_spans(sentence: Sentence) -> list[Span]:
    tokens, spans = sentence.tokens, []
    start = 0
    for at in range(1, len(tokens.words) + 1):
        if at == len(tokens.words) or sentence.structure.number[at] != sentence.structure.number[start]:
            spans.append((tokens.starts[start], tokens.end(at - 1)))
            start = at
    return spans


def _shown(folded: Folded, sentence: Sentence, cue: Cue, drafts: list[Draft]) -> ShownCue:
    modified = tuple(number for number, draft in enumerate(drafts) if any(each is cue for each in draft.modifiers))
    scope = None
    if modified:
        ends = [drafts[number].cue for number in modified]
        scope = folded.original(
            min(cue.start, *(each.start for each in ends)), max(cue.end, *(each.end for each in ends))
        )
    rule = cue.rule
    value = rule.value or (rule.says.value if rule.says is not None else "")
    return ShownCue(folded.original(cue.start, cue.end), rule.id, rule.role.value, value, scope, modified)


def _decision(folded: Folded, draft: Draft, opinion: Opinion | None) -> Decision:
    asked = draft.wording or draft.cue.rule.says
    chance = opinion.chance(asked) if opinion is not None and asked is not None else None
    telling = opinion.told[asked] if opinion is not None and asked is not None and draft.wording else ()
    return Decision(
        span=folded.original(draft.cue.start, draft.cue.end),
        wording=draft.wording,
        silent=draft.why_silent if draft.wording is None else "",
        negated=draft.negated,
        certainty=draft.certainty,
        subjects=tuple(draft.subjects),
        why_subject=draft.why_subject,
        eaters=tuple(each.value for each in draft.eaters) or ("people",),
        parts=tuple(sorted(set(draft.parts))),
        except_parts=tuple(sorted(set(draft.except_parts))),
        preparations=tuple(sorted(set(draft.preparations))),
        stages=tuple(sorted(set(draft.stages))),
        amount=draft.amount,
        rules=tuple(dict.fromkeys(draft.rules)),
        chance=chance,
        telling=telling,
    )
