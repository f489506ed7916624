"""What kind of bytes these are, and which characters they stand for.

The kind: signature first, then the header, then the content itself. The characters: byte order mark, header, what the
page declares, UTF-8, then a guess (beautifulsoup4's UnicodeDammit over charset-normalizer).
"""

from __future__ import annotations

import codecs
import json
import re
from dataclasses import dataclass

from bs4.dammit import EncodingDetector, UnicodeDammit

from doubtwort.model import Fetched

# First bytes of formats that hold no text for this reader. Sources: the formats' own specifications.
_SIGNATURES = (
    (b"\x89PNG\r\n", "PNG image"), (b"\xff\xd8\xff", "JPEG image"), (b"GIF8", "GIF image"), (b"BM", "BMP image"),
    (b"II*\x00", "TIFF image"), (b"MM\x00*", "TIFF image"), (b"\x00\x00\x01\x00", "icon"),
    (b"PK\x03\x04", "ZIP archive or office file"), (b"PK\x05\x06", "ZIP archive"), (b"\x1f\x8b", "gzip archive"),
    (b"BZh", "bzip2 archive"), (b"\xfd7zXZ", "xz archive"), (b"7z\xbc\xaf", "7z archive"), (b"Rar!", "RAR archive"),
    (b"ID3", "MP3 audio"), (b"\xff\xfb", "MP3 audio"), (b"OggS", "Ogg audio or video"), (b"fLaC", "FLAC audio"),
    (b"\x1aE\xdf\xa3", "Matroska or WebM video"), (b"FLV", "Flash video"), (b"wOFF", "font"), (b"wOF2", "font"),
    (b"\xd0\xcf\x11\xe0", "old office document"), (b"{\\rtf", "RTF document"), (b"\x7fELF", "program"),
    (b"MZ", "program"), (b"SQLite format 3", "database"), (b"%!PS", "PostScript document"),
    (b"AT&TFORM", "DjVu document"),
)  # fmt: skip
_DOUBTFUL = frozenset({b"BM", b"MZ", b"FLV"})  # letters that a text may begin with
_REFUSED_TYPES = re.compile(
    r"^(?:image|audio|video|font|model)/|^application/(?:zip|gzip|json|javascript|x-javascript|wasm|msword|epub\+zip|"
    r"vnd\.(?!wap\.xhtml)\S+|x-(?:tar|7z|rar)\S*|ld\+json|rtf)|^text/(?:css|javascript|calendar|vcard)"
)
_CHARSET = re.compile(r"charset\s*=\s*[\"']?\s*([\w.:-]+)", re.IGNORECASE)
_MARKUP = re.compile(
    r"<(?:!doctype\s+html|html|head|body|meta|title|p|div|h[1-6]|table|ul|ol|article|section|main|span|br|a)\b", re.I
)
_DOCUMENT = re.compile(
    r"\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html)\b", re.IGNORECASE | re.DOTALL
)
_ROOT = re.compile(r"<(?![?!])(?:[\w-]+:)?([\w.-]+)")
_JATS = re.compile(
    r"//NLM//DTD|JATS|<article\b[^>]*\barticle-type=|<(?:article-meta|journal-meta|front|back|ref-list)\b", re.I
)
_MARKDOWN = re.compile(r"^(?:#{1,6}\s+\S|\[\^?[^\]\n]{1,60}\]:\s*\S|[-*]\s+\[[^\]]+\]\()", re.MULTILINE)
_PRINTABLE_CONTROLS = {9, 10, 11, 12, 13, 27}


@dataclass(frozen=True, slots=True)
class Sniffed:
    """``kind`` is "html", "jats", "pdf", "plain", "markdown", "empty" or "other"; ``text`` is set for texts, ``detail``
    says what the bytes are when the kind is "other"."""

    kind: str
    text: str = ""
    detail: str = ""


