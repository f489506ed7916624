"""Files that are written whole or not at all, and read within bounds."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final, TextIO

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.notebook.store import sync_folder
from doubtwort.text import one_line

MOST_BYTES: Final = 50_000_000  # of a sheet or a reference list
# How an SQLite file, its write-ahead log in either byte order, and its rollback journal begin (sqlite.org).
_OF_SQLITE: Final = (
    b"SQLite format 3\x00",
    b"\x37\x7f\x06\x82",
    b"\x37\x7f\x06\x83",
    b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7",
)


@contextmanager
def whole_file(target: Path, errors: str = "backslashreplace", *, lasting: bool = True) -> Iterator[TextIO]:
    """A UTF-8 file to write to, line ends as written. It takes its name once the block is done; when anything goes
    wrong, such as a full disk, what had that name before is still there, and no half of the new one. A link stays and
    its file is written; a pipe or device is written to; a notebook is never written over. ``errors`` says what becomes
    of characters that have no UTF-8; ``lasting`` waits until the disk has it."""
    try:
        goal = _goal(target)
        if goal.exists() and not goal.is_file() and not goal.is_dir():
            with goal.open("w", encoding="utf-8", errors=errors, newline="") as out:
                yield out
            return
        goal.parent.mkdir(parents=True, exist_ok=True)
        with _half_of(goal, errors, lasting=lasting) as half:
            yield half
    except OSError as error:
        raise _cannot(target, error.strerror or str(error)) from error


def _goal(target: Path) -> Path:
    """Where the bytes go: behind all links, and never into a notebook."""
    try:
        goal = target.expanduser().resolve()
    except RuntimeError as error:  # a link that leads back to itself, a home that nobody has
        raise _cannot(target, one_line(str(error), 200)) from error
    if goal.is_file():
        with goal.open("rb") as file:
            if file.read(16).startswith(_OF_SQLITE):
                raise CallError(
                    f"{one_line(str(target))} is a notebook, a backup of one, or another SQLite file. It was left as "
                    "it was; name another file."
                )
    return goal


def _cannot(target: Path, why: str) -> DoubtwortError:
    return DoubtwortError(f"{one_line(str(target))} could not be written: {why}. Name another file or folder.")


@contextmanager
def _half_of(goal: Path, errors: str, *, lasting: bool) -> Iterator[TextIO]:
    """A file beside ``goal`` that takes its name at the end, with the rights that it had, or is gone."""
    half = goal.with_name(f".doubtwort-{secrets.token_hex(8)}")
    try:
        with half.open("x", encoding="utf-8", errors=errors, newline="") as out:
            yield out
            if lasting:
                out.flush()
                os.fsync(out.fileno())
        if goal.is_file():
            half.chmod(goal.stat().st_mode & 0o777)
        half.replace(goal)
        if lasting:
            sync_folder(goal.parent)
    finally:
        half.unlink(missing_ok=True)


def text_of(path: Path, most: int = MOST_BYTES) -> str:
    """The text of a small file, in UTF-8, or in UTF-16 with its byte order mark, as spreadsheets write it."""
    try:
        with path.expanduser().open("rb") as file:
            found = file.read(most + 1)
    except OSError as error:
        raise CallError(f"{one_line(str(path))} could not be read: {error.strerror or error}.") from error
    if len(found) > most:
        raise CallError(f"{one_line(str(path))} is larger than {most} bytes. Split it.")
    encoding = "utf-16" if found[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return found.decode(encoding)
    except UnicodeDecodeError as error:
        line = found[: error.start].count(b"\n") + 1
        raise CallError(f"{one_line(str(path))}, line {line}: not UTF-8. Save the file as UTF-8.") from error
