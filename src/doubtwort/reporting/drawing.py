"""The trail as an SVG picture: claim at the top, its sources below, the roots at the ground line.

Every box is told by its shape and its words, every line by its shape and its label; colour only repeats them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from doubtwort.reporting.boxes import CLAIM, GAP, LEADING, SIZE, Box
from doubtwort.reporting.figure import SEVERAL, Figure, Line, figure_of
from doubtwort.reporting.layers import Cell, Layout, Link, lay_out
from doubtwort.reporting.lettering import width, wrap
from doubtwort.reporting.plaintext import anchor, clean
from doubtwort.reporting.strokes import arrow, ground, heavy, shape, stroke, triangle, tuft
from doubtwort.reporting.view import AuditView
from doubtwort.text import one_line

COLUMNS = 4
NARROW_COLUMNS = 2
_MARGIN = 14.0
_GAP_DOWN = 30.0
_LANE = 26.0
_LABEL_HEIGHT = 16.0
_SMALL = 11.0
_NARROWEST = 320.0
_LEGEND = {
    "strengthened": "strengthened: cited for more than it says",
    "kept": "kept: cited for what it says",
    "weakened": "weakened: cited for less than it says",
    "": "dotted: nothing to compare",
    SEVERAL: "plain: several that differ",
}
_LONGEST_DESCRIPTION = 1_500


@dataclass(frozen=True, slots=True)
class Picture:
    """``svg`` is one <svg> element, without a style sheet of its own unless it was drawn to stand alone."""

    svg: Markup
    width: float
    height: float
    shown: int
    folded: int

    @property
    def least(self) -> int:
        """The width below which its letters would become too small to read, in hundreds of pixels: it is never shown
        narrower, but scrolls."""
        return min(16, max(3, int(self.width * 0.8 / 100)))


@dataclass(slots=True)
class _Sheet:
    """Where everything lies."""

    layout: Layout
    tops: list[float]
    heights: list[float]
    level_of: dict[str, int]
    left: float
    wide: float


def draw_trail(
    view: AuditView, columns: int = COLUMNS, *, name: str = "trail", style: str = "", links: bool = True
) -> Picture:
    """The picture, at most ``columns`` boxes wide. ``name`` sets its ids apart from others on the page; ``style`` is a
    style sheet for a picture that stands alone; ``links`` lead to "#s1", "#s2", … and "#sources"."""
    figure = figure_of(view, columns)
    sheet = _arrange(figure)
    parts: list[Markup] = []
    routes = _routes(figure, sheet)
    for line in figure.lines:
        parts.append(stroke(line.shift, _points(routes[(line.origin, line.target), _label_key(line)], figure, sheet)))
    bottom, rooted = _roots(figure, sheet, routes)
    parts += rooted
    parts += _labels(figure, sheet)
    parts += _back(figure, sheet)
    for key, box in figure.boxes.items():
        parts.append(_drawn(box, _left(key, sheet, figure), sheet.tops[sheet.level_of[key]], links))
    bottom, written = _notes(figure, bottom, sheet.wide)
    parts += written
    title, told = _words(view, figure)
    folded = sum(len(box.ids) for box in figure.boxes.values() if box.kind == "fold")
    shown = sum(len(box.ids) for box in figure.boxes.values()) - folded
    svg = Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" class="trail" viewBox="0 0 {w:.0f} {h:.0f}" width="{w:.0f}" '
        'height="{h:.0f}" role="{role}" aria-labelledby="{name}-title" aria-describedby="{name}-desc">'
        '<title id="{name}-title">{title}</title><desc id="{name}-desc">{told}</desc>{style}'
        '<rect class="t-paper" width="{w:.0f}" height="{h:.0f}"/>{body}</svg>'
    ).format(
        w=sheet.wide, h=bottom, role="group" if links else "img", name=name, title=title, told=told,
        style=Markup("<style>{}</style>").format(Markup(style)) if style else "", body=Markup("\n").join(parts),
    )  # fmt: skip
    return Picture(svg, sheet.wide, bottom, shown, folded)


def draw_thumbnail(view: AuditView) -> Markup:
    """The picture's shapes and lines alone, for a list that says the rest in words."""
    figure = figure_of(view, COLUMNS)
    sheet = _arrange(figure)
    routes = _routes(figure, sheet)
    parts = [
        stroke(line.shift, _points(routes[(line.origin, line.target), _label_key(line)], figure, sheet))
        for line in figure.lines
    ]
    bottom, rooted = _roots(figure, sheet, routes)
    parts += [*rooted, *_back(figure, sheet)]
    for key, box in figure.boxes.items():
        left, top = _left(key, sheet, figure), sheet.tops[sheet.level_of[key]]
        parts.append(shape(box, left, top))
        parts += [shape(each.box, left + each.left, top + each.top) for each in box.inner]
    return Markup(
        '<svg class="trail thumb" viewBox="0 0 {:.0f} {:.0f}" aria-hidden="true" focusable="false">{}</svg>'
    ).format(sheet.wide, bottom, Markup("").join(parts))


