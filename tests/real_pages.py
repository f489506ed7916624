"""Saved pages that nobody here wrote, through the whole main job: served on loopback, audited, read.

The folder is named by the environment variable DOUBTWORT_REAL_PAGES. Which taxon a page is asked about stands in a
table ``taxa.csv`` beside the pages, or in the file that DOUBTWORT_REAL_TAXA names. Its columns are ``file``, ``taxon``,
``common_names``, ``synonyms`` (several parted by ";") and ``wording`` (empty: edible). A page may have several lines.

The server answers as a forward proxy, so nothing leaves the machine: what a page cites is asked for there and missing.
"""

from __future__ import annotations

import csv
import mimetypes
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from doubtwort.audit import audit_page
from doubtwort.errors import NoClaimFound, PageUnread
from doubtwort.fetching import open_fetcher
from doubtwort.model import Audit, Document, Fetched, Fetcher, Reading, Taxon, Wording
from doubtwort.reading import read
from doubtwort.settings import Settings
from doubtwort.wording import read_document
from loopback import LoopbackWeb

FOLDER = "DOUBTWORT_REAL_PAGES"
TABLE = "DOUBTWORT_REAL_TAXA"
HOST = "http://saved.example"
SUFFIXES = frozenset((".html", ".htm", ".xml", ".pdf", ".txt", ".md"))


class NoPages(Exception):
    """Why there is nothing to read, in one line."""


@dataclass(frozen=True)
class Question:
    """One page and what it is asked."""

    file: Path
    taxon: Taxon
    wording: Wording = Wording.EDIBLE

    @property
    def url(self) -> str:
        return f"{HOST}/{self.file.name}"


@dataclass(frozen=True)
class Answer:
    """``audit`` is None where the page makes no such claim or could not be read; ``why`` then says which."""

    question: Question
    audit: Audit | None
    why: str
    document: Document | None
    reading: Reading | None


def folder() -> Path:
    named = os.environ.get(FOLDER, "")
    if not named:
        raise NoPages(f"{FOLDER} names no folder of saved pages")
    if not Path(named).is_dir():
        raise NoPages(f"{FOLDER} names {named}, which is no folder")
    return Path(named)


def saved(where: Path) -> list[Path]:
    return sorted(each for each in where.iterdir() if each.suffix in SUFFIXES and each.is_file())


def questions(where: Path, table: Path | None = None) -> list[Question]:
    """The table's lines, in order."""
    table = table or Path(os.environ.get(TABLE, "") or where / "taxa.csv")
    if not table.is_file():
        raise NoPages(f"there is no table of taxa at {table} (or {TABLE})")
    asked = []
    with table.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            common, synonyms = (_several(row.get(each) or "") for each in ("common_names", "synonyms"))
            wording = Wording(row.get("wording") or "edible")
            asked.append(Question(where / row["file"], Taxon(row["taxon"], synonyms, common), wording))
    return asked


def _several(cell: str) -> tuple[str, ...]:
    return tuple(each.strip() for each in cell.split(";") if each.strip())


@contextmanager
def served(where: Path) -> Iterator[tuple[Fetcher, Settings]]:
    """The program's own fetcher over the saved pages."""
    with LoopbackWeb() as web:
        for each in saved(where):
            kind = "application/xml" if each.suffix == ".xml" else mimetypes.guess_type(each.name)[0] or "text/plain"
            web.page(f"{HOST}/{each.name}", each.read_bytes(), headers={"Content-Type": kind})
        settings = Settings(allow_private=True, proxies=web.proxies, delay=0.0, retries=0, max_sources=30)
        with open_fetcher(settings) as fetcher:
            yield fetcher, settings


def answer(question: Question, fetcher: Fetcher, settings: Settings) -> Answer:
    """The audit of the page's claim, and beside it all that the page says about the taxon."""
    document = reading = None
    fetched = fetcher.fetch(question.url)
    if isinstance(fetched, Fetched):
        found = read(fetched, settings)
        if isinstance(found, Document):
            document, reading = found, read_document(found, question.taxon)
    try:
        audit = audit_page(question.url, question.taxon, settings=settings, fetcher=fetcher, wording=question.wording)
    except (NoClaimFound, PageUnread) as why:
        return Answer(question, None, str(why), document, reading)
    return Answer(question, audit, "", document, reading)
