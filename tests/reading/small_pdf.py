"""A small PDF writer for tests: lines of text at given places, in Helvetica (ISO 32000-1, 7.5 and 9.4)."""

from __future__ import annotations

from collections.abc import Sequence

# x, y from the lower left corner in points, size, text, bold
Text = tuple[float, float, float, str] | tuple[float, float, float, str, bool]


def pdf(pages: Sequence[Sequence[Text]], title: str = "") -> bytes:
    objects: list[bytes] = [b"<< /Type /Catalog /Pages 2 0 R >>"]
    kids = " ".join(f"{5 + 2 * at} 0 R" for at in range(len(pages)))
    objects.append(f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode())
    for name in ("Helvetica", "Helvetica-Bold"):
        objects.append(f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>".encode())
    for at, page in enumerate(pages):
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 800] /Contents {6 + 2 * at} 0 R "
            f"/Resources << /Font << /F1 3 0 R /F2 4 0 R >> >> >>".encode()
        )
        stream = b"".join(_shown(*text) for text in page)
        objects.append(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream))
    info = len(objects) + 1
    objects.append(b"<< /Title (%s) >>" % title.encode("cp1252"))
    out = bytearray(b"%PDF-1.4\n")
    offsets = []
    for number, each in enumerate(objects, 1):
        offsets.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, each)
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    out += b"trailer << /Size %d /Root 1 0 R /Info %d 0 R >>\nstartxref\n%d\n%%%%EOF" % (len(objects) + 1, info, start)
    return bytes(out)


def _shown(x: float, y: float, size: float, text: str, bold: bool = False) -> bytes:
    escaped = text.encode("cp1252").replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
    return b"BT /F%d %g Tf %g %g Td (%s) Tj ET\n" % (2 if bold else 1, size, x, y, escaped)


def column(x: float, top: float, lines: Sequence[str], size: float = 10, indent: float = 0) -> list[Text]:
    """Lines below each other, 12 points apart; lines that begin with a tab stand ``indent`` further right."""
    return [
        (x + (indent if line.startswith("\t") else 0), top - 12 * at, size, line.lstrip("\t"))
        for at, line in enumerate(lines)
    ]
