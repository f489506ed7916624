"""Helpers for the reading tests: an invented page in, its document out, and what must hold for every document."""

from __future__ import annotations

from doubtwort.model import Document, Fetched, Unreadable
from doubtwort.reading import read
from doubtwort.settings import Settings

URL = "http://herb.example/plants/fictwort"


def fetched(body: str | bytes, content_type: str = "text/html; charset=utf-8", url: str = URL) -> Fetched:
    raw = body.encode() if isinstance(body, str) else body
    headers = {"content-type": content_type} if content_type else {}
    return Fetched(url, url, 200, headers, raw, "2026-11-01T00:00:00Z", "0" * 64)


def page(body: str | bytes, content_type: str = "text/html; charset=utf-8", url: str = URL) -> Document:
    document = read(fetched(body, content_type, url), Settings())
    assert isinstance(document, Document), document
    check(document)
    return document


def refused(body: str | bytes, content_type: str = "") -> Unreadable:
    result = read(fetched(body, content_type), Settings())
    assert isinstance(result, Unreadable), result
    return result


def check(document: Document) -> None:
    """What holds for every document: offsets, marks within their passages, keys that exist, one order of keys."""
    text = document.text
    for passage in document.passages:
        assert text[passage.start : passage.end] == passage.text
        assert passage.text.strip() == passage.text != ""
        for mark in passage.marks:
            assert 0 <= mark.start <= mark.end <= len(passage.text)
            assert mark.key in document.citations
    for key, citation in document.citations.items():
        assert citation.key == key


def texts(document: Document, kind: str = "") -> list[str]:
    return [passage.text for passage in document.passages if kind in ("", passage.kind)]


def marked(document: Document) -> list[tuple[str, int, tuple[str, ...]]]:
    """(what stands before the mark, up to 12 characters; length of the mark; urls of its citation), in order."""
    return [
        (passage.text[max(0, mark.start - 12) : mark.start], mark.end - mark.start, document.citations[mark.key].urls)
        for passage in document.passages
        for mark in passage.marks
    ]
