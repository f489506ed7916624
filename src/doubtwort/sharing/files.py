"""Files that are written whole or not at all, and read within bounds."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Final, TextIO

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.text import one_line

MOST_BYTES: Final = 50_000_000  # of a sheet or a reference list


@contextmanager
def whole_file(target: Path) -> Iterator[TextIO]:
    """A UTF-8 file to write to, line ends as written. It takes its name once the block is done; when anything goes
    wrong, such as a full disk, what had that name before is still there, and no half of the new one."""
    target = target.expanduser()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile(
            "w", encoding="utf-8", errors="backslashreplace", newline="", dir=target.parent, prefix=".doubtwort-",
            delete=False,
        ) as half:  # fmt: skip
            try:
                yield half  # type: ignore[misc]  # a text file, whatever its wrapper is called
                half.flush()
                os.fsync(half.fileno())
                if hasattr(os, "fchmod"):
                    os.fchmod(half.fileno(), 0o644)
                half.close()
                os.replace(half.name, target)
            except BaseException:
                Path(half.name).unlink(missing_ok=True)
                raise
    except OSError as error:
        why = error.strerror or str(error)
        raise DoubtwortError(
            f"{one_line(str(target))} could not be written: {why}. Name another file or folder."
        ) from error


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
