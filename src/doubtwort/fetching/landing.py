"""Where an answer leads: redirects in headers and in pages, front pages instead of pages, addresses of the original."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from urllib.parse import unquote

from doubtwort.citing.urls import (
    canonical_url,
    host_of,
    registrable_domain,
    resolve,
    resolve_reference,
    split_reference,
    web_address,
)
from doubtwort.fetching.outline import Outline, outline
from doubtwort.model import Fetched

REDIRECTS = (300, 301, 302, 303, 307, 308)  # RFC 9110 §15.4
_SHORT = 1_000  # characters of text; a page that sends its reader on says little else
_SHORTEST = 300
_PATIENCE = 60  # seconds that a page may show its message before it sends the reader on
# HTML standard, "shared declarative refresh steps": seconds, a separator, maybe "url=", maybe quotes.
_REFRESH = re.compile(r"\s*(?:(\d{1,9})\d*|(?=\.))[\d.]*(?:[\s;,]+(?:url\s*=\s*)?(.*))?", re.IGNORECASE | re.DOTALL)
_ARCHIVED = re.compile(r"https?://[^/]+/(?:[^?#]*?/)?(\d{14}|\d{4,13}\*?)(?:[a-z]{2}_)?/(?=\S)(.*)", re.DOTALL)
_INSIDE = re.compile(r"(https?):/{1,2}(?!/)(.+)|(www\.[a-z0-9.-]+(?::\d+)?(?:/.*)?)", re.IGNORECASE | re.DOTALL)
# Words of addresses that name no subject.
_GENERAL = frozenset(
    ("html", "htm", "index", "page", "pages", "default", "home", "main", "start", "wiki", "article", "articles", "post",
     "posts", "view", "show", "node", "content", "file", "files", "docs", "site", "aspx", "item", "entry",
     "blog", "news", "archive", "category", "plants", "plant", "info", "about", "welcome", "public",
     "shtml", "document")
)  # fmt: skip


def redirect_target(current: str, status: int, headers: Mapping[str, str]) -> str | None:
    """Where the headers send the reader on, None when they do not. May be no address that can be fetched."""
    location = headers.get("location", "").strip()
    if status not in REDIRECTS or not location:
        return None
    with suppress(UnicodeError):
        location = location.encode("latin-1").decode("utf-8")  # http.client reads headers as Latin-1
    return resolve(current, location) or resolve_reference(current, location)


def refresh_target(current: str, headers: Mapping[str, str], page: Outline | None) -> str | None:
    """Where a page sends the reader on by itself (``<meta http-equiv=refresh>`` or a Refresh field), None when it is a
    page to stay on: one that reloads itself, or has text to be read and lets its reader do so.

    >>> refresh_target("http://h.example/a", {"refresh": "0; url='/b'"}, None)
    'http://h.example/b'
    """
    stated = headers.get("refresh", "") or (page.refresh if page else "")
    parsed = parse_refresh(stated)
    if parsed is None or not parsed[1]:
        return None
    delay, reference = parsed
    length = page.length if page else 0
    only_without_scripts = page is not None and page.refresh_without_scripts and not headers.get("refresh")
    if delay > _PATIENCE or (delay and length > _SHORT) or (only_without_scripts and length > _SHORTEST):
        return None
    base = resolve(current, page.base) if page and page.base else current
    target = resolve(base or current, reference) or resolve_reference(base or current, reference)
    return None if web_address(target) == web_address(current) else target


def parse_refresh(content: str) -> tuple[int, str] | None:
    """Seconds and reference ("" for the page itself) of a refresh, None when it is none.

    >>> parse_refresh("5; URL=http://h.example/b"), parse_refresh("30"), parse_refresh("soon")
    ((5, 'http://h.example/b'), (30, ''), None)
    """
    found = _REFRESH.fullmatch(content.rstrip())
    if found is None:
        return None
    reference = (found[2] or "").strip()
    if reference[:1] in ("'", '"'):
        reference = reference[1:].partition(reference[0])[0]
    return int(found[1] or 0), reference


def is_front_page_instead(asked: str, final: str, body: bytes) -> bool:
    """Whether a site answered with its front page for a page that it no longer has: redirected from a path of words
    to the site's root, which has none of those words. In doubt no.

    >>> is_front_page_instead("http://h.example/herbs/fictwort.html", "http://www.h.example/", b"Welcome to the shop")
    True
    """
    here, there = split_reference(asked), split_reference(final)
    if there.path not in ("", "/") or there.query or here.path in ("", "/"):
        return False
    if host_of(asked).removeprefix("www.") != host_of(final).removeprefix("www."):
        return False
    words = {each for each in re.findall(r"[^\W\d_]{4,}", unquote(here.path).lower()) if each not in _GENERAL}
    text = body.decode("utf-8", "replace").lower()
    return bool(words) and not any(word in text for word in words)


def original_address(url: str) -> str:
    """The address that a kept copy is of, "" for an address that holds none. Archives put the original's address behind
    a moment of 14 digits, or behind a shorter one and a whole address.

    >>> original_address("https://kept.example/web/20190503120000id_/http://herb.example/a?b=1")
    'http://herb.example/a?b=1'
    >>> original_address("http://herb.example/2019/05/fictwort")
    ''
    """
    found = _ARCHIVED.fullmatch(web_address(url))
    if found is None:
        return ""
    rest = unquote(found[2]) if found[2].lower().startswith("http%3a") else found[2]
    inside = _INSIDE.fullmatch(rest)
    if inside is None:
        return ""
    if inside[1]:
        return web_address(f"{inside[1].lower()}://{inside[2]}")
    return web_address(f"http://{inside[3]}") if len(found[1]) == 14 else ""


def same_page_addresses(fetched: Fetched) -> tuple[str, ...]:
    """Other addresses of what was fetched: the original's of a kept copy, and the one that the page itself calls
    canonical (RFC 6596) within its own registered domain. A page of another site is never taken for this one's."""
    found = [original_address(each) for each in (fetched.final_url, fetched.url)]
    page = outline(fetched.body, fetched.headers)
    if page is not None and page.canonical:
        at = original_address(fetched.final_url) or fetched.final_url
        base = resolve(fetched.final_url, page.base) if page.base else ""
        canonical = resolve(base or fetched.final_url, page.canonical)
        canonical = web_address(original_address(canonical) or canonical)
        front = split_reference(canonical).path in ("", "/") and split_reference(at).path not in ("", "/")
        if canonical and not front and registrable_domain(canonical) == registrable_domain(at):
            found.append(canonical)
    own = {canonical_url(fetched.final_url), canonical_url(fetched.url)}
    return tuple(dict.fromkeys(each for each in found if each and canonical_url(each) not in own))
