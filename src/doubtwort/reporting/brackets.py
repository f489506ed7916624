"""Draws a sentence for a screen of fixed cells: lines of reach above its words, brackets with labels below them.

Columns are cells, not characters: a wide character takes two (Unicode Standard Annex #11), a combining mark none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

from rich.cells import cell_len, set_cell_size

from doubtwort.reporting.explain import Mark, Reach, SentenceView, Span

_Spanned = TypeVar("_Spanned", Mark, Reach)
_TOKEN: Final = re.compile(r"\S+|\s+")
_FEWEST: Final = 4
_MARGIN: Final = 10
# For terminals that have no line drawing.
ASCII: Final = str.maketrans("─│┬╭╮╯╌┄“”’–…·", "-|+,.'~~\"\"'-.*")


@dataclass(frozen=True, slots=True)
class Piece:
    """Text at a column of a drawn row; ``kind`` is that of its mark, or "text", "reach", "stem"."""

    column: int
    text: str
    kind: str


Row = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class _Hung:
    """A mark on one line: its cells [column, column + width), with "" for a label that hangs on the line before."""

    column: int
    width: int
    label: str
    kind: str
    starts: bool
    ends: bool


def draw(view: SentenceView, width: int) -> Iterator[Row]:
    """The rows of the picture, none wider than ``width`` cells; the words leave room for a label at the end."""
    for start, end in wrap(view.text, max(_FEWEST, width - _MARGIN)):
        yield from _reach_rows(view.reaches, view.text, start, end)
        yield _words(view, start, end)
        yield from _mark_rows([_hung(each, view.text, start, end) for each in _on(view.marks, start, end)], width)


def row_text(row: Row) -> str:
    """A row as plain text.

    >>> row_text((Piece(2, "──", "reach"), Piece(6, "x", "says")))
    '  ──  x'
    """
    made, done = [], 0
    for each in sorted(row, key=lambda piece: piece.column):
        made.append(" " * max(0, each.column - done) + each.text)
        done = max(done, each.column) + cell_len(each.text)
    return "".join(made)


def wrap(text: str, width: int) -> list[Span]:
    """Spans of the lines of a text, broken between words, and in words that are wider than a line.

    >>> wrap("The root is bitter", 9)
    [(0, 8), (9, 18)]
    """
    lines: list[Span] = []
    start = end = used = 0
    for match in _TOKEN.finditer(text):
        cells = cell_len(match[0])
        if match[0].isspace():
            used += cells
            continue
        if end > start and used + cells > width:
            lines.append((start, end))
            start, used = match.start(), 0
        elif end == start:
            start, used = match.start(), 0
        at = match.start()
        while used + cell_len(text[at : match.end()]) > width:
            cut = at + max(1, _fitting(text[at : match.end()], width - used))
            lines.append((start, cut))
            start = at = cut
            used = 0
        used += cell_len(text[at : match.end()])
        end = match.end()
    if end > start:
        lines.append((start, end))
    return lines


def _fitting(text: str, width: int) -> int:
    """How many characters at the start fit into so many cells."""
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if cell_len(text[:middle]) <= width else (low, middle - 1)
    return low


def _on(spanned: Sequence[_Spanned], start: int, end: int) -> list[_Spanned]:
    return [each for each in spanned if each.span[0] < end and each.span[1] > start]


def _cells(text: str, start: int, end: int, span: Span) -> tuple[int, int]:
    """Column and width, on the line [start, end), of the part of a span that stands on it."""
    first, last = max(start, span[0]), min(end, span[1])
    column = cell_len(text[start:first])
    return column, max(1, cell_len(text[first:last].rstrip()))


def _words(view: SentenceView, start: int, end: int) -> Row:
    """The line itself, in pieces: those under a mark carry its kind."""
    pieces: list[Piece] = []
    done = start
    for mark in _on(view.marks, start, end):
        if mark.kind == "value":
            continue
        first, last = max(done, mark.span[0]), min(end, mark.span[1])
        if last <= first:
            continue
        pieces.append(_piece(view.text, start, done, first, "text"))
        pieces.append(_piece(view.text, start, first, last, mark.kind))
        done = last
    pieces.append(_piece(view.text, start, done, end, "text"))
    return tuple(each for each in pieces if each.text)


def _piece(text: str, line: int, start: int, end: int, kind: str) -> Piece:
    return Piece(cell_len(text[line:start]), text[start:end], kind)


# --------------------------------------------------------------------------- above the words


def _reach_rows(reaches: Sequence[Reach], text: str, start: int, end: int) -> Iterator[Row]:
    here = _on(reaches, start, end)
    for lane in sorted({each.lane for each in here}, reverse=True):
        yield tuple(_line(each, text, start, end) for each in here if each.lane == lane)


def _line(reach: Reach, text: str, start: int, end: int) -> Piece:
    column, width = _cells(text, start, end, reach.span)
    begins, closes = reach.span[0] >= start, reach.span[1] <= end
    inner = max(0, width - 2)
    named = f" {reach.words} "
    if not begins:
        named = f" … {reach.words} "
    filling = "─" + named if cell_len(named) + 2 <= inner else ""
    middle = filling + "─" * (inner - cell_len(filling))
    drawn = ("╭" if begins else "╌") + middle + ("╮" if closes else "╌")
    return Piece(column, drawn[:width] if width < 2 else drawn, "reach")


# --------------------------------------------------------------------------- below the words


def _hung(mark: Mark, text: str, start: int, end: int) -> _Hung:
    column, width = _cells(text, start, end, mark.span)
    starts = mark.span[0] >= start
    return _Hung(column, width, mark.label if starts else "", mark.kind, starts, mark.span[1] <= end)


def _mark_rows(marks: list[_Hung], width: int) -> Iterator[Row]:
    """Tier below tier: marks over the same words, or without room for their labels, come in a later one."""
    waiting = _same_words_together(marks, width)
    while waiting:
        tier: list[_Hung] = []
        later: list[_Hung] = []
        for each in waiting:
            clear = not tier or each.column >= tier[-1].column + tier[-1].width
            (tier if clear else later).append(each)
        labels = [each for each in tier if each.label]
        rows, without_room = _hang(labels, width)
        tier = [each for each in tier if each not in without_room]
        yield tuple(Piece(each.column, _bracket(each), each.kind) for each in tier)
        yield from rows
        waiting = sorted([*later, *without_room], key=lambda each: (each.column, -each.width))


def _same_words_together(marks: list[_Hung], width: int) -> list[_Hung]:
    """Marks over the same words become one, where one side of its stem has room for both labels."""
    made: list[_Hung] = []
    for each in sorted(marks, key=lambda mark: (mark.column, mark.width)):
        before = made[-1] if made else None
        if before is not None and (before.column, before.width) == (each.column, each.width):
            label = "; ".join(one for one in (before.label, each.label) if one)
            if cell_len(label) <= _room(each.column, width):
                made[-1] = _Hung(each.column, each.width, label, before.kind, each.starts, each.ends)
                continue
        made.append(each)
    return made


def _bracket(mark: _Hung) -> str:
    first = "┬" if mark.label else "╌"
    if mark.width == 1:
        return first
    return first + "─" * (mark.width - 2) + ("─" if mark.ends else "╌")


def _hang(marks: list[_Hung], width: int) -> tuple[list[Row], list[_Hung]]:
    """Rows of labels that hang on stems, and the marks for which there is no room among the others."""
    labels = [_fitted(each, width) for each in marks]
    placed, without_room = _placed([each.column for each in marks], [cell_len(each) for each in labels], width)
    rows = []
    for row in range(1 + max((depth for depth, _ in placed.values()), default=-1)):
        pieces = []
        for at, (depth, begin) in sorted(placed.items()):
            if depth > row:
                pieces.append(Piece(marks[at].column, "│", "stem"))
            elif depth == row:
                leftward = begin < marks[at].column
                pieces.append(Piece(begin, labels[at] + (" ╯" if leftward else ""), marks[at].kind))
        rows.append(tuple(pieces))
    return rows, [marks[at] for at in without_room]


def _placed(columns: list[int], lengths: list[int], width: int) -> tuple[dict[int, tuple[int, int]], list[int]]:
    """For each label its row and first column, and the labels that found no room.

    From right to left, each label goes into the first row where it crosses no other's stem. It stands to the right of
    its own, or where the line ends too soon, to its left; the latter waits until all that it covers have their rows,
    which have to lie above its own.

    >>> placed, without_room = _placed([0, 4, 20], [8, 6, 9], 26)
    >>> placed[2], placed[1], placed[0], without_room
    ((0, 10), (1, 4), (2, 0), [])
    """
    placed: dict[int, tuple[int, int]] = {}
    waiting: list[tuple[int, int, set[int]]] = []  # label, its first column, the labels that had their rows before
    without_room: list[int] = []

    def settle(least: int) -> None:
        while waiting and waiting[-1][1] > least:
            at, begin, before = waiting.pop()
            above = [placed[other][0] for other in placed.keys() - before]
            placed[at] = (1 + max(above, default=-1), begin)

    for at in reversed(range(len(columns))):
        column = columns[at]
        settle(column + 1)
        end = column + lengths[at]
        begin = column - lengths[at] - 1
        if end <= width and (not waiting or end < columns[waiting[-1][0]]):
            above = [depth for depth, start in placed.values() if start <= end]
            placed[at] = (1 + max(above, default=-1), column)
        elif begin >= 0:
            waiting.append((at, begin, set(placed)))
        else:
            without_room.append(at)
    settle(-1)
    return placed, without_room


def _fitted(mark: _Hung, width: int) -> str:
    """The label, cut where neither side of its stem has room for it."""
    room = _room(mark.column, width)
    if cell_len(mark.label) <= room:
        return mark.label
    return set_cell_size(mark.label, room - 1).rstrip() + "…"


def _room(column: int, width: int) -> int:
    """Cells for a label on the better side of its stem."""
    return max(width - column, column - 1, _FEWEST)
