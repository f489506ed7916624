"""What every format reader gives: blocks of text with the links, anchors and raised text found in them.

A reader for a format (HTML, PDF, plain text) makes ``Block``s in reading order. ``reference_lists`` takes the entries
of reference lists out of them, ``marks`` turns links and markers into citation marks, ``passages`` freezes the rest.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

_SPACE = re.compile(r"[ \t\n\r\f\v]+")
_NO_SPACE_BEFORE = frozenset(".,;:!?)]}’”…")
_OPENS = frozenset("([{“\"'‘-–—/")


@dataclass(frozen=True, slots=True)
class Span:
    """Part of a block's text. ``kind`` is "link" (``target`` an absolute address), "anchor" (``target`` an id on the
    same page), "sup" (raised text) or "mark" (``target`` a citation's key). ``hint`` holds what the page itself says
    of it: "note" for a footnote marker, "back" for the way back from a note."""

    kind: str
    start: int
    end: int
    target: str = ""
    hint: str = ""


@dataclass(slots=True)
class Block:
    """A block on its way to a passage or to an entry of a reference list.

    ``owner`` is the same number for all blocks of one list item or footnote (0: none of its own). ``zone`` is
    "references", "notes" or "further" where the page marks a list as such. ``anchors`` are (offset, id) of places that
    links may point to. ``number`` is that of an ordered list's item. ``level`` is a heading's (1 to 9).
    """

    text: str
    kind: str = "paragraph"
    headings: tuple[str, ...] = ()
    spans: list[Span] = field(default_factory=list)
    anchors: list[tuple[int, str]] = field(default_factory=list)
    page: int | None = None
    level: int = 0
    number: int | None = None
    owner: int = 0
    zone: str = ""

    def covered(self, span: Span) -> str:
        return self.text[span.start : span.end]

    def part(self, start: int, end: int) -> Block:
        """The same block with only the text [start, end) and what lies within it."""
        spans = [replace(s, start=s.start - start, end=s.end - start) for s in self.spans if start <= s.start < end]
        anchors = [(offset - start, name) for offset, name in self.anchors if start <= offset < end or offset == start]
        return replace(self, text=self.text[start:end], spans=spans, anchors=anchors)

    def cut(self, pieces: Iterable[tuple[int, int]]) -> None:
        """Takes pieces out of the text and moves every span and anchor accordingly.

        Taking a marker out leaves "word." and not "word ." behind, and never glues two words together.

        >>> block = Block("edible [1]. Leaves[2]raw", spans=[Span("mark", 18, 21, "b")])
        >>> block.cut([(7, 10), (18, 21)]); block.text, block.spans[0].start
        ('edible. Leaves raw', 14)
        """
        old = self.text
        kept: list[tuple[int, int]] = []
        done = 0
        for start, end in sorted(pieces):
            if start > done:
                kept.append((done, start))
            done = max(done, end)
        if done == 0:
            return
        kept.append((done, len(old)))
        olds: list[int] = []  # where each kept piece began
        news: list[int] = []  # and where it begins now
        parts: list[str] = []
        length = 0
        for start, end in kept:
            piece = old[start:end]
            if not length:
                start += len(piece) - len(piece.lstrip())
                piece = piece.lstrip()
            elif piece[:1].isalnum() and parts and not parts[-1][-1:].isspace() and parts[-1][-1:] not in _OPENS:
                parts.append(" ")
                length += 1
            elif piece[:1].isspace() and parts and parts[-1][-1:].isspace():
                start += 1
                piece = piece[1:]
            if piece[:1] in _NO_SPACE_BEFORE and piece:
                while parts and parts[-1][-1:].isspace():
                    shorter = parts[-1].rstrip()
                    length -= len(parts[-1]) - len(shorter)
                    parts[-1] = shorter
                    if not shorter:
                        parts.pop()
            olds.append(start)
            news.append(length)
            if piece:
                parts.append(piece)
                length += len(piece)
        self.text = "".join(parts).rstrip()
        # A piece cannot begin after the next one does; what was stripped of spaces may say so.
        for at in range(len(news) - 2, -1, -1):
            news[at] = min(news[at], news[at + 1])

        def moved(offset: int) -> int:
            at = max(bisect_right(olds, offset) - 1, 0)
            limit = news[at + 1] if at + 1 < len(news) else length
            here = min(news[at] + max(offset - olds[at], 0), limit, len(self.text))
            # A place inside what was taken out belongs to the word before it.
            while here and offset > olds[at] and here == limit and self.text[here - 1 : here] == " ":
                here -= 1
            return here

        self.spans = [replace(span, start=moved(span.start), end=moved(span.end)) for span in self.spans]
        self.anchors = [(moved(offset), name) for offset, name in self.anchors]


class Run:
    """Collects running text: white space folded, spans and anchors kept.

    >>> run = Run(); run.add("  wild "); run.add(" carrot"); run.block().text
    'wild carrot'
    """

    __slots__ = ("_gap", "_length", "_parts", "_tail", "anchors", "spans")

    def __init__(self) -> None:
        self._parts: list[str] = []
        self._length = 0
        self._tail = " "
        self._gap = False
        self.spans: list[Span] = []
        self.anchors: list[tuple[int, str]] = []

    def __len__(self) -> int:
        return self._length

    def add(self, text: str, verbatim: bool = False) -> None:
        """More text. ``verbatim`` keeps its white space (preformatted text)."""
        if not verbatim:
            text = _SPACE.sub(" ", text)
            if self._tail.isspace() and text[:1] == " ":
                text = text[1:]
            if self._gap and text.strip():
                if text[:1] in _NO_SPACE_BEFORE and self._parts and self._parts[-1] != " " and self._tail == " ":
                    self._parts[-1] = self._parts[-1][:-1]
                    self._length -= 1
                self._gap = False
        if text:
            self._parts.append(text)
            self._length += len(text)
            self._tail = text[-1]

    def left_out(self) -> None:
        """Something that stood here was left out: "word (hidden) ." leaves "word." behind."""
        self._gap = True

    def line_break(self) -> None:
        if self._length and self._tail != "\n":
            self._parts.append("\n")
            self._length += 1
            self._tail = "\n"

    def join(self, mark: str) -> None:
        """Sets ``mark`` ("; ") between what stands and what follows, if anything stands and does not end with one."""
        text = "".join(self._parts[-3:]).rstrip()
        if not text:
            return
        last = text[-1]
        if last in ";:,.!?":
            mark = " "
        if mark.strip() or not self._tail.isspace():
            while self._parts and self._tail.isspace():
                stripped = self._parts[-1].rstrip()
                self._length -= len(self._parts[-1]) - len(stripped)
                self._parts[-1] = stripped
                if stripped:
                    self._tail = stripped[-1]
                else:
                    self._parts.pop()
                    self._tail = self._parts[-1][-1] if self._parts else " "
            self._parts.append(mark)
            self._length += len(mark)
            self._tail = " "

    def trim(self, mark: str) -> None:
        """Takes back a mark set by ``join`` that nothing followed."""
        if self._parts and self._parts[-1] == mark:
            self._length -= len(self._parts.pop())
            self._tail = self._parts[-1][-1] if self._parts and self._parts[-1] else " "

    def append(self, other: Run) -> None:
        """All of another run, its spans and anchors moved."""
        at = self._length
        self._parts.extend(other._parts)
        self._length += other._length
        if other._length:
            self._tail = other._tail
        self.spans += [replace(span, start=span.start + at, end=span.end + at) for span in other.spans]
        self.anchors += [(offset + at, name) for offset, name in other.anchors]

    @property
    def text(self) -> str:
        return "".join(self._parts)

    def block(self, kind: str = "paragraph") -> Block:
        """The block collected so far: no white space at its ends, spans without white space at theirs."""
        text = self.text.rstrip()
        lead = len(text) - len(text.lstrip())
        text = text[lead:]
        spans = []
        for span in self.spans:
            start, end = max(span.start - lead, 0), min(span.end - lead, len(text))
            while start < end and text[start].isspace():
                start += 1
            while end > start and text[end - 1].isspace():
                end -= 1
            spans.append(
                replace(span, start=min(start, len(text)), end=max(min(end, len(text)), min(start, len(text))))
            )
        anchors = [(min(max(offset - lead, 0), len(text)), name) for offset, name in self.anchors]
        return Block(text, kind, spans=spans, anchors=anchors)