def _label_key(line: Line) -> str:
    return f"{line.target}<{'; '.join(line.label)}" if line.label else ""


def _routes(figure: Figure, sheet: _Sheet) -> Mapping[tuple[tuple[str, str], str], tuple[str, ...]]:
    keys = [((line.origin, line.target), _label_key(line)) for line in figure.lines]
    keys += [((key, f"ground-{key}"), "") for key in _rooted(figure)]
    return dict(zip(keys, sheet.layout.routes, strict=True))


def _rooted(figure: Figure) -> list[str]:
    return list(dict.fromkeys(key for group in figure.roots for key in group))


def _arrange(figure: Figure) -> _Sheet:
    cells = {key: Cell(key, box.width, box.height) for key, box in figure.boxes.items()}
    for line in figure.lines:
        if line.label:
            wide = max(width(each, _SMALL) for each in line.label) + 10
            cells[_label_key(line)] = Cell(_label_key(line), wide, _LABEL_HEIGHT * len(line.label))
    ranks = dict(figure.ranks)
    last = max(ranks.values()) + 1
    links = [Link(line.origin, line.target, _label_key(line)) for line in figure.lines]
    for key in _rooted(figure):
        cells[f"ground-{key}"] = Cell(f"ground-{key}", 16.0, 0.0)
        ranks[f"ground-{key}"] = last
        links.append(Link(key, f"ground-{key}"))
    layout = lay_out(cells, ranks, links, GAP)
    tops, heights = [], []
    down = _MARGIN
    for level in layout.levels:
        high = max((cells[key].height for key in level if key in cells), default=0.0)
        tops.append(down)
        heights.append(high)
        down += high + (_GAP_DOWN if high else _GAP_DOWN / 2)
    right = max(layout.across[key] + (cells[key].width / 2 if key in cells else 0) for key in layout.across)
    lane = _LANE if figure.back else 0.0
    wide = max(_NARROWEST, right + 2 * _MARGIN + 2 * lane)
    level_of = {key: number for number, level in enumerate(layout.levels) for key in level}
    return _Sheet(layout, tops, heights, level_of, (wide - right) / 2, wide)


def _left(key: str, sheet: _Sheet, figure: Figure) -> float:
    return sheet.left + sheet.layout.across[key] - figure.boxes[key].width / 2


def _middle(key: str, sheet: _Sheet) -> float:
    return sheet.left + sheet.layout.across[key]


def _points(route: tuple[str, ...], figure: Figure, sheet: _Sheet) -> list[tuple[float, float]]:
    """From the foot of the first box, straight down through each level, to the top of the last."""
    first, *passed, last = route
    level = sheet.level_of[first]
    at = _middle(first, sheet)
    points = [(at, sheet.tops[level] + figure.boxes[first].height), (at, sheet.tops[level] + sheet.heights[level])]
    for key in passed:
        level = sheet.level_of[key]
        points += [
            (_middle(key, sheet), sheet.tops[level]),
            (_middle(key, sheet), sheet.tops[level] + sheet.heights[level]),
        ]
    end = _middle(last, sheet)
    if last in figure.boxes and passed:  # several lines into one box come in side by side
        reach = figure.boxes[last].width / 2 - 24
        end += max(-reach, min(reach, (_middle(passed[-1], sheet) - end) * 0.6))
    points.append((end, sheet.tops[sheet.level_of[last]]))
    return points


def _labels(figure: Figure, sheet: _Sheet) -> list[Markup]:
    """Each label once, on paper of its own, so that the line behind it does not cross the letters."""
    made: list[Markup] = []
    for key, line in {_label_key(line): line for line in figure.lines if line.label}.items():
        top, middle = sheet.tops[sheet.level_of[key]], _middle(key, sheet)
        wide = max(width(each, _SMALL) for each in line.label) + 6
        high = _LABEL_HEIGHT * len(line.label)
        made.append(
            Markup('<rect class="t-paper" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}"/>').format(
                middle - wide / 2, top, wide, high
            )
        )
        made += [
            Markup('<text class="t-label t-{}" x="{:.1f}" y="{:.1f}">{}</text>').format(
                line.shift, middle, top + _LABEL_HEIGHT * number + 12, clean(each)
            )
            for number, each in enumerate(line.label)
        ]
    return made


def _back(figure: Figure, sheet: _Sheet) -> list[Markup]:
    """Sources that lead back to the claim: one lane up the right edge."""
    if not figure.back:
        return []
    lane = sheet.wide - _MARGIN
    claim = figure.boxes[CLAIM]
    high = sheet.tops[0] + claim.height / 2
    lowest = high
    made = []
    for key in figure.back:
        level = sheet.level_of[key]
        foot = sheet.tops[level] + figure.boxes[key].height
        run = sheet.tops[level] + sheet.heights[level] + 8
        lowest = max(lowest, run)
        at = _middle(key, sheet) + figure.boxes[key].width / 2 - 20
        made.append(Markup('<path class="t-back" d="M{0:.1f} {1:.1f}V{2:.1f}H{3:.1f}"/>').format(at, foot, run, lane))
    end = _left(CLAIM, sheet, figure) + claim.width
    made.append(
        Markup('<path class="t-back" d="M{0:.1f} {1:.1f}V{2:.1f}H{3:.1f}"/>').format(lane, lowest, high, end + 9)
    )
    made.append(arrow(end + 1, high, "left"))
    return made


