"""The backups that lie beside a notebook: made before each migration and each merge."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

_NAME = re.compile(r"\.schema(\d+)-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(?:-\d+)?\.backup")


@dataclass(frozen=True, slots=True)
class Backup:
    """``made_at`` in UTC, ``size`` in bytes; ``claims`` is None when it cannot be read, and so is not ``sound``."""

    path: Path
    schema: int
    made_at: str
    size: int
    claims: int | None
    sound: bool


def backups(notebook: Path) -> tuple[Backup, ...]:
    """The latest first. Reads each of them through; writes nothing."""
    path = notebook.expanduser()
    found = []
    for each in path.parent.glob(f"{_globbed(path.name)}.schema*.backup") if path.parent.is_dir() else ():
        if name := _NAME.fullmatch(each.name.removeprefix(path.name)):
            year, month, day, hour, minute, second = name.groups()[1:7]
            made_at = f"{year}-{month}-{day}T{hour}:{minute}:{second}Z"
            claims, sound = _looked_at(each)
            found.append(Backup(each, int(name[1]), made_at, each.stat().st_size, claims, sound))
    return tuple(sorted(found, key=lambda each: (each.made_at, each.path.name), reverse=True))


def _globbed(name: str) -> str:
    return re.sub(r"([*?\[])", r"[\1]", name)


def _looked_at(path: Path) -> tuple[int | None, bool]:
    try:
        address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(address, uri=True)) as connection:
            sound = connection.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
            claims = connection.execute("SELECT count(DISTINCT label) FROM claims").fetchone()[0]
            return int(claims), sound
    except sqlite3.Error:
        return None, False
