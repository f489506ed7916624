"""``doubtwort read``: what texts say, without network or notebook."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from typing import IO, Any

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Reading, Taxon
from doubtwort.reporting.machine import dumps, reading_object
from doubtwort.settings import Settings
from doubtwort.text import one_line

_CHUNK = 65_536


class _BadLine(Exception):
    """A line that cannot be answered; ``id`` is given back where the line had a usable one."""

    def __init__(self, said: str, line_id: object = None) -> None:
        self.id = line_id
        super().__init__(said)


def read_lines(file: str | None, taxon: str) -> None:
    """One answer a line, in order, each written before the next line is read. A bad line is answered with its error."""
    if file not in (None, "-"):
        raise CallError("--jsonl reads standard input; give no FILE (doubtwort read --jsonl < FILE).")
    if taxon:
        raise CallError('--jsonl takes the taxon from each line ("taxon"); leave out --taxon.')
    answer_lines(sys.stdin.buffer, sys.stdout, Settings().max_body)


def answer_lines(lines: IO[bytes], out: IO[str], longest: int) -> None:
    """``longest`` is a line's most bytes. Empty lines at the end are none; one between others is a bad line."""
    empty = 0
    for raw in _lines(lines, longest):
        if raw is not None and not raw.strip():
            empty += 1
            continue
        for _ in range(empty):
            out.write(dumps({"id": None, "error": "an empty line"}) + "\n")
        empty = 0
        out.write(dumps(_answer(raw, longest)) + "\n")
        out.flush()


def _lines(lines: IO[bytes], longest: int) -> Iterator[bytes | None]:
    """Each line, or None for one that is too long; that one is passed over without being kept."""
    while raw := lines.readline(longest + 1):
        if len(raw) <= longest or raw.endswith(b"\n"):
            yield raw
            continue
        while (more := lines.readline(_CHUNK)) and not more.endswith(b"\n"):
            pass
        yield None


def _answer(raw: bytes | None, longest: int) -> dict[str, Any]:
    line_id: object = None
    try:
        if raw is None:
            raise _BadLine(f"the line is longer than {longest} bytes")
        row = _row(raw)
        line_id = _line_id(row)
        taxon = _taxon(
            _text(row, "taxon", line_id), _names(row, "synonyms", line_id), _names(row, "common_names", line_id)
        )
        said = _reading(_text(row, "text", line_id), _text(row, "title", line_id, required=False), taxon)
    except _BadLine as error:
        return {"id": error.id, "error": str(error)}
    except DoubtwortError as error:
        return {"id": line_id, "error": one_line(str(error))}
    except Exception as error:
        # One text must not stop the others: a fault of the program is told in the line's own answer.
        return {"id": line_id, "error": one_line(f"a fault of the program: {type(error).__name__}: {error}", 300)}
    return reading_object(line_id, said.statements)


def _row(raw: bytes) -> dict[str, Any]:
    try:
        row = json.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise _BadLine(f"not UTF-8 (byte {error.start})") from error
    except ValueError as error:
        raise _BadLine(f"not JSON: {one_line(str(error), 120)}") from error
    except RecursionError as error:
        raise _BadLine("not JSON that can be read: nested too deeply") from error
    if not isinstance(row, dict):
        raise _BadLine("not a JSON object")
    return row


def _line_id(row: dict[str, Any]) -> object:
    found = row.get("id")
    if found is None or isinstance(found, (str, int)) or (isinstance(found, float) and math.isfinite(found)):
        return found
    raise _BadLine('"id" is neither text nor a number')


def _text(row: dict[str, Any], key: str, line_id: object, *, required: bool = True) -> str:
    """The text under ``key``; halves of surrogate pairs, which no text holds, become U+FFFD."""
    found = row.get(key)
    if found is None and not required:
        return ""
    if not isinstance(found, str):
        raise _BadLine(f'"{key}" is missing' if found is None else f'"{key}" is not text', line_id)
    return _whole(found)


def _names(row: dict[str, Any], key: str, line_id: object) -> tuple[str, ...]:
    found = row.get(key)
    if found is None:
        return ()
    if not isinstance(found, list) or not all(isinstance(each, str) for each in found):
        raise _BadLine(f'"{key}" is not a list of texts', line_id)
    return tuple(_whole(each) for each in found)


def _whole(text: str) -> str:
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace") if not text.isascii() else text


def _taxon(name: str, synonyms: tuple[str, ...], common_names: tuple[str, ...]) -> Taxon:
    from doubtwort.taxa.names import taxon_from_user

    return taxon_from_user(name, synonyms, common_names)


def _reading(text: str, title: str, taxon: Taxon) -> Reading:
    from doubtwort.reading import read_text
    from doubtwort.wording import read_document

    return read_document(read_text(text, title), taxon)


def read_one(
    file: str | None, taxon: str, synonyms: tuple[str, ...], common_names: tuple[str, ...], *, title: str, as_json: bool
) -> None:
    """One text from a file or standard input."""
    if file is None:
        raise CallError("Give a FILE, - for standard input, or --jsonl.")
    if not taxon:
        raise CallError('Give the taxon: --taxon "Genus species".')
    named = _taxon(taxon, synonyms, common_names)
    said = _reading(_file_text(file), title, named)
    if as_json:
        print(dumps(reading_object(None if file == "-" else file, said.statements)))
        return
    from doubtwort.reporting.terminal import open_console, print_reading

    print_reading(said, named, open_console())


def _file_text(file: str) -> str:
    most = Settings().max_body
    try:
        if file == "-":
            raw = sys.stdin.buffer.read(most + 1)
        else:
            with open(file, "rb") as opened:
                raw = opened.read(most + 1)
    except OSError as error:
        raise CallError(f"{file} cannot be read: {error.strerror or error}. Check the file's name.") from error
    if len(raw) > most:
        raise CallError(f"{file} is larger than {most} bytes. Cut the passage out and read that.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CallError(f"{file} is not UTF-8 text (byte {error.start}). Convert it to UTF-8 first.") from error
