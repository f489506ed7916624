"""One walk over a page's tree, without recursion: elements in, blocks out.

What the page shows as separate blocks become separate blocks here; what it shows in one line stays one text.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import count

from bs4 import BeautifulSoup, NavigableString, Tag
from bs4.element import PreformattedString

from doubtwort.reading.blocks import Block, Run, Span
from doubtwort.reading.boilerplate import names_of, same_page, tokens

HEADINGS = {"h1": 1, "h2": 2, "h3": 3, "h4": 4, "h5": 5, "h6": 6}
_BLOCK = frozenset(
    "address article aside blockquote body caption center dd details dialog dir div dl dt fieldset figcaption figure "
    "footer form header hgroup hr html legend li main menu nav ol p pre section summary table tbody td tfoot th thead "
    "tr ul h1 h2 h3 h4 h5 h6 listing xmp plaintext".split()
)
# Elements that give their blocks a kind of their own; a <p> or <div> within keeps it.
_KINDS = {"li": "list-item", "dd": "definition", "blockquote": "quote", "figcaption": "caption", "caption": "caption"}
_PRE = frozenset({"pre", "listing", "xmp", "plaintext"})
_MARKUP_OF_PAIRS = frozenset({"h1", "h2", "h3", "h4", "h5", "h6"})
_LABELS = frozenset("label title term key heading header head attribute property name caption".split())
_VALUES = frozenset("value values content contents data description desc item items body text detail details".split())
_SENTENCE = re.compile(
    r"[.!?]$|\b(?:is|are|was|were|be|can|may|must|should|do|does|has|have|not|never|eat|eaten|avoid|use[ds]?)\b", re.I
)
_REFERENCE_WORDS = frozenset("references reflist refs bibliography citations literaturecited workscited".split())
_NOTE_WORDS = frozenset("footnotes footnote endnotes endnote fnlist notelist".split())
_NOTE_ROLES = {"doc-endnotes": "notes", "doc-footnote": "notes", "doc-bibliography": "references"}
_MARKER_WORDS = frozenset("footnote footnoteref noteref fnanchor fnref reference citation cite endnote fn".split())
_BACK_WORDS = frozenset("backlink backref footnoteback footnotebackref reversefootnote mwcitebacklink".split())

Resolve = Callable[[str], str | None]


@dataclass(slots=True)
class _Heading:
    level: int
    text: str
    scope: int  # id of the element that it holds within, 0 for all that follows


class Walker:
    """Walks one tree. ``targets`` are the ids that links of the page lead to, ``resolve`` makes addresses absolute or
    gives None for what is no page, ``skip`` holds ``id()`` of elements that are no text."""

    def __init__(self, url: str, resolve: Resolve, skip: set[int], targets: set[str], most: int) -> None:
        self.url, self.resolve, self.skip, self.targets, self.most = url, resolve, skip, targets, most
        self.blocks: list[Block] = []
        self._run = Run()
        self._kinds: list[str] = ["paragraph"]
        self._owners: list[int] = [0]
        self._zones: list[str] = [""]
        self._numbers: list[int | None] = [None]
        self._lists: list[int | None] = []
        self._headings: list[_Heading] = []
        self._serial = count(1)
        self._open: list[tuple[int, int, str, str, str]] = []
        self._pre = 0
        self._labels: list[str] = []

    # ------------------------------------------------------------------ the walk

    def walk(self, soup: BeautifulSoup) -> list[Block]:
        from doubtwort.reading.tables import table_events

        stack: list[tuple[str, Tag | NavigableString | Callable[[], None]]] = [("in", soup)]
        while stack and len(self.blocks) < self.most:
            event, node = stack.pop()
            if event == "do":
                assert callable(node)
                node()
            elif isinstance(node, NavigableString):
                if not isinstance(node, PreformattedString):
                    self.text(self._run, str(node))
            elif isinstance(node, Tag):
                if event == "out":
                    self._leave(node)
                    continue
                if id(node) in self.skip:
                    continue
                if not self._enter(node):
                    continue
                if node.name == "table":
                    stack.append(("out", node))
                    stack.extend(reversed(table_events(self, node)))
                else:
                    stack.append(("out", node))
                    stack.extend(
                        ("in", child) for child in reversed(node.contents) if isinstance(child, (Tag, NavigableString))
                    )
        self.flush()
        return self.blocks

    def _enter(self, tag: Tag) -> bool:
        """True when the walk goes on below the element."""
        name = tag.name
        if name not in _BLOCK:
            if name == "br":
                self._break(tag)
                return False
            pair = self._pair(tag) if tag.attrs else None
            if pair is not None and self._run.text.strip():
                self._run.join(": ")
            self.inline(self._run, tag, entering=True)
            return True
        self.flush()
        self._anchor(self._run, tag)
        level = self._level(tag)
        if level:
            self.heading(self.collect(tag, ", "), level)
            return False
        if name == "dt":
            self._label(self.collect(tag, ", "))
            return False
        if name == "summary":
            self.heading(self.collect(tag, ", "), 7, scope=id(tag.parent))
            return False
        self._push(tag)
        if name in _PRE:
            self._pre += 1
        below = True
        if name == "dd":
            below = self._definition(tag)
        elif tag.attrs and (pair := self._pair(tag)) is not None:
            below = self._enter_pair(tag, pair)
        elif name == "p" and (bold := self._bold_heading(tag)) is not None:
            self.heading(bold, 7)
            below = False
        if not below:
            self._leave(tag)
        return below

    def _push(self, tag: Tag) -> None:
        """Kind, owner, zone and number of what stands within a block element."""
        name, attrs = tag.name, tag.attrs
        kind = _KINDS.get(name, self._kinds[-1])
        if name == "table" or (kind == "paragraph" and name in _PRE):
            kind = "paragraph" if name == "table" else "preformatted"
        self._kinds.append(kind)
        owner, zone, number = self._owners[-1], self._zones[-1], self._numbers[-1]
        if name in ("ol", "ul"):
            start = str(attrs.get("start", "1"))
            self._lists.append((int(start) if start.isdigit() and len(start) < 6 else 1) if name == "ol" else None)
        elif name == "li":
            owner, number = next(self._serial), None
            if self._lists and self._lists[-1] is not None:
                value = str(attrs.get("value", ""))
                number = int(value) if value.isdigit() and len(value) < 6 else self._lists[-1]
                self._lists[-1] = number + 1
        if attrs:
            words = tokens(names_of(tag))
            role = str(attrs.get("role", ""))
            if role in _NOTE_ROLES:
                zone = _NOTE_ROLES[role]
            elif words & _REFERENCE_WORDS and name in ("ol", "ul", "div", "section", "aside", "table", "dl"):
                zone = "references"
            elif words & _NOTE_WORDS:
                zone = "notes"
            own = attrs.get("id")
            if name != "li" and (
                words & {"footnote", "endnote"} or (own in self.targets and name in ("p", "div", "aside"))
            ):
                owner = next(self._serial)
        self._owners.append(owner)
        self._zones.append(zone)
        self._numbers.append(number)

    def _leave(self, tag: Tag) -> None:
        if tag.name not in _BLOCK:
            self.inline(self._run, tag, entering=False)
            return
        self.flush()
        if tag.name in _PRE:
            self._pre -= 1
        if tag.name in ("ol", "ul") and self._lists:
            self._lists.pop()
        if tag.name == "dl":
            self._loose_labels()
        for stack in (self._kinds, self._owners, self._zones, self._numbers):
            stack.pop()
        self._unscope(id(tag))

    # ------------------------------------------------------------------ running text

    def text(self, run: Run, text: str) -> None:
        run.add(text, verbatim=self._pre > 0)

    def inline(self, run: Run, tag: Tag, entering: bool) -> None:
        """Links, raised text, quotes and anchors: what an inline element adds to the running text."""
        name = tag.name
        if entering:
            if tag.attrs:
                self._anchor(run, tag)
            if name == "a" and "href" in tag.attrs:
                kind, target, hint = self._link(tag)
                self._open.append((id(tag), len(run), kind, target, hint))
            elif name == "sup":
                self._open.append((id(tag), len(run), "sup", "", self._hint(tag)))
            elif name == "q":
                run.add("“")
        elif name == "q":
            run.add("”")
        elif self._open and self._open[-1][0] == id(tag):
            _, start, kind, target, hint = self._open.pop()
            if kind and len(run) > start:
                run.spans.append(Span(kind, start, len(run), target, hint))

    def _link(self, tag: Tag) -> tuple[str, str, str]:
        href = str(tag.attrs["href"]).strip()
        fragment = same_page(href, self.url)
        if fragment is not None:
            return "anchor", fragment, self._hint(tag)
        if not href or href.startswith("#"):
            return "", "", ""
        address = self.resolve(href)
        return ("link", address, "") if address else ("", "", "")

    def _hint(self, tag: Tag) -> str:
        role = f"{tag.attrs.get('role', '')} {tag.attrs.get('epub:type', '')}"
        words = tokens(names_of(tag))
        if "backlink" in role or words & _BACK_WORDS or str(tag.attrs.get("rev", "")) == "footnote":
            return "back"
        if (
            "noteref" in role
            or "biblioref" in role
            or words & _MARKER_WORDS
            or str(tag.attrs.get("rel", "")) == "footnote"
        ):
            return "note"
        return ""

    def _anchor(self, run: Run, tag: Tag) -> None:
        for key in ("id", "name"):
            value = tag.attrs.get(key)
            if value and (key == "id" or tag.name == "a"):
                run.anchors.append((len(run), str(value)))

    def _break(self, tag: Tag) -> None:
        following = tag.next_sibling
        while isinstance(following, NavigableString) and following.isspace():
            following = following.next_sibling
        if isinstance(following, Tag) and following.name == "br":
            self.flush()
        elif self._pre:
            self._run.add("\n", verbatim=True)
        else:
            self._run.line_break()

    def collect(self, top: Tag, mark: str) -> Run:
        """All text below an element as one run; blocks within it are joined with ``mark``."""
        run = Run()
        stack: list[tuple[bool, Tag | NavigableString]] = [(True, child) for child in reversed(top.contents)]  # type: ignore[misc]
        while stack:
            entering, node = stack.pop()
            if isinstance(node, NavigableString):
                if not isinstance(node, PreformattedString):
                    run.add(str(node))
                continue
            if id(node) in self.skip:
                continue
            if node.name == "br":
                if mark == "; ":
                    run.line_break()
                else:
                    run.add(" ")
                continue
            if node.name == "img" and entering and not top.get_text().strip():
                run.add(str(node.attrs.get("alt", ""))[:200])
            if node.name in _BLOCK:
                run.join(mark)
                if entering:
                    self._anchor(run, node)
            else:
                if entering and node.attrs and self._pair(node) is not None:
                    run.join(": ")
                self.inline(run, node, entering)
            if entering:
                stack.append((False, node))
                stack.extend(
                    (True, child) for child in reversed(node.contents) if isinstance(child, (Tag, NavigableString))
                )
        run.trim(mark)
        return run

    def flush(self) -> None:
        """Ends the block that is being collected."""
        run = self._run
        if not len(run) or not run.text.strip():
            # Anchors without text belong to what follows.
            self._run = Run()
            self._run.anchors = [(0, name) for _, name in run.anchors]
            self._reopen()
            return
        self._close()
        self._run = Run()
        self._reopen()
        self.emit(run.block(self._kinds[-1]))

    def _close(self) -> None:
        for _, start, kind, target, hint in self._open:
            if kind and len(self._run) > start:
                self._run.spans.append(Span(kind, start, len(self._run), target, hint))

    def _reopen(self) -> None:
        self._open = [(tag, 0, kind, target, hint) for tag, _, kind, target, hint in self._open]

    def emit(self, block: Block) -> None:
        if not block.text:
            return
        self.blocks.append(
            replace(
                block,
                headings=block.headings or self.path(),
                owner=block.owner or self._owners[-1],
                zone=block.zone or self._zones[-1],
                number=self._numbers[-1],
            )
        )
        if self._numbers[-1] is not None and self._kinds[-1] == "list-item":
            self._numbers[-1] = None

    # ------------------------------------------------------------------ headings, labels, pairs

    def path(self) -> tuple[str, ...]:
        return tuple(heading.text for heading in self._headings)

    def heading(self, run: Run, level: int, scope: int = 0) -> None:
        """Emits a heading and puts it on the path of what follows."""
        run.anchors = [*self._run.anchors, *run.anchors]
        self._run = Run()
        block = run.block("heading")
        if not block.text:
            self._run.anchors = [(0, name) for _, name in run.anchors]
            return
        while self._headings and self._headings[-1].level >= level:
            self._headings.pop()
        block.level = level
        block.headings = self.path()
        self.emit(block)
        self._headings.append(_Heading(level, block.text, scope))

    def scoped_heading(self, run: Run, scope: Tag, kind: str) -> None:
        """A caption (kind "caption") or a row that heads the rows below it, within one element."""
        level = 8 if kind == "caption" else 9
        block = run.block(kind)
        if not block.text:
            return
        while self._headings and self._headings[-1].level >= level and self._headings[-1].scope == id(scope):
            self._headings.pop()
        block.level = level if kind == "heading" else 0
        self.emit(block)
        self._headings.append(_Heading(level, block.text, id(scope)))

    def _level(self, tag: Tag) -> int:
        if tag.name in HEADINGS:
            return HEADINGS[tag.name]
        if tag.attrs.get("role") == "heading":
            level = str(tag.attrs.get("aria-level", "2"))
            return int(level) if level.isdigit() and 1 <= int(level) <= 6 else 2
        return 0

    def _unscope(self, scope: int) -> None:
        for at, heading in enumerate(self._headings):
            if heading.scope == scope:
                del self._headings[at:]
                return

    def _bold_heading(self, tag: Tag) -> Run | None:
        """<p><b>Edible uses</b></p> is a heading when nothing else stands in it and it reads like one."""
        inner = [child for child in tag.contents if not (isinstance(child, NavigableString) and child.isspace())]
        if len(inner) != 1 or not isinstance(inner[0], Tag) or inner[0].name not in ("b", "strong"):
            return None
        if self._kinds[-1] != "paragraph" or inner[0].find(["a", "br", "img"]) is not None:
            return None
        text = inner[0].get_text()
        if len(text) > 80 or _SENTENCE.search(text.strip()) or not text.strip():
            return None
        return self.collect(tag, " ")

    def _label(self, run: Run) -> None:
        label = run.block()
        if len(label.text) > 150:
            self.emit(label)
        elif label.text:
            self._labels.append(label.text.rstrip(" :"))
            if label.spans or label.anchors:
                self._run.anchors += [(0, name) for _, name in label.anchors]

    def _loose_labels(self) -> None:
        for label in self._labels:
            self.heading(_said(label), 7)
        self._labels = []

    def _definition(self, tag: Tag) -> bool:
        label = ", ".join(self._labels)
        following = tag.find_next_sibling(["dt", "dd"])
        if not (isinstance(following, Tag) and following.name == "dd"):
            self._labels = []
        if not label:
            return True
        if _simple(tag):
            self.pair(label, self.collect(tag, "; "), "definition")
            return False
        self._scoped(label, tag)
        return True

    def pair(self, label: str, value: Run, kind: str) -> None:
        """Emits "label: value"; nothing when the value is empty or made of markers alone."""
        block = value.block()
        if not block.text:
            return
        run = _said(f"{label}: ")
        run.anchors = list(self._run.anchors)
        self._run = Run()
        run.append(value)
        self.emit(run.block(kind))

    def _scoped(self, label: str, tag: Tag) -> None:
        while self._headings and self._headings[-1].level >= 8 and not self._headings[-1].scope:
            self._headings.pop()
        self._headings.append(_Heading(8, label, id(tag)))

    def _pair(self, tag: Tag) -> Tag | None:
        """The label element of a value element, for pairs that a page makes of div or span and class names."""
        own = _role_word(tag, _VALUES)
        if own is None:
            return None
        before = tag.previous_sibling
        while isinstance(before, NavigableString) and not before.strip(" \t\r\n:"):
            before = before.previous_sibling
        if not isinstance(before, Tag) or before.name in _MARKUP_OF_PAIRS or id(before) in self.skip:
            return None
        other = _role_word(before, _LABELS)
        return before if other is not None and other == own else None

    def _enter_pair(self, tag: Tag, label_tag: Tag) -> bool:
        # The label was walked already as the block or run before: take it back.
        label = " ".join(label_tag.get_text(" ").split()).rstrip(" :")
        if not label or len(label) > 100 or label_tag.find(list(HEADINGS)) is not None:
            return True
        if self.blocks and self.blocks[-1].text.rstrip(" :") == label and self.blocks[-1].kind != "heading":
            self.blocks.pop()
            if _simple(tag):
                self.pair(label, self.collect(tag, "; "), "definition")
                return False
            self._scoped(label, tag)
        return True


def _said(text: str) -> Run:
    run = Run()
    run.add(text)
    return run


def _simple(tag: Tag) -> bool:
    """Fits in one line "label: value": no paragraphs, tables, headings or pairs below, and not long."""
    seen = paragraphs = 0
    for child in tag.descendants:
        seen += 1
        if seen > 400:
            return False
        if isinstance(child, Tag):
            if child.name in ("table", "dl", "pre", "blockquote") or child.name in HEADINGS:
                return False
            paragraphs += child.name == "p"
            if _role_word(child, _VALUES) is not None and _role_word(child, _VALUES) != "":
                return False
    return paragraphs <= 1


def _role_word(tag: Tag, words: frozenset[str]) -> str | None:
    """What stands before the label or value word in a class: "infobox" of "infobox-title", "" of "label"."""
    for name in str(tag.attrs.get("class", "")).split():
        pieces = [piece.lower() for piece in re.split(r"[-_]+|(?<=[a-z])(?=[A-Z])", name) if piece]
        if pieces and pieces[-1] in words:
            return "-".join(pieces[:-1])
    return None
