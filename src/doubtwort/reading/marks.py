"""Turns links, footnote markers, bracketed numbers and author–year phrases into citations and their marks."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from urllib.parse import unquote, urlsplit

from doubtwort.citing.citations import citation_from, name_key, printed_addresses
from doubtwort.citing.identifiers import normalise_isbn
from doubtwort.citing.urls import canonical_url, host_of
from doubtwort.model import Citation
from doubtwort.reading.blocks import Block, Span
from doubtwort.reading.cuts import remarks, widened
from doubtwort.reading.reference_lists import YEAR, Entry, Split
from doubtwort.reading.short_notes import join_short_notes

_NUMBERS = r"\d{1,3}(?:\s*[-–—,;]\s*\d{1,3}){0,30}"
_PAGE = r"(?:\s*:\s*|\s*,\s*(?=[pPS]))(?:(?:pp?|S)\.?\s*)?\d{1,4}(?:\s*[-–]\s*\d{1,4})?"  # "[1, p. 14]", "[2: 9]"
_SQUARE = re.compile(rf"\[\s*({_NUMBERS})(?:{_PAGE})?\s*\]")
_SQUARE_RANGE = re.compile(r"\[\s*(\d{1,3})\s*\]\s*[-–—]\s*\[\s*(\d{1,3})\s*\]")
_ROUND = re.compile(rf"(?<=[\w.,;”\"'])\s*\(\s*({_NUMBERS})\s*\)(?=\s*(?:[.,;:]|$|\s))")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_RAISED_RUN = re.compile(
    r"(?:(?<=[^\W\d_][^\W\d_])|(?<=[.,;)”\"]))"
    r"[¹²³⁰⁴-⁹]+(?:[,⁻–-][¹²³⁰⁴-⁹]+)*"
)
_UNIT = re.compile(r"(?:\d|\b(?:m|cm|mm|km|ft|in|dm|yd|s|x))$")
_SURNAME = (
    r"(?:(?:van|von|der|den|de|del|della|di|da|du|la|le|ter|ten)\s+){0,3}[A-ZÀ-Ž][^\W\d_]*(?:[’'`-](?!s\b)[^\W\d_]+)*"
)
_NAMES = (
    rf"{_SURNAME}(?:\s*,\s*{_SURNAME}){{0,5}}(?:,?\s*(?:&|and|und|et)\s+{_SURNAME})?(?:,?\s+et\s+al\.?|\s+and others)?"
)
_PAGE_BEHIND = re.compile(
    r"[)\]]?\s*(?::|,\s*(?=[pPS]))\s*(?:(?:pp?|S)\.?\s*)?(\d{1,4}(?:\s*[-–]\s*\d{1,4})?)(?=\s*[)\];,.])"
)
_YEARS = r"(?:1[5-9]|20)\d\d[a-z]?(?:\s*,\s*(?:(?:1[5-9]|20)\d\d[a-z]?|[a-k](?!\w|\.\s*\d)))*"
_AUTHOR_YEAR = re.compile(rf"(?P<names>{_NAMES})(?:[’']s)?,?\s*[(\[]?\s*(?P<years>{_YEARS})")
_ONE_YEAR = re.compile(r"((?:1[5-9]|20)\d\d)([a-z]?)|(?<=[,\s])([a-k])(?!\w)")
_BARE = re.compile(r"\[?\s*(?:\d{1,3}|[a-z]|[*†‡§]{1,3})\s*\]?")
_ARCHIVED = frozenset({"archived", "archive", "archived copy", "archived version", "archived page", "web archive"})
_PICTURE = re.compile(r"\.(?:jpe?g|png|gif|svg|webp|bmp|tiff?|ico)(?:$|[?#])|/File:", re.IGNORECASE)
_IN_WORDS = re.compile(
    r"[\[(]?\s*(?:lower|upper)-(?:alpha|roman|latin|greek)\s*\d{1,3}\s*[\])]?|[\[(]?\s*(?:note|notes|anm|anmerkung|fn|nb|"
    r"remark)\.?\s*(?:\d{1,3}|[a-z])\s*[\])]?",
    re.IGNORECASE,
)
_LETTERED = re.compile(r"\[\s*([A-Za-z][\w+]{1,8}(?:\s*[,;]\s*[A-Za-z][\w+]{1,8}){0,8})\s*\]")


def apply(parts: Split, url: str, most: int) -> dict[str, Citation]:
    """Puts marks into the blocks of ``parts`` and returns the citations by key, at most ``most`` of them."""
    return _Marking(parts, url, most).run()


class _Marking:
    def __init__(self, parts: Split, url: str, most: int) -> None:
        self.parts, self.url, self.most = parts, url, most
        self.citations: dict[str, Citation] = {}
        self.key_of: dict[str, str] = {}  # id on the page -> key
        self.numbered: dict[int, list[tuple[int, str]]] = {}  # printed number -> (block index, key)
        self.lettered: dict[str, str] = {}  # printed label "Ald98" -> key
        self.by_author: dict[tuple[str, str], list[str]] = {}  # (first surname, year with letter) -> keys
        self.links: dict[str, str] = {}  # address -> key
        self.own = canonical_url(url) if url else ""
        self.host = host_of(url) if url else ""

    def run(self) -> dict[str, Citation]:
        entries = self.parts.entries[: self.most]
        keys = [f"ref-{at}" for at in range(1, len(entries) + 1)]
        for key, entry in zip(keys, entries, strict=True):
            self._add(key, entry)
        join_short_notes(list(zip(keys, entries, strict=True)), self.citations, self.key_of, self._author_years)
        markers: dict[int, list[tuple[Span, str]]] = {}
        for marker in self.parts.markers:
            markers.setdefault(marker.block, []).append((marker.span, self.key_of.get(marker.target, "")))
        footnoted = len(self.parts.markers) >= 3
        round_numbers = self._round_allowed()
        renamed: dict[str, str] = {}
        for at, block in self.parts.blocks.items():
            before = block.text
            self._mark(block, at, markers.get(at, []), footnoted, round_numbers)
            if block.text != before and block.kind in ("heading", "caption"):
                renamed[before] = block.text
        if renamed:
            for block in self.parts.blocks.values():
                block.headings = tuple(renamed.get(heading, heading) for heading in block.headings)
        return self.citations

    # ------------------------------------------------------------------ entries

    def _add(self, key: str, entry: Entry) -> None:
        archived = ""
        urls: list[str] = []
        for address, text in entry.links:
            if self._is_self(address) or _PICTURE.search(address) or self._looks_up(address):
                continue
            if text.strip(" .()[]").lower() in _ARCHIVED and urls:
                archived = archived or address
            else:
                urls.append(address)
        citation = citation_from(key, entry.text, urls)
        self.citations[key] = replace(
            citation, archived_url=citation.archived_url or archived, further_reading=entry.further
        )
        for name in entry.ids:
            self.key_of.setdefault(name, key)
        if entry.further:
            return
        if entry.number is not None:
            self.numbered.setdefault(entry.number, []).append((entry.at, key))
        elif len(entry.label) > 2 and entry.label[0].isalpha():
            self.lettered.setdefault(entry.label, key)
        self._index(key, entry.text)

    def _looks_up(self, address: str) -> bool:
        """A link of the site's own that only looks an ISBN up ("/books/0306406152") leads to no work."""
        return self._beside(address) and bool(normalise_isbn(unquote(address.rpartition("/")[2].rpartition("=")[2])))

    def _index(self, key: str, text: str) -> None:
        citation = self.citations[key]
        if not citation.authors or not citation.year:
            return
        letters = re.search(rf"{citation.year}([a-z])\b", text)
        author = name_key(citation.authors[0])
        names = {citation.year, citation.year + letters[1] if letters else citation.year}
        for year in names:
            self.by_author.setdefault((author, year), []).append(key)

    # ------------------------------------------------------------------ one block

    def _mark(
        self, block: Block, at: int, markers: list[tuple[Span, str]], footnoted: bool, round_numbers: bool
    ) -> None:
        marks: list[Span] = []
        cuts: list[tuple[int, int]] = []
        done = _Covered(len(block.text))
        for start, end in remarks(block.text):
            done.add(start, end)
            cuts.append((start, end))
        raised = _Covered(len(block.text))
        for span in block.spans:
            if span.kind == "sup":
                raised.add(span.start, span.end)
        markers = markers + [
            (span, self._link(span.target, "", footnoted))
            for span in block.spans
            if span.kind == "link" and self._is_marker(block, span, raised)
        ]
        for start, end, keys, kept in self._linked(block, at, markers):
            done.add(start, end)
            if kept:
                marks += [Span("mark", start, end, key) for key in keys]
            else:
                cuts.append((start, end))
                marks += [Span("mark", start, start, key) for key in keys]
        if self.numbered:
            for start, end, numbers in self._unlinked(block, round_numbers):
                if not done.touches(start, end) and (found := self._numbered(numbers, at)):
                    done.add(start, end)
                    cuts.append((start, end))
                    marks += [Span("mark", start, start, key) for key in found]
        if self.lettered and "[" in block.text:
            for match in _LETTERED.finditer(block.text):
                named = [self.lettered.get(each.strip(), "") for each in re.split(r"[,;]", match[1])]
                if all(named) and not done.touches(*match.span()):
                    done.add(*match.span())
                    cuts.append(match.span())
                    marks += [Span("mark", match.start(), match.start(), key) for key in named]
        if self.by_author and YEAR.search(block.text):
            for start, end, keys in self._author_years(block.text):
                if not done.touches(start, end):
                    done.add(start, end)
                    pages = _PAGE_BEHIND.match(block.text, end)
                    keys = [self._with_pages(key, pages[1]) for key in keys] if pages else keys
                    marks += [Span("mark", start, end, key) for key in keys]
        for span in block.spans:
            if span.kind == "link" and not done.touches(span.start, span.end):
                key = self._link(span.target, block.covered(span), footnoted)
                if key and span.end > span.start:
                    marks.append(Span("mark", span.start, span.end, key))
        for span in block.spans:
            if span.kind == "link":
                done.add(span.start, span.end)
        for start, end, address in printed_addresses(block.text):
            if not done.touches(start, end) and (key := self._link(address, block.text[start:end], footnoted)):
                marks.append(Span("mark", start, end, key))
        block.spans = marks
        block.cut(widened(block.text, cuts))

    def _is_marker(self, block: Block, span: Span, raised: _Covered) -> bool:
        """A number in brackets or raised that links straight to another page."""
        words = block.covered(span).strip()
        if not _BARE.fullmatch(words):
            return False
        before = block.text[max(0, span.start - 5) : span.start].rstrip()[-1:]
        after = block.text[span.end : span.end + 5].lstrip()[:1]
        return (
            raised.touches(span.start, span.end)
            or words.startswith("[")
            or (before in ("[", ",", ";") and after in ("]", ",", ";"))
        )

    def _linked(
        self, block: Block, at: int, markers: list[tuple[Span, str]]
    ) -> Iterator[tuple[int, int, list[str], bool]]:
        """Linked markers, those that stand together as one: (start, end, keys, whether the words stay)."""
        group: list[tuple[Span, str]] = []
        for span, key in [*sorted(markers, key=lambda each: each[0].start), (None, "")]:
            if group and (
                span is None or not re.fullmatch(r"[\s\])([,;–—-]*", block.text[group[-1][0].end : span.start])
            ):
                yield self._group(block, at, group)
                group = []
            if span is None:
                break
            words = block.covered(span)
            if YEAR.search(words) or (len(re.sub(r"[\W\d_]", "", words)) > 6 and not _IN_WORDS.fullmatch(words)):
                yield span.start, span.end, [key] if key else [], True
            else:
                group.append((span, key))

    def _group(self, block: Block, at: int, group: list[tuple[Span, str]]) -> tuple[int, int, list[str], bool]:
        text = block.text
        start, end = group[0][0].start, group[-1][0].end
        keys: list[str] = []
        for before, (span, key) in zip([None, *group[:-1]], group, strict=True):
            if before is not None and re.fullmatch(r"\s*[-–—]\s*", text[before[0].end : span.start]):
                first, last = block.covered(before[0]).strip("[]() "), block.covered(span).strip("[]() ")
                if first.isdigit() and last.isdigit() and int(last) - int(first) in range(2, 50):
                    keys += self._numbered(range(int(first) + 1, int(last)), at)
            if key:
                keys.append(key)
        left, right = start, end
        while left and text[left - 1].isspace():
            left -= 1
        while right < len(text) and text[right].isspace():
            right += 1
        for opening, closing in ("[]", "()"):
            if text[left - 1 : left] == opening and text[right : right + 1] == closing:
                start, end = left - 1, right + 1
                break
        return start, end, keys, False

    def _unlinked(self, block: Block, round_numbers: bool) -> Iterator[tuple[int, int, list[int]]]:
        text = block.text
        if "[" in text:
            for match in _SQUARE_RANGE.finditer(text):
                yield match.start(), match.end(), _expand(f"{match[1]}-{match[2]}")
            for match in _SQUARE.finditer(text):
                yield match.start(), match.end(), _expand(match[1])
        for span in block.spans:
            unit = _UNIT.search(text[max(0, span.start - 6) : span.start])
            if span.kind == "sup" and not unit and re.fullmatch(rf"\s*{_NUMBERS}\s*", block.covered(span)):
                yield span.start, span.end, _expand(block.covered(span))
        for match in _RAISED_RUN.finditer(text):
            if not _UNIT.search(text[max(0, match.start() - 6) : match.start()]):
                yield match.start(), match.end(), _expand(match.group().translate(_RAISED).replace("⁻", "-"))
        if round_numbers and "(" in text:
            for match in _ROUND.finditer(text):
                yield match.start(), match.end(), _expand(match[1])

    def _round_allowed(self) -> bool:
        """ "(3)" is a reference only where a list of at least three stands, most of it is used, and "[3]" is not."""
        if len(self.numbered) < 3:
            return False
        used: set[int] = set()
        for block in self.parts.blocks.values():
            if _SQUARE.search(block.text):
                return False
            numbers = [n for match in _ROUND.finditer(block.text) for n in _expand(match[1])]
            if numbers[:3] == [1, 2, 3] and len(numbers) > 3:
                return False
            used.update(numbers)
        return len(used & set(self.numbered)) >= 0.5 * len(self.numbered)

    def _numbered(self, numbers: Iterable[int], at: int) -> list[str]:
        """Keys of numbers, [] unless all are in the list. Where a book numbers anew, the next list after the text."""
        keys: list[str] = []
        for number in numbers:
            found = self.numbered.get(number)
            if not found:
                return []
            keys.append(next((key for place, key in found if place > at), found[-1][1]))
        return keys

    def _author_years(self, text: str) -> Iterator[tuple[int, int, list[str]]]:
        for match in _AUTHOR_YEAR.finditer(text):
            names = re.split(r"\s*,\s*|\s+(?:&|and|und|et|al\.?|others)\b\s*|\s*&\s*", match["names"])
            surnames = [name_key(name) for name in names if (name and name[0].isupper()) or " " in name]
            keys: list[str] = []
            year = ""
            for one in _ONE_YEAR.finditer(match["years"]):
                if one[1]:
                    year = one[1]
                letter = one[2] or one[3] or ""
                keys += self._by_author(surnames, year + letter) or self._by_author(surnames, year)
            if keys:
                yield match.start(), match.end(), list(dict.fromkeys(keys))

    def _with_pages(self, key: str, pages: str) -> str:
        """Key of the same work with the page that is cited of it: "Alder 1998, p. 14"."""
        pages = re.sub(r"\s", "", pages)
        paged = f"{key}:{pages}"
        if paged not in self.citations and len(self.citations) < 2 * self.most:
            self.citations[paged] = replace(self.citations[key], key=paged, pages=pages)
        return paged if paged in self.citations else key

    def _by_author(self, surnames: list[str], year: str) -> list[str]:
        for at, first in enumerate(surnames[:2]):
            found = self.by_author.get((first, year), [])[:40]
            if len(found) > 1 and len(surnames) > at + 1:
                second = surnames[at + 1]
                closer = [k for k in found if second in {name_key(a) for a in self.citations[k].authors[1:]}]
                found = closer or found
            elif len(found) > 1:
                alone = [key for key in found if len(self.citations[key].authors) == 1]
                found = alone or found
            if found:
                return found[:4]
        return []

    # ------------------------------------------------------------------ links in running text

    def _link(self, address: str, text: str, footnoted: bool) -> str:
        if address in self.links:
            return self.links[address]
        key = ""
        aside = _PICTURE.search(address) or (footnoted and self._beside(address)) or self._is_self(address)
        if not aside and len(self.citations) < self.most:
            key = f"link-{len(self.links) + 1}"
            printed = text.replace("\ufffe", "-")
            words = "" if printed in address or "://" in printed else printed
            self.citations[key] = replace(citation_from(key, words, [address]), text=printed or address)
        self.links[address] = key
        return key

    def _is_self(self, address: str) -> bool:
        # Canonical forms are dear; addresses of other hosts need none.
        return bool(self.own) and self.host in address.lower() and canonical_url(address) == self.own

    def _beside(self, address: str) -> bool:
        """A page that cites by footnotes links to its own site as an encyclopedia does, not as a source."""
        return urlsplit(self.url).netloc == urlsplit(address).netloc


class _Covered:
    """Which characters of a text are spoken for; quick for a text with a hundred thousand links."""

    def __init__(self, length: int) -> None:
        self._taken = bytearray(length + 1)

    def add(self, start: int, end: int) -> None:
        self._taken[start:end] = b"\x01" * (end - start)

    def touches(self, start: int, end: int) -> bool:
        return self._taken.find(1, start, end) >= 0


def _expand(text: str) -> list[int]:
    """Numbers of "3–5, 9"; an absurd range gives only its ends.

    >>> _expand("3–5, 9")
    [3, 4, 5, 9]
    """
    numbers: list[int] = []
    for piece in re.split(r"[,;]", text):
        ends = [int(each) for each in re.findall(r"\d+", piece)]
        if len(ends) == 2 and 0 < ends[1] - ends[0] <= 50:
            numbers += range(ends[0], ends[1] + 1)
        else:
            numbers += ends
    return numbers
