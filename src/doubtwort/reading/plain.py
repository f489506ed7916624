"""Plain text → blocks: paragraphs, headings, "Label: value" lines, list items, tables made of spaces.

Line ends stay in the text as they are; ``text.fold`` joins words that were parted at a line's end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from doubtwort.reading.blocks import Block
from doubtwort.reading.reference_lists import norm
from doubtwort.reading.tables import HEADER_WORDS
from doubtwort.reading.words import FURTHER_HEADINGS, NOTE_HEADINGS, REFERENCE_HEADINGS

_LIST_HEADINGS = REFERENCE_HEADINGS | NOTE_HEADINGS | FURTHER_HEADINGS
_UNDERLINE = re.compile(r"\s*(?:={3,}|-{3,}|~{3,}|\*{3,}|_{3,})\s*")
_ITEM = re.compile(r"\s{0,8}(?:[-*•‣▪–]\s+|\(?\d{1,3}[.)]\s+|\[\^?\w{1,4}\]:?\s+)(?=\S)")
_BULLET = re.compile(r"\s*[-*•‣▪–]\s+")
_LABELLED = re.compile(r"\s{0,8}[A-Z][^\W\d_]*(?:[ /&(),-]{1,2}[^\W\d_]+){0,5}\)?\s?:\s+\S")
_BRACKET_LABEL = re.compile(r"\s*\[(\d{1,3})\]\s+\S")
_GAP = re.compile(r"\t+| {2,}(?=\S)|\s*\|\s*")
# A line that ends within a word: "in-".
_PARTED = re.compile(r"(?<![^\W\d_]-)\b(?:[Ii]n|IN|[Uu]n|UN|[Nn]on|NON)-\s*$")
_WRAPPED_AT = 120  # characters; a file with longer lines has one paragraph a line
_HEADING_LEVEL = {"=": 1, "*": 1, "-": 2, "~": 3, "_": 3}


def blocks_of(text: str, headings: tuple[str, ...] = (), page: int | None = None) -> list[Block]:
    """All blocks of a text. ``headings`` is the path that it stands under."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x0c", "\n\n").split("\n")
    wrapped = sum(len(line) > _WRAPPED_AT for line in lines) * 20 <= sum(1 for line in lines if line.strip())
    path: list[tuple[int, str]] = []
    blocks: list[Block] = []
    for paragraph in _paragraphs(lines):
        for block in _blocks(paragraph, wrapped, bool(path) and norm(path[-1][1]) in _LIST_HEADINGS):
            if block.level:
                while path and path[-1][0] >= block.level:
                    path.pop()
            block.headings = (*headings, *(name for _, name in path))
            block.page = page
            blocks.append(block)
            if block.level:
                path.append((block.level, block.text))
    mark_closing_list(blocks)
    return blocks


def _paragraphs(lines: list[str]) -> Iterator[list[str]]:
    paragraph: list[str] = []
    for line in lines:
        if line.strip():
            inner = line.lstrip()
            paragraph.append(line[: len(line) - len(inner)].expandtabs(4) + inner)
        elif paragraph:
            yield paragraph
            paragraph = []
    if paragraph:
        yield paragraph


def _blocks(lines: list[str], wrapped: bool, in_list: bool) -> Iterator[Block]:
    if (
        len(lines) > 1
        and _UNDERLINE.fullmatch(lines[1])
        and len(lines[0].strip()) <= 100
        and not _GAP.search(lines[0].strip())
    ):
        yield Block(lines[0].strip(), "heading", level=_HEADING_LEVEL.get(lines[1].strip()[0], 3))
        lines = lines[2:]
    elif (
        is_heading(lines[0])
        and not lines[0].rstrip().endswith("-")  # a word parted there goes on in the next line
        and (len(lines) == 1 or lines[0].strip().isupper() or norm(lines[0]) in _LIST_HEADINGS)
        and not _ITEM.match(lines[0])
    ):
        yield Block(lines[0].strip().rstrip(":"), "heading", level=2 if lines[0].strip().isupper() else 3)
        lines = lines[1:]
    lines = (
        [line for line in lines if not _UNDERLINE.fullmatch(line)]
        if not any(_GAP.search(x.strip()) for x in lines)
        else lines
    )
    if not lines:
        return
    rows = table_rows(lines)
    if rows:
        yield from (Block(row, "table-row") for row in rows)
        return
    for group in _groups(lines, wrapped, in_list):
        text = "\n".join(line.strip() for line in group).strip()
        if not text:
            continue
        if _ITEM.match(group[0]):
            label = re.match(r"\s*[\[(]?(\d{1,3})[\])]?", group[0])
            number = int(label[1]) if label else None
            if _BULLET.match(group[0]):
                text = _BULLET.sub("", text, count=1)
            yield Block(text, "list-item", number=number)
        else:
            yield Block(text, "definition" if _LABELLED.match(group[0]) else "paragraph")


