"""One walk over a page's tree, without recursion: elements in, blocks out.

What the page shows as separate blocks become separate blocks here; what it shows in one line stays one text.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import count

from bs4 import BeautifulSoup, Tag
from bs4.element import NavigableString

from doubtwort.reading.blocks import Block, Run
from doubtwort.reading.boilerplate import names_of, tokens
from doubtwort.reading.inline import Inline, Resolve, anchor, parts_of
from doubtwort.reading.pairs import HEADINGS, fits_one_line, label_of, label_text, reads_as_heading
from doubtwort.reading.tables import table_events
from doubtwort.reading.words import BLOCK_ELEMENTS, NOTE_WORDS, REFERENCE_WORDS

# Elements that give their blocks a kind of their own; a <p> or <div> within keeps it.
_KINDS = {"li": "list-item", "dd": "definition", "blockquote": "quote", "figcaption": "caption", "table": "paragraph"}
_PRE = frozenset({"pre", "listing", "xmp", "plaintext"})
_ZONE_ROLES = {"doc-endnotes": "notes", "doc-footnote": "notes", "doc-bibliography": "references"}
_ZONE_ELEMENTS = frozenset({"ol", "ul", "div", "section", "aside", "table", "dl"})
_SAME = 7  # level of what serves as a heading without being one
_WITHIN = 8  # and of labels and captions, which hold for one element


@dataclass(slots=True)
class _Heading:
    level: int
    text: str
    scope: int  # id() of the element that it holds within, 0 for all that follows


@dataclass(slots=True)
class _Context:
    """What a block element says of the blocks within it."""

    kind: str = "paragraph"
    owner: int = 0
    zone: str = ""
    number: int | None = None


class Walker(Inline):
    """Walks one tree. ``targets`` are the ids that links of the page lead to; ``most`` bounds the blocks."""

    def __init__(self, url: str, resolve: Resolve, skip: set[int], targets: set[str], most: int) -> None:
        super().__init__(url, resolve, skip)
        self.targets, self.most = targets, most
        self.blocks: list[Block] = []
        self._run = Run()
        self._contexts = [_Context()]
        self._lists: list[int | None] = []  # next number of each open list, None where it has no numbers
        self._headings: list[_Heading] = []
        self._serial = count(1)
        self._verbatim = 0
        self._labels: list[str] = []  # terms of a definition list that wait for their definition

    # ------------------------------------------------------------------ the walk

    def walk(self, soup: BeautifulSoup) -> list[Block]:
        """All blocks of the page in order."""
        stack: list[tuple[str, Tag | NavigableString | Callable[[], None]]] = [("in", soup)]
        while stack and len(self.blocks) < self.most:
            event, node = stack.pop()
            if isinstance(node, NavigableString):
                self._run.add(str(node), verbatim=self._verbatim > 0)
            elif not isinstance(node, Tag):
                node()
            elif event == "out":
                self._leave(node)
            elif id(node) in self.skip:
                self._run.left_out()
            elif self._enter(node):
                stack.append(("out", node))
                if node.name == "table":
                    stack.extend(reversed(table_events(self, node)))
                else:
                    stack.extend(("in", child) for child in reversed(parts_of(node)))
        self.flush()
        return self.blocks

    def _enter(self, tag: Tag) -> bool:
        """True when the walk goes on below the element."""
        name = tag.name
        if name not in BLOCK_ELEMENTS:
            if name == "br":
                self._break(tag)
                return False
            if tag.attrs and label_of(tag, self.skip) is not None and self._run.text.strip():
                self._run.join(": ")
            self.inline(self._run, tag, entering=True)
            return True
        self.flush()
        anchor(self._run, tag)
        if level := _level(tag):
            self._heading(self.collect(tag, ", "), level)
            return False
        if name == "dt":
            self._term(self.collect(tag, ", "))
            return False
        if name == "summary":
            self._heading(self.collect(tag, ", "), _SAME, scope=id(tag.parent))
            return False
        self._push(tag)
        self._verbatim += name in _PRE
        below = True
        if name == "dd":
            below = self._definition(tag)
        elif tag.attrs and (label := label_of(tag, self.skip)) is not None:
            below = self._value(tag, label)
        elif name == "p" and self._contexts[-1].kind == "paragraph" and reads_as_heading(tag):
            self._heading(self.collect(tag, " "), _SAME)
            below = False
        if not below:
            self._leave(tag)
        return below

    def _push(self, tag: Tag) -> None:
        name, attrs = tag.name, tag.attrs
        inner = replace(self._contexts[-1])
        inner.kind = _KINDS.get(name, "preformatted" if name in _PRE and inner.kind == "paragraph" else inner.kind)
        if name in ("ol", "ul"):
            self._lists.append(_number(attrs.get("start"), 1) if name == "ol" else None)
        elif name == "li":
            inner.owner, inner.number = next(self._serial), None
            if self._lists and (following := self._lists[-1]) is not None:
                inner.number = _number(attrs.get("value"), following)
                self._lists[-1] = inner.number + 1
        if attrs:
            words = tokens(names_of(tag))
            role = str(attrs.get("role", ""))
            if role in _ZONE_ROLES:
                inner.zone = _ZONE_ROLES[role]
            elif words & REFERENCE_WORDS and name in _ZONE_ELEMENTS:
                inner.zone = "references"
            elif words & NOTE_WORDS:
                inner.zone = "notes"
            linked = attrs.get("id") in self.targets and name in ("p", "div", "aside")
            if name != "li" and (linked or words & {"footnote", "endnote"} or role == "doc-footnote"):
                inner.owner = next(self._serial)
        self._contexts.append(inner)

    def _leave(self, tag: Tag) -> None:
        if tag.name not in BLOCK_ELEMENTS:
            self.inline(self._run, tag, entering=False)
            return
        self.flush()
        self._verbatim -= tag.name in _PRE
        if tag.name in ("ol", "ul") and self._lists:
            self._lists.pop()
        if tag.name == "dl":
            self._loose_terms()
        self._contexts.pop()
        for at, heading in enumerate(self._headings):
            if heading.scope == id(tag):
                del self._headings[at:]
                break

    def _break(self, tag: Tag) -> None:
        """One <br> is a line break, two are the end of a paragraph."""
        following = tag.next_sibling
        while isinstance(following, NavigableString) and following.isspace():
            following = following.next_sibling
        if isinstance(following, Tag) and following.name == "br":
            self.flush()
        elif self._verbatim:
            self._run.add("\n", verbatim=True)
        else:
            self._run.line_break()

    # ------------------------------------------------------------------ blocks

    def flush(self) -> None:
        """Ends the block that is being collected. Anchors without text belong to what follows."""
        run, self._run = self._run, Run()
        if len(run) and run.text.strip():
            self.close(run)
            self.emit(run.block(self._contexts[-1].kind))
        else:
            self._run.anchors = [(0, name) for _, name in run.anchors]
            self.close(self._run)

    def emit(self, block: Block) -> None:
        """Adds a block, with what its surroundings say of it."""
        if not block.text:
            return
        within = self._contexts[-1]
        if self._run.anchors:
            block.anchors = [*((0, name) for _, name in self._run.anchors), *block.anchors]
            self._run.anchors = []
        block.headings = tuple(heading.text for heading in self._headings)
        block.owner, block.zone, block.number = within.owner, within.zone, within.number
        if within.kind == "list-item":
            within.number = None
        self.blocks.append(block)

    def _heading(self, run: Run, level: int, scope: int = 0) -> None:
        """Emits a heading and puts it on the path of what follows."""
        block = run.block("heading")
        if not block.text:
            self._run.anchors += [(0, name) for _, name in run.anchors]
            return
        while self._headings and self._headings[-1].level >= level:
            self._headings.pop()
        block.level = level
        self.emit(block)
        self._headings.append(_Heading(level, block.text, scope))

    def scoped_heading(self, run: Run, scope: Tag, kind: str) -> None:
        """A caption (kind "caption") or a row that heads the rows below it, within one element."""
        level = _WITHIN if kind == "caption" else _WITHIN + 1
        block = run.block(kind)
        if not block.text:
            return
        while self._headings and self._headings[-1].level >= level and self._headings[-1].scope == id(scope):
            self._headings.pop()
        block.level = level if kind == "heading" else 0
        self.emit(block)
        self._headings.append(_Heading(level, block.text, id(scope)))

    # ------------------------------------------------------------------ labels and values

    def _term(self, run: Run) -> None:
        term = run.block()
        if len(term.text) > 150:
            self.emit(term)
        elif term.text:
            self._labels.append(term.text.rstrip(" :"))
            self._run.anchors += [(0, name) for _, name in term.anchors]

    def _loose_terms(self) -> None:
        """Terms without a definition are used as headings."""
        for label in self._labels:
            self._heading(_said(label), _SAME)
        self._labels = []

    def _definition(self, tag: Tag) -> bool:
        label = ", ".join(self._labels)
        following = tag.find_next_sibling(["dt", "dd"])
        if not (isinstance(following, Tag) and following.name == "dd"):
            self._labels = []
        if not label:
            return True
        if fits_one_line(tag):
            self._pair(label, self.collect(tag, "; "))
            return False
        self._headings.append(_Heading(_WITHIN, label, id(tag)))
        return True

    def _value(self, tag: Tag, label_tag: Tag) -> bool:
        """A value after a label that the walk has just left as a block of its own: takes that back."""
        label = label_text(label_tag)
        if not label or not self.blocks or self.blocks[-1].level or self.blocks[-1].text.rstrip(" :") != label:
            return True
        self._run.anchors = [*((0, name) for _, name in self.blocks.pop().anchors), *self._run.anchors]
        if fits_one_line(tag):
            self._pair(label, self.collect(tag, "; "))
            return False
        self._headings.append(_Heading(_WITHIN, label, id(tag)))
        return True

    def _pair(self, label: str, value: Run) -> None:
        """Emits "label: value"; nothing when there is no value."""
        if value.block().text:
            run = _said(f"{label}: ")
            run.append(value)
            self.emit(run.block("definition"))


def _said(text: str) -> Run:
    run = Run()
    run.add(text)
    return run


def _level(tag: Tag) -> int:
    if tag.name in HEADINGS:
        return HEADINGS[tag.name]
    if tag.attrs.get("role") == "heading":
        level = _number(tag.attrs.get("aria-level"), 2)
        return level if 1 <= level <= 6 else 2
    return 0


def _number(value: object, otherwise: int) -> int:
    text = str(value).strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else otherwise
