"""Short notes lead where the full entry leads: "Alder 1998, p. 14", "Alder, Herbs, p. 14", "ibid.", "op. cit."."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from doubtwort.citing.citations import name_key
from doubtwort.model import Citation
from doubtwort.reading.reference_lists import YEAR, Entry

_MOST_OF_ONE = 200  # works of one author; who has more is cited with the year
_LONGEST = 160  # characters; a longer note is an entry of its own
_IBID = re.compile(r"^\W*(?:see\s+)?(?:ibid(?:em)?|ebd|ebenda|idem|loc\.?\s*cit)\b", re.IGNORECASE)
_CITED_BEFORE = re.compile(r"\b(?:op\.?\s*cit|loc\.?\s*cit|a\.\s?a\.\s?O|supra|(?:cited )?above)\b", re.IGNORECASE)
_NAME = re.compile(
    r"^\W*(?:see(?: also)?\s+|cf\.?\s+)?((?:(?:van|von|de|der|den|del|la|le)\s+){0,2}[A-ZÀ-Ž][^\W\d_]+(?:-[^\W\d_]+)?)"
)
_LOCATOR = re.compile(r"\b(?:pp?|S|Seiten?|pages?|vol|chap|ch)\.?\s*\d.*$|[,;:]\s*\d[\d\s,–-]*\W*$|\W+$", re.IGNORECASE)

AuthorYears = Callable[[str], Iterator[tuple[int, int, list[str]]]]


def join_short_notes(
    pairs: list[tuple[str, Entry]], citations: dict[str, Citation], key_of: dict[str, str], author_years: AuthorYears
) -> None:
    """Gives short notes among ``pairs`` (key, entry) the addresses and the work of the full entry, and leaves them
    their own pages. ``key_of`` leads from ids on the page to keys; ``author_years`` finds "Alder 1998" in a text."""
    full_by_name = _full_entries(pairs, citations)
    before = ""
    for key, entry in pairs:
        own = citations[key]
        if own.urls or own.doi or own.isbn or entry.further:
            before = key
            continue
        full = next((key_of[name] for name in entry.inner if key_of.get(name, key) != key), "")
        if not full and _IBID.match(entry.text):
            full = before
        if not full and len(entry.text) < _LONGEST:
            found = (each for _, _, keys in author_years(entry.text) for each in keys if each != key)
            full = next(found, "") or _by_name(key, entry.text, full_by_name)
            if full and len(citations[full].text) <= len(own.text):
                full = ""
        if full:
            other = citations[full]
            citations[key] = replace(
                own,
                urls=other.urls,
                doi=other.doi,
                isbn=other.isbn,
                archived_url=other.archived_url,
                title=other.title or own.title,
                authors=other.authors or own.authors,
                year=other.year or own.year,
            )
        before = key


def _full_entries(pairs: list[tuple[str, Entry]], citations: dict[str, Citation]) -> dict[str, list[tuple[str, str]]]:
    """(key, title as compared) of entries that name a work in full, by the first author's name."""
    found: dict[str, list[tuple[str, str]]] = {}
    for key, entry in pairs:
        citation = citations[key]
        if citation.authors and citation.year and citation.title and not entry.further:
            works = found.setdefault(name_key(citation.authors[0]), [])
            if len(works) < _MOST_OF_ONE:
                works.append((key, _flat(citation.title)))
    return found


def _by_name(key: str, text: str, full: dict[str, list[tuple[str, str]]]) -> str:
    """The full entry that a note without a year means: by its title, or the only one of that author."""
    name = _NAME.match(text)
    if name is None or YEAR.search(text):
        return ""
    works = [each for each in full.get(name_key(name[1]), []) if each[0] != key]
    rest = text[name.end() :]
    title = "" if _CITED_BEFORE.search(rest) else _flat(_LOCATOR.sub("", rest))
    if title:
        works = [each for each in works if len(title) > 3 and title in each[1]]
    return works[0][0] if len({each[1] for each in works}) == 1 else ""


def _flat(text: str) -> str:
    return re.sub(r"[\W_]+", " ", text.lower()).strip()
