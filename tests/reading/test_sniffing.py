"""Kinds and charsets of what comes from the web."""

from __future__ import annotations

import pytest
from reading_pages import fetched, page, refused, texts

from doubtwort.model import UnreadReason
from doubtwort.reading.sniff import decode, sniff

TEXT = "Bärlauch – „wild garlic“ é"
HTML = f"<html><head><title>x</title></head><body><p>{TEXT}</p></body></html>"


@pytest.mark.parametrize(
    ("body", "header"),
    [
        (HTML.encode("utf-8"), "text/html; charset=utf-8"),
        (HTML.encode("utf-8"), "text/html; charset=ISO-8859-1"),  # a header that is wrong
        (HTML.encode("utf-8"), "text/html"),
        (b"\xef\xbb\xbf" + HTML.encode("utf-8"), "text/html; charset=windows-1252"),
        (HTML.encode("cp1252"), "text/html; charset=windows-1252"),
        (HTML.encode("cp1252"), "text/html; charset=iso-8859-1"),  # WHATWG Encoding 4.2: a label of windows-1252
        (HTML.encode("cp1252"), "text/html; charset=utf-8"),
        (HTML.encode("cp1252"), "text/html; charset=no-such-charset"),
        (HTML.replace("<title>", "<meta charset=windows-1252><title>").encode("cp1252"), "text/html"),
        (HTML.encode("utf-16"), "text/html"),
        (HTML.encode("utf-16-le"), "text/html"),
        (HTML.encode("utf-16-be"), "text/html; charset=utf-8"),
        (HTML.encode("utf-32"), ""),
    ],
)
def test_charsets(body: bytes, header: str) -> None:
    assert texts(page(body, header)) == [TEXT]


def test_a_few_broken_bytes_do_not_change_the_charset() -> None:
    body = (f"<p>{TEXT} " * 20).encode() + b"\xc3 <p>end"
    assert texts(page(body, "text/html; charset=utf-8"))[0] == TEXT


def test_charset_of_several_bytes_is_believed() -> None:
    # Sample of JIS X 0208 text; ISO-2022-JP is pure ASCII bytes.
    assert decode("食用".encode("iso2022_jp"), "text/plain; charset=iso-2022-jp") in ("食用", "\x1b$B?)MQ\x1b(B")
    assert decode("食用になる植物".encode("shift_jis"), "text/html; charset=shift_jis") == "食用になる植物"


@pytest.mark.parametrize(
    ("body", "header", "kind"),
    [
        (b"<!doctype html><p>x", "", "html"),
        (b"<!doctype html><p>x", "text/plain", "html"),
        (b"<p>x</p>", "application/xhtml+xml", "html"),
        (b"<?xml version='1.0'?><html xmlns='http://www.w3.org/1999/xhtml'><body>x</body></html>", "text/xml", "html"),
        (b"<article><h1>x</h1><p>y</p></article>", "text/html", "html"),
        (b"<article article-type='x'><front/></article>", "text/xml", "jats"),
        (b"Leaves are eaten < 3 times", "text/html", "plain"),
        (b"Leaves are eaten", "", "plain"),
        (b"# Title\n\ntext", "text/markdown", "markdown"),
        (b"\n\n%PDF-1.4", "text/html", "pdf"),
        (b"\x89PNG\r\n\x1a\n...", "text/html", "other"),
        (b"GIF89a...", "", "other"),
        (b"\xff\xd8\xff\xe0...", "image/jpeg", "other"),
        (b"PK\x03\x04....", "application/octet-stream", "other"),
        (b"\x1f\x8b\x08....", "", "other"),
        (b"RIFF\x00\x00\x00\x00WEBPVP8 ", "", "other"),
        (b"\x00\x00\x00\x18ftypmp42", "text/html", "other"),
        (b"ID3\x03\x00", "", "other"),
        (b'{"edible": true}', "application/json", "other"),
        (b'{"edible": true}', "", "other"),
        (b"<?xml version='1.0'?><rss><channel/></rss>", "application/rss+xml", "other"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><text>edible</text></svg>", "image/svg+xml", "other"),
        (b"body { color: red }", "text/css", "other"),
        (bytes(range(256)) * 20, "text/html", "other"),
        (b"  \n", "text/html", "empty"),
        (b"", "", "empty"),
    ],
)
def test_kinds(body: bytes, header: str, kind: str) -> None:
    assert sniff(fetched(body, header)).kind == kind


def test_reasons_are_those_of_the_table() -> None:
    assert refused(b"\x89PNG\r\n\x1a\n").reason is UnreadReason.UNSUPPORTED_TYPE
    assert refused(b"PK\x03\x04").detail == "ZIP archive or office file"
    assert refused(b"").reason is UnreadReason.NO_TEXT
    script = refused("<html><body><div id=app></div><script>render()</script>", "text/html")
    assert (script.reason, script.detail) == (UnreadReason.NO_TEXT, "the page shows its text by a script")
    assert refused("<html><body><img src=x></body>", "text/html").detail == "the page holds no text"
