"""Sentences of botanical text: stops inside names, measures and citations do not end them.

One compiled pattern finds the places where a sentence could end; each is then settled by the word before the stop
(``tables/abbreviations.toml``) and the word after it.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Final

from doubtwort.errors import TableError

# A sentence longer than this is cut at a white space: text from the web may have no stop at all.
LONGEST: Final = 4_000
_LONGEST_WORD: Final = 80

_ENDS: Final = frozenset({"never", "digit", "capital", "starter"})
_MARK = r"\[(?:\d{1,3}(?:\s?[,-]\s?\d{1,3}){0,8}|[a-z]|(?:note|nb)\s\d{1,3}|citation\sneeded)\]"
_FIRST_WORD = re.compile(r"[\"'(\[\-•*\s]{0,4}([^\W_]+)(['.-]?)")
_BREAK: Final = re.compile(
    rf"""
    (?<![.!?])[.!?]++                                       # the stop, whole: "?!", "..."
    (?:
      (?P<close>["')\]*]{{0,4}})
      (?P<note>(?:(?<=[^\W\d_].)|(?<=[^\W\d_]."))\d{{1,3}}(?:[,-]\s?\d{{1,3}}){{0,8}}|[¹²³⁰⁴-⁹]{{1,6}})?
      (?:\s?{_MARK}){{0,8}}
      (?P<gap>\s+)
      (?=["'(\[\-•*×]{{0,4}}\s?(?:[A-Z0-9À-ÖØ-Þ]|(?P<small>(?:the|it|its|they|this|these|those|do|all|both|never)\b)))
    |
      (?P<glued>)(?<=[a-z]{{3}}[.!?])(?=[A-Z][a-z]+[\s,;])   # "edible.The root"
    )
    |\s(?=•\s)                                              # a bullet within the line
    """,
    re.VERBOSE,
)


@cache
def _abbreviations() -> tuple[dict[str, str], frozenset[str]]:
    """Lower-case abbreviation → how it ends ("never", …), and the words that start sentences."""
    return read_table(files("doubtwort.mentions").joinpath("tables/abbreviations.toml").read_text("utf-8"))


def read_table(toml: str) -> tuple[dict[str, str], frozenset[str]]:
    """The table of abbreviations from its text.

    >>> read_table('starters = ["the"]\\n[[group]]\\nends = "never"\\nreason = "r"\\nwords = ["cf"]')
    ({'cf': 'never'}, frozenset({'the'}))
    """
    try:
        table = tomllib.loads(toml)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"The table of abbreviations is no TOML: {error}.") from None
    unknown = sorted(table.keys() - {"starters", "group"})
    if unknown:
        raise TableError(f"The table of abbreviations has an unknown key: {unknown[0]}.")
    starters, groups = table.get("starters"), table.get("group")
    if not starters or not groups:
        raise TableError("The table of abbreviations is empty.")
    ends: dict[str, str] = {}
    for group in groups:
        if group.keys() != {"ends", "reason", "words"}:
            raise TableError(f"A group of abbreviations needs ends, reason and words; it has {sorted(group)}.")
        if group["ends"] not in _ENDS or not group["words"] or not group["reason"]:
            raise TableError(f"A group of abbreviations is empty or has an unknown end: {group['ends']!r}.")
        for word in group["words"]:
            ends.setdefault(word, group["ends"])
    return ends, frozenset(starters)


def split(text: str) -> list[tuple[int, int]]:
    """Spans of the sentences of a folded text, in order, without the white space between them.

    >>> text = "U. dioica L. subsp. ficta (Wierzb. ex Opiz) Chrtek is edible.12 The leaves, ca. 15 cm. long, are not."
    >>> [text[start:end] for start, end in split(text)][1]
    'The leaves, ca. 15 cm. long, are not.'
    """
    abbreviations, starters = _abbreviations()
    spans: list[tuple[int, int]] = []
    start = 0
    for match in _BREAK.finditer(text):
        stop = match.start()
        if text[stop] == "." and not _ends_here(text, start, stop, match, abbreviations, starters):
            continue
        gap = match.start("gap")
        end = gap if gap >= 0 else (match.end() if text[stop] in ".!?" else stop)
        _append(text, start, end, spans)
        start = match.end()
    _append(text, start, len(text), spans)
    return spans


def _append(text: str, start: int, end: int, spans: list[tuple[int, int]]) -> None:
    """Adds [start, end) without outer white space, cut where it is longer than any sentence."""
    while start < end and text[start].isspace():
        start += 1
    while end > start and text[end - 1].isspace():
        end -= 1
    while end - start > LONGEST:
        cut = max(text.rfind("; ", start, start + LONGEST) + 1, text.rfind(" ", start + LONGEST // 2, start + LONGEST))
        if cut <= start:
            cut = start + LONGEST
        if text[start:cut].strip():
            spans.append((start, start + len(text[start:cut].rstrip())))
        start = cut + (len(text[cut:end]) - len(text[cut:end].lstrip())) if text[cut : cut + 1].isspace() else cut
    if start < end:
        spans.append((start, end))


def _ends_here(
    text: str, start: int, stop: int, match: re.Match[str], abbreviations: dict[str, str], starters: frozenset[str]
) -> bool:
    """Does the full stop at ``stop`` end the sentence that began at ``start``?"""
    low = max(start, stop - _LONGEST_WORD)
    word_at = max(text.rfind(" ", low, stop) + 1, low)
    word = text[word_at:stop].lstrip("\"'([{-•*").lower()
    bare = word.rpartition("(")[2].rpartition("-")[2] if "(" in word or "-" in word else word
    close = match["close"] or ""
    ends = abbreviations.get(bare)
    following = text[match.end() : match.end() + 1]
    if ends is None:
        if len(bare) == 1 or (len(bare) < 9 and "." in bare and _is_initials(bare)):
            if bare.isdigit():
                return not (word_at == start and len(bare) == len(word)) and not following.isdigit()
            ends = "capital" if bare in "mg" and text[word_at - 2 : word_at - 1].isdigit() else "starter"
        elif bare.isdigit():  # "1. Leaves" counts; "in 1998. The" ends
            return word_at != start and not following.isdigit()
        elif match["glued"] is not None:
            return "." not in word and "/" not in word and "@" not in word
        elif ")" in close:
            return _ends_bracketed(text, start, stop, match.end(), starters)
        else:
            return match["small"] is None or len(bare) > 3
    elif match["small"] is not None:
        return False
    if ends == "never":
        return False
    if match["note"] is not None or following.isdigit():
        return False
    if ends == "digit":
        return True
    if ends == "capital" and ")" not in close:
        return True
    return _starts(text, match.end(), starters)


def _is_initials(word: str) -> bool:
    return all(len(each) == 1 and each.isalpha() for each in word.split("."))


def _starts(text: str, at: int, starters: frozenset[str]) -> bool:
    """Is the word at ``at`` one that starts sentences? A word with a stop of its own is not ("A. Gray")."""
    first = _FIRST_WORD.match(text, at)
    return first is not None and first[1].lower() in starters and not (first[2] == "." and len(first[1]) == 1)


def _ends_bracketed(text: str, start: int, stop: int, after: int, starters: frozenset[str]) -> bool:
    """ "… (Wierzb.) Chrtek" goes on; "(Some say so.) The leaves …" ends: a whole sentence in brackets has words."""
    opened = text.rfind("(", max(start, stop - LONGEST), stop)
    if opened < 0:
        return True
    return text.count(" ", opened, stop) >= 3 or _starts(text, after, starters)
