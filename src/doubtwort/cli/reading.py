"""``doubtwort read``: what texts say, without network or notebook."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Reading, Taxon
from doubtwort.reporting.machine import dumps, reading_object
from doubtwort.settings import Settings
from doubtwort.text import one_line, printable

if TYPE_CHECKING:
    from doubtwort.reporting.explain import SentenceView

_CHUNK = 65_536


class _BadLine(Exception):
    """A line that cannot be answered; ``id`` is given back where the line had a usable one."""

    def __init__(self, said: str, line_id: object = None) -> None:
        self.id = line_id
        super().__init__(said)


def read_lines(file: str | None, taxon: str, *, explain: bool = False) -> None:
    """One answer a line, in order, each written before the next line is read. A bad line is answered with its error."""
    if file not in (None, "-"):
        raise CallError("--jsonl reads standard input; give no FILE (doubtwort read --jsonl < FILE).")
    if taxon:
        raise CallError('--jsonl takes the taxon from each line ("taxon"); leave out --taxon.')
    answer_lines(sys.stdin.buffer, sys.stdout, Settings().max_body, explain=explain)


def answer_lines(lines: IO[bytes], out: IO[str], longest: int, *, explain: bool = False) -> None:
    """``longest`` is a line's most bytes. Empty lines at the end are none; one between others is a bad line."""
    empty = 0
    for raw in _lines(lines, longest):
        if raw is not None and not raw.strip():
            empty += 1
            continue
        for _ in range(empty):
            out.write(dumps({"id": None, "error": "an empty line"}) + "\n")
        empty = 0
        out.write(dumps(_answer(raw, longest, explain=explain)) + "\n")
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


def _answer(raw: bytes | None, longest: int, *, explain: bool) -> dict[str, Any]:
    line_id: object = None
    try:
        if raw is None:
            raise _BadLine(f"the line is longer than {longest} bytes")
        row = _row(raw)
        line_id = _line_id(row)
        taxon = _taxon(
            _text(row, "taxon", line_id), _names(row, "synonyms", line_id), _names(row, "common_names", line_id)
        )
        text, title = _text(row, "text", line_id), _text(row, "title", line_id, required=False)
        if explain:
            return _explained(line_id, text, title, taxon)
        said = _reading(text, title, taxon)
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


def _explained(text_id: object, text: str, title: str, taxon: Taxon) -> dict[str, Any]:
    from doubtwort.reading import read_text
    from doubtwort.reporting.explain import LONGEST_GIVEN, explained_views
    from doubtwort.reporting.explain_machine import explained_object

    return explained_object(text_id, taxon, explained_views(read_text(text, title), taxon, LONGEST_GIVEN))


def _views(text: str, title: str, taxon: Taxon) -> Iterator[SentenceView]:
    from doubtwort.reading import read_text
    from doubtwort.reporting.explain import explained_views

    return explained_views(read_text(text, title), taxon)


def _called(
    file: str | None, taxon: str, synonyms: tuple[str, ...], common_names: tuple[str, ...]
) -> tuple[str, Taxon]:
    if file is None:
        raise CallError("Give a FILE, - for standard input, or --jsonl.")
    if not taxon:
        raise CallError('Give the taxon: --taxon "Genus species".')
    return file, _taxon(taxon, synonyms, common_names)


def explain_one(
    file: str | None,
    taxon: str,
    synonyms: tuple[str, ...],
    common_names: tuple[str, ...],
    *,
    title: str,
    as_json: bool,
    html: str | None,
) -> None:
    """Why one text reads as it does: on the terminal, as JSON, or as a page in the file ``html`` ("-": printed)."""
    if html is not None and as_json:
        raise CallError("Give --html or --json, not both.")
    file, named = _called(file, taxon, synonyms, common_names)
    text = _file_text(file)
    if as_json:
        print(dumps(_explained(None if file == "-" else file, text, title, named)))
    elif html is not None:
        from doubtwort.cli.report import STANDARD_OUTPUT, write_file
        from doubtwort.reporting.explain_html import explained_page

        made = explained_page(_views(text, title, named), named, title or ("" if file == "-" else file))
        if html == STANDARD_OUTPUT:
            sys.stdout.buffer.write(made.encode("utf-8", "replace"))
            return
        write_file(Path(html), made)
        print(printable(html), file=sys.stderr)
    else:
        from doubtwort.reporting.explain_terminal import print_explained
        from doubtwort.reporting.terminal import open_console

        print_explained(_views(text, title, named), named, open_console())


def read_one(
    file: str | None, taxon: str, synonyms: tuple[str, ...], common_names: tuple[str, ...], *, title: str, as_json: bool
) -> None:
    """One text from a file or standard input."""
    file, named = _called(file, taxon, synonyms, common_names)
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
