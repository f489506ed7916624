"""What a page's metadata says of the page as a work, and of the works that it cites.

Highwire Press tags (citation_title, citation_reference …) as repositories set them (common practice, no standard);
Dublin Core in meta elements (DCMI "Expressing Dublin Core in HTML"); schema.org in JSON-LD (``citation``,
``isBasedOn``, ``isbn``); ``rel=canonical`` (RFC 6596).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from bs4 import BeautifulSoup, Tag

from doubtwort.citing.citations import citation_from
from doubtwort.citing.identifiers import normalise_doi, normalise_isbn
from doubtwort.citing.urls import web_address
from doubtwort.model import Citation
from doubtwort.reading.words import words
from doubtwort.text import one_line

OWN = "own"  # key of the citation that stands for the page itself
_MOST_META = 3_000
MOST_LISTED = 500
_LONGEST = 2_000_000
_TITLES = ("citation_title", "dc.title", "dcterms.title", "prism.title", "bepress_citation_title", "eprints.title")
_AUTHORS = ("citation_author", "dc.creator", "dcterms.creator", "bepress_citation_author", "eprints.creators_name")
_DATES = (
    "citation_publication_date",
    "citation_date",
    "citation_year",
    "citation_online_date",
    "dc.date",
    "dcterms.issued",
    "dc.date.issued",
    "prism.publicationdate",
)
_DOIS = (
    "citation_doi",
    "prism.doi",
    "bepress_citation_doi",
    "dc.identifier",
    "dcterms.identifier",
    "dc.identifier.doi",
)
_ISBNS = ("citation_isbn", "dc.identifier", "dcterms.identifier", "prism.isbn", "books:isbn", "book:isbn")
_REFERENCES = ("citation_reference", "dcterms.references", "dc.relation.references")
_WORKS = words(
    "article scholarlyarticle newsarticle blogposting techarticle medicalscholarlyarticle report book chapter thesis "
    "webpage itempage medicalwebpage creativework review recipe"
)
_YEAR = re.compile(r"(?:1[5-9]|20)\d\d")
_FIELD = re.compile(r"(?:^|;)\s*citation_(\w+)=([^;]*)")

Resolve = Callable[[str], str | None]


@dataclass(frozen=True, slots=True)
class Listed:
    """One work of a page's metadata: a printed form of it, and the addresses that it gives."""

    text: str
    urls: tuple[str, ...] = ()
    title: str = ""


@dataclass(frozen=True, slots=True)
class OwnRecord:
    """``work`` stands for the page itself, None when its metadata says nothing of it; ``listed`` are those it cites."""

    work: Citation | None = None
    listed: tuple[Listed, ...] = ()


def own_record(soup: BeautifulSoup, resolve: Resolve) -> OwnRecord:
    """All that a page's metadata says. ``resolve`` makes addresses absolute."""
    metas = _metas(soup)
    nodes = list(_nodes(soup))
    own = next((node for node in nodes if _kinds(node) & _WORKS), {})
    isbns = (*_all(metas, _ISBNS), *_texts(own.get("isbn")))
    dois = (*_all(metas, _DOIS), *_texts(own.get("identifier")), *_texts(own.get("sameAs")), *_texts(own.get("@id")))
    work = Citation(
        OWN,
        "",
        urls=tuple(filter(None, [_canonical(soup, resolve)])),
        doi=next(filter(None, map(normalise_doi, dois)), ""),
        isbn=next(filter(None, (normalise_isbn(re.sub(r"^urn:isbn:", "", each, flags=re.I)) for each in isbns)), ""),
        authors=tuple(dict.fromkeys((*_all(metas, _AUTHORS), *_people(own.get("author")))))[:40],
        year=next((found[0] for each in (*_all(metas, _DATES), *_texts(own.get("datePublished")))
                   if (found := _YEAR.search(each))), ""),
        title=next(iter((*_all(metas, _TITLES), *_texts(own.get("headline")), *_texts(own.get("name")))), ""),
    )  # fmt: skip
    listed = [_from_tag(each) for each in _all(metas, _REFERENCES)]
    listed += [each for node in nodes for name in ("citation", "isBasedOn") for each in _from_node(node.get(name))]
    known = replace(work, key="", text="") != Citation("", "")
    absolute = (replace(each, urls=tuple(filter(None, map(resolve, each.urls)))) for each in listed if each.text)
    return OwnRecord(work if known else None, tuple(dict.fromkeys(absolute))[:MOST_LISTED])


def _metas(soup: BeautifulSoup) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for tag in soup.find_all("meta", limit=_MOST_META):
        if isinstance(tag, Tag):
            name = str(tag.attrs.get("name") or tag.attrs.get("property") or "").lower()
            content = one_line(str(tag.attrs.get("content", "")), 2_000)
            if name and content:
                found.setdefault(name, []).append(content)
    return found


