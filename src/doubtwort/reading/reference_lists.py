"""Takes the entries of reference lists and footnotes out of a page's blocks.

An entry is known by a marker that links to it, by the list's role or class, or by the list's heading. A list under
"Notes" may as well be notes on the plant: what does not read like references stays text.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise

from doubtwort.reading.blocks import Block, Span
from doubtwort.reading.words import (
    FURTHER_HEADINGS,
    NOTE_HEADINGS,
    REFERENCE_HEADINGS,
    RELATED_HEADINGS,
)

_LIST_HEADINGS = REFERENCE_HEADINGS | NOTE_HEADINGS | FURTHER_HEADINGS | RELATED_HEADINGS
_LABEL = re.compile(
    r"^[\s↑^⇑•]*(?:\[\s*(?P<a>\w{1,5}|[A-Za-z][\w+]{2,8})\s*\]|\(\s*(?P<b>\w{1,3})\s*\)|(?P<c>\d{1,3})\s*[.):;](?!\d)|(?P<d>[*†‡§¶]{1,3})"
    r"|(?P<e>\d{1,3})(?=\s+[“\"A-ZÀ-Ž]))[\s:.;↑^]*"
)
_BACK = re.compile(
    r"^[\s↑^⇑]+(?:(?:\d+\.\d+|[a-z]{1,2})[\s,]+)*(?=\S)|[\s↩↑⇑\ufe0e\ufe0f]+$|^jump up(?: to:?)?\s*[\^:]*\s*", re.I
)
MARKER = re.compile(
    r"[\[(]?\s*(?:(?:note|fn|ref|n)\.?\s*)?(?:\d{1,3}|[a-zA-Z]{1,2}|[ivxlcIVXLC]{1,6}|[*†‡§¶#]{1,4})\s*[\])]?",
    re.IGNORECASE,
)
YEAR = re.compile(r"(?<!\d)(?:1[5-9]|20)\d\d[a-z]?(?!\d)")
_LIKE = re.compile(
    r"https?://|www\.|\bdoi\b|\bISBN\b|(?<!\d)10\.\d{4,9}/|\bpp?\.\s*\d|\bvol\.|\bibid\b|\bop\.? ?cit|"
    r"\bpers(?:onal)?\.? comm|\bet al\b|\b(?:press|publish(?:ers?|ing)|verlag|journal|handbook|university|edition|"
    r"ed\.|eds\.)\b|^\s*(?:see|cf\.?|from|after|in)\s",
    re.IGNORECASE,
)
_SHORT = re.compile(r"^\W*(?:[A-ZÀ-Ž][^\W\d_]+[\s,&.]*(?:and|et al|[A-Z]\.)?[\s,&.]*){1,5}[(,\s]*(?:1[5-9]|20)\d\d")
_AUTHOR = re.compile(r"^[\W\d]*[A-ZÀ-Ž][^\W\d_]+,?\s+(?:[A-ZÀ-Ž]\.|[A-ZÀ-Ž]{1,3}(?=[\s,.]))")


_MOST_IN_ONE_BLOCK = 2_000  # notes set in one paragraph; what follows belongs to the last


@dataclass(slots=True)
class Entry:
    """One entry: its text without labels and back-links, the addresses that it links to, the ids that lead to it.
    ``at`` is the index of its first block. ``inner`` are ids on the page that the entry itself links to. ``label`` is
    what is printed before it: "3", "Ald98"."""

    text: str
    at: int
    ids: set[str] = field(default_factory=set)
    links: list[tuple[str, str]] = field(default_factory=list)
    inner: list[str] = field(default_factory=list)
    number: int | None = None
    further: bool = False
    label: str = ""


@dataclass(frozen=True, slots=True)
class Marker:
    """A link in the text to an entry: block index, span, and the id that it leads to."""

    block: int
    span: Span
    target: str


@dataclass(slots=True)
class Split:
    """What is left as text (index → block, in order), the entries, and the markers that lead to them."""

    blocks: dict[int, Block]
    entries: list[Entry]
    markers: list[Marker]


def split(blocks: list[Block]) -> Split:
    """Parts text from entries of reference lists."""
    blocks = [piece for block in blocks for piece in _lines(block)]
    places: dict[str, tuple[int, int]] = {}
    for at, block in enumerate(blocks):
        for offset, name in block.anchors:
            places.setdefault(name, (at, offset))
    groups = _groups(blocks)
    zones = [block.zone or _zone(block) for block in blocks]
    markers = _markers(blocks, places, groups, zones)
    cuts: dict[int, set[int]] = {}
    for marker in markers:
        at, offset = places[marker.target]
        cuts.setdefault(at, set()).add(offset)
    entries: list[Entry] = []
    taken: set[int] = set()
    notes: set[int] = set()
    for at in sorted(cuts):
        if at in taken or at in notes:
            continue
        offsets = sorted(cuts[at])[:_MOST_IN_ONE_BLOCK]
        members = groups[at]
        if len(offsets) > 1 and len(members) == 1:
            block = blocks[at]
            bounds = [*offsets, len(block.text)]
            for start, end in pairwise(bounds):
                _take([block.part(start, end)], at, entries, places)
            taken.add(at)
        elif zones[at] == "references" or _reads_like(blocks, members):
            _take([blocks[each] for each in members], members[0], entries, places)
            taken.update(members)
        else:
            notes.update(members)
    for zone in _runs(zones):
        _take_zone(zone, zones[zone[0]], blocks, groups, taken, notes, entries, places)
    entries.sort(key=lambda entry: entry.at)
    known = {name for entry in entries for name in entry.ids}
    left = {at: block for at, block in enumerate(blocks) if at not in taken}
    for at in notes:
        _clean(left[at], places, at)
    _drop_headings(left, blocks, taken)
    commentary = {name for at in notes for _, name in blocks[at].anchors}
    kept = [marker for marker in markers if marker.target in known or marker.target in commentary]
    return Split(left, entries, kept)


def _lines(block: Block) -> list[Block]:
    """A list set as one paragraph with line breaks, parted; a block whose lines are merely wrapped stays whole."""
    zone = block.zone or _zone(block)
    if zone not in ("references", "notes", "further") or block.level or "\n" not in block.text:
        return [block]
    starts = [0, *(match.end() for match in re.finditer("\n", block.text))]
    lines = [block.text[start:end] for start, end in pairwise([*starts, len(block.text)])]
    labels = [_LABEL.match(line) for line in lines]
    numbers = [label and next((v for v in label.groupdict().values() if v), "") for label in labels]
    first = next((int(each) for each in numbers[:1] if each and each.isdigit()), None)
    if first is not None and any(number == str(first + 1) for number in numbers):
        begins, wanted = [], first
        for start, number in zip(starts, numbers, strict=True):
            if number == str(wanted):
                begins.append(start)
                wanted += 1
    elif block.page is None and all(
        _SHORT.match(line) or (_AUTHOR.match(line) and YEAR.search(line)) for line in lines
    ):
        begins = starts
    else:
        return [block]
    ends = [*begins[1:], len(block.text)]
    return [_stripped(block.part(start, end)) for start, end in zip(begins, ends, strict=True)]


def _stripped(block: Block) -> Block:
    block.text = block.text.rstrip()
    block.number = None
    return block


def norm(heading: str) -> str:
    return re.sub(r"[\W\d_]+", "", heading[:120]).lower()


def _zone(block: Block) -> str:
    for heading in reversed(block.headings):
        name = norm(heading)
        if name in REFERENCE_HEADINGS:
            return "references"
        if name in NOTE_HEADINGS:
            return "notes"
        if name in FURTHER_HEADINGS:
            return "further"
        if name in RELATED_HEADINGS:
            return "related"
    return ""


def _groups(blocks: list[Block]) -> list[list[int]]:
    """For every block the indexes of the blocks of the same list item or footnote."""
    groups: list[list[int]] = []
    for at, block in enumerate(blocks):
        if at and block.owner and block.owner == blocks[at - 1].owner and not block.level:
            groups[-1].append(at)
            groups.append(groups[-1])
        else:
            groups.append([at])
    return groups


def _markers(
    blocks: list[Block], places: dict[str, tuple[int, int]], groups: list[list[int]], zones: list[str]
) -> list[Marker]:
    backs: dict[int, set[int]] = {}  # entry block -> blocks that its links lead back to
    for at, block in enumerate(blocks):
        for span in block.spans:
            if span.kind == "anchor" and span.target in places:
                backs.setdefault(groups[at][0], set()).add(places[span.target][0])
    found: list[Marker] = []
    for at, block in enumerate(blocks):
        raised = sorted((span for span in block.spans if span.kind == "sup"), key=lambda span: span.end)
        ends = [span.end for span in raised]
        for span in block.spans:
            if span.kind != "anchor" or span.hint == "back" or span.target not in places:
                continue
            text = block.covered(span)
            sup = bisect_left(ends, span.end) < len(raised) and raised[bisect_left(ends, span.end)].start <= span.start
            strong = sup or span.hint == "note"
            if len(text) > 80 or not (strong or MARKER.fullmatch(text.strip()) or YEAR.search(text)):
                continue
            there, offset = places[span.target]
            target = blocks[there]
            if groups[there][0] == groups[at][0] or (target.level and not zones[there]):
                continue
            if there < at and zones[there] not in ("references", "notes"):
                continue
            if zones[at] in ("references", "notes") and there < at and not zones[there]:
                continue
            label = _LABEL.match(target.text[offset : offset + 60])
            same = label is not None and _bare(label.group()) == _bare(text) and (strong or not text.strip().isalnum())
            back = at in backs.get(groups[there][0], ())
            in_list = zones[there] in ("references", "notes")
            if (in_list or back or same or strong) and len(_bare(target.text[offset : offset + 400])) > 2:
                found.append(Marker(at, span, span.target))
    return found


def _bare(text: str) -> str:
    return re.sub(r"[\W_]+", "", text).lower()


def _reads_like(blocks: list[Block], members: list[int]) -> bool:
    return any(reads_like_reference(blocks[at]) for at in members)


def reads_like_reference(block: Block) -> bool:
    """Names a work: a link, an identifier, pages, or an author with a year. A remark on the text does not."""
    if any(span.kind == "link" for span in block.spans):
        return True
    text = block.text[:1500]
    body = _LABEL.sub("", text)
    if _LIKE.search(body) or _SHORT.search(body):
        return True
    return bool(YEAR.search(body) and (_AUTHOR.search(body) or len(body) < 400)) or bool(_AUTHOR.search(body))


def _runs(zones: list[str]) -> list[list[int]]:
    runs: list[list[int]] = []
    for at, zone in enumerate(zones):
        if zone and runs and runs[-1][-1] == at - 1 and zones[at - 1] == zone:
            runs[-1].append(at)
        elif zone:
            runs.append([at])
    return runs


def _take_zone(
    zone: list[int],
    kind: str,
    blocks: list[Block],
    groups: list[list[int]],
    taken: set[int],
    notes: set[int],
    entries: list[Entry],
    places: dict[str, tuple[int, int]],
) -> None:
    items: list[list[int]] = []
    for at in zone:
        if not blocks[at].level and (not items or items[-1] is not groups[at]):
            items.append(groups[at])
    fresh = [item for item in items if not taken.intersection(item) and not notes.intersection(item)]
    if not fresh:
        return
    kinds = Counter(blocks[item[0]].kind for item in items)
    usual, often = kinds.most_common(1)[0]
    if kind == "references" and often >= 0.7 * len(items):
        # What stands below the list under no heading of its own (an imprint) is no entry.
        fresh = [item for item in fresh if blocks[item[0]].kind == usual]
    labelled = [item for item in items if _LABEL.match(blocks[item[0]].text)]
    if kind == "references" and len(labelled) >= 0.6 * len(items):
        fresh = [item for item in fresh if item in labelled]
    like = [item for item in fresh if _reads_like(blocks, item)]
    linked = len(items) - len(fresh)
    if kind == "references":
        accepted = fresh if linked or len(like) >= 0.4 * len(fresh) else like if _listed(blocks, fresh) else []
    elif kind == "notes":
        accepted = like if linked or len(like) >= 0.6 * len(fresh) else []
    else:
        accepted = [item for item in like if len(blocks[item[0]].text) < 600]
    if kind == "related":
        # Links to other pages of the site: neither text nor sources.
        taken.update(at for item in like for at in item if len(blocks[at].text) < 300)
        return
    for item in accepted:
        if kind != "further" and len(blocks[item[0]].text) > 2500:
            continue
        _take([blocks[at] for at in item], item[0], entries, places, further=kind == "further")
        taken.update(item)


def _listed(blocks: list[Block], items: list[list[int]]) -> bool:
    return all(blocks[item[0]].kind in ("list-item", "table-row", "definition") for item in items)


def _take(
    parts: list[Block],
    at: int,
    entries: list[Entry],
    places: dict[str, tuple[int, int]],
    further: bool = False,
) -> None:
    texts: list[str] = []
    entry = Entry("", at, further=further)
    for part in parts:
        entry.ids.update(name for _, name in part.anchors)
        entry.links += [(span.target, part.covered(span)) for span in part.spans if span.kind == "link"]
        entry.inner += [span.target for span in part.spans if span.kind == "anchor"]
        if entry.number is None:
            entry.number = part.number
        copy = part.part(0, len(part.text))
        label = _clean(copy, places, at)
        entry.label = entry.label or label
        if entry.number is None and label.isdigit():
            entry.number = int(label)
        texts.append(copy.text)
    entry.text = "\n".join(filter(None, texts))
    if entry.text or entry.links:
        entries.append(entry)


def _clean(block: Block, places: dict[str, tuple[int, int]], at: int) -> str:
    """Takes back-links and the label off an entry's text; returns the label ("3")."""
    cut: list[tuple[int, int]] = []
    for span in block.spans:
        if span.kind == "anchor" and (span.hint == "back" or len(block.covered(span)) <= 12):
            where = places.get(span.target)
            if where is None or where[0] < at or span.hint == "back":
                cut.append((span.start, span.end))
    first = _LABEL.match(block.text)
    label = first and next((value for value in first.groupdict().values() if value), "")
    block.cut(cut)
    while True:
        found = _BACK.search(block.text)
        if not found or found.end() == found.start():
            break
        block.cut([found.span()])
    match = _LABEL.match(block.text)
    if match and match.end() < len(block.text):
        label = label or next((value for value in match.groupdict().values() if value), "")
        block.cut([(0, match.end())])
    if block.text[:1] in (";", ":", ".", ",", "]", ")"):
        block.cut([(0, len(block.text) - len(block.text.lstrip(";:.,]) ")))])
    return label or ""


def _drop_headings(left: dict[int, Block], blocks: list[Block], taken: set[int]) -> None:
    """A heading over entries ("References") goes with them; what is left below stands under the heading above."""
    for at in sorted(left, reverse=True):
        if not blocks[at].level:
            continue
        end = at + 1
        while end < len(blocks) and (not blocks[end].level or blocks[end].level > blocks[at].level):
            end += 1
        inside = range(at + 1, end)
        rest = [each for each in inside if each in left]
        names_list = norm(blocks[at].text) in _LIST_HEADINGS
        if not any(each in taken for each in inside) or (rest and not names_list):
            continue
        del left[at]
        for each in rest:
            left[each].headings = tuple(name for name in left[each].headings if name != blocks[at].text)
