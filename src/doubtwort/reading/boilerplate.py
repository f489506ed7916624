"""Which elements of a page are not its text: hidden things, menus, notices, comments, shares, tables of contents.

Three degrees of strictness. The strictest is taken that leaves a fair share of the page's text standing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from urllib.parse import urlsplit

from bs4 import BeautifulSoup, Tag
from bs4.element import NavigableString, PreformattedString

from doubtwort.reading.tree import short_text
from doubtwort.reading.words import (
    COMMENT_WORDS,
    COMMENTS_WORDS,
    MENU_ROLES,
    NEVER_TEXT,
    NO_TEXT_WORDS,
    PANEL_WORDS,
)

_MENUS = frozenset({"nav", "menu", "button"})
_LOOKED_AT = frozenset({"form", "header", "footer", "ul", "ol", "a", "span"}) | _MENUS
_PAGE_WORDS = frozenset({"pagenum", "pagenumber", "pageno", "pagebreak"})
_COMMENTED, _TABLE = 1, 2
_UNSAID = frozenset({"no", "with", "has", "without", "non", "not", "hide"})
_KEPT_WHOLE = frozenset({"html", "body", "main", "article"})
_HIDING = re.compile(r"(?:^|;)\s*(?:display\s*:\s*none|visibility\s*:\s*hidden)", re.IGNORECASE)
_EDIT = re.compile(
    r"\s*[\[(]?\s*(?:edit|edit source|edit section|bearbeiten|quelltext bearbeiten|modifier|editar|modifica)"
    r"(?:\s*[|/]\s*[\w ]{1,30})?\s*[\])]?\s*",
    re.IGNORECASE,
)
_WORD = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+")
_BLOCKS_OF_TEXT = frozenset({"p", "li", "dd", "td", "h1", "h2", "h3"})


@lru_cache(maxsize=20_000)
def tokens(names: str) -> frozenset[str]:
    """The words of class and id, lower case, neighbours joined too; words after "no-", "with-", "has-" left out.

    >>> sorted(tokens("sideBar has-menu"))
    ['bar', 'side', 'sidebar']
    """
    found: set[str] = set()
    for name in names[:2000].split():
        words = [word.lower() for word in _WORD.findall(name)][:12]
        if words and words[0] in _UNSAID:
            continue
        found.update(words)
        found.update(a + b for a, b in pairwise(words))
        if len(words) > 2:
            found.add("".join(words))
    return frozenset(found)


def names_of(tag: Tag) -> str:
    """Class and id of an element in one string."""
    attrs = tag.attrs
    if not attrs:
        return ""
    return f"{attrs.get('class', '')} {attrs.get('id', '')}".strip()


@dataclass(slots=True)
class Weights:
    """Characters of text (``text``) and of text within links (``linked``) below each element, by ``id(tag)``;
    ``holds`` are the elements with a main part, an article or the first h1 in them."""

    text: dict[int, int] = field(default_factory=dict)
    linked: dict[int, int] = field(default_factory=dict)
    holds: set[int] = field(default_factory=set)
    blocks: dict[int, int] = field(default_factory=dict)
    traits: dict[int, int] = field(default_factory=dict)  # bits: what stands below
    links: dict[int, tuple[int, int, int]] = field(default_factory=dict)  # all, on the same page, to a known heading

    def plain(self, tag: Tag) -> int:
        return self.text.get(id(tag), 0) - self.linked.get(id(tag), 0)


def weigh(soup: BeautifulSoup) -> Weights:
    """One walk over the tree, children before parents."""
    weights = Weights()
    headings = {_squash(short_text(tag)) for tag in tags_in_order(soup, ("h1", "h2", "h3", "h4", "h5", "h6"))}
    tags: list[Tag] = []
    stack: list[Tag] = [soup]
    while stack:
        tag = stack.pop()
        tags.append(tag)
        if tag.name in NEVER_TEXT:
            continue
        stack.extend(child for child in tag.contents if isinstance(child, Tag))
    for tag in reversed(tags):
        text = linked = blocks = links = inner = known = traits = 0
        if tag.name not in NEVER_TEXT:
            for child in tag.contents:
                if isinstance(child, Tag):
                    text += weights.text.get(id(child), 0)
                    linked += weights.linked.get(id(child), 0)
                    blocks += weights.blocks.get(id(child), 0) + (child.name in _BLOCKS_OF_TEXT)
                    traits |= weights.traits.get(id(child), 0)
                    below = weights.links.get(id(child), (0, 0, 0))
                    links, inner, known = links + below[0], inner + below[1], known + below[2]
                elif isinstance(child, NavigableString) and not isinstance(child, PreformattedString):
                    text += len(child) if not child.isspace() else 0
        weights.text[id(tag)] = text
        if tag.name == "a" and "href" in tag.attrs:
            linked, links, inner = text, 1, int(str(tag.attrs["href"]).startswith("#"))
            known = int(text < 300 and _squash(short_text(tag)) in headings)
        if tag.name in ("form", "textarea") or (tag.attrs and tokens(names_of(tag)) & COMMENT_WORDS):
            traits |= _COMMENTED
        elif tag.name in ("table", "dl"):
            traits |= _TABLE
        weights.traits[id(tag)] = traits
        weights.linked[id(tag)] = linked
        weights.links[id(tag)] = (links, inner, known)
        weights.blocks[id(tag)] = blocks
    first = next((tag for tag in tags_in_order(soup, ("h1",))), None)
    for tag in [*tags_in_order(soup, ("main", "article")), *([first] if first else [])]:
        up: Tag | None = tag
        while up is not None and id(up) not in weights.holds:
            weights.holds.add(id(up))
            up = up.parent
    return weights


def tags_in_order(soup: BeautifulSoup, names: tuple[str, ...]) -> list[Tag]:
    return [tag for tag in soup.find_all(list(names)) if isinstance(tag, Tag)]


def passed_over(soup: BeautifulSoup, weights: Weights) -> set[int]:
    """Ids (``id(tag)``) of the elements that are no text. What is below them is not listed."""
    whole = max(weights.plain(soup), 1)
    for degree, share in ((2, 0.3), (1, 0.12)):
        out, lost = _choose(soup, weights, degree)
        if whole - lost >= share * whole:
            return out
    return _choose(soup, weights, 0)[0]


def _choose(soup: BeautifulSoup, weights: Weights, degree: int) -> tuple[set[int], int]:
    out: set[int] = set()
    lost = 0
    whole = max(weights.plain(soup), 1)
    stack: list[tuple[Tag, bool]] = [(soup, False)]
    while stack:
        tag, within = stack.pop()
        if _is_out(tag, within, weights, whole, degree):
            out.add(id(tag))
            lost += 0 if tag.name in NEVER_TEXT else weights.plain(tag)
            continue
        within = within or tag.name in ("article", "main", "section", "blockquote")
        stack.extend((child, within) for child in tag.contents if isinstance(child, Tag))
    return out, lost


def _is_out(tag: Tag, within: bool, weights: Weights, whole: int, degree: int) -> bool:
    name = tag.name
    if name in NEVER_TEXT:
        # Without scripts the page may have nothing else to say than what stands in noscript.
        return not (name == "noscript" and degree == 0)
    if not tag.attrs and name not in _LOOKED_AT:
        return False
    if degree == 0 or name in _KEPT_WHOLE or tag.parent is None:
        return False
    if _hidden(tag, weights):
        return True
    role = str(tag.attrs.get("role", ""))
    if weights.text.get(id(tag), 0) <= 20 and _is_page_number(tag, role):
        return True
    if name in _MENUS or role in MENU_ROLES:
        return weights.plain(tag) < 0.5 * whole
    if name in ("a", "span") and weights.text.get(id(tag), 0) <= 60:
        return bool(_EDIT.fullmatch(short_text(tag))) and weights.text.get(id(tag), 0) > 0 and _is_edit(tag)
    if degree == 1:
        return False
    if name == "form":
        return weights.blocks.get(id(tag), 0) < 3 and weights.plain(tag) < 0.2 * whole
    if name in ("header", "footer") and not within:
        return id(tag) not in weights.holds or (name == "footer" and weights.plain(tag) < 0.3 * whole)
    if name in ("ul", "ol") and _is_contents(tag, weights):
        return True
    return _named_out(tag, weights, whole)


def _hidden(tag: Tag, weights: Weights) -> bool:
    attrs = tag.attrs
    if str(attrs.get("aria-hidden", "")).lower() == "true" and (
        tag.name in ("i", "svg", "img") or weights.text.get(id(tag), 0) <= 3
    ):
        return True
    hidden = "hidden" in attrs and attrs["hidden"] != "until-found"
    hidden = hidden or ("style" in attrs and bool(_HIDING.search(str(attrs["style"])[:2000])))
    if not hidden:
        return False
    # A tab or a fold that opens on a click holds the page's own text.
    return not (attrs.get("role") == "tabpanel" or tokens(names_of(tag)) & PANEL_WORDS)


def _is_page_number(tag: Tag, role: str) -> bool:
    """The number of the printed page in the middle of a book's text."""
    if role == "doc-pagebreak" or "pagebreak" in str(tag.attrs.get("epub:type", "")):
        return True
    return tag.name in ("span", "a", "div", "p") and bool(tokens(names_of(tag)) & _PAGE_WORDS)


