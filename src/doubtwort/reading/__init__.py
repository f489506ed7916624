"""Reading: bytes → passages with heading path, page, offsets, citation marks. No network, no disk."""

from __future__ import annotations

from doubtwort.model import Document, Fetched, Unreadable, UnreadReason
from doubtwort.reading import jats, markdown
from doubtwort.reading.html import read_html
from doubtwort.reading.passages import assemble
from doubtwort.reading.plain import blocks_of
from doubtwort.reading.sniff import sniff
from doubtwort.settings import Settings

__all__ = ["read", "read_text"]


def read(fetched: Fetched, settings: Settings) -> Document | Unreadable:
    """The document in what was fetched, or why there is none. Addresses of links are made absolute with ``final_url``.

    >>> page = Fetched("http://h.example/", "http://h.example/", 200, {}, b"<h1>Fictwort</h1><p>It is eaten.", "", "")
    >>> [passage.text for passage in read(page, Settings()).passages]
    ['Fictwort', 'It is eaten.']
    """
    url = fetched.final_url or fetched.url
    sniffed = sniff(fetched)
    most = settings.max_passages
    if sniffed.kind == "empty":
        return Unreadable(url, UnreadReason.NO_TEXT, sniffed.detail)
    if sniffed.kind == "other":
        return Unreadable(url, UnreadReason.UNSUPPORTED_TYPE, sniffed.detail)
    if sniffed.kind == "pdf":
        from doubtwort.reading.pdf import read_pdf  # two libraries that nothing but a PDF needs

        return read_pdf(fetched.body, url, settings)
    if sniffed.kind == "plain":
        document = assemble(blocks_of(sniffed.text), url, "", most)
    else:
        to_html = {"markdown": markdown.to_html, "jats": jats.to_html}.get(sniffed.kind, str)
        document = read_html(to_html(sniffed.text), url, most)
    if not any(passage.kind != "heading" for passage in document.passages) and len(document.text) < 200:
        return Unreadable(url, UnreadReason.NO_TEXT, _why_empty(sniffed.text))
    return document


def read_text(text: str, title: str = "", url: str = "") -> Document:
    """A bare text, read by the rules for plain text.

    >>> read_text("Leaves: edible.\\n\\nBark: not.").passages[1].start
    17
    """
    return assemble(blocks_of(text), url, title, Settings().max_passages)


def _why_empty(markup: str) -> str:
    if "<script" in markup.lower():
        return "the page shows its text by a script"
    return "the page holds no text"
