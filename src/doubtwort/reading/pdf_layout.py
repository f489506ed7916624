"""Lines of PDF pages → blocks: reading order, running heads out, paragraphs joined, headings by size."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from doubtwort.reading.blocks import Block
from doubtwort.reading.plain import is_heading, mark_closing_list, table_rows
from doubtwort.reading.reference_lists import norm
from doubtwort.reading.words import FURTHER_HEADINGS, NOTE_HEADINGS, REFERENCE_HEADINGS

_LISTS = REFERENCE_HEADINGS | NOTE_HEADINGS | FURTHER_HEADINGS
_BULLET = re.compile(r"[•‣▪●◦–*-]\s+(?=\S)|\(?\d{1,2}[.)]\s+(?=[A-Z])")
_LABEL = re.compile(r"\[\d{1,3}\]\s|\d{1,3}\.\s+[A-ZÀ-Ž]")
_AUTHOR = re.compile(
    r"(?:(?:van|von|de|der|den|del|la)\s+){0,2}[A-ZÀ-Ž][^\W\d_]+(?:[-’'][^\W\d_]+)?,?\s+(?:[A-Z]\.|[A-Z]{1,3}[,.\s])"
)
_ENDS = re.compile(r"[.!?:”\"’)\]]$")
_NAMED_AT_START = re.compile(r"[A-Z][^\W\d_]*(?:[ /-][^\W\d_]+){0,3}:\s+\S")


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its text, its box in points (origin at the lower left), type size, weight, page from 1. ``gaps`` are
    wide spaces in it: (offset of the text after, left edge, right edge)."""

    text: str
    left: float
    bottom: float
    right: float
    top: float
    size: float
    bold: bool
    page: int
    gaps: tuple[tuple[int, float, float], ...] = ()


def blocks_of_pages(pages: list[list[Line]]) -> list[Block]:
    """All blocks of a document, in reading order."""
    pages = _without_running_heads(pages)
    columns = [column for page in pages for column in _columns(page)]
    lines = [line for column in columns for line in column]
    if not lines:
        return []
    sizes: Counter[float] = Counter()
    bold = 0
    for line in lines:
        sizes[round(line.size * 2) / 2] += len(line.text)
        bold += len(line.text) if line.bold else 0
    body = sizes.most_common(1)[0][0]
    mostly_bold = bold > 0.5 * sum(sizes.values())
    larger = sorted((size for size in sizes if size > body * 1.12), reverse=True)
    blocks: list[Block] = []
    path: list[tuple[int, str]] = []
    for group, level, hangs in _paragraphs(columns, body, mostly_bold, larger):
        for block in _block(group, level):
            if block.level:
                while path and path[-1][0] >= block.level:
                    path.pop()
            block.headings = tuple(name for _, name in path)
            block.page = group[0].page
            if _continues(blocks, block) or (hangs and blocks and not block.level and not blocks[-1].level):
                blocks[-1].text += "\n" + block.text
                continue
            blocks.append(block)
            if block.level:
                path.append((block.level, block.text))
    mark_closing_list(blocks)
    return blocks


