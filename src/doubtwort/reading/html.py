"""HTML → Document."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from urllib.parse import unquote

from bs4 import BeautifulSoup, Tag

from doubtwort.citing.urls import resolve
from doubtwort.model import Document
from doubtwort.reading.blocks import Block
from doubtwort.reading.boilerplate import passed_over, same_page, weigh
from doubtwort.reading.metadata import base_address, language, page_title, subjects
from doubtwort.reading.own_record import own_record
from doubtwort.reading.passages import assemble
from doubtwort.reading.plain import blocks_of
from doubtwort.reading.tree import parse, short_text
from doubtwort.reading.walk import Walker

_ELEMENTS_PER_PASSAGE = 10


def read_html(markup: str, url: str, most: int) -> Document:
    """Reads a page. ``most`` bounds passages and citations, ten times as many elements are looked at."""
    soup = parse(markup, most * _ELEMENTS_PER_PASSAGE)
    found = blocks(soup, url, most)
    headings = [block.text for block in found if block.kind == "heading" and block.level == 1]
    if not headings:
        headings = [short_text(tag) for tag in soup.find_all("h1", limit=3) if isinstance(tag, Tag)]
    title = page_title(soup, headings, url)
    record = own_record(soup, _resolver(soup, url))
    document = assemble(found, url, title, most, subjects(soup), language(soup), record.listed)
    return replace(document, work=record.work)


def blocks(soup: BeautifulSoup, url: str, most: int) -> list[Block]:
    skip = passed_over(soup, weigh(soup))
    walker = Walker(url, _resolver(soup, url), skip, _targets(soup, url), most * 2)
    found: list[Block] = []
    for block in walker.walk(soup):
        if block.kind == "preformatted" and len(block.text) > 400 and "\n\n" in block.text and not block.spans:
            found += blocks_of(block.text, block.headings)
        else:
            found.append(block)
    return found


def _targets(soup: BeautifulSoup, url: str) -> set[str]:
    found: set[str] = set()
    for tag in soup.find_all("a", href=True):
        if isinstance(tag, Tag) and (name := same_page(str(tag.attrs["href"]).strip(), url)):
            found.add(name)
            found.add(unquote(name))
    return found


def _resolver(soup: BeautifulSoup, url: str) -> Callable[[str], str | None]:
    """Makes links absolute; None for mailto:, javascript:, data: and the like."""
    base = base_address(soup)
    start = (resolve(url, base) or url) if base else url
    known: dict[str, str | None] = {}

    def absolute(href: str) -> str | None:
        if href not in known:
            known[href] = resolve(start, href) or None
        return known[href]

    return absolute
