"""Drafts of one sentence → statements: one for each wording, condition and subject, without repetition."""

from __future__ import annotations

from doubtwort.model import About, Eater, Notice, Place, Statement, Wording
from doubtwort.wording.attribution import Context
from doubtwort.wording.classify import eaters_of
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.rules import Role

_Key = tuple[Wording, Eater, About]


def statements_of(drafts: list[Draft], quote: str, place: Place, citations: tuple[str, ...]) -> list[Statement]:
    """Statements in the order of the sentence. Drafts that say the same of the same parts become one."""
    made: list[tuple[_Key, Draft, str]] = []
    for draft in drafts:
        if draft.wording is None:
            continue
        for about, name in draft.subjects or [(About.UNCLEAR, "")]:
            for eater in eaters_of(draft):
                key = (draft.wording, eater, about)
                same = next((other for known, other, _ in made if known == key and _merges(other, draft)), None)
                if same is not None:
                    _merge(same, draft)
                else:
                    made.append((key, _copy(draft), name))
    return [_statement(key, draft, name, quote, place, citations) for key, draft, name in made]


def _statement(key: _Key, draft: Draft, name: str, quote: str, place: Place, citations: tuple[str, ...]) -> Statement:
    wording, eater, about = key
    return Statement(
        quote=quote,
        wording=wording,
        about=about,
        eater=eater,
        certainty=draft.certainty,
        parts=tuple(sorted(set(draft.parts))),
        preparations=tuple(sorted(set(draft.preparations))),
        stages=tuple(sorted(set(draft.stages))),
        amount=draft.amount,
        except_parts=tuple(sorted(set(draft.except_parts))),
        rules=tuple(dict.fromkeys(draft.rules)),
        place=place,
        subject=name,
        citations=citations,
    )


def _merges(one: Draft, other: Draft) -> bool:
    """Do two drafts of one wording say the same, one perhaps with fewer words?"""
    if one.except_parts and other.except_parts and one.except_parts != other.except_parts:
        return False
    pairs = ((one.parts, other.parts), (one.preparations, other.preparations), (one.stages, other.stages))
    return all(not a or not b or set(a) <= set(b) or set(b) <= set(a) for a, b in pairs)


def _merge(into: Draft, other: Draft) -> None:
    for name in ("parts", "preparations", "stages", "except_parts", "rules"):
        known: list[str] = getattr(into, name)
        known += [value for value in getattr(other, name) if value not in known]
    into.amount = into.amount or other.amount


def _copy(draft: Draft) -> Draft:
    return Draft(
        draft.cue, draft.clause, draft.wording, draft.negated, draft.certainty, list(draft.eaters), list(draft.parts),
        list(draft.except_parts), list(draft.preparations), list(draft.stages), draft.amount, list(draft.rules),
    )  # fmt: skip


def notices_of(sentence: Sentence, drafts: list[Draft], quote: str, place: Place, context: Context) -> list[Notice]:
    """Cautions that are no statements: contact with the skin, groups who should keep away."""
    about = drafts[0].subjects[0][0] if drafts and drafts[0].subjects else context.current.about
    return [
        Notice(cue.rule.value, quote, about, (cue.rule.id,), place)
        for cue in sentence.attributes
        if cue.rule.role is Role.NOTICE
    ][:1]
