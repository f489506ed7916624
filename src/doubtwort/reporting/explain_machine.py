"""The explanation of one text as a JSON object: what ``doubtwort read --explain --json`` prints."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from doubtwort.model import Taxon
from doubtwort.reporting.explain import Mark, Reach, SentenceView, Verdict
from doubtwort.reporting.standing import standing_cautions


def explained_object(text_id: object, taxon: Taxon, views: Iterable[SentenceView]) -> dict[str, Any]:
    """Every span is an offset in its sentence's ``text``; ``place`` tells where that stands in the whole text."""
    return {
        "id": text_id,
        "taxon": taxon.scientific_name,
        "sentences": [_sentence(each) for each in views],
        "cautions": [each.text for each in standing_cautions(None)],
    }


def _sentence(view: SentenceView) -> dict[str, Any]:
    place = view.place
    return {
        "text": view.text,
        "place": {"headings": list(place.headings), "start": place.start, "end": place.end, "page": place.page},
        "marks": [_mark(view, each) for each in view.marks],
        "reaches": [_reach(view, each) for each in view.reaches],
        "decisions": [_decision(each) for each in view.verdicts],
        "left_out": view.left_out,
    }


def _mark(view: SentenceView, mark: Mark) -> dict[str, Any]:
    return {
        "words": view.text[slice(*mark.span)],
        "start": mark.span[0],
        "end": mark.span[1],
        "kind": mark.kind,
        "does": mark.label,
        "rule": mark.rule,
        "decisions": list(mark.decisions),
    }


def _reach(view: SentenceView, reach: Reach) -> dict[str, Any]:
    return {
        "words": reach.words,
        "does": reach.label,
        "over": view.text[slice(*reach.span)],
        "start": reach.span[0],
        "end": reach.span[1],
        "decisions": list(reach.decisions),
    }


def _decision(verdict: Verdict) -> dict[str, Any]:
    """``wording`` is null where nothing is stated; ``silent`` then says why."""
    return {
        "number": verdict.number,
        "words": verdict.words,
        "start": verdict.span[0],
        "end": verdict.span[1],
        "wording": verdict.wording or None,
        "silent": verdict.silent or None,
        "facts": dict(verdict.facts),
        "rules": list(verdict.rules),
    }
