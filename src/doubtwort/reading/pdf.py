"""PDF → Document: pypdfium2 for lines with their places, pypdf for the text of files that it refuses."""

from __future__ import annotations

import ctypes
import io
import logging
import re
from typing import Any

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
from pypdf import PdfReader

from doubtwort.model import Document, Unreadable, UnreadReason
from doubtwort.reading.blocks import Block
from doubtwort.reading.passages import assemble
from doubtwort.reading.pdf_layout import Line, blocks_of_pages
from doubtwort.reading.plain import blocks_of
from doubtwort.settings import Settings
from doubtwort.text import one_line

_MOST_CHARACTERS = 400_000  # of one page; a page in 4-point type has some 30,000
_JUNK_TITLE = re.compile(
    r"untitled|microsoft word|slide \d|\.(?:docx?|indd|qxd|pdf|tex|pages)\b|^[\W\d_]*$", re.IGNORECASE
)


def read_pdf(body: bytes, url: str, settings: Settings) -> Document | Unreadable:
    """Passages with page numbers (from 1), at most ``max_pdf_pages`` pages."""
    title, language = "", ""
    try:
        title, pages = _lines(body, settings.max_pdf_pages)
        blocks = blocks_of_pages(pages)
    except pdfium.PdfiumError as error:
        if "password" in str(error).lower():
            return Unreadable(url, UnreadReason.NO_TEXT, "the PDF is locked by a password")
        blocks = _by_pypdf(body, settings.max_pdf_pages)
        if not blocks:
            return Unreadable(url, UnreadReason.NO_TEXT, "the PDF is damaged")
    if not any(re.search(r"\w{3}", block.text) for block in blocks):
        return Unreadable(url, UnreadReason.NO_TEXT, "the PDF holds pictures and no text")
    title = title or _largest(blocks)
    return assemble(blocks, url, " ".join(title.split()), settings.max_passages, (), language)


def _largest(blocks: list[Block]) -> str:
    """The heading in the largest type, when it stands on the first page and nowhere else."""
    largest = [block for block in blocks if block.level == 1]
    return largest[0].text if largest and all(block.page == 1 for block in largest) and len(largest) <= 2 else ""


def _lines(body: bytes, most: int) -> tuple[str, list[list[Line]]]:
    """Title from the metadata, and the lines of each page in the order of the file."""
    document = pdfium.PdfDocument(body)
    try:
        title = one_line(document.get_metadata_dict().get("Title", ""), 300)
        pages = []
        for number in range(min(len(document), most)):
            try:
                pages.append(_page(document, number))
            except pdfium.PdfiumError:
                pages.append([])
        return "" if _JUNK_TITLE.search(title) else title, pages
    finally:
        document.close()


def _page(document: Any, number: int) -> list[Line]:
    page = document[number]
    try:
        text_page = page.get_textpage()
        try:
            count = text_page.count_chars()
            if not 0 < count <= _MOST_CHARACTERS:
                return []
            text = text_page.get_text_range()
            lines: list[Line] = []
            at = 0
            for raw in text.split("\r\n"):
                # Offsets are in UTF-16 units, as pdfium counts.
                line = _line(text_page, raw, at, number + 1)
                if line is not None:
                    lines.append(line)
                at += len(raw.encode("utf-16-le", "surrogatepass")) // 2 + 2
            return lines
        finally:
            text_page.close()
    finally:
        page.close()


def _line(text_page: Any, raw: str, at: int, page: int) -> Line | None:
    text = raw.strip()
    if not text:
        return None
    first = at + len(raw) - len(raw.lstrip())
    wide = any(character > "\uffff" for character in raw)
    last = first + (len(text.encode("utf-16-le", "surrogatepass")) // 2 if wide else len(text)) - 1
    left, low, _, high = _loose_box(text_page, first)
    _, low_end, right, high_end = _loose_box(text_page, last)
    # The size that the file names may be scaled; a loose box has the height of the font at its true size.
    middle = _loose_box(text_page, (first + last) // 2)
    size = max(sorted((middle[3] - middle[1], high - low, high_end - low_end))[1], 1.0)
    bold = _bold(text_page, (first + last) // 2)
    gaps = () if wide else tuple(_gaps(text_page, text, first, size))
    return Line(text, left, min(low, low_end), max(right, left), max(high, high_end), size, bold, page, gaps)


def _bold(text_page: Any, index: int) -> bool:
    """By the font's weight, or by its name where the file embeds none."""
    if pdfium_c.FPDFText_GetFontWeight(text_page.raw, index) >= 600:
        return True
    name = ctypes.create_string_buffer(128)
    flags = ctypes.c_int()
    length = pdfium_c.FPDFText_GetFontInfo(text_page.raw, index, name, 128, flags)
    return 0 < length <= 128 and b"bold" in name.value.lower()


def _gaps(text_page: Any, text: str, first: int, size: float) -> list[tuple[int, float, float]]:
    """Wide spaces within a line: (offset after the space, left edge, right edge)."""
    found: list[tuple[int, float, float]] = []
    for match in re.finditer(r" +", text):
        before = _box(text_page, first + match.start() - 1)[2]
        after = _box(text_page, first + match.end())[0]
        if after - before > 1.1 * size:
            found.append((match.end(), before, after))
    return found


def _box(text_page: Any, index: int) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a character in points from the page's lower left corner."""
    left, right, bottom, top = (ctypes.c_double() for _ in range(4))
    pdfium_c.FPDFText_GetCharBox(text_page.raw, index, left, right, bottom, top)
    return left.value, bottom.value, right.value, top.value


def _by_pypdf(body: bytes, most: int) -> list[Block]:
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    blocks: list[Block] = []
    try:
        reader = PdfReader(io.BytesIO(body), strict=False)
        if reader.is_encrypted and not reader.decrypt(""):
            return []
        for number in range(min(len(reader.pages), most)):
            blocks += blocks_of(reader.pages[number].extract_text() or "", page=number + 1)
    except Exception:
        return blocks
    return blocks


def _loose_box(text_page: Any, index: int) -> tuple[float, float, float, float]:
    """As ``_box``, but as high as the font, whatever the character."""
    rectangle = pdfium_c.FS_RECTF()
    if not pdfium_c.FPDFText_GetLooseCharBox(text_page.raw, index, rectangle):
        return _box(text_page, index)
    return rectangle.left, rectangle.bottom, rectangle.right, rectangle.top
