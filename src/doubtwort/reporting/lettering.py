"""How wide words are in a picture, guessed high, so that they fit whatever font the reader has."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from doubtwort.text import one_line

# Widths in em, at or above those of DejaVu Sans and DejaVu Serif, the widest of the fonts named in the pictures.
_NARROW, _PLAIN, _CAPITAL, _BROAD, _OTHER = 0.46, 0.70, 0.84, 1.06, 1.15
_NARROW_LETTERS = frozenset("fijlrtI.,:;'|!()[]{} -/\\‘’·‹›")
_BROAD_LETTERS = frozenset("mwMW@%&—…QO")
_LATIN_ENDS = 0x2C0
# Letters before the end of the Cyrillic block are no wider than capitals.
_GREEK_CYRILLIC_ENDS = 0x530
BOLD = 1.12
ELLIPSIS = "…"


@lru_cache(maxsize=4_000)
def _em(letter: str) -> float:
    if unicodedata.category(letter) in ("Mn", "Me", "Cf", "Cc"):
        return 0.0
    if letter in _NARROW_LETTERS:
        return _NARROW
    if letter in _BROAD_LETTERS:
        return _BROAD
    code = ord(letter)
    if code < _LATIN_ENDS:
        return _CAPITAL if letter.isupper() else _PLAIN
    if code < _GREEK_CYRILLIC_ENDS:
        return _BROAD
    if 0x2010 <= code <= 0x203A:  # dashes and quotation marks
        return _CAPITAL
    return _OTHER if code < 0xFB50 else 2 * _OTHER  # presentation forms, emoji and the like


def width(text: str, size: float, *, bold: bool = False) -> float:
    """At most this many units wide, at a font size in the same units.

    >>> width("fictwort", 10) < width("FICTWORT", 10)
    True
    """
    return sum(map(_em, text)) * size * (BOLD if bold else 1.0)


def fit(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """On one line: what does not fit in ``room`` ends in "…"."""
    line = one_line(text, 400)
    if width(line, size, bold=bold) <= room:
        return line
    while line and width(line + ELLIPSIS, size, bold=bold) > room:
        line = line[:-1]
    return line.rstrip() + ELLIPSIS


def wrap(text: str, room: float, size: float, most: int, *, bold: bool = False) -> tuple[str, ...]:
    """In at most ``most`` lines, broken between words where a word fits, else inside it.

    >>> wrap("On Vaguelia aspera in the Low Hills", 80, 10, 2)
    ('On Vaguelia', 'aspera in t…')
    """
    left = one_line(text, 600)
    lines: list[str] = []
    while left and len(lines) < most - 1:
        end = _end(left, room, size, bold)
        lines.append(left[:end].rstrip())
        left = left[end:].lstrip()
    if left:
        lines.append(fit(left, room, size, bold=bold))
    return tuple(lines)


def _end(text: str, room: float, size: float, bold: bool) -> int:
    """How much of the text goes on a line: up to the last space that fits, at least one letter."""
    used, space = 0.0, 0
    factor = size * (BOLD if bold else 1.0)
    for at, letter in enumerate(text):
        if letter == " ":
            space = at
        used += _em(letter) * factor
        if used > room:
            return space or max(1, at)
    return len(text)
