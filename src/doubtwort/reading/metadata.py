"""What a page says of itself: title, language, and the names that its structured data gives as its subject."""

from __future__ import annotations

import json
import re
from typing import Any
from urllib.parse import urlsplit

from bs4 import BeautifulSoup, Tag

from doubtwort.reading.tree import short_text
from doubtwort.reading.words import words
from doubtwort.text import one_line

_SEPARATOR = re.compile(r"\s+(?:[-–—|·•»«]|::|:)\s+|\s*[|»]\s*")
_EMPTY_TITLES = frozenset(
    {"home", "homepage", "untitled", "untitled document", "index", "document", "page", "new page"}
)
_META_NAMES = ("citation_title", "dc.title", "dcterms.title", "dc.subject.taxon", "taxon.scientific_name")
# schema.org properties that name a thing, and types whose name is the page's subject.
_NAMES = ("scientificName", "name", "headline", "alternateName")
_SUBJECT_TYPES = words(
    "taxon thing article newsarticle blogposting techarticle scholarlyarticle report webpage medicalwebpage itempage "
    "aboutpage faqpage recipe product medicalentity dataset creativework book chapter definedterm"
)
_MOST = 40


def meta(soup: BeautifulSoup, name: str) -> str:
    """Content of the first <meta name=…> or <meta property=…> of that name, in any case."""
    for tag in soup.find_all("meta", limit=400):
        if isinstance(tag, Tag):
            key = str(tag.attrs.get("name") or tag.attrs.get("property") or tag.attrs.get("itemprop") or "")
            if key.lower() == name:
                return one_line(str(tag.attrs.get("content", "")), 500)
    return ""


def page_title(soup: BeautifulSoup, headings: list[str], url: str) -> str:
    """The page's own title. ``headings`` are the texts of its first-level headings in the main content, in order.

    A heading that agrees with <title> is best; then <title> without the site's name; then og:title; then a heading.
    """
    tag = soup.find("title")
    full = one_line(short_text(tag), 500) if isinstance(tag, Tag) else ""
    if full.lower().strip(" .-") in _EMPTY_TITLES:
        full = ""
    named = [one_line(heading, 500) for heading in headings if heading.strip()]
    for heading in named[:5]:
        if full and _agree(heading, full):
            return heading
    if full:
        return without_site(full, meta(soup, "og:site_name"), url)
    return meta(soup, "og:title") or (named[0] if named else "")


def _agree(heading: str, title: str) -> bool:
    flat = re.sub(r"\W", "", heading.lower())
    first = re.sub(r"\W", "", _SEPARATOR.split(title)[0].lower())
    if len(first) > 3 and flat.startswith(first):
        return True
    one, other = _words(heading), _words(title)
    if not one or not other:
        return False
    return len(one & other) >= 0.6 * len(one) or (len(one & other) >= 0.6 * len(other) and len(one) <= 3 * len(other))


def _words(text: str) -> set[str]:
    return set(re.findall(r"\w+", text.lower()))


def without_site(title: str, site: str, url: str) -> str:
    """The title without the name of the site at its end or beginning.

    >>> without_site("Fictwort | Herb Pages", "", "http://herbpages.example/f")
    'Fictwort'
    """
    pieces = [piece.strip() for piece in _SEPARATOR.split(title) if piece.strip()]
    if len(pieces) < 2:
        return title
    host = re.sub(r"[^a-z0-9]", "", (urlsplit(url).hostname or "") if "//" in url else "")
    own = re.sub(r"\W", "", site.lower())

    def is_site(piece: str) -> bool:
        flat = re.sub(r"\W", "", piece.lower())
        return bool(flat) and (flat == own or (len(flat) > 3 and flat in host))

    if is_site(pieces[-1]):
        return title[: title.rindex(pieces[-1])].rstrip(" -–—|·•»«:") or title
    if is_site(pieces[0]):
        return title[title.index(pieces[0]) + len(pieces[0]) :].lstrip(" -–—|·•»«:") or title
    if re.search(r"\s[|»·]\s|::", title):
        return pieces[0]
    return title


def subjects(soup: BeautifulSoup) -> tuple[str, ...]:
    """Names that metadata, JSON-LD and microdata give as what the page is about, without repetition."""
    found: list[str] = []
    for script in soup.find_all("script", limit=200):
        if isinstance(script, Tag) and "ld+json" in str(script.attrs.get("type", "")).lower():
            found += _from_json(script.get_text())
    for name in _META_NAMES:
        found.append(meta(soup, name))
    for item in soup.find_all(itemscope=True, limit=50):
        if isinstance(item, Tag) and _type(str(item.attrs.get("itemtype", ""))) in _SUBJECT_TYPES:
            for prop in item.find_all(itemprop=list(_NAMES), limit=6):
                if isinstance(prop, Tag) and prop.find_parent(itemscope=True) is item:
                    found.append(str(prop.attrs.get("content") or short_text(prop)))
    seen: dict[str, str] = {}
    for name in found:
        name = one_line(name, 200)
        if name:
            seen.setdefault(name.lower(), name)
    return tuple(list(seen.values())[:_MOST])


def _type(name: str) -> str:
    return name.rstrip("/").rpartition("/")[2].rpartition("#")[2].lower()


def _from_json(text: str) -> list[str]:
    if len(text) > 2_000_000:
        return []
    try:
        data = json.loads(text.strip().removeprefix("<!--").removesuffix("-->"))
    except (ValueError, RecursionError):
        return []
    found: list[str] = []
    queue: list[tuple[Any, int]] = [(data, 0)]
    while queue and len(found) < _MOST:
        node, depth = queue.pop(0)
        if depth > 6:
            continue
        if isinstance(node, list):
            queue += [(each, depth + 1) for each in node[:50]]
        elif isinstance(node, dict):
            kinds = node.get("@type", "")
            kinds = kinds if isinstance(kinds, list) else [kinds]
            if any(isinstance(kind, str) and _type(kind) in _SUBJECT_TYPES for kind in kinds):
                found += [node[name] for name in _NAMES if isinstance(node.get(name), str)]
            for key in ("about", "mainEntity", "mainEntityOfPage", "@graph", "hasDefinedTerm"):
                if isinstance(node.get(key), (dict, list)):
                    queue.append((node[key], depth + 1))
                elif key == "about" and isinstance(node.get(key), str):
                    found.append(node[key])
    return found


def language(soup: BeautifulSoup) -> str:
    """Language tag (BCP 47) of the page as declared, e.g. "en-GB", or ""."""
    root = soup.find("html")
    if isinstance(root, Tag):
        said = str(root.attrs.get("lang") or root.attrs.get("xml:lang") or "").strip()
        if said:
            return said[:35]
    return meta(soup, "content-language")[:35]


def base_address(soup: BeautifulSoup) -> str:
    tag = soup.find("base", href=True)
    return str(tag.attrs["href"]).strip() if isinstance(tag, Tag) else ""
