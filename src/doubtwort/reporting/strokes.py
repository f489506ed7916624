"""The shapes of the trail picture: outlines of boxes, lines told by their shape, arrows, roots, the ground."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from markupsafe import Markup

from doubtwort.reporting.boxes import GAP, WIDTH, Box

Point = tuple[float, float]
_STEPS = 8
_CUT = 11.0
# Half the breadth of a line at its upper and its lower end: a claim that says more than its source is broad above.
_TAPER = {"strengthened": (4.2, 0.6), "weakened": (0.6, 4.2)}


def stroke(shift: str, points: Sequence[Point]) -> Markup:
    """A line through points: a wedge that narrows (strengthened) or widens (weakened), two rails (kept), dots (nothing
    to compare), or one plain strand ("root")."""
    run = _smooth(points)
    if shift in _TAPER:
        upper, lower = _TAPER[shift]
        total = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(run)) or 1.0
        passed, breadths = 0.0, [upper]
        for a, b in pairwise(run):
            passed += hypot(b[0] - a[0], b[1] - a[1])
            breadths.append(upper + (lower - upper) * passed / total)
        outline = [*_beside(run, breadths), *reversed(_beside(run, [-each for each in breadths]))]
        return Markup('<path class="t-line t-{}" d="{}Z"/>').format(shift, _path(outline))
    if shift == "kept":
        rails = [_path(_beside(run, [side] * len(run))) for side in (2.2, -2.2)]
        return Markup('<path class="t-line t-kept" d="{}"/>').format("".join(rails))
    return Markup('<path class="t-line t-{}" d="{}"/>').format(shift or "none", _path(run))


def _smooth(points: Sequence[Point]) -> list[Point]:
    """Straight where a stretch is upright or level, else an S-curve that leaves and arrives upright."""
    run = [points[0]]
    for (x, y), (u, v) in pairwise(points):
        if abs(x - u) < 0.5 or abs(y - v) < 0.5:
            if (u, v) != run[-1]:
                run.append((u, v))
            continue
        for step in range(1, _STEPS + 1):
            t = step / _STEPS
            run.append((x + (u - x) * t * t * (3 - 2 * t), y + (v - y) * t))
    return run


def _beside(run: Sequence[Point], breadths: Sequence[float]) -> list[Point]:
    """The run moved aside, by its own breadth at each point."""
    moved = []
    for number, ((x, y), breadth) in enumerate(zip(run, breadths, strict=True)):
        a, b = run[max(0, number - 1)], run[min(len(run) - 1, number + 1)]
        long = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        moved.append((x - (b[1] - a[1]) / long * breadth, y + (b[0] - a[0]) / long * breadth))
    return moved


def _path(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def shape(box: Box, left: float, top: float) -> Markup:
    """The outline that tells what a source is worth; a fold has a second sheet behind it."""
    w, h = box.width, box.height
    x, y, u, v = left, top, left + w, top + h
    made: list[Markup] = []
    if box.kind == "fold":
        made.append(
            Markup('<path class="t-behind" d="M{:.1f} {:.1f}H{:.1f}V{:.1f}H{:.1f}"/>').format(
                u, y + 5, u + 5, v + 5, x + 5
            )
        )
    if box.kind == "circle":
        return Markup('<rect class="t-frame" x="{}" y="{}" width="{}" height="{}"/>{}').format(
            x, y, w, h, _round(box, x, y)
        )
    corners: list[Point] = [(x, y), (u, y), (u, v), (x, v)]
    if box.group == "against":
        corners = [
            (x + _CUT, y), (u - _CUT, y), (u, y + _CUT), (u, v - _CUT),
            (u - _CUT, v), (x + _CUT, v), (x, v - _CUT), (x, y + _CUT),
        ]  # fmt: skip
    elif box.group == "narrower":
        corners = [(x, y), (u, y), (u - _CUT, v), (x + _CUT, v)]
    elif box.group == "less":
        corners = [(x, y), (u, y), (u, v - 2 * _CUT), (u - 2 * _CUT, v), (x, v)]
    if box.group == "circular":
        made.append(
            Markup(
                '<rect class="t-box t-circular" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" rx="20"/>'
            ).format(x, y, w, h)
        )
    else:
        made.append(Markup('<path class="t-box t-{}" d="{}Z"/>').format(box.group, _path(corners)))
    if box.group in ("bears", "claim"):
        made.append(
            Markup('<rect class="t-second" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}"/>').format(
                x + 3, y + 3, w - 6, h - 6
            )
        )
    return Markup("").join(made)


def heavy(left: float, top: float, wide: float, high: float) -> Markup:
    """The outline that shows which link has the keyboard."""
    return Markup('<rect class="t-focus" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}"/>').format(
        left - 4, top - 4, wide + 8, high + 8
    )


def _round(box: Box, left: float, top: float) -> Markup:
    """A circle's round: down through the left column, up through the right, with arrows where it really leads on."""
    first = box.inner[0]
    x = left + first.left + WIDTH / 2
    u = x + WIDTH + GAP
    bend = (u - x) / 2
    highest = top + min(each.top for each in box.inner)
    lowest = top + max(each.top + each.box.height for each in box.inner)
    lift = 30.0
    made = [
        Markup(
            '<path class="t-round" d="M{x:.1f} {a:.1f}A{r:.1f} {l:.1f} 0 0 1 {u:.1f} {a:.1f}'
            'V{b:.1f}A{r:.1f} {l:.1f} 0 0 1 {x:.1f} {b:.1f}Z"/>'
        ).format(x=x, u=u, a=highest, b=lowest, r=bend, l=lift)
    ]
    members = len(box.inner)
    half = (members + 1) // 2
    for number, leads in enumerate(box.arrows):
        if not leads:
            continue
        there = box.inner[(number + 1) % members]
        if number == half - 1:
            made.append(arrow((x + u) / 2 + 5, lowest + lift, "right"))
        elif number == members - 1:
            made.append(arrow((x + u) / 2 - 5, highest - lift, "left"))
        elif number < half:
            made.append(arrow(x, top + there.top - 1, "down"))
        else:
            made.append(arrow(u, top + there.top + there.box.height + 1, "up"))
    return Markup("").join(made)


