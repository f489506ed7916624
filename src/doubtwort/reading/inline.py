"""Running text: what inline elements add to it (links, raised text, quotes, anchors), and its collection."""

from __future__ import annotations

from collections.abc import Callable

from bs4 import Tag
from bs4.element import NavigableString, PreformattedString

from doubtwort.reading.blocks import Run, Span
from doubtwort.reading.boilerplate import names_of, same_page, tokens
from doubtwort.reading.pairs import label_of
from doubtwort.reading.tree import short_text
from doubtwort.reading.words import BACK_WORDS, BLOCK_ELEMENTS, MARKER_WORDS

Resolve = Callable[[str], str | None]


class Inline:
    """``resolve`` makes addresses absolute, or gives None for what is no page; ``skip`` holds ``id()`` of elements
    that are no text."""

    def __init__(self, url: str, resolve: Resolve, skip: set[int]) -> None:
        self.url, self.resolve, self.skip = url, resolve, skip
        self.opened: list[tuple[int, int, str, str, str]] = []  # element, where it begins, kind, target, hint

    def inline(self, run: Run, tag: Tag, entering: bool) -> None:
        """An inline element begins or ends."""
        name = tag.name
        if entering:
            if tag.attrs:
                anchor(run, tag)
            if name == "a" and "href" in tag.attrs:
                self.opened.append((id(tag), len(run), *self._link(tag)))
            elif name == "sup":
                self.opened.append((id(tag), len(run), "sup", "", _hint(tag)))
            elif name == "q":
                run.add("“")
        elif name == "q":
            run.add("”")
        elif self.opened and self.opened[-1][0] == id(tag):
            self._span(run, self.opened.pop())

    def close(self, run: Run) -> None:
        """A block ends inside links that go on: each gets its span in this block, and begins anew in the next."""
        for each in self.opened:
            self._span(run, each)
        self.opened = [(tag, 0, kind, target, hint) for tag, _, kind, target, hint in self.opened]

    def _span(self, run: Run, opened: tuple[int, int, str, str, str]) -> None:
        _, start, kind, target, hint = opened
        if kind and len(run) > start:
            run.spans.append(Span(kind, start, len(run), target, hint))

    def _link(self, tag: Tag) -> tuple[str, str, str]:
        href = str(tag.attrs["href"]).strip()
        fragment = same_page(href, self.url)
        if fragment is not None:
            return "anchor", fragment, _hint(tag)
        if not href or href.startswith("#"):
            return "", "", ""
        address = self.resolve(href)
        return ("link", address, "") if address else ("", "", "")

    def collect(self, top: Tag, mark: str) -> Run:
        """All text below an element as one run; blocks within it are joined with ``mark``."""
        run = Run()
        pictures: bool | None = None  # nothing but pictures stands here: their alternative texts are read
        stack: list[tuple[bool, Tag | NavigableString]] = [(True, child) for child in reversed(parts_of(top))]
        while stack:
            entering, node = stack.pop()
            if isinstance(node, NavigableString):
                run.add(str(node))
                continue
            if id(node) in self.skip:
                run.left_out()
                continue
            if node.name == "br":
                if mark == "; ":
                    run.line_break()
                else:
                    run.add(" ")
                continue
            if node.name == "img":
                if entering and pictures is None:
                    pictures = not short_text(top).strip()
                if entering and pictures:
                    run.add(str(node.attrs.get("alt", ""))[:200])
                continue
            if node.name in BLOCK_ELEMENTS:
                run.join(mark)
                if entering:
                    anchor(run, node)
            else:
                if entering and node.attrs and label_of(node, self.skip) is not None:
                    run.join(": ")
                self.inline(run, node, entering)
            if entering:
                stack.append((False, node))
                stack.extend((True, child) for child in reversed(parts_of(node)))
        run.trim(mark)
        return run


def parts_of(tag: Tag) -> list[Tag | NavigableString]:
    """Children that are elements or text; no comments, declarations, processing instructions."""
    return [
        child
        for child in tag.contents
        if isinstance(child, Tag) or (isinstance(child, NavigableString) and not isinstance(child, PreformattedString))
    ]


def anchor(run: Run, tag: Tag) -> None:
    """Notes that links may lead to this place of the text."""
    for key in ("id", "name"):
        value = tag.attrs.get(key)
        if value and (key == "id" or tag.name == "a"):
            run.anchors.append((len(run), str(value)))


def _hint(tag: Tag) -> str:
    attrs = tag.attrs
    role = f"{attrs.get('role', '')} {attrs.get('epub:type', '')}"
    words = tokens(names_of(tag))
    if "backlink" in role or words & BACK_WORDS or str(attrs.get("rev", "")) == "footnote":
        return "back"
    if "noteref" in role or "biblioref" in role or words & MARKER_WORDS or str(attrs.get("rel", "")) == "footnote":
        return "note"
    return ""
