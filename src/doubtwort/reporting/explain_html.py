"""Writes explained sentences as one HTML file: each sentence with its marks between the lines, then its decisions.

The picture is drawn for the eye; the table below it tells the same in words, for everyone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise
from typing import Any, Final

from doubtwort.model import Taxon
from doubtwort.reporting.explain import Mark, Reach, SentenceView
from doubtwort.reporting.explain_words import LEGEND, NOTHING_FOUND
from doubtwort.reporting.html import page
from doubtwort.reporting.quotes import place_words
from doubtwort.reporting.standing import standing_cautions
from doubtwort.text import one_line

MOST_SENTENCES: Final = 300
_MOST_LANES: Final = 6
# Marks up to so many characters stand on one line with their label.
_LONGEST_WHOLE: Final = 40


@dataclass(frozen=True, slots=True)
class Lane:
    """A piece of a line of reach over an atom. ``label`` is set where the line begins."""

    lane: int
    label: str
    closes: bool


@dataclass(frozen=True, slots=True)
class Atom:
    """A piece of the sentence under the same marks and lines throughout. ``labels`` are those of marks that begin
    here, with their kinds; ``kind`` is that of the mark over ``text``, "" where there is none. ``tail`` is the comma
    or space behind it, which belongs to no mark."""

    text: str
    kind: str
    labels: tuple[tuple[str, str], ...]
    lanes: tuple[Lane, ...]
    tail: str = ""

    @property
    def plain(self) -> bool:
        return not (self.kind or self.labels or self.lanes)


def explained_page(views: Iterable[SentenceView], taxon: Taxon, title: str = "") -> str:
    """The whole text as an HTML file, the first ``MOST_SENTENCES`` sentences of it."""
    shown = list(islice(views, MOST_SENTENCES + 1))
    sentences: list[dict[str, Any]] = [
        {
            "view": each,
            "words": words_of(each),
            "lanes": min(each.lanes, _MOST_LANES),
            "place": place_words(each.place),
            "rows": _rows(each),
        }
        for each in shown[:MOST_SENTENCES]
    ]
    return page(
        "explain.html",
        one_line(f"How a text reads for {taxon.scientific_name}", 200),
        sheets=("page.css", "explain.css"),
        taxon=taxon,
        source=title,
        sentences=sentences,
        more=len(shown) > MOST_SENTENCES,
        most=MOST_SENTENCES,
        legend=LEGEND,
        nothing=NOTHING_FOUND,
        standing=standing_cautions(None),
    )


def words_of(view: SentenceView) -> tuple[tuple[Atom, ...], ...]:
    """The sentence in words, each in atoms; a line may break between words, and the texts together are the sentence."""
    whole = [each.span for each in view.marks if each.span[1] - each.span[0] <= _LONGEST_WHOLE]
    cuts = {0, len(view.text)}
    cuts |= {at for each in view.marks for at in each.span} | {at for each in view.reaches for at in each.span}
    inside = {at for start, end in whole for at in range(start + 1, end)}
    cuts |= {at + 1 for at, each in enumerate(view.text) if each == " "} - inside
    words: list[tuple[Atom, ...]] = []
    atoms: list[Atom] = []
    for start, end in pairwise(sorted(cuts)):
        atom = _atom(view, start, end)
        if atoms and not (atom.kind or atom.labels) and atoms[-1].kind:
            atoms[-1] = replace(atoms[-1], tail=atoms[-1].tail + atom.text)
        else:
            atoms.append(atom)
        if view.text[end - 1] == " ":
            words.append(tuple(atoms))
            atoms = []
    return tuple([*words, tuple(atoms)] if atoms else words)


def _atom(view: SentenceView, start: int, end: int) -> Atom:
    over = [each for each in view.marks if each.span[0] <= start and end <= each.span[1]]
    return Atom(
        view.text[start:end],
        min(over, key=lambda each: each.span[1] - each.span[0]).kind if over else "",
        tuple((each.kind, each.label) for each in over if each.span[0] == start),
        tuple(_lanes(view.reaches, start, end)),
    )


def _lanes(reaches: Sequence[Reach], start: int, end: int) -> Iterator[Lane]:
    for each in reaches:
        if each.lane < _MOST_LANES and each.span[0] <= start and end <= each.span[1]:
            yield Lane(each.lane, each.words if start == each.span[0] else "", end == each.span[1])


def _rows(view: SentenceView) -> list[dict[str, str]]:
    """The picture in words: a row for each mark."""
    return [
        {
            "words": view.text[slice(*mark.span)],
            "label": mark.label,
            "over": _reached(view, mark),
            "rule": mark.rule,
        }
        for mark in view.marks
    ]


def _reached(view: SentenceView, mark: Mark) -> str:
    words = view.text[slice(*mark.span)]
    found = (
        each
        for each in view.reaches
        if each.words == words and mark.span[0] >= each.span[0] and mark.span[1] <= each.span[1]
    )
    reach = next(found, None) if mark.kind in ("turns", "weakens") else None
    return view.text[slice(*reach.span)] if reach is not None else ""
