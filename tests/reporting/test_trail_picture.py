"""The trail picture: every source in one box, nothing over anything else, warnings never folded out of sight."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from large_audits import HARD, hostile, many, ring
from sample_audits import ALL, CONTRADICTED, STRETCHED

from doubtwort.model import Outcome, Step, Wording
from doubtwort.reporting.boxes import CLAIM, is_alarming
from doubtwort.reporting.drawing import draw_thumbnail, draw_trail
from doubtwort.reporting.figure import DEEPEST, GROUP_OF, GROUPS, figure_of
from doubtwort.reporting.layers import Cell, Link, lay_out
from doubtwort.reporting.lettering import fit, width, wrap
from doubtwort.reporting.view import view_audit

SHOWN = {**{audit.rating.value: audit for audit in ALL}, **HARD}
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("columns", [2, 4])
@pytest.mark.parametrize("name", SHOWN)
def test_every_source_stands_in_one_box(name, columns):
    view = view_audit(SHOWN[name])
    figure = figure_of(view, columns)
    found = sorted(each for box in figure.boxes.values() for each in box.ids)
    assert found == sorted(each.id for each in (*view.sources, *view.unread))


@pytest.mark.parametrize("columns", [2, 4])
@pytest.mark.parametrize("name", SHOWN)
def test_no_warning_is_folded_out_of_sight(name, columns):
    view = view_audit(SHOWN[name])
    warning = {each.id for each in view.sources if is_alarming(each)}
    for box in figure_of(view, columns).boxes.values():
        assert box.warns == bool(warning.intersection(box.ids))
        if box.warns and box.kind != "circle":
            assert any(row.look == "warn" for row in box.rows)


@pytest.mark.parametrize("columns", [2, 3, 4])
def test_rows_are_no_wider_than_asked_for(columns):
    for audit in (many(60), many(200, 3), many(60, flat=True)):
        figure = figure_of(view_audit(audit), columns)
        for rank in set(figure.ranks.values()):
            assert sum(1 for each in figure.ranks.values() if each == rank) <= columns


def test_a_small_trail_is_not_folded_and_says_nothing_of_folding():
    figure = figure_of(view_audit(CONTRADICTED), 4)
    assert not any(box.kind == "fold" for box in figure.boxes.values())
    assert not any("Folded" in each for each in figure.notes)


def test_folding_is_said():
    figure = figure_of(view_audit(many(60)), 4)
    folded = [box for box in figure.boxes.values() if box.kind == "fold"]
    count = sum(len(box.ids) for box in folded)
    assert any(
        each.startswith(f"Folded: {count} of 60 sources stand together in {len(folded)} boxes") for each in figure.notes
    )


def test_every_outcome_has_its_shape():
    assert set(GROUP_OF) == {each.value for each in Outcome}
    assert len(GROUPS) == 7


def test_lines_lead_downwards_and_back_to_the_claim_apart():
    figure = figure_of(view_audit(CONTRADICTED), 4)
    assert all(figure.ranks[line.origin] < figure.ranks[line.target] for line in figure.lines)
    assert figure.back == ("circle-s1",)


def test_roots_stand_in_the_last_row():
    figure = figure_of(view_audit(many(30)), 4)
    last = max(figure.ranks.values())
    ends = {each for group in figure.roots for each in group} - {line.origin for line in figure.lines}
    assert ends
    assert all(figure.ranks[each] == last for each in ends)


def test_a_long_trail_ends_in_one_row():
    ids = [f"s{number}" for number in range(1, 61)]
    chain = tuple(Step(a, b) for a, b in zip(["claim", *ids], ids, strict=False))
    sources = tuple(replace(STRETCHED.sources[0], id=each) for each in ids)
    figure = figure_of(view_audit(replace(STRETCHED, sources=sources, trail=chain, root_groups=())), 4)
    assert max(figure.ranks.values()) == DEEPEST
    assert any("last row" in each for each in figure.notes)


def test_a_ring_is_drawn_as_a_ring_with_an_arrow_for_each_step():
    box = figure_of(view_audit(ring(5)), 4).boxes["circle-s1"]
    assert [each.box.key for each in box.inner] == ["s1", "s2", "s3", "s4", "s5"]
    assert box.arrows == (True,) * 5
    drawn = draw_trail(view_audit(ring(5))).svg
    assert drawn.count('class="t-round"') == 1
    assert drawn.count('class="t-arrow"') == 5 + 1  # and the way back to the claim
    folded = figure_of(view_audit(ring(30)), 4).boxes
    assert [box.kind for box in folded.values()] == ["claim", "fold"]


@pytest.mark.parametrize("columns", [2, 4])
@pytest.mark.parametrize("name", SHOWN)
def test_the_picture_is_well_formed_and_its_boxes_stand_apart(name, columns):
    picture = draw_trail(view_audit(SHOWN[name]), columns, style=".a{fill:red}")
    root = ElementTree.fromstring(str(picture.svg))
    assert root.find(f"{SVG}title").text.startswith("Trail of the claim")
    assert root.find(f"{SVG}desc").text
    assert root.get("aria-labelledby") == root.find(f"{SVG}title").get("id")
    places = [
        [float(each.get(side)) for side in ("x", "y", "width", "height")]
        for each in root.iter(f"{SVG}svg")
        if each.get("x")
    ]
    circles = [
        [float(each.get(side)) for side in ("x", "y", "width", "height")]
        for each in root.iter(f"{SVG}rect")
        if each.get("class") == "t-frame"
    ]
    for a, b in combinations([each for each in places if each not in circles], 2):
        assert a[0] + a[2] <= b[0] or b[0] + b[2] <= a[0] or a[1] + a[3] <= b[1] or b[1] + b[3] <= a[1]
    for x, y, wide, high in places:
        assert x >= 0
        assert x + wide <= picture.width
        assert y >= 0
        assert y + high <= picture.height


def test_what_was_not_read_is_dashed_and_what_counts_once_is_joined():
    svg = draw_trail(view_audit(STRETCHED)).svg
    assert svg.count('class="t-box t-unread"') == 1
    assert "t-join" not in svg
    joined = draw_trail(view_audit(many(30))).svg
    assert "t-join" in joined
    assert "counted once" in joined


def test_shifts_are_told_by_shape_and_by_word():
    svg = draw_trail(view_audit(many(20))).svg
    for shift in ("strengthened", "kept", "weakened"):
        assert f't-line t-{shift}"' in svg
        assert re.search(rf"<text [^>]*>(\d+ × )?{shift}</text>", svg)
    assert 't-line t-none"' in svg


def test_hostile_text_stays_text():
    for svg in (draw_trail(view_audit(hostile())).svg, draw_thumbnail(view_audit(hostile()))):
        root = ElementTree.fromstring(str(svg).encode("utf-8"))
        assert {each.tag.removeprefix(SVG) for each in root.iter()} <= {
            "svg", "title", "desc", "rect", "path", "text", "g", "a",
        }  # fmt: skip
        assert not any(name.startswith("on") for each in root.iter() for name in each.attrib)
        assert all(re.fullmatch(r"#[A-Za-z0-9_-]+", each.get("href")) for each in root.iter(f"{SVG}a"))
    assert "&lt;script&gt;" in draw_trail(view_audit(hostile())).svg


def test_the_same_audit_gives_the_same_picture():
    assert draw_trail(view_audit(many(60))).svg == draw_trail(view_audit(many(60))).svg


def test_a_picture_without_links_has_none():
    assert "<a " not in draw_trail(view_audit(CONTRADICTED), links=False).svg


# --------------------------------------------------------------------------- layout and letters


@st.composite
def graphs(draw):
    """Boxes in rows below one another, with lines that lead down, some across several rows."""
    count = draw(st.integers(2, 24))
    ranks = {"b0": 0} | {f"b{number}": draw(st.integers(1, 5)) for number in range(1, count)}
    present = {rank: place for place, rank in enumerate(sorted(set(ranks.values())))}
    ranks = {key: present[rank] for key, rank in ranks.items()}
    cells = {key: Cell(key, draw(st.floats(10, 300)), 20) for key in ranks}
    pairs = draw(
        st.lists(st.tuples(st.sampled_from(sorted(ranks)), st.sampled_from(sorted(ranks)), st.booleans()), max_size=40)
    )
    links = []
    for origin, target, labelled in pairs:
        if ranks[origin] < ranks[target]:
            label = f"l-{target}" if labelled else ""
            cells |= {label: Cell(label, 60, 12)} if label else {}
            links.append(Link(origin, target, label))
    return cells, ranks, links


@settings(max_examples=60, deadline=None)
@given(graphs())
def test_nothing_in_a_level_overlaps_and_lines_pass_level_by_level(made):
    cells, ranks, links = made
    layout = lay_out(cells, ranks, links, 10)
    level_of = {key: number for number, level in enumerate(layout.levels) for key in level}
    assert len(level_of) == sum(len(level) for level in layout.levels)
    for level in layout.levels:
        for a, b in pairwise(level):
            room = sum((cells[key].width if key in cells else 14.0) / 2 for key in (a, b)) + 10
            assert layout.across[b] - layout.across[a] >= room - 1e-6
    for link, route in zip(links, layout.routes, strict=True):
        assert (route[0], route[-1]) == (link.origin, link.target)
        assert [level_of[each] for each in route] == list(range(level_of[route[0]], level_of[route[-1]] + 1))
    assert min(layout.across[key] - (cells[key].width if key in cells else 14.0) / 2 for key in layout.across) >= -1e-6


def test_crossings_that_can_be_avoided_are_avoided():
    cells = {key: Cell(key, 10, 10) for key in "abcxyz"}
    links = [Link("a", "z"), Link("b", "y"), Link("c", "x")]
    layout = lay_out(cells, {"a": 0, "b": 0, "c": 0, "x": 1, "y": 1, "z": 1}, links, 5)
    upper, lower = layout.levels[0], layout.levels[-1]
    assert [{"a": "z", "b": "y", "c": "x"}[each] for each in upper] == lower


@given(st.text(max_size=120), st.floats(40, 300), st.integers(1, 4))
def test_wrapped_lines_fit(text, room, most):
    lines = wrap(text, room, 10, most)
    assert len(lines) <= most
    assert all(width(line, 10) <= room or len(line) <= 2 for line in lines)


def test_what_is_cut_off_says_so():
    assert fit("Fictaria silvana", 60, 10).endswith("…")
    assert fit("Fictaria", 600, 10) == "Fictaria"
    assert CLAIM == "claim"


def test_not_edible_warns_as_well_and_has_the_shape_of_what_is_against():
    leaflet = CONTRADICTED.sources[2]
    inedible = replace(leaflet, statements=(replace(leaflet.statements[0], wording=Wording.INEDIBLE),))
    view = view_audit(replace(CONTRADICTED, sources=(*CONTRADICTED.sources[:2], inedible), cautions=()))
    assert is_alarming(view.sources[1])
    svg = str(draw_trail(view).svg)
    assert "says: inedible" in svg
    outline = re.search(r'class="t-box t-against" d="([^"]+)"', svg)[1]
    assert outline.count("L") + 1 == 8  # corners: an octagon, where other boxes have four