def _is_edit(tag: Tag) -> bool:
    """An "[edit]" link stands in or beside a heading, or names itself."""
    if "editsection" in tokens(names_of(tag)):
        return True
    up = tag.parent
    for _ in range(3):
        if up is None:
            return False
        if up.name in ("h1", "h2", "h3", "h4", "h5", "h6", "caption") or "heading" in tokens(names_of(up)):
            return True
        up = up.parent
    return False


def _is_contents(tag: Tag, weights: Weights) -> bool:
    """A list whose links lead to headings of the same page and say what those say anyway."""
    links, inner, known = weights.links.get(id(tag), (0, 0, 0))
    if links < 3 or inner < 0.8 * links or known < 0.6 * inner:
        return False
    return weights.linked.get(id(tag), 0) >= 0.6 * weights.text.get(id(tag), 0)


def _named_out(tag: Tag, weights: Weights, whole: int) -> bool:
    names = names_of(tag)
    if not names or id(tag) in weights.holds:
        return False
    words = tokens(names)
    plain = weights.plain(tag)
    if words & COMMENTS_WORDS and plain < 0.8 * whole:
        return tag.name in ("ol", "ul") or bool(weights.traits.get(id(tag), 0) & _COMMENTED)
    if not words & NO_TEXT_WORDS or tag.name in (
        "a",
        "span",
        "p",
        "h1",
        "h2",
        "h3",
        "h4",
        "h5",
        "h6",
        "td",
        "th",
        "li",
        "tr",
    ):
        return False
    if "infobox" in words or plain >= 0.4 * whole:
        return False
    if words & {"sidebar", "widget", "widgets", "panel", "dropdown", "overlay", "modal"}:
        # A side column may hold the fact box of the page. What is mostly links or asks for input is none.
        text = max(weights.text.get(id(tag), 0), 1)
        return weights.linked.get(id(tag), 0) > 0.35 * text or not weights.traits.get(id(tag), 0) & _TABLE
    return True


def _squash(text: str) -> str:
    return re.sub(r"\W+", "", text[:300]).lower()


def same_page(href: str, url: str) -> str | None:
    """The fragment, when an address leads to a place on the page itself, else None.

    >>> same_page("http://herb.example/a#n1", "http://herb.example/a"), same_page("/b#n1", "http://herb.example/a")
    ('n1', None)
    """
    if href.startswith("#"):
        return href[1:] or None
    if "#" not in href:
        return None
    try:
        there, here = urlsplit(href), urlsplit(url)
    except ValueError:
        return None
    if there.fragment and there.netloc == here.netloc and there.path == here.path and there.query == here.query:
        return there.fragment
    return None