def sniff(fetched: Fetched) -> Sniffed:
    """Kind and text of what came.

    >>> sniff(Fetched("u", "u", 200, {"content-type": "text/html"}, b"<p>caf\\xc3\\xa9", "", "")).text
    '<p>café'
    """
    body = fetched.body
    if not body.strip(b" \t\r\n\x00\xef\xbb\xbf"):
        return Sniffed("empty", detail="the answer was empty")
    if b"%PDF-" in body[:1024]:
        return Sniffed("pdf")
    header = fetched.content_type.lower()
    mime = header.partition(";")[0].strip()
    signature = _signature(body)
    if signature:
        return Sniffed("other", detail=signature)
    if _REFUSED_TYPES.match(mime) and not _MARKUP.search(body[:2000].decode("latin-1")):
        return Sniffed("other", detail=mime)
    text = decode(body, header, declared=mime != "text/plain")
    if _binary(text):
        return Sniffed("other", detail=f"binary data{f', sent as {mime}' if mime else ''}")
    return Sniffed(*_kind(text, mime, fetched.final_url or fetched.url))


def _kind(text: str, mime: str, url: str) -> tuple[str, str, str]:
    head = text[:8000]
    path = url.partition("?")[0].lower()
    if _DOCUMENT.match(head):
        return "html", text, ""
    xml = head.lstrip("\ufeff \t\r\n").startswith("<?xml") or "xml" in mime or bool(re.match(r"\s*<!DOCTYPE", head))
    root = _ROOT.search(re.sub(r"<!--.*?-->|<\?.*?\?>|<!DOCTYPE[^>]*>", "", head, flags=re.DOTALL))
    name = root[1].lower() if root else ""
    if name == "article" and _JATS.search(head):
        return "jats", text, ""
    if xml and "xhtml" not in mime and name and name not in ("html", "body", "div", "p", "article", "section"):
        return "other", "", f"XML <{name}>"
    if mime == "text/markdown" or (mime in ("", "text/plain") and path.endswith((".md", ".markdown"))):
        return "markdown", text, ""
    if mime in ("", "application/octet-stream") and _is_json(text):
        return "other", "", "JSON"
    if mime == "text/plain" or (not mime and not _MARKUP.search(head)):
        return "plain", text, ""
    if mime in ("text/html", "application/xhtml+xml") and not re.search(r"<[a-zA-Z!/]", text):
        return "plain", text, ""
    if mime.startswith("text/") and mime != "text/html" and not _MARKUP.search(head):
        return "plain", text, ""
    if _MARKUP.search(text[:200_000]) or "html" in mime:
        return "html", text, ""
    return "plain", text, ""


def _is_json(text: str) -> bool:
    if not re.match(r"\s*[\[{]", text) or not re.search(r"[\]}]\s*$", text[-200:]):
        return False
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def _signature(body: bytes) -> str:
    for first, name in _SIGNATURES:
        if body.startswith(first) and (first not in _DOUBTFUL or _controls(body[:512]) > 8):
            return name
    if body[:4] == b"RIFF" and body[8:12] in (b"WEBP", b"WAVE", b"AVI "):
        return {b"WEBP": "WebP image", b"WAVE": "WAV audio"}.get(body[8:12], "AVI video")
    if body[4:8] == b"ftyp":
        return "MP4 or AVIF media"
    return "tar archive" if body[257:262] == b"ustar" else ""


def _controls(body: bytes) -> int:
    return sum(byte < 32 and byte not in _PRINTABLE_CONTROLS for byte in body)


