"""Normalising that keeps offsets into the original.

A ``Folded`` text reads the same whatever dash, quote, ligature, line break or invisible mark its writer used, and
gives back the original span of anything found in it.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass

# What each sequence reads as. Longer sequences first: UTF-8 read as Windows-1252 ("mojibake") has three characters.
_READS_AS = {
    "â€™": "'", "â€˜": "'", "â€œ": '"', "â€\x9d": '"', "â€“": "-", "â€¦": "...", "Â\u00a0": " ", "Â°": "°",
    "Ã—": "×", "Ã©": "é", "Ã¨": "è", "Ã¶": "ö", "Ã¼": "ü", "Ã¤": "ä",
    "‘": "'", "’": "'", "‚": "'", "‛": "'", "′": "'", "ʼ": "'", "`": "'", "´": "'",
    "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "″": '"',
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "−": "-",
    "ﬀ": "ff", "ﬁ": "fi", "ﬂ": "fl", "ﬃ": "ffi", "ﬄ": "ffl", "ﬅ": "st", "ﬆ": "st", "æ": "ae", "Æ": "Ae", "œ": "oe",
    "Œ": "Oe", "…": "...", "İ": "I", "ſ": "s",
}  # fmt: skip
_INVISIBLE = "\u00ad\u034f\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufe00-\ufe0f\ufeff\x00-\x08\x0e-\x1f\x7f"
# The first line lets the others be tried only where one can begin: eight times as fast on most texts.
_ODD = re.compile(
    r"(?=[^!-,.-_a-~ ]| [^!-,.-_a-~])(?:"
    rf"(?P<hyphenated>(?<=[a-zA-Zà-ÿ])(?:-|\u2010|\u00ad|\ufffe)[ \t]*\r?\n[ \t]*(?=[a-zà-ÿ]))"
    rf"|(?P<capitals>(?<=[A-Z])-[ \t]*\r?\n[ \t]*(?=[A-Z]{{2}}))"
    rf"|(?P<softbreak>\ufffe[\r\n \t]*)"
    rf"|(?P<invisible>[{_INVISIBLE}]+)"
    r"|(?P<dash>\s*(?:[—―]|â€”|(?<!-)-{2,3}(?!-))\s*)"
    rf"|(?P<known>{'|'.join(re.escape(each) for each in sorted(_READS_AS, key=len, reverse=True))})"
    r"|(?P<space>\s{2,}|[^\S ]))"
)
# What a text may hold that folds to itself, if no two spaces or hyphens stand together.
_PLAIN = bytes(code for code in range(0x20, 0x7F) if code != ord("`"))
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


@dataclass(frozen=True, slots=True)
class Folded:
    """``text`` with case kept, ``lower`` of the same length. ``starts``/``shifts`` map offsets back (None: same).

    >>> folded = fold("not\\u00a0edi\\u00adble")
    >>> folded.text, folded.original(4, 10)
    ('not edible', (4, 11))
    """

    text: str
    lower: str
    breaks: tuple[int, ...] | None = None
    origins: tuple[int, ...] | None = None

    def origin(self, offset: int) -> int:
        """Offset in the original of the character at ``offset`` in the folded text."""
        if self.breaks is None or self.origins is None:
            return offset
        at = bisect_right(self.breaks, offset) - 1
        nearest = self.origins[at] + (offset - self.breaks[at])
        if at + 1 < len(self.origins):
            return min(nearest, max(self.origins[at], self.origins[at + 1] - 1))
        return nearest

    def original(self, start: int, end: int) -> tuple[int, int]:
        """Span in the original of the folded span [start, end)."""
        if self.breaks is None:
            return start, end
        if end <= start:
            at = self.origin(start)
            return at, at
        return self.origin(start), self.origin(end - 1) + 1


def fold(original: str) -> Folded:
    """Folds dashes, quotes, ligatures, spaces, line-end hyphens, invisible marks and common mojibake.

    >>> fold("The ﬂesh is edi-\\nble – “good”").text
    'The flesh is edible - "good"'
    """
    if _folds_to_itself(original):
        return Folded(original, original.lower())
    pieces: list[str] = []
    breaks = [0]
    origins = [0]
    length = done = 0
    for match in _ODD.finditer(original):
        kind = match.lastgroup
        if kind == "known":
            reads = _READS_AS[match.group()]
        elif kind == "dash":
            reads = " - "
        elif kind == "space":
            reads = " "
        else:
            reads = ""
        before = original[done : match.start()]
        pieces.append(before)
        length += len(before)
        if reads[:1] == " " and _last(pieces) == " ":
            reads = reads[1:]
        pieces.append(reads)
        breaks.append(length)
        origins.append(match.start())
        length += len(reads)
        done = match.end()
        breaks.append(length)
        origins.append(done)
    if not pieces:
        text = original
        return Folded(text, _lower(text))
    pieces.append(original[done:])
    text = "".join(pieces)
    return Folded(text, _lower(text), tuple(breaks), tuple(origins))


def _folds_to_itself(text: str) -> bool:
    return text.isascii() and not text.encode().translate(None, _PLAIN) and "  " not in text and "--" not in text


def _last(pieces: list[str]) -> str:
    for piece in reversed(pieces):
        if piece:
            return piece[-1]
    return ""


def _lower(text: str) -> str:
    lower = text.lower()
    return lower if len(lower) == len(text) else "".join(c.lower() if len(c.lower()) == 1 else c for c in text)


def printable(text: str) -> str:
    """Without control characters and direction overrides: what may go to a terminal.

    >>> printable("a\\x1b[31mb\\u202ec")
    'a[31mbc'
    """
    return _CONTROL.sub("", text)


def one_line(text: str, most: int = 0) -> str:
    """White space folded, control characters out; cut at ``most`` characters with "…" when ``most`` is given.

    >>> one_line("A  long\\ntitle", 8)
    'A long …'
    """
    line = printable(" ".join(text.split()))
    return line if not most or len(line) <= most else line[: most - 1] + "…"