def _roots(
    figure: Figure, sheet: _Sheet, routes: Mapping[tuple[tuple[str, str], str], tuple[str, ...]]
) -> tuple[float, list[Markup]]:
    """The ground line, a strand from each root down to it, and below it what counts as one root joined."""
    rooted = _rooted(figure)
    last = len(sheet.tops) - 1
    level = sheet.tops[last] + sheet.heights[last] + (14.0 if figure.back or not rooted else 0.0)
    made = [ground(0.0, sheet.wide, level)]
    joined = list(dict.fromkeys(group for group in figure.roots if len(group) > 1))
    depth = level + 16.0 + 12.0 * len(joined)
    for key in rooted:
        points = _points(routes[(key, f"ground-{key}"), ""], figure, sheet)
        made.append(stroke("root", points))
        at, end = points[-1]
        rows = [number for number, group in enumerate(joined) if key in group]
        reach = level + 16.0 + 12.0 * rows[-1] if rows else level + 8.0
        made.append(Markup('<path class="t-root" d="M{0:.1f} {1:.1f}V{2:.1f}"/>').format(at, end, reach))
        if (key,) in figure.roots or not rows:
            made.append(tuft(at, reach))
    for number, group in enumerate(joined):
        down = level + 16.0 + 12.0 * number
        ends = sorted(_middle(f"ground-{key}", sheet) for key in group)
        made.append(Markup('<path class="t-join" d="M{0:.1f} {1:.1f}H{2:.1f}"/>').format(ends[0], down, ends[-1]))
        made.append(tuft((ends[0] + ends[-1]) / 2, down))
    return depth + 18.0, made


def _drawn(box: Box, left: float, top: float, links: bool) -> Markup:
    """A box with its words, as a link where links are wanted. Words are cut off at the box in any case."""
    body = [shape(box, left, top)]
    inside: list[Markup] = []
    down = 8.0
    for row in box.rows:
        indent = 15.0
        if row.look == "warn":
            if not any("t-sign" in each for each in inside):
                inside.append(triangle(indent, down + 2.5))
            indent += SIZE * 1.5
        inside.append(
            Markup('<text class="t-words{}" x="{:.1f}" y="{:.1f}">{}</text>').format(
                f" t-{row.look}" if row.look else "", indent, down + 12, clean(row.text)
            )
        )
        down += LEADING
    body.append(
        Markup('<svg x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}">{}</svg>').format(
            left, top, box.width, box.height, Markup("\n").join(inside)
        )
    )
    body += [_drawn(each.box, left + each.left, top + each.top, links) for each in box.inner]
    if not links or box.kind == "circle":
        return Markup("<g>{}</g>").format(Markup("").join(body))
    target = {"claim": "claim", "fold": "sources"}.get(box.kind) or anchor(box.key)
    # The name that is read out is the words that are seen (WCAG 2.2, 2.5.3).
    said = clean(" ".join(row.text for row in box.rows))
    return Markup('<a class="t-link" href="#{}" aria-label="{}">{}{}</a>').format(
        target, said, heavy(left, top, box.width, box.height), Markup("").join(body)
    )


def _notes(figure: Figure, top: float, wide: float) -> tuple[float, list[Markup]]:
    """Below the ground: which roots there are, what was folded, and what the lines mean."""
    made: list[Markup] = []
    room = wide - 2 * _MARGIN
    down = top + 4
    for note in figure.notes:
        for line in wrap(clean(note), room, _SMALL, 5):
            down += 15
            made.append(Markup('<text class="t-note" x="{:.1f}" y="{:.1f}">{}</text>').format(_MARGIN, down, line))
        down += 3
    used = [shift for shift in _LEGEND if any(line.shift == shift for line in figure.lines)]
    across, down = _MARGIN, down + 18
    for shift in used:
        need = 48 + width(_LEGEND[shift], _SMALL)
        if across > _MARGIN and across + need > wide - _MARGIN:
            across, down = _MARGIN, down + 18
        made.append(stroke(shift, [(across, down - 4), (across + 34, down - 4)]))
        made.append(
            Markup('<text class="t-note" x="{:.1f}" y="{:.1f}">{}</text>').format(across + 42, down, _LEGEND[shift])
        )
        across += need + 18
    return down + _MARGIN, made


def _words(view: AuditView, figure: Figure) -> tuple[str, str]:
    """Title and description for those who do not see the picture."""
    taxon = one_line(clean(view.taxon), 120)
    told = [f"{len(view.sources)} sources were read, {len(view.unread)} were not."]
    told += [f"{box.says}{', warns' if box.warns else ''}." for box in figure.boxes.values() if box.kind != "claim"]
    told += figure.notes
    return (
        f"Trail of the claim “{taxon}: {view.wording}”, rated {view.rating}",
        one_line(clean(" ".join(told)), _LONGEST_DESCRIPTION),
    )