def _without_running_heads(pages: list[list[Line]]) -> list[list[Line]]:
    """Without lines that stand at the top or foot of several pages, and without page numbers there."""
    seen: Counter[str] = Counter()
    edges: list[set[int]] = []
    for page in pages:
        order = sorted(range(len(page)), key=lambda at: -page[at].top)
        edge = set(order[:2]) | set(order[-2:])
        edges.append(edge)
        seen.update({_flat(page[at].text) for at in edge})
    often = max(2, len(pages) // 5) if len(pages) > 2 else 3

    def runs(page: list[Line], at: int, edge: set[int]) -> bool:
        text = page[at].text
        return at in edge and (
            (seen[_flat(text)] >= often and len(text) < 150)
            or bool(re.fullmatch(r"(?:page\s*)?[-–—\s]*\d{1,4}[-–—\s]*", text, re.I))
        )

    return [
        [line for at, line in enumerate(page) if not runs(page, at, edge)]
        for page, edge in zip(pages, edges, strict=True)
    ]


def _flat(text: str) -> str:
    return re.sub(r"\d+", "#", re.sub(r"\s+", " ", text)).lower()


# --------------------------------------------------------------------------- reading order


def _columns(page: list[Line]) -> list[list[Line]]:
    """The page's lines in columns, each from top to foot, in reading order.

    Files often draw headings and figures last; so where the page has columns, or the file's order jumps back, the
    places of the lines decide.
    """
    page = _split_merged(page)
    if len(page) >= 8 and (gutter := _gutter(page)):
        page = _ordered([part for line in page for part in _split(line, gutter)])
    elif len(page) >= 3:
        jumps = sum(after.bottom > before.top for before, after in pairwise(page))
        if jumps:
            page = sorted(page, key=lambda line: (-round(line.bottom / 3), line.left))
    return list(_runs(page))


def _runs(page: list[Line]) -> Iterator[list[Line]]:
    """A line that stands higher than the one before begins a column."""
    column: list[Line] = []
    for line in page:
        if column and line.bottom > column[-1].top:
            yield column
            column = []
        column.append(line)
    if column:
        yield column


def _split_merged(page: list[Line]) -> list[Line]:
    """Parts lines that run over two columns of prose, when many of them have their gap at one place."""
    gapped = [line for line in page if line.gaps]
    if len(gapped) < 6:
        return page
    best, count = 0.0, 0
    for line in gapped:
        for _, left, right in line.gaps:
            middle = (left + right) / 2
            covered = sum(any(lo <= middle <= hi for _, lo, hi in other.gaps) for other in gapped)
            if covered > count:
                best, count = middle, covered
    if count < 0.3 * len(page):
        return page
    halves = [_split(line, best) for line in page]
    parted = [pair for pair in halves if len(pair) == 2]
    if any(sum(len(pair[side].text.split()) for pair in parted) < 3.5 * len(parted) for side in (0, 1)):
        return page  # short cells: a table, and its rows stay together
    return [part for pair in halves for part in pair]


def _split(line: Line, middle: float) -> list[Line]:
    """A line in two where it has a wide space at ``middle``."""
    gap = next((each for each in line.gaps if each[1] <= middle <= each[2]), None)
    if gap is None:
        return [line]
    at, left, right = gap
    return [
        replace(line, text=line.text[:at].rstrip(), right=left, gaps=tuple(g for g in line.gaps if g[0] < at)),
        replace(
            line, text=line.text[at:], left=right, gaps=tuple((g[0] - at, g[1], g[2]) for g in line.gaps if g[0] > at)
        ),
    ]  # fmt: skip


def _gutter(page: list[Line]) -> float:
    """The middle of a strip that hardly any line crosses, with lines enough on both sides; 0.0 when there is none."""
    left, right = min(line.left for line in page), max(line.right for line in page)
    best, fewest = 0.0, len(page)
    for step in range(30, 71, 2):
        middle = left + (right - left) * step / 100
        crossing = sum(line.left < middle < line.right for line in page)
        sides = sum(line.right <= middle for line in page), sum(line.left >= middle for line in page)
        if min(sides) >= max(4, 0.12 * len(page)) and crossing < fewest:
            best, fewest = middle, crossing
    return best if fewest <= 0.2 * len(page) else 0.0


def _ordered(page: list[Line], depth: int = 0) -> list[Line]:
    """Left column before right column, between the lines that run over both; columns within columns likewise."""
    gutter = _gutter(page) if len(page) >= 8 and depth < 3 else 0.0
    by_height = sorted(page, key=lambda line: (-round(line.bottom / 3), line.left))
    if not gutter:
        return by_height
    ordered: list[Line] = []
    left: list[Line] = []
    right: list[Line] = []
    for line in by_height:
        if line.right <= gutter + 2:
            left.append(line)
        elif line.left >= gutter - 2:
            right.append(line)
        else:
            ordered += [*_ordered(left, depth + 1), *_ordered(right, depth + 1), line]
            left, right = [], []
    return [*ordered, *_ordered(left, depth + 1), *_ordered(right, depth + 1)]


# --------------------------------------------------------------------------- paragraphs


def _paragraphs(
    columns: list[list[Line]], body: float, mostly_bold: bool, larger: list[float]
) -> Iterator[tuple[list[Line], int, bool]]:
    """Groups of lines, the level of a heading (0 for text), and whether the group goes on with the entry before it."""
    in_list = False
    for column in columns:
        right = max(line.right for line in column)
        starts = Counter(round(line.left / 4) for line in column)
        # A single line further left is a slip of the file, not the column's edge.
        edge = 4.0 * min((at for at, often in starts.items() if often > 1), default=min(starts))
        hanging = _hangs(column, edge)
        group: list[Line] = []
        level = 0
        # A column of entries with hanging indents that begins with an indented line begins within an entry.
        hangs = in_list and hanging and column[0].left > edge + 5
        for at, line in enumerate(column):
            own = _level(line, body, mostly_bold, larger)
            if group and (own != level or _begins(group, line, level, edge, right, in_list, in_list and hanging)):
                yield group, level, hangs
                group, hangs = [], False
            group.append(line)
            level = own
            if own:
                in_list = norm(" ".join(each.text for each in group)) in _LISTS
                hanging = _hangs(column[at + 1 :], edge)
        if group:
            yield group, level, hangs


def _hangs(lines: list[Line], edge: float) -> bool:
    """Entries with hanging indents: the lines at the edge begin like entries, the others are indented."""
    at_edge = [line for line in lines if line.left <= edge + 5]
    indented = len(lines) - len(at_edge)
    named = sum(bool(_AUTHOR.match(line.text) or _LABEL.match(line.text)) for line in at_edge)
    capital = sum(line.text[0].isupper() for line in at_edge)
    return indented > 0 and (
        named >= 0.6 * len(at_edge) or (indented >= 0.4 * len(lines) and capital >= 0.8 * len(at_edge))
    )


def _level(line: Line, body: float, mostly_bold: bool, larger: list[float]) -> int:
    text = line.text
    if len(text) > 120 or not re.search(r"[^\W\d_]{2}", text):
        return 0
    size = round(line.size * 2) / 2
    if size > body * 1.12 and size in larger and not (len(text) > 80 and text.endswith(".")):
        return min(larger.index(size) + 1, 4)
    if size < body * 0.95 or text[-1] in ",;" or line.gaps:
        return 0
    if line.bold and not mostly_bold and len(text) <= 80 and not _BULLET.match(text) and "." not in text[:-1]:
        return 5
    if text[-1] == ".":
        return 0
    return 5 if is_heading(text) else 0


def _begins(group: list[Line], line: Line, level: int, edge: float, right: float, in_list: bool, hanging: bool) -> bool:
    """Whether a line begins a new paragraph."""
    before = group[-1]
    step = before.bottom - line.bottom
    if level:
        return step > 2.8 * max(before.top - before.bottom, 5)
    if step > 1.75 * max(before.top - before.bottom, before.size * 0.9, 5) or abs(line.size - before.size) > 1.6:
        return True
    if _BULLET.match(line.text) or (_LABEL.match(line.text) and in_list):
        return True
    if hanging:
        return line.left <= edge + 5
    ended = bool(_ENDS.search(before.text)) and not line.text[0].islower()
    if in_list and ended and _AUTHOR.match(line.text):
        return True
    if ended and before.right < right - 0.3 * (right - edge):
        return True
    if ended and line.left > before.left + 7 and not _BULLET.match(group[0].text):
        return True
    return ended and bool(_NAMED_AT_START.match(line.text)) and not in_list


def _block(group: list[Line], level: int) -> Iterator[Block]:
    if level:
        yield Block(" ".join(line.text for line in group), "heading", level=level)
        return
    if sum(bool(line.gaps) for line in group) >= max(2, 0.7 * len(group)):
        rows = table_rows([_spaced(line) for line in group])
        if rows:
            yield from (Block(row, "table-row") for row in rows)
            return
    text = "\n".join(line.text for line in group)
    bullet = _BULLET.match(text)
    if bullet:
        text = text[bullet.end() :] if not text[0].isdigit() and text[0] != "(" else text
    yield Block(text, "list-item" if bullet else "paragraph")


def _spaced(line: Line) -> str:
    text = line.text
    for at, _, _ in reversed(line.gaps):
        text = text[:at].rstrip() + "   " + text[at:]
    return text


def _continues(blocks: list[Block], block: Block) -> bool:
    """A paragraph that goes on in the next column or on the next page."""
    if not blocks or block.level or blocks[-1].level or "table-row" in (block.kind, blocks[-1].kind):
        return False
    before = blocks[-1].text
    return block.text[:1].islower() and not re.search(r"[.!?:]$", before) and block.kind == "paragraph"
