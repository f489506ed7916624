"""What the first look at a page shows: titles, blocks of text, refresh, canonical address. No tree is built.

The page is fed to lxml's parser in pieces, and the look ends where the page turns out to be a long one: signs of a
missing or closed page are only ever looked for in short ones.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, cast

from lxml import etree

_LOOKED_AT = 2_000_000  # bytes
_PIECE = 32_768
_ENOUGH = 12_000  # characters of text outside of menus; a page that has more is no wall
_MOST_BLOCKS = 2_000
_LONGEST_BLOCK = 4_000
_NOT_SHOWN = frozenset(("script", "style", "template", "svg", "iframe", "object", "head"))
_MENUS = frozenset(("nav", "footer", "aside", "header", "menu", "button", "select", "option", "label", "textarea"))
_MENU_ROLES = frozenset(("navigation", "contentinfo", "banner", "menu", "menubar", "search"))
_HEADINGS = frozenset(("h1", "h2"))
_BLOCKS = frozenset(
    ("address", "article", "blockquote", "body", "br", "center", "dd", "details", "dialog", "div", "dl", "dt",
     "fieldset", "figcaption", "figure", "form", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "li", "main", "ol", "p",
     "pre", "section", "summary", "table", "tbody", "td", "th", "tr", "ul", *_MENUS)
)  # fmt: skip
_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
_CHARSET = re.compile(r"charset\s*=\s*[\"']?\s*([\w.:-]+)", re.IGNORECASE)
_MARKUP = re.compile(rb"<\s*(?:!doctype\s+html|html|head|body|meta|title|p|div|h[1-6]|script|a)\b", re.IGNORECASE)


@dataclass(slots=True)
class Outline:
    """``blocks`` are texts outside of menus, ``noscript`` those shown only without scripts. ``refresh`` is the content
    of the first refresh, ``canonical`` the address of rel=canonical, both as written. ``complete``: the page was looked
    at to its end."""

    title: str = ""
    headings: list[str] = field(default_factory=list)
    blocks: list[str] = field(default_factory=list)
    noscript: list[str] = field(default_factory=list)
    refresh: str = ""
    refresh_without_scripts: bool = False
    canonical: str = ""
    base: str = ""
    password: bool = False
    scripts: int = 0
    complete: bool = False

    @property
    def length(self) -> int:
        """Characters of text outside of menus and noscript."""
        return sum(map(len, self.blocks))


def outline(body: bytes, headers: Mapping[str, str]) -> Outline | None:
    """The outline of an HTML page, None for everything else.

    >>> outline(b"<title>Fictwort</title><nav>Home</nav><p>It is eaten.", {"content-type": "text/html"}).blocks
    ['It is eaten.']
    """
    mime = headers.get("content-type", "").partition(";")[0].strip().lower()
    if mime not in ("text/html", "application/xhtml+xml", "") or not body:
        return None
    if not mime and not _MARKUP.search(body[:4096]):
        return None
    text = _decoded(body[:_LOOKED_AT], headers.get("content-type", ""))
    looker = _Looker()
    try:
        parser = etree.HTMLParser(target=cast(Any, looker), recover=True, huge_tree=True)
        for at in range(0, len(text), _PIECE):
            parser.feed(text[at : at + _PIECE])
            if looker.enough:
                break
        else:
            looker.found.complete = len(body) <= _LOOKED_AT
            parser.close()
    except (etree.LxmlError, ValueError, RecursionError):
        looker.found.complete = False
    looker.end_block()
    return looker.found


def _decoded(body: bytes, content_type: str) -> str:
    """The text well enough to find signs in: byte order mark, header, UTF-8, or Latin letters as they come."""
    for mark, name in _MARKS:
        if body.startswith(mark):
            return _plain(body[len(mark) :].decode(name, "replace"))
    declared = _CHARSET.search(content_type)
    for name in (declared[1] if declared else "", "utf-8"):
        try:
            codec = codecs.lookup(name) if name else None
            if codec is not None and codec._is_text_encoding:
                return _plain(body.decode(codec.name))
        except (LookupError, ValueError):
            continue
    return _plain(body.decode("cp1252", "replace"))


def _plain(text: str) -> str:
    """Without what an XML library refuses: NUL, and an encoding declaration in a text that is decoded already."""
    return re.sub(r"^\s*<\?xml[^>]*>", "", text.replace("\x00", ""))


class _Looker:
    """Takes lxml's events. Elements may come unbalanced, so depths never fall below nothing."""

    def __init__(self) -> None:
        self.found = Outline()
        self.enough = False
        self._hidden = self._noscript = self._depth = self._shown = 0
        self._menus: list[int] = []  # depths at which menus began
        self._text: list[str] = []
        self._in_title = False
        self._heading = ""

    def start(self, tag: str, attributes: Mapping[str, str]) -> None:
        if self.enough:
            return
        self._depth += 1
        if tag in _BLOCKS:
            self.end_block()
        if tag in _NOT_SHOWN:
            self._hidden += tag != "head"
            self.found.scripts += tag == "script" and "json" not in attributes.get("type", "")
        elif tag == "title":
            self._in_title = not self.found.title
            self._text = []
        elif tag == "noscript":
            self.end_block()
            self._noscript += 1
        elif tag in _HEADINGS:
            self._heading = tag
        if tag in _MENUS or attributes.get("role", "").lower() in _MENU_ROLES:
            self._menus.append(self._depth)
        self._attributes(tag, attributes)

    def _attributes(self, tag: str, attributes: Mapping[str, str]) -> None:
        found = self.found
        if tag == "meta" and attributes.get("http-equiv", "").strip().lower() == "refresh" and not found.refresh:
            found.refresh = attributes.get("content", "")[:8_192]
            found.refresh_without_scripts = bool(self._noscript)
        elif tag == "link" and not found.canonical:
            if "canonical" in attributes.get("rel", "").lower().split():
                found.canonical = attributes.get("href", "")[:8_192].strip()
        elif tag == "base" and not found.base:
            found.base = attributes.get("href", "")[:8_192].strip()
        elif tag == "input" and attributes.get("type", "").strip().lower() == "password":
            found.password = True

    def end(self, tag: str) -> None:
        if self.enough:
            return
        depth, self._depth = self._depth, max(0, self._depth - 1)
        if tag == "title":
            if self._in_title:
                self.found.title = " ".join("".join(self._text).split())[:500]
                self._text = []
            self._in_title = False
            return
        if tag in _BLOCKS or tag == "noscript":
            self.end_block()
        if tag in _NOT_SHOWN and tag != "head":
            self._hidden = max(0, self._hidden - 1)
        elif tag == "noscript":
            self._noscript = max(0, self._noscript - 1)
        while self._menus and self._menus[-1] >= depth:
            self._menus.pop()

    def data(self, text: str) -> None:
        if self._hidden or self.enough:
            return
        self._text.append(text)
        if not self._menus and not self._noscript:
            self._shown += len(text.strip())
            self.enough = self._shown > _ENOUGH

    def comment(self, text: str) -> None:
        """Comments are not shown."""

    def close(self) -> None:
        self.end_block()

    def end_block(self) -> None:
        """What was gathered is a block of its own."""
        if not self._text or self._in_title:
            return
        text = " ".join("".join(self._text).split())
        self._text = []
        heading, self._heading = self._heading, ""
        if not text:
            self._heading = heading
            return
        if heading and len(self.found.headings) < 20 and not self._noscript:
            self.found.headings.append(text[:500])
        if self._noscript:
            self.found.noscript.append(text[:_LONGEST_BLOCK])
        elif not self._menus:
            self.found.blocks.append(text[:_LONGEST_BLOCK])
        self.enough = self.enough or len(self.found.blocks) + len(self.found.noscript) > _MOST_BLOCKS