def _binary(text: str) -> bool:
    """More than one character in fifty cannot be shown."""
    sample = text[:4000] + text[len(text) // 2 : len(text) // 2 + 4000]
    bad = sum((c < " " and ord(c) not in _PRINTABLE_CONTROLS) or c == "\ufffd" or "\x7f" <= c < "\xa0" for c in sample)
    return bad > 0.02 * len(sample) + 2


def decode(body: bytes, header: str = "", declared: bool = True) -> str:
    """Bytes to text; what cannot be decoded becomes U+FFFD. ``declared`` also looks for <meta> and the XML line.

    >>> decode("Bärlauch".encode("cp1252"), "text/html; charset=utf-8")
    'Bärlauch'
    """
    for mark, name in (
        (codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32-le"), (codecs.BOM_UTF32_BE, "utf-32-be"),
        (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"),
    ):  # fmt: skip
        if body.startswith(mark):
            return body[len(mark) :].decode(name, "replace")
    wide = _without_mark(body)
    if wide:
        return body.decode(wide, "replace")
    said = _CHARSET.search(header)
    names = [said[1]] if said else []
    if declared:
        found = EncodingDetector.find_declared_encoding(body[:4096], is_html=True, search_entire_document=True)
        names += [found] if found else []
    try:
        text = body.decode("utf-8")
        # Text that decodes as UTF-8 and is no ASCII is UTF-8, whatever a careless header says: another charset
        # gives such byte sequences by accident once in a great many pages. Charsets of several bytes are believed.
        if not names or body.isascii() or all(_codec(name) in _SINGLE_BYTE for name in names):
            return text
    except UnicodeDecodeError:
        pass
    for name in names:
        codec = _codec(name)
        if codec and (exact := _strict(body, codec)) is not None:
            return exact
    loose = body.decode("utf-8", "replace")
    bad = loose.count("\ufffd")
    good = sum(1 for c in loose[:500_000] if c > "\x7f") - bad
    if good > 4 * bad or (names and _codec(names[0]) == "utf-8" and bad <= 3 and good > bad):
        return loose
    return _guessed(body)


_SINGLE_BYTE = frozenset({"", "cp1252", "ascii", "utf-8", "iso8859-15", "iso8859-2", "cp1250", "cp1251", "mac-roman"})


def _codec(name: str) -> str:
    """Python's name for a charset; Latin-1 and ASCII are read as Windows-1252 (WHATWG Encoding §4.2)."""
    try:
        codec = codecs.lookup(name.strip().lower())
    except (LookupError, ValueError):
        return ""
    if not codec._is_text_encoding:
        return ""
    return "cp1252" if codec.name in ("iso8859-1", "ascii") else codec.name


def _strict(body: bytes, codec: str) -> str | None:
    try:
        return body.decode(codec)
    except (UnicodeDecodeError, ValueError):
        # Five byte values have no character in Windows-1252; a page with one of them is one all the same.
        if codec == "cp1252":
            loose = body.decode(codec, "replace")
            return loose if loose.count("\ufffd") <= 5 else None
        return None


def _without_mark(body: bytes) -> str:
    """UTF-16 without a byte order mark: every other byte of Latin text is zero."""
    sample = body[:400]
    if len(sample) < 8 or b"\x00" not in sample:
        return ""
    even, odd = sample[::2].count(0), sample[1::2].count(0)
    if odd > 0.4 * len(sample) / 2 and even <= 0.05 * len(sample):
        return "utf-16-le"
    if even > 0.4 * len(sample) / 2 and odd <= 0.05 * len(sample):
        return "utf-16-be"
    return ""


_WESTERN = frozenset("€‚„…‘’“”•–—™¡¢£§©«®°±²³´µ·¹»¼½¾¿×÷\u00a0\u00ad")


def _guessed(body: bytes) -> str:
    """Windows-1252 where the few bytes that are not ASCII make Western letters and marks, else a guess by statistics,
    which short texts mislead."""
    loose = body[:200_000].decode("cp1252", "replace")
    high = [character for character in loose if character > "\x7f"]
    if len(high) <= 0.1 * len(loose) + 3 and sum(c in _WESTERN or c.isalpha() for c in high) >= 0.95 * len(high):
        return body.decode("cp1252", "replace")
    first = next((at for at in range(0, len(body), 4096) if not body[at : at + 4096].isascii()), 0)
    sample = body[max(0, first - 2000) : first + 30_000]
    guess = UnicodeDammit(sample, is_html=False).original_encoding
    codec = _codec(guess) if guess else ""
    return body.decode(codec or "cp1252", "replace")
