"""Tables: rows that read as "label: value", rows under a header, and tables that only lay out a page.

The choice is made row by row: a row whose cells hold paragraphs, lists of blocks or tables is walked as blocks; any
other row is one block.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from bs4 import Tag
from bs4.element import NavigableString

from doubtwort.reading.blocks import Run
from doubtwort.reading.inline import parts_of
from doubtwort.reading.tree import below, short_text

if TYPE_CHECKING:
    from doubtwort.reading.walk import Walker

Event = tuple[str, "Tag | NavigableString | Callable[[], None]"]

_MOST_COLUMNS = 60
_LONG_CELL = 700
HEADER_WORDS = re.compile(
    r"\b(?:species|scientific|botanical|latin|common|vernacular|local|names?|taxon|plants?|famil(?:y|ies)|genus|parts?|"
    r"edib\w+|toxic\w*|poison\w*|uses?|used|preparations?|habitats?|seasons?|notes?|remarks?|comments?|references?|"
    r"sources?|status|food|fungus|fungi|mushrooms?|effects?|symptoms?|value|type|description)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Cell:
    tag: Tag
    header: bool
    column: int
    span: int
    carried: bool = False


def table_events(walker: Walker, table: Tag) -> list[Event]:
    """What the walk has to do for a table, in order."""
    rows, captions, strays = _rows(table)
    events: list[Event] = [("in", stray) for stray in strays]
    role = str(table.attrs.get("role", ""))
    for caption in captions:
        events.append(("do", _caption(walker, caption, table)))
    layout = role in ("presentation", "none")
    cells = _grid(rows)
    headed = not layout and bool(cells)
    labels: list[str] = [""] * _MOST_COLUMNS
    started = False
    for at, row in enumerate(cells):
        if id(rows[at]) in walker.skip:
            continue
        if (
            layout
            or any(_walked(cell.tag, len(row)) for cell in row if not cell.carried)
            or len(row) == 1 == len(max(cells, key=len))
        ):
            events += [("in", cell.tag) for cell in row if not cell.carried]
            continue
        if headed and not (started and any(labels)) and _is_header(row, at, cells, rows[at]):
            for cell in row:
                text = walker.collect(cell.tag, " ").block().text.rstrip(" :.")
                for column in range(cell.column, min(cell.column + cell.span, _MOST_COLUMNS)):
                    labels[column] = " ".join(filter(None, (labels[column], text if text != labels[column] else "")))
            started = started or _starts_body(cells, rows, at)
            continue
        started = True
        events.append(("do", _row(walker, table, row, list(labels))))
    return events


def _rows(table: Tag) -> tuple[list[Tag], list[Tag], list[Tag | NavigableString]]:
    """Rows, captions, and what stands outside of cells by mistake; browsers show that before the table."""
    rows: list[Tag] = []
    captions: list[Tag] = []
    strays: list[Tag | NavigableString] = []
    for child in parts_of(table):
        if isinstance(child, Tag) and child.name in ("thead", "tbody", "tfoot"):
            for inner in parts_of(child):
                (rows if isinstance(inner, Tag) and inner.name == "tr" else strays).append(inner)  # type: ignore[arg-type]
        elif isinstance(child, Tag) and child.name == "tr":
            rows.append(child)
        elif isinstance(child, Tag) and child.name == "caption":
            captions.append(child)
        else:
            strays.append(child)
    for row in rows:
        strays += [each for each in parts_of(row) if not (isinstance(each, Tag) and each.name in ("td", "th"))]
    return rows, captions, [each for each in strays if isinstance(each, Tag) or each.strip()]


def _grid(rows: list[Tag]) -> list[list[_Cell]]:
    """Cells of each row with their columns; a cell that spans rows stands in each of them (a species named once)."""
    grid: list[list[_Cell]] = []
    hanging: dict[int, tuple[_Cell, int]] = {}
    for row in rows:
        line: list[_Cell] = []
        column = 0
        for child in row.children:
            if not isinstance(child, Tag) or child.name not in ("td", "th"):
                continue
            while column in hanging and column < _MOST_COLUMNS:
                column += 1
            if column >= _MOST_COLUMNS:
                break
            span = min(_number(child, "colspan"), _MOST_COLUMNS - column)
            cell = _Cell(child, child.name == "th", column, max(span, 1))
            line.append(cell)
            down = _number(child, "rowspan")
            if down > 1:
                for each in range(column, column + cell.span):
                    hanging[each] = (cell, down)
            column += cell.span
        seen = {id(cell.tag) for cell in line}
        for each, (cell, left) in sorted(hanging.items()):
            if id(cell.tag) not in seen:
                seen.add(id(cell.tag))
                line.append(_Cell(cell.tag, cell.header, cell.column, cell.span, carried=True))
            if left <= 1:
                del hanging[each]
        hanging = {each: (cell, left - 1) for each, (cell, left) in hanging.items() if left > 1}
        grid.append(sorted(line, key=lambda cell: cell.column))
    return grid


def _number(tag: Tag, name: str) -> int:
    value = str(tag.attrs.get(name, "1")).strip()
    return min(int(value), 1000) if value.isdigit() and len(value) < 6 else 1


def _walked(cell: Tag, width: int) -> bool:
    """The cell holds blocks of its own: a table, headings, several paragraphs, or a very long text."""
    paragraphs = length = 0
    for seen, child in enumerate(below(cell, 3002)):
        if seen > 3000:
            return True
        if isinstance(child, Tag):
            if child.name in ("table", "dl", "h1", "h2", "h3", "h4", "pre", "blockquote", "article", "section"):
                return True
            paragraphs += child.name == "p"
        else:
            length += len(str(child))
    return paragraphs > 2 or (length > _LONG_CELL and width <= 2) or length > 4 * _LONG_CELL


def _is_header(row: list[_Cell], at: int, cells: list[list[_Cell]], tag: Tag) -> bool:
    own = [cell for cell in row if not cell.carried]
    if len(row) < 2:
        return False
    if isinstance(tag.parent, Tag) and tag.parent.name == "thead":
        return True
    if all(cell.header or not short_text(cell.tag).strip() for cell in row) and any(cell.header for cell in own):
        # A label beside an empty value is no header; a header has rows of its own width below it.
        return any(len(other) >= len(row) and any(not c.header for c in other) for other in cells[at + 1 : at + 4])
    if at or len(cells) < 3 or any(cell.header for other in cells for cell in other):
        return False
    texts = [" ".join(short_text(cell.tag).split()) for cell in row]
    if any(len(text) > 40 or not text or text[0].isdigit() for text in texts) or len(set(texts)) < len(texts):
        return False
    known = sum(bool(HEADER_WORDS.search(text)) for text in texts)
    bold = all(_all_bold(cell.tag) for cell in row)
    return bold or (known >= 0.6 * len(texts) and known >= 2 and not any(t.endswith((":", ".")) for t in texts))


def _all_bold(cell: Tag) -> bool:
    text = short_text(cell).strip()
    first = islice((each for each in below(cell, 20) if isinstance(each, Tag)), 10)
    bold = next((each for each in first if each.name in ("b", "strong")), None)
    return bold is not None and bool(text) and short_text(bold).strip() == text


def _starts_body(cells: list[list[_Cell]], rows: list[Tag], at: int) -> bool:
    """True when the row below the header row at ``at`` is no header row itself."""
    if at + 1 >= len(cells):
        return True
    parent = rows[at + 1].parent
    if isinstance(parent, Tag) and parent.name == "thead":
        return False
    return not all(cell.header for cell in cells[at + 1])


def _caption(walker: Walker, caption: Tag, table: Tag) -> Callable[[], None]:
    def do() -> None:
        walker.scoped_heading(walker.collect(caption, " "), table, "caption")

    return do


def _row(walker: Walker, table: Tag, row: list[_Cell], labels: list[str]) -> Callable[[], None]:
    def do() -> None:
        values = [(cell, walker.collect(cell.tag, "; ")) for cell in row]
        filled = [(cell, run) for cell, run in values if run.text.strip()]
        if not filled:
            return
        if len(filled) == 1 and (filled[0][0].span > 1 or len(row) == 1):
            cell, run = filled[0]
            if cell.header or (len(run.text) <= 80 and not run.text.rstrip().endswith(".")):
                walker.scoped_heading(run, table, "heading")
            else:
                walker.emit(run.block("table-row"))
            return
        line = Run()
        for at, (cell, run) in enumerate(filled):
            label = labels[cell.column] if any(labels) else ""
            if at:
                before = filled[at - 1][0]
                labelled = not any(labels) and (before.header and not cell.header)
                if not any(labels) and not labelled and len(filled) == 2 and len(row) == 2:
                    labelled = at == 1 and len(filled[0][1].text) <= 80
                line.join(": " if labelled else "; ")
            if label and label != run.text.strip():
                line.add(f"{label}: ")
            line.append(run)
        # A label without a value says nothing.
        if len(filled) > 1 or any(labels) or not filled[0][0].header:
            walker.emit(line.block("table-row"))

    return do
