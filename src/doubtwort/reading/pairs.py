"""Labels and values that a page makes of elements and class names, and bold lines that serve as headings."""

from __future__ import annotations

import re

from bs4 import Tag
from bs4.element import NavigableString

from doubtwort.reading.tree import below, short_text
from doubtwort.reading.words import LABEL_WORDS, VALUE_WORDS

HEADINGS = {"h1": 1, "h2": 2, "h3": 3, "h4": 4, "h5": 5, "h6": 6}
_SENTENCE = re.compile(
    r"[.!?]$|\b(?:is|are|was|were|be|can|may|must|should|do|does|has|have|not|never|eat|eaten|avoid|use[ds]?)\b", re.I
)
_BLOCKS_WITHIN = frozenset({"table", "dl", "pre", "blockquote"}) | frozenset(HEADINGS)


def label_of(tag: Tag, skip: set[int]) -> Tag | None:
    """The label element right before a value element: <div class="fact-label">, <div class="fact-value">."""
    own = _stem(tag, VALUE_WORDS)
    if own is None:
        return None
    before = tag.previous_sibling
    while isinstance(before, NavigableString) and not before.strip(" \t\r\n:"):
        before = before.previous_sibling
    if not isinstance(before, Tag) or before.name in HEADINGS or id(before) in skip:
        return None
    return before if _stem(before, LABEL_WORDS) == own else None


def _stem(tag: Tag, words: frozenset[str]) -> str | None:
    """What stands before the label or value word in a class: "fact" of "fact-label", "" of "label"."""
    for name in str(tag.attrs.get("class", ""))[:500].split():
        pieces = [piece.lower() for piece in re.split(r"[-_]+|(?<=[a-z])(?=[A-Z])", name) if piece]
        if pieces and pieces[-1] in words:
            return "-".join(pieces[:-1])
    return None


def label_text(tag: Tag) -> str:
    """The text of a label, "" when it is too long for one or holds a heading."""
    if any(isinstance(child, Tag) and child.name in HEADINGS for child in below(tag, 200)):
        return ""
    text = " ".join(short_text(tag).split()).rstrip(" :")
    return text if len(text) <= 100 else ""


def fits_one_line(tag: Tag) -> bool:
    """Reads as the value in "label: value": at most one paragraph, and no tables, headings or pairs below."""
    paragraphs = 0
    for seen, child in enumerate(below(tag, 401)):
        if seen == 400:
            return False
        if isinstance(child, Tag):
            if child.name in _BLOCKS_WITHIN or _stem(child, VALUE_WORDS):
                return False
            paragraphs += child.name == "p"
    return paragraphs <= 1


def reads_as_heading(tag: Tag) -> bool:
    """<p><b>Edible uses</b></p>: nothing else stands in it, it is short, and no sentence."""
    inner = [child for child in tag.contents if not (isinstance(child, NavigableString) and child.isspace())]
    if len(inner) != 1 or not isinstance(inner[0], Tag) or inner[0].name not in ("b", "strong"):
        return False
    if any(isinstance(child, Tag) and child.name in ("a", "br", "img") for child in below(inner[0], 50)):
        return False
    text = short_text(inner[0]).strip()
    return 0 < len(text) <= 80 and not _SENTENCE.search(text)
