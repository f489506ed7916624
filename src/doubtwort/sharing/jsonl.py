"""A whole notebook as JSON Lines (jsonlines.org: UTF-8, one JSON value a line, "\\n"), and back.

The first line says what it is and carries the standing cautions; then a line for each known danger, a line for each
row of each table (``claims_db/SCHEMA.md``), and a last line with their number, so that a file cut short is noticed:

    {"schema": "doubtwort.notebook/1", "tables": 7, "made_at": "…", "held_back": […], "cautions": […]}
    {"danger": {"taxon": "Fictaria silvana", "code": "toxic-stated", "text": "…", "source": "claim c1, s2"}}
    {"table": "taxa", "row": {"id": 1, "scientific_name": "Fictaria silvana", "family": "", "remarks": ""}}
    {"end": 1}
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, BinaryIO, Final, NoReturn, TextIO

from doubtwort.errors import CallError
from doubtwort.notebook.incoming import Incoming, load, look_through, new_file
from doubtwort.notebook.kept import now
from doubtwort.notebook.merge import Merged, merge_copy
from doubtwort.notebook.notebook import open_notebook
from doubtwort.notebook.outgoing import Scope, rows_out
from doubtwort.notebook.rows import address
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import taxa
from doubtwort.sharing.gather import discreet
from doubtwort.sharing.warnings import dangers, standing
from doubtwort.text import one_line

SCHEMA: Final = "doubtwort.notebook/1"
MOST_LINE: Final = 60_000_000  # bytes; the largest page that is kept takes 27 MB in base64


@dataclass(frozen=True, slots=True)
class Imported:
    """How many rows came in by table. ``merged`` when they went into a notebook that was there already."""

    rows: dict[str, int]
    back_to_waiting: tuple[str, ...]
    merged: Merged | None


def write_jsonl(store: Store, out: TextIO, scope: Scope) -> int:
    """Writes the notebook line by line; gives how many rows."""
    held = {"exact places": scope.places, "history": scope.history, "pages as fetched": scope.pages}
    _line(
        out,
        {
            "schema": SCHEMA,
            "tables": store.version,
            "made_at": now(),
            "held_back": [name for name, given in held.items() if not given],
            "cautions": [asdict(each) for each in standing()],
        },
    )
    hide = discreet(store, exact=scope.places)
    for taxon in taxa(store):
        for each in dangers(store, taxon, hide):
            _line(out, {"danger": {"taxon": taxon.scientific_name} | asdict(each)})
    count = 0
    with store.reading() as db:
        for table, row in rows_out(db, scope):
            _line(out, {"table": table, "row": row})
            count += 1
    _line(out, {"end": count})
    return count


def _line(out: TextIO, value: dict[str, Any]) -> None:
    # U+2028 and U+0085 are line ends to some readers, though not to JSON Lines.
    text = json.dumps(value, ensure_ascii=False)
    for each in "\u2028\u2029\x85":
        text = text.replace(each, f"\\u{ord(each):04x}")
    out.write(text + "\n")


def import_jsonl(
    file: BinaryIO, target: Path, *, said: str = "the file", canonical: Callable[[str], str] = address
) -> Imported:
    """Takes a whole notebook in. Where ``target`` is no file yet, it is that notebook again; else it is merged with
    the one that is there. Nothing is taken half: ``CallError`` names the line that does not fit."""
    lines = _objects(file, said)
    version = _version(lines, said)
    target = target.expanduser()
    if not target.exists():
        with new_file(target) as partial:
            count = load(partial, version, _rows(lines, said), said)
            moved = look_through(partial, canonical)
        return Imported(dict(count), moved, None)
    with TemporaryDirectory(prefix="doubtwort-") as folder:
        partial = Path(folder) / "coming-in.sqlite"
        count = load(partial, version, _rows(lines, said), said)
        look_through(partial, canonical)
        with open_notebook(target, create=False, canonical=canonical) as store:
            merged = merge_copy(store, partial, said)
    return Imported(dict(count), merged.back_to_waiting, merged)


def _objects(file: BinaryIO, said: str) -> Iterator[tuple[int, dict[str, Any]]]:
    number = 0
    while line := file.readline(MOST_LINE + 1):
        number += 1
        if len(line) > MOST_LINE:
            raise _wrong(said, number, f"longer than {MOST_LINE} bytes")
        if not line.strip():
            continue
        try:
            value = json.loads(line.decode("utf-8-sig" if number == 1 else "utf-8"), parse_constant=_no_number)
        except (ValueError, RecursionError) as error:
            raise _wrong(said, number, f"not JSON ({one_line(str(error), 80)})") from error
        if not isinstance(value, dict):
            raise _wrong(said, number, "not a JSON object")
        yield number, value


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number of JSON")


def _version(lines: Iterator[tuple[int, dict[str, Any]]], said: str) -> int:
    _, first = next(lines, (0, {}))
    if first.get("schema") != SCHEMA or type(first.get("tables")) is not int:
        raise CallError(f"{said} is no notebook in JSON Lines: its first line does not name {SCHEMA}.")
    return int(first["tables"])


def _rows(lines: Iterator[tuple[int, dict[str, Any]]], said: str) -> Iterator[Incoming]:
    """The rows; the last line has to tell their number."""
    count = 0
    for number, value in lines:
        if "danger" in value:
            continue  # told for whoever reads the file; the notebook finds it again in its rows
        if "end" in value:
            if value["end"] != count or next(lines, None) is not None:
                raise _wrong(said, number, f"the end does not fit: {count} rows came")
            return
        table, row = value.get("table"), value.get("row")
        if not isinstance(table, str) or not isinstance(row, dict):
            raise _wrong(said, number, "neither a row nor a danger")
        count += 1
        yield number, table, row
    raise CallError(f"{said} ends early: its last line is missing. Nothing was taken in; export it anew.")


def _wrong(said: str, number: int, why: str) -> CallError:
    return CallError(f"{said}, line {number}: {why}. Nothing was taken in.")
