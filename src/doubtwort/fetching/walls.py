"""Walls: answers of status 200 that are not the page asked for. The rules are data, in walls.toml.

A page is given up only when it shows a sign and has next to nothing else to say. In doubt it is a page: one that is
kept in error reads as silent, one that is thrown away in error hides what a source says.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from doubtwort.errors import TableError
from doubtwort.fetching.outline import Outline
from doubtwort.model import UnreadReason

_KEYS = {"id", "reason", "detail", "sign", "pattern", "most", "own", "besides", "example", "near_miss"}
_OPTIONAL = {"needs", "labels"}
_SIGNS = ("title", "heading", "text")
_NEEDS = ("", "password", "scripts")
_PIECES = re.compile(r"\s+[-–—|·•»«:]+\s+|\s*[|»«]\s*")


@dataclass(frozen=True, slots=True)
class Wall:
    """One rule of the table, whose head says what each field means."""

    id: str
    reason: UnreadReason
    detail: str
    sign: str
    pattern: re.Pattern[str]
    most: int
    own: re.Pattern[str]
    besides: int
    example: str
    near_miss: str
    needs: str = ""
    labels: bool = False


@dataclass(frozen=True, slots=True)
class Guard:
    """What only a page on plants or food says."""

    pattern: re.Pattern[str]
    example: str
    near_miss: str


def wall_of(page: Outline) -> Wall | None:
    """The wall that a page is, None for a page that is to be read.

    >>> from doubtwort.fetching.outline import outline
    >>> wall_of(outline(b"<title>404 Not Found</title><h1>Not Found</h1>", {"content-type": "text/html"})).id
    'missing-title'
    """
    if not page.complete:
        return None
    guard, walls = load_walls()
    guarded = [block for block in page.blocks if guard.pattern.search(block)]
    if any(map(_is_sentence, guarded)):
        return None
    return next((wall for wall in walls if (wall.labels or not guarded) and _stands(wall, page)), None)


def _stands(wall: Wall, page: Outline) -> bool:
    if page.length > wall.most:
        return False
    if (wall.needs == "password" and not page.password) or (wall.needs == "scripts" and not page.scripts):
        return False
    if not _shows(wall, page):
        return False
    others = [each for each in page.blocks if not wall.own.search(each) and not wall.pattern.search(each)]
    own_title = {page.title, *page.headings}
    return sum(len(each) for each in others if each not in own_title) <= wall.besides


def _shows(wall: Wall, page: Outline) -> bool:
    if wall.sign == "text":
        return any(map(wall.pattern.search, (*page.blocks, *page.noscript, *page.headings)))
    whole = [page.title, *(page.headings[:1] if wall.sign == "heading" else ())]
    return any(wall.pattern.fullmatch(piece.strip()) for each in whole for piece in (each, *_PIECES.split(each)))


def _is_sentence(block: str) -> bool:
    """Not a link or a label: "Edible plants" stands on many a closed page, "Its leaves are eaten." on none."""
    return len(block.split()) >= 3 and block.rstrip("\"'”’) ")[-1:] in (".", "!", "?", ";", ":", "]")


@cache
def load_walls() -> tuple[Guard, tuple[Wall, ...]]:
    """The table. Raises ``TableError`` when it is empty or has an unknown key or word."""
    return parse_walls(files("doubtwort.fetching").joinpath("walls.toml").read_text(encoding="utf-8"))


def parse_walls(text: str) -> tuple[Guard, tuple[Wall, ...]]:
    """Guard and rules from the table's text."""
    try:
        table = tomllib.loads(text)
        guard, rows = table.pop("guard"), table.pop("wall")
        found = tuple(_wall(row) for row in rows)
        kept = Guard(re.compile(guard.pop("pattern"), re.I), guard.pop("example"), guard.pop("near_miss"))
    except (tomllib.TOMLDecodeError, re.error, KeyError, ValueError, TypeError) as error:
        raise TableError(f"walls.toml is broken: {error}. Install doubtwort anew.") from error
    if table or guard or not found or len({each.id for each in found}) < len(found):
        raise TableError("walls.toml is empty, has a rule twice, or has unknown keys. Install doubtwort anew.")
    return kept, found


def _wall(row: dict[str, Any]) -> Wall:
    keys = set(row)
    if not keys >= _KEYS or keys - _KEYS - _OPTIONAL:
        raise ValueError(f"keys of {row.get('id', 'a rule')}: {', '.join(sorted(keys ^ _KEYS))}")
    needs = row.get("needs", "")
    if row["sign"] not in _SIGNS or needs not in _NEEDS:
        raise ValueError(f"{row['id']}: unknown sign or need")
    return Wall(
        row["id"],
        UnreadReason(row["reason"]),
        row["detail"],
        row["sign"],
        re.compile(row["pattern"], re.IGNORECASE),
        int(row["most"]),
        re.compile(row["own"], re.IGNORECASE),
        int(row["besides"]),
        row["example"],
        row["near_miss"],
        needs,
        bool(row.get("labels")),
    )
