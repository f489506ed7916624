"""Markup to a tree of bounded size.

One page, one tree: beautifulsoup4 over lxml's parser. lxml's own walk is ten times faster, but the reader looks back
and forth in intricate markup (footnotes, infoboxes), and a book of 900 KB takes well under two seconds this way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from bs4 import BeautifulSoup, Tag
from bs4.builder._lxml import LXMLTreeBuilder
from bs4.element import NavigableString, PageElement, PreformattedString
from lxml import etree


class _BoundedBuilder(LXMLTreeBuilder):
    """Stops making elements after ``most``: the text of what follows is kept, its markup is not.

    lxml's depth limit (256) holds only for trees that it builds itself; here it feeds events to beautifulsoup4, and
    ``huge_tree`` lifts its limit of 10 million characters for one text.
    """

    def __init__(self, most: int) -> None:
        super().__init__(multi_valued_attributes=None)
        self._most = most
        self._made = 0
        self._passed_over = 0

    def parser_for(self, encoding: Any) -> Any:
        return etree.HTMLParser(target=self, recover=True, encoding=encoding, huge_tree=True)

    def start(self, tag: Any, attrib: Any, nsmap: Mapping[Any, Any] = MappingProxyType({})) -> None:
        if self._made >= self._most:
            self._passed_over += 1
            return
        self._made += 1
        super().start(tag, attrib, dict(nsmap))

    def end(self, tag: Any) -> None:
        if self._passed_over:
            self._passed_over -= 1
            return
        super().end(tag)


def parse(markup: str, most_elements: int) -> BeautifulSoup:
    """The page's tree. Attributes are plain strings ("class" too). Never raises for what the markup holds."""
    # A NUL ends the text for libxml2; lone surrogates cannot be encoded for it.
    markup = markup.replace("\x00", "\ufffd").encode("utf-8", "replace").decode("utf-8")
    try:
        return BeautifulSoup(markup, builder=_BoundedBuilder(most_elements))
    except (ValueError, etree.LxmlError):
        return BeautifulSoup("", "lxml")


def below(tag: Tag, most: int) -> Iterator[PageElement]:
    """The first ``most`` nodes below an element in document order. Unlike ``Tag.descendants`` it does not first walk
    to the last of them, so that a look at each of many nested elements stays quick."""
    stack = list(reversed(tag.contents[:most]))
    while stack and most > 0:
        node = stack.pop()
        most -= 1
        yield node
        if isinstance(node, Tag):
            stack.extend(reversed(node.contents[:most]))


def short_text(tag: Tag, most: int = 200) -> str:
    """Text of the first ``most`` nodes below an element."""
    return "".join(
        str(each)
        for each in below(tag, most)
        if isinstance(each, NavigableString) and not isinstance(each, PreformattedString)
    )