def _groups(lines: list[str], wrapped: bool, in_list: bool) -> Iterator[list[str]]:
    """Lines that belong together: an item or label begins a group; other lines go on with the one before."""
    group: list[str] = []
    hanging = in_list and any(line[:1].isspace() for line in lines[1:]) and not lines[0][:1].isspace()
    for line in lines:
        ended = bool(group) and (
            group[-1].rstrip()[-1:] in ".!?;:" or len(group[-1]) < 60 or bool(_LABELLED.match(group[0]))
        )
        parted = bool(group) and _PARTED.search(group[-1]) is not None and line.strip()[:1].isalpha()
        begins = not parted and (
            not wrapped
            or bool(_ITEM.match(line))
            or (bool(_LABELLED.match(line)) and ended)
            or (hanging and not line[:1].isspace())
        )
        if group and begins:
            yield group
            group = []
        group.append(line)
    if group:
        yield group


def is_heading(line: str) -> bool:
    """A short line in capitals, or the name of a list of references."""
    text = line.strip()
    if norm(text) in _LIST_HEADINGS and len(text) < 60:
        return True
    letters = sum(character.isalpha() for character in text)
    return letters >= 3 and len(text) <= 80 and text.isupper() and text[-1] not in ".,;!?" and not _GAP.search(text)


def table_rows(lines: list[str]) -> list[str]:
    """Rows "Header: cell; Header: cell" of a table made of spaces, tabs or bars; [] when the lines are none.

    >>> table_rows(["Species        Use", "Fictaria alba  eaten raw", "Mendacia       toxic"])
    ['Species: Fictaria alba; Use: eaten raw', 'Species: Mendacia; Use: toxic']
    """
    lines = [line for line in lines if not re.fullmatch(r"[\s|:+=_-]+", line)]
    cells = [[cell.strip() for cell in _GAP.split(line.strip().strip("|").strip())] for line in lines]
    if len(cells) < 2 or any(_ITEM.match(line) for line in lines):
        return []
    widths = [len(row) for row in cells]
    width = max(widths)
    if width < 2 or sum(w == width for w in widths) < 0.7 * len(widths) or min(widths) < max(2, width - 1):
        return []
    first = cells[0]
    known = sum(bool(HEADER_WORDS.search(cell)) for cell in first)
    capitals = all(cell.isupper() and len(cell) > 1 for cell in first)
    headed = len(first) == width and len(cells) > 1 and (known > 0.5 * (width - (width > 2)) or capitals)
    rows: list[str] = []
    for row in cells[1:] if headed else cells:
        if headed:
            rows.append("; ".join(f"{label}: {cell}" for label, cell in zip(first, row, strict=False) if cell))
        elif width == 2 and len(row) == 2:
            rows.append(f"{row[0].rstrip(' :')}: {row[1]}")
        else:
            rows.append("; ".join(filter(None, row)))
    return rows


def mark_closing_list(blocks: list[Block]) -> None:
    """A list "[1] …, [2] …" at the end is a list of references, whatever its heading."""
    at = len(blocks)
    while at and (label := _BRACKET_LABEL.match(blocks[at - 1].text)) and not blocks[at - 1].level:
        at -= 1
        del label
    closing = blocks[at:]
    if closing and _BRACKET_LABEL.match(closing[0].text) and re.match(r"\s*\[1\]", closing[0].text):
        for block in closing:
            block.zone = block.zone or "references"