def _all(metas: dict[str, list[str]], names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(each for name in names for each in metas.get(name, ()))


def _canonical(soup: BeautifulSoup, resolve: Resolve) -> str:
    for tag in soup.find_all("link", href=True, limit=200):
        relations = tag.attrs.get("rel", "") if isinstance(tag, Tag) else ""
        said = " ".join(relations) if isinstance(relations, list) else str(relations)
        if isinstance(tag, Tag) and "canonical" in said.lower().split():
            return web_address(resolve(str(tag.attrs["href"]).strip()) or "")
    return ""


# --------------------------------------------------------------------------- works that it cites


def _from_tag(content: str) -> Listed:
    """``citation_title=On leaves;citation_author=B Alder;citation_year=1998;citation_doi=10.5555/1``, or free text.

    >>> _from_tag("citation_title=On leaves;citation_author=Alder B;citation_year=1998").text
    'Alder B (1998). On leaves.'
    """
    fields: dict[str, list[str]] = {}
    for name, value in _FIELD.findall(content):
        if value.strip():
            fields.setdefault(name, []).append(value.strip())
    if not fields:
        printed = citation_from("", content)
        doi = (f"https://doi.org/{printed.doi}",) if printed.doi else ()
        return Listed(content, (*printed.urls, *doi), printed.title)
    return _printed(
        fields.get("author", []),
        (fields.get("year") or fields.get("publication_date") or fields.get("date") or [""])[0],
        (fields.get("title") or [""])[0],
        (fields.get("journal_title") or fields.get("inbook_title") or fields.get("publisher") or [""])[0],
        (fields.get("doi") or [""])[0],
        (fields.get("isbn") or [""])[0],
        fields.get("fulltext_html_url", []) + fields.get("pdf_url", []),
    )


def _from_node(value: Any) -> Iterator[Listed]:
    """Works of schema.org's ``citation``: texts, or nodes of their own."""
    for each in (value if isinstance(value, list) else [value])[:MOST_LISTED]:
        if isinstance(each, str) and each.strip():
            text = one_line(each, 2_000)
            yield Listed(text, (text,) if web_address(text) else ())
        elif isinstance(each, dict):
            urls = [url for name in ("url", "@id", "sameAs") for url in _texts(each.get(name)) if web_address(url)]
            ids = [*_texts(each.get("identifier")), *urls]
            yield _printed(
                list(_people(each.get("author"))),
                next(iter(_texts(each.get("datePublished"))), ""),
                next(iter((*_texts(each.get("headline")), *_texts(each.get("name")))), ""),
                "",
                next(filter(None, map(normalise_doi, ids)), ""),
                next(iter(_texts(each.get("isbn"))), ""),
                urls,
            )


def _printed(authors: list[str], date: str, title: str, within: str, doi: str, isbn: str, urls: list[str]) -> Listed:
    year = _YEAR.search(date)
    people = ", ".join(authors[:40])
    pieces = [
        f"{people} ({year[0]})" if people and year else people or (year[0] if year else ""),
        title,
        within,
        f"ISBN {isbn}" if isbn else "",
        f"doi:{doi}" if doi else "",
    ]
    text = ". ".join(each.strip(" .") for each in pieces if each.strip(" ."))
    known = normalise_doi(doi)
    return Listed(f"{text}." if text else "", (*urls, *((f"https://doi.org/{known}",) if known else ())), title)


# --------------------------------------------------------------------------- JSON-LD


def _nodes(soup: BeautifulSoup) -> Iterator[dict[str, Any]]:
    for script in soup.find_all("script", limit=200):
        if not isinstance(script, Tag) or "ld+json" not in str(script.attrs.get("type", "")).lower():
            continue
        text = script.get_text()
        try:
            data = json.loads(text.strip()) if len(text) <= _LONGEST else None
        except (ValueError, RecursionError):
            continue
        top = data if isinstance(data, list) else [data]
        for node in top[:50]:
            if isinstance(node, dict):
                yield node
                inner = node.get("@graph")
                yield from (each for each in (inner if isinstance(inner, list) else [])[:50] if isinstance(each, dict))


def _kinds(node: dict[str, Any]) -> set[str]:
    return {each.rpartition("/")[2].lower() for each in _texts(node.get("@type"))}


def _texts(value: Any) -> tuple[str, ...]:
    """Texts of a value: "x", ["x", "y"], {"value": "x"} (schema.org PropertyValue), {"@value": "x"}."""
    found = []
    for each in (value if isinstance(value, list) else [value])[:40]:
        if isinstance(each, dict):
            each = each.get("@value") or each.get("value") or each.get("@id")
        if isinstance(each, (str, int)) and not isinstance(each, bool) and str(each).strip():
            found.append(one_line(str(each), 500))
    return tuple(found)


def _people(value: Any) -> tuple[str, ...]:
    found: list[str] = []
    for each in (value if isinstance(value, list) else [value])[:40]:
        if isinstance(each, dict):
            each = each.get("familyName") or each.get("name")
        if isinstance(each, str) and each.strip():
            found.append(one_line(each, 200))
    return tuple(found)
