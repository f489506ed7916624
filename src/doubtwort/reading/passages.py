"""Blocks with their marks become the frozen passages of a document, each with its offset in the document's text."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping

from doubtwort.model import Citation, CitationMark, Document, Passage
from doubtwort.reading import marks
from doubtwort.reading.blocks import Block
from doubtwort.reading.own_record import Listed
from doubtwort.reading.reference_lists import Entry, Split, norm, split

_LONGEST = 20_000  # characters of one passage; no paragraph is longer, and what works on sentences stays quick
_EMPTY_ROW = re.compile(r"[^:;]{1,80}:\s*[;,.\s]*")


def assemble(
    blocks: list[Block],
    url: str,
    title: str,
    most: int,
    subjects: tuple[str, ...] = (),
    language: str = "",
    listed: tuple[Listed, ...] = (),
) -> Document:
    """A document of at most ``most`` passages and as many citations. The page's title is left out of heading paths.
    ``listed`` are works that the page cites by its metadata: those that it prints as well gain their addresses."""
    parts = split(blocks)
    if listed:
        _add_listed(parts, listed, len(blocks))
    citations = marks.apply(parts, url, most)
    left = [block for block in parts.blocks.values() if not _says_nothing(block)]
    passages = tuple(_passages(left, norm_title(title), most))
    return Document(url, title, passages, _used(citations, passages), subjects, language)


def _add_listed(parts: Split, listed: tuple[Listed, ...], at: int) -> None:
    """Adds works of the metadata to the entries; one that an entry prints already gives it its addresses instead."""
    starts: list[int] = []
    flat: list[str] = []
    length = 0
    for entry in parts.entries:
        starts.append(length)
        said = _flat(f"{entry.text} {' '.join(url for url, _ in entry.links)}"[:4_000])
        flat.append(said)
        length += len(said) + 1
    printed = "\n".join(flat)
    for work in listed:
        names = [_flat(url.partition("://")[2]) for url in work.urls]
        names += [_flat(work.title)] if len(work.title) > 15 else []
        found = next((place for name in names if name and (place := printed.find(name)) >= 0), -1)
        if found < 0:
            parts.entries.append(Entry(work.text, at, links=[(url, "") for url in work.urls]))
        elif not (entry := parts.entries[bisect_right(starts, found) - 1]).links:
            entry.links += [(url, "") for url in work.urls]


def _flat(text: str) -> str:
    return re.sub(r"[\W_]+", " ", text.lower()).strip()


def norm_title(title: str) -> str:
    return norm(title)


def _says_nothing(block: Block) -> bool:
    """Nothing but punctuation, or a label whose value was made of markers alone ("Edible uses: [1][2]")."""
    if not re.search(r"\w", block.text):
        return not re.search(r"[✓✔✗✘☠]", block.text)
    return block.kind in ("definition", "table-row") and bool(block.spans) and bool(_EMPTY_ROW.fullmatch(block.text))


def _passages(blocks: Iterable[Block], title: str, most: int) -> Iterator[Passage]:
    start = made = 0
    for block in blocks:
        headings = tuple(heading for heading in block.headings if norm(heading) != title or not title)
        for text, spans in _pieces(block):
            if made >= most:
                return
            made += 1
            found = sorted(dict.fromkeys(spans), key=lambda span: (span[0], span[1]))  # at one place in their order
            yield Passage(
                text, block.kind, headings, start, block.page, tuple(CitationMark(s, e, key) for s, e, key in found)
            )
            start += len(text) + 2


def _pieces(block: Block) -> Iterator[tuple[str, list[tuple[int, int, str]]]]:
    spans = [(span.start, span.end, span.target) for span in block.spans if span.kind == "mark"]
    text = block.text
    if len(text) <= _LONGEST:
        yield text, spans
        return
    at = 0
    while at < len(text):
        end = min(at + _LONGEST, len(text))
        if end < len(text):
            cut = max(text.rfind(mark, at + _LONGEST // 2, end) for mark in (". ", ".\n"))
            cut = cut + 1 if cut > 0 else max(text.rfind(" ", at + 1, end), text.rfind("\n", at + 1, end))
            end = cut if cut > at else end
        piece = text[at:end]
        lead = len(piece) - len(piece.lstrip())
        here = [
            (max(s, at + lead) - at - lead, min(e, end) - at - lead, key)
            for s, e, key in spans
            if at + lead <= s < end or s < at + lead < e or s == e == end
        ]
        body = piece.strip()
        yield body, [(min(s, len(body)), max(min(s, len(body)), min(e, len(body))), key) for s, e, key in here]
        at = end


def _used(citations: Mapping[str, Citation], passages: tuple[Passage, ...]) -> dict[str, Citation]:
    """Entries of lists all stay; a link stays when its passage did."""
    marked = {mark.key for passage in passages for mark in passage.marks}
    return {key: each for key, each in citations.items() if key in marked or key.startswith("ref-")}