def arrow(x: float, y: float, way: str) -> Markup:
    """An arrowhead with its tip at (x, y)."""
    back, aside = {
        "left": ((9, 0), (0, 5)), "right": ((-9, 0), (0, 5)), "down": ((0, -9), (5, 0)), "up": ((0, 9), (5, 0)),
    }[way]  # fmt: skip
    points = [
        (x, y),
        (x + back[0] + aside[0], y + back[1] + aside[1]),
        (x + back[0] - aside[0], y + back[1] - aside[1]),
    ]
    return Markup('<path class="t-arrow" d="{}Z"/>').format(_path(points))


def triangle(left: float, top: float) -> Markup:
    """The sign before words that warn: a triangle that stands on its base, with a stroke and a point in it."""
    outline = [(left, top + 11), (left + 6.5, top), (left + 13, top + 11)]
    inside = Markup('<path class="t-in-sign" d="M{x:.1f} {a:.1f}V{b:.1f}M{x:.1f} {c:.1f}v1"/>')
    return Markup('<path class="t-sign" d="{}Z"/>{}').format(
        _path(outline), inside.format(x=left + 6.5, a=top + 4, b=top + 7.4, c=top + 8.8)
    )


def tuft(x: float, y: float) -> Markup:
    """The end of a root."""
    return Markup('<path class="t-root" d="M{0:.1f} {1:.1f}l-7 10M{0:.1f} {1:.1f}v12M{0:.1f} {1:.1f}l7 10"/>').format(
        x, y
    )


def ground(left: float, right: float, y: float) -> Markup:
    """The ground line, hatched below."""
    hatches = "".join(f"M{x:.0f} {y:.1f}l-5 5" for x in range(int(left) + 10, int(right), 12))
    return Markup('<path class="t-ground" d="M{:.1f} {:.1f}H{:.1f}"/><path class="t-hatch" d="{}"/>').format(
        left, y, right, hatches
    )
