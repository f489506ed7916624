"""Reference lists of other programs as the sources that a claim cites: BibTeX, RIS, CSL-JSON."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from doubtwort.citing import doi_url, normalise_doi, normalise_isbn
from doubtwort.citing.citations import citation_from
from doubtwort.errors import CallError
from doubtwort.model import Citation
from doubtwort.reporting.links import link_address
from doubtwort.sharing.extras import read_bibtex, read_ris
from doubtwort.sharing.files import text_of
from doubtwort.text import one_line

MOST: Final = 200  # works of one list: a claim keeps no more
_YEAR: Final = re.compile(r"(?<!\d)(1[5-9]\d\d|20\d\d)(?!\d)")
_LONGEST: Final = 1_000


def references_of(path: Path) -> tuple[Citation, ...]:
    """The works of a reference list, told apart by the file's ending: .bib, .ris, .json."""
    readers = {".bib": from_bibtex, ".ris": from_ris, ".json": from_csl_json}
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise CallError(f"{one_line(str(path))}: a reference list ends in .bib, .ris or .json (CSL-JSON).")
    return reader(text_of(path), one_line(str(path)))


def from_bibtex(text: str, said: str = "the list") -> tuple[Citation, ...]:
    """Works of a BibTeX file. ``CallError`` names the line of an entry that cannot be read."""
    return _citations(read_bibtex(text, said), _of_bibtex, said)


def from_ris(text: str, said: str = "the list") -> tuple[Citation, ...]:
    """Works of a RIS file. SN holds an ISBN or an ISSN, whichever it is by its check digit."""
    return _citations(read_ris(text, said), _of_ris, said)


def from_csl_json(text: str, said: str = "the list") -> tuple[Citation, ...]:
    """Works of a CSL-JSON file: one item, or an array of them."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise CallError(f"{said}: not JSON ({one_line(str(error), 100)}). Nothing was taken in.") from error
    items = found if isinstance(found, list) else [found]
    if not all(isinstance(each, dict) for each in items):
        raise CallError(f"{said}: CSL-JSON is an array of objects. Nothing was taken in.")
    return _citations(items, _of_csl, said)


def _citations(
    records: list[dict[str, Any]], reader: Callable[[Mapping[str, Any]], Citation], said: str
) -> tuple[Citation, ...]:
    if not records:
        raise CallError(f"{said} holds no reference that can be read.")
    if len(records) > MOST:
        raise CallError(f"{said} holds more than {MOST} references. Give those that the claim cites.")
    found = []
    for number, record in enumerate(records, start=1):
        citation = replace(reader(record), key=str(number))
        if not citation.text:
            raise CallError(f"{said}: reference {number} names no title, author, address or identifier.")
        found.append(citation)
    return tuple(found)


def _of_bibtex(record: Mapping[str, Any]) -> Citation:
    authors = record.get("author")
    return _citation(
        tuple(authors) if isinstance(authors, list) else (),
        _text(record, "year") or _text(record, "date"),
        _text(record, "title") or _text(record, "booktitle"),
        _text(record, "pages"),
        _text(record, "doi"),
        _text(record, "isbn"),
        (_text(record, "url"),),
    )


def _of_ris(record: Mapping[str, Any]) -> Citation:
    authors = record.get("authors") or record.get("first_authors") or ()
    first, last = _text(record, "start_page"), _text(record, "end_page")
    urls = record.get("urls") or record.get("url") or ()
    titles = ("title", "primary_title", "secondary_title")
    return _citation(
        tuple(_family(each) for each in authors if isinstance(each, str)),
        _text(record, "year") or _text(record, "publication_year") or _text(record, "date"),
        next(filter(None, (_text(record, each) for each in titles)), ""),
        f"{first}-{last}" if first and last and first != last else first,
        _text(record, "doi"),
        _text(record, "issn") or _text(record, "isbn"),
        tuple(each for each in ([urls] if isinstance(urls, str) else urls) if isinstance(each, str)),
    )


def _of_csl(record: Mapping[str, Any]) -> Citation:
    named = record.get("author")
    authors = [each for each in named if isinstance(each, dict)] if isinstance(named, list) else []
    issued = record.get("issued")
    return _citation(
        tuple(filter(None, (_csl_name(each) for each in authors))),
        _csl_year(issued) if isinstance(issued, dict) else "",
        _text(record, "title"),
        _text(record, "page"),
        _text(record, "DOI"),
        _text(record, "ISBN"),
        (_text(record, "URL"),),
    )


def _csl_name(name: Mapping[str, Any]) -> str:
    particle = _text(name, "non-dropping-particle")
    return _text(name, "literal") or " ".join(filter(None, (particle, _text(name, "family"))))


def _csl_year(issued: Mapping[str, Any]) -> str:
    parts = issued.get("date-parts")
    if isinstance(parts, list) and parts and isinstance(parts[0], list) and parts[0]:
        return str(parts[0][0])
    return _text(issued, "raw") or _text(issued, "literal")


def _text(record: Mapping[str, Any], name: str) -> str:
    value = record.get(name)
    return one_line(str(value), _LONGEST) if isinstance(value, str | int) and not isinstance(value, bool) else ""


def _family(name: str) -> str:
    """The family name of "Alder, B." or of "B. Alder"."""
    said = one_line(name, _LONGEST)
    return said.partition(",")[0].strip() if "," in said else said


def _citation(
    authors: tuple[str, ...], dated: str, title: str, pages: str, doi: str, isbn: str, urls: tuple[str, ...]
) -> Citation:
    """A citation whose text reads as a reference is printed."""
    year = found[1] if (found := _YEAR.search(dated)) else ""
    doi = normalise_doi(doi)
    # A field may list several numbers, divided by commas or spaces; an ISSN is none of them.
    numbers = (isbn, *re.split(r"[,;]\s*|\s+(?=97[89])", isbn))
    isbn = next(filter(None, (normalise_isbn(each) for each in numbers)), "")
    pages = re.sub(r"\s*[-–—]+\s*", "-", pages)
    found_urls = tuple(filter(None, (link_address(each) for each in urls)))
    said = [", ".join(authors), year, title, f"pp. {pages}" if pages else ""]
    said += [f"doi:{doi}"] if doi else []
    said += [f"ISBN {isbn}"] if isbn else []
    text = ". ".join(filter(None, said))
    addresses = dict.fromkeys([*found_urls, *([doi_url(doi)] if doi else [])])
    parsed = citation_from("1", text or " ".join(addresses), tuple(addresses))
    return replace(parsed, authors=authors, year=year, title=title, pages=pages, doi=doi, isbn=isbn)
