"""The first hundred bytes of an SQLite file (sqlite.org/fileformat2.html, 1.3) and its descriptions of tables (2.6),
written anew where they are damaged."""

from __future__ import annotations

import sqlite3
import struct
from collections.abc import Callable, Iterable, Mapping
from contextlib import closing, suppress
from pathlib import Path
from typing import BinaryIO, Final

MAGIC: Final = b"SQLite format 3\x00"
_FRACTIONS: Final = bytes((64, 32, 32))
_USUAL_PAGE: Final = 4096
_LEAF_OR_INNER: Final = (2, 5, 10, 13)  # first byte of a b-tree page, section 1.6


def page_size_of(header: bytes) -> int:
    """Bytes of a page, 0 when the header names none that can be.

    >>> page_size_of(MAGIC + b"\\x10\\x00"), page_size_of(MAGIC + b"\\x00\\x01"), page_size_of(MAGIC + b"\\x12\\x34")
    (4096, 65536, 0)
    """
    size = int.from_bytes(header[16:18], "big")
    size = 65536 if size == 1 else size
    return size if size >= 512 and size & (size - 1) == 0 else 0


def mend_header(path: Path) -> bool:
    """Mends the header of a file that may be written to; True when there was something to mend. The schema's number
    and the mark of a notebook cannot be known again, and are left as they are."""
    size = path.stat().st_size
    with path.open("r+b") as file:
        header = bytearray(file.read(100))
        if len(header) < 100:
            return False
        page = page_size_of(bytes(header))
        if header[:16] == MAGIC and page and bytes(header[21:24]) == _FRACTIONS:
            return _mend_length(file, header, page, size)
        page = page or _found_page_size(path, size)
        header[:16] = MAGIC
        header[16:18] = (1 if page == 65536 else page).to_bytes(2, "big")
        header[18:20] = b"\x02\x02" if header[18] not in (1, 2) else header[18:20]
        header[20] = 0
        header[21:24] = _FRACTIONS
        counter = header[24:28]
        struct.pack_into(">I", header, 28, size // page)
        header[32:40] = bytes(8)  # no free pages: they are not looked at
        struct.pack_into(">I", header, 44, 4)
        struct.pack_into(">I", header, 56, 1)
        header[92:96] = counter
        file.seek(0)
        file.write(header)
    return True


def _mend_length(file: BinaryIO, header: bytearray, page: int, size: int) -> bool:
    """A file that was cut off says that it has more pages than it has, and SQLite refuses it for that."""
    if int.from_bytes(header[28:32], "big") <= size // page:
        return False
    file.seek(28)
    file.write(struct.pack(">I", size // page))
    return True


def _found_page_size(path: Path, size: int) -> int:
    """The size at which most pages begin as a page of a table or index does."""
    data = path.read_bytes() if size <= 50_000_000 else b""
    best, most = _USUAL_PAGE, 0.5
    for page in (4096, 1024, 2048, 8192, 16384, 32768, 65536, 512):
        starts = [data[at] for at in range(page, len(data), page)]
        share = sum(each in _LEAF_OR_INNER for each in starts) / len(starts) if starts else 0
        if share > most:
            best, most = page, share
    return best


def mend_schema(path: Path, tables: Iterable[str], known: Callable[[int], Mapping[str, str]]) -> bool:
    """Writes the descriptions of the tables anew where one of them cannot be read, which makes SQLite refuse the whole
    file; all that is no table is taken out. True when that was done. ``known`` gives the descriptions of a schema."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.text_factory = lambda raw: raw.decode("utf-8", "replace")
        with suppress(sqlite3.DatabaseError):
            file.execute("SELECT count(*) FROM sqlite_master").fetchone()
            return False
        try:
            file.execute("PRAGMA writable_schema = ON")  # with it, SQLite reads on behind what it cannot understand
            described = known(int(file.execute("PRAGMA user_version").fetchone()[0]))
            found = file.execute("SELECT rowid, name FROM sqlite_master WHERE type = 'table'").fetchall()
            file.execute("BEGIN")
            kept = {row_id: name for row_id, name in found if name in tables and name in described}
            for (row_id,) in file.execute("SELECT rowid FROM sqlite_master").fetchall():
                if row_id in kept:
                    file.execute("UPDATE sqlite_master SET sql = ? WHERE rowid = ?", (described[kept[row_id]], row_id))
                else:
                    file.execute("DELETE FROM sqlite_master WHERE rowid = ?", (row_id,))
            file.execute("COMMIT")
        except sqlite3.DatabaseError:
            return False
    return True
