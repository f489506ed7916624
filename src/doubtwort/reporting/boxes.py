"""The boxes of the trail picture, with their words already broken into lines that fit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from doubtwort.reporting.lettering import wrap
from doubtwort.reporting.view import AuditView, SourceView
from doubtwort.reporting.words import OUTCOME_SAYS

CLAIM = "claim"
SIZE = 12.0  # of letters
LEADING = 16.0
GAP = 22.0  # between boxes of a row
WIDTH = 208.0
CLAIM_WIDTH = 330.0
_PAD = 15.0
_ABOVE = 8.0
_TRACK = 46.0  # of a circle's round, above and below its boxes
_ROW_GAP = 26.0
_MOST_NAMED = 6
_MOST_CITED = 3
_TOLD = {outcome.value: told for outcome, told in OUTCOME_SAYS.items()}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of letters in a box. ``look`` is "", "strong", "quiet" or "warn"."""

    text: str
    look: str = ""


@dataclass(frozen=True, slots=True)
class Inner:
    """A box inside a circle's box, at an offset from its top left corner."""

    box: Box
    left: float
    top: float


@dataclass(frozen=True, slots=True)
class Box:
    """``kind`` is claim, source, fold or circle; ``group`` decides the shape; ``ids`` the sources in it. ``arrows``
    tell, for a circle, after which members the round really leads on to the next."""

    key: str
    kind: str
    group: str
    rows: tuple[Row, ...]
    width: float
    height: float
    ids: tuple[str, ...] = ()
    warns: bool = False
    says: str = ""
    inner: tuple[Inner, ...] = ()
    arrows: tuple[bool, ...] = ()


def is_alarming(source: SourceView) -> bool:
    """Whether a source says anything against eating it: shown before all else, and never folded out of sight."""
    return source.outcome in ("contradicts", "mixed") or any(each.dangerous for each in source.quotes)


def claim_box(view: AuditView, columns: int) -> Box:
    width = min(CLAIM_WIDTH, columns * WIDTH)
    limits = f" [{', '.join(view.conditions)}]" if view.conditions else ""
    rows = [
        *_rows(f"CLAIM · rated {view.rating}", width, 1, "strong"),
        *_rows(f"{view.taxon}: {view.wording}{limits}", width, 2, "strong"),
        *_rows(f"“{view.claim_quote}”", width, 2, "quiet"),
    ]
    return _box(CLAIM, "claim", "claim", rows, width, says=f"The claim: {view.taxon}: {view.wording}, {view.rating}")


def source_box(
    source: SourceView, group: str, *, leads_back: bool = False, cites: Sequence[tuple[str, str]] = ()
) -> Box:
    """``cites`` are (source, shift) of the other members of its circle."""
    rows = [*_rows(f"{source.id} · {source.outcome}", WIDTH, 1, "strong"), *_rows(source.title, WIDTH, 2)]
    warns = is_alarming(source)
    if source.unread:
        said = source.unread.partition(":")[0]
    elif source.says:
        said = f"says: {', '.join(source.says)}"
    else:
        said = _TOLD.get(source.outcome, "")
    rows += _rows(said, WIDTH, 2, "warn" if warns else "strong" if source.says else "")
    if warns and not any("toxic" in each for each in source.says if each != "non-toxic"):
        dangerous = any(each.dangerous for each in source.quotes)
        rows += _rows("a statement in it warns: toxic" if dangerous else "says the opposite", WIDTH, 2, "warn")
    if source.grounds:
        rows += _rows(source.grounds.partition(":")[0], WIDTH, 1, "quiet")
    for target, shift in cites[:_MOST_CITED]:
        rows += _rows(f"cites {target}{f': {shift}' if shift else ''}", WIDTH, 1, "quiet")
    if leads_back:
        rows += _rows("leads back to the claim", WIDTH, 1, "quiet")
    return _box(
        source.id, "source", group, rows, WIDTH, (source.id,), warns, f"{source.id}, {source.outcome}: {source.title}"
    )


def fold_box(key: str, sources: Sequence[SourceView], group: str, *, circles: bool = False) -> Box:
    """Many sources in one box: how many of each outcome, what they say, and the first of their numbers. ``sources``
    come with those first that matter most."""
    count = Counter(each.outcome for each in sources)
    told = ", ".join(f"{many} {outcome}" for outcome, many in count.items())
    said = Counter(word for each in sources for word in each.says)
    warning = sum(1 for each in sources if is_alarming(each))
    named = ", ".join(each.id for each in sources[:_MOST_NAMED])
    head = f"{len(sources)} sources" + (" in one circle" if circles else "")
    rows = [*_rows(head, WIDTH, 1, "strong"), *_rows(told, WIDTH, 3)]
    if said:
        rows += _rows(
            f"say: {', '.join(word for word, _ in said.most_common())}", WIDTH, 2, "warn" if warning else "strong"
        )
    if warning:
        rows += _rows(f"{warning} of them warn" if warning > 1 else "1 of them warns", WIDTH, 1, "warn")
    more = f" and {len(sources) - _MOST_NAMED} more" if len(sources) > _MOST_NAMED else ""
    rows += _rows(f"{named}{more}", WIDTH, 2, "quiet")
    return _box(key, "fold", group, rows, WIDTH, tuple(each.id for each in sources), warning > 0, f"{head}: {told}")


def circle_box(key: str, members: Sequence[Box], pairs: set[tuple[str, str]]) -> Box:
    """A circle: its members stand round it, down on the left and up on the right."""
    half = (len(members) + 1) // 2
    left, right = list(members[:half]), list(reversed(members[half:]))
    width = 2 * WIDTH + GAP + 2 * _PAD
    rows = _rows(f"A circle: {', '.join(each.key for each in members)} lean on each other", width, 2, "strong")
    top = _ABOVE + len(rows) * LEADING + _TRACK
    inner: list[Inner] = []
    for number in range(half):
        beside = [column[number] for column in (left, right) if number < len(column)]
        for box in beside:
            inner.append(Inner(box, _PAD if box in left else _PAD + WIDTH + GAP, top))
        top += max(box.height for box in beside) + _ROW_GAP
    order = {box.key: number for number, box in enumerate(members)}
    inner.sort(key=lambda each: order[each.box.key])
    arrows = tuple((a.key, b.key) in pairs for a, b in zip(members, [*members[1:], members[0]], strict=True))
    ids = tuple(each for box in members for each in box.ids)
    warns = any(box.warns for box in members)
    said = f"A circle of {len(members)} sources: {', '.join(ids)}"
    height = top - _ROW_GAP + _TRACK
    return Box(key, "circle", "circular", tuple(rows), width, height, ids, warns, said, tuple(inner), arrows)


def _rows(text: str, width: float, most: int, look: str = "") -> list[Row]:
    room = width - 2 * _PAD - (SIZE * 1.5 if look == "warn" else 0.0)
    return [Row(line, look) for line in wrap(text, room, SIZE, most, bold=look in ("strong", "warn"))]


def _box(
    key: str,
    kind: str,
    group: str,
    rows: Sequence[Row],
    width: float,
    ids: tuple[str, ...] = (),
    warns: bool = False,
    says: str = "",
) -> Box:
    return Box(key, kind, group, tuple(rows), width, 2 * _ABOVE + len(rows) * LEADING, ids, warns, says)
