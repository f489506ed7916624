"""The report in a real browser: legible, quiet, reachable by keyboard, printable, hostile text as text."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest
from browser_help import violations

sys.path.insert(0, str(Path(__file__).parents[1] / "reporting"))
from large_audits import HARD, hostile, many, ring
from sample_audits import ALL, CONTRADICTED

from doubtwort.reporting.drawing import draw_trail
from doubtwort.reporting.html import report_page, sheet
from doubtwort.reporting.view import view_audit

SHOWN = {**{audit.rating.value: audit for audit in ALL}, **HARD}


@pytest.fixture
def show(page, tmp_path):
    """Writes a report and opens it from the disk."""

    def opened(audit, width=1280, scheme="light"):
        file = tmp_path / "report.html"
        file.write_text(report_page(view_audit(audit)), encoding="utf-8")
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": width, "height": 900})
        page.goto(file.as_uri())
        return page

    return opened


@pytest.mark.parametrize("name", SHOWN)
def test_nothing_is_asked_for_run_or_complained_of_and_nothing_scrolls_sideways(show, name):
    page = show(SHOWN[name])
    assert page.asked == [page.url]
    assert page.complaints == []
    assert page.evaluate("document.scripts.length") == 0
    for width in (360, 768, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", ["stretched", "contradicted", "sixty", "ring of three", "hostile", "other scripts"])
def test_no_barrier_that_axe_core_knows(show, name):
    assert violations(show(SHOWN[name])) == []


@pytest.mark.parametrize("name", ["contradicted", "corroborated"])
def test_no_barrier_in_the_dark_or_on_a_phone(show, name):
    assert violations(show(SHOWN[name], 360, "dark")) == []


OUTSIDE = """() => [...document.querySelectorAll("svg svg")].flatMap(box =>
    [...box.querySelectorAll("text")]
      .filter(text => +text.getAttribute("x") + text.getComputedTextLength() > box.width.baseVal.value)
      .map(text => text.textContent))"""
OVERLAPPING = """() => {
    const shown = [...document.querySelectorAll("text")].map(text => {
      const a = text.getBoundingClientRect();
      return {said: text.textContent, left: a.left, right: a.right, top: a.top + 3, bottom: a.bottom - 3};
    });
    const found = [];
    shown.forEach((a, i) => shown.slice(i + 1).forEach(b => {
      const across = a.left < b.right && b.left < a.right, down = a.top < b.bottom && b.top < a.bottom;
      if (across && down) found.push([a.said, b.said]);
    }));
    return found;
  }"""


@pytest.mark.parametrize("name", SHOWN)
def test_letters_of_the_picture_stay_in_their_boxes_and_apart(page, name):
    style = sheet("picture.css") + sheet("trail.css")
    for columns in (2, 4):
        page.set_content(str(draw_trail(view_audit(SHOWN[name]), columns, style=style).svg))
        assert page.evaluate(OUTSIDE) == []
        assert page.evaluate(OVERLAPPING) == []


def test_every_box_of_the_picture_leads_by_keyboard_to_its_source(show):
    page = show(CONTRADICTED)
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        href = page.evaluate("document.activeElement.closest('svg') && document.activeElement.getAttribute('href')")
        if href:
            reached.add(href)
    assert reached == {"#claim", "#s1", "#s2", "#s3"}
    page.locator("svg a[href='#s3']").first.focus()
    page.keyboard.press("Enter")
    assert page.url.endswith("#s3")
    assert page.evaluate("document.querySelector('#s3').getBoundingClientRect().top") < 900


def test_every_link_within_the_page_has_its_place(show):
    for audit in (CONTRADICTED, many(60), ring(3)):
        page = show(audit)
        missing = page.evaluate("""() => [...document.querySelectorAll("a[href^='#']")]
            .map(a => a.getAttribute("href").slice(1)).filter(id => !document.getElementById(id))""")
        assert missing == []


def test_hostile_text_is_shown_as_text_and_never_as_a_link(show):
    page = show(hostile())
    body = page.locator("body").inner_text()
    assert "<script>alert(1)</script>" in body
    assert "{{ 7*7 }}" in body
    assert (
        page.evaluate("document.querySelectorAll('img, script, iframe, object, [onerror], [onmouseover]').length") == 0
    )
    links = page.evaluate("[...document.querySelectorAll('a')].map(a => a.getAttribute('href'))")
    assert links
    assert all(link.startswith("#") for link in links)
    assert not re.search(r"[\x00-\x08\x0e-\x1f\x7f\u202e]", page.content())


def test_danger_stands_above_the_claim_and_the_claim_beside_its_sources(show):
    page = show(CONTRADICTED)
    place = "document.querySelector({!r}).getBoundingClientRect().{}"

    def at(selector, side):
        return page.evaluate(place.format(selector, side))

    assert at(".danger", "bottom") < at(".standing", "top") + 1
    assert at(".standing", "bottom") < at("#claim", "top")
    assert at("#claim", "right") <= at(".sources", "left")
    assert abs(at("#claim", "top") - at(".sources", "top")) < 2


def test_on_a_narrow_screen_the_picture_has_fewer_boxes_in_a_row(show):
    wide = show(many(60)).evaluate("[...document.querySelectorAll('.scroll')].map(e => e.offsetParent !== null)")
    narrow = show(many(60), 360).evaluate("[...document.querySelectorAll('.scroll')].map(e => e.offsetParent !== null)")
    assert (wide, narrow) == ([True, False], [False, True])


@pytest.mark.parametrize("name", ["contradicted", "sixty", "other scripts"])
def test_its_letters_are_never_too_small_to_read(show, name):
    for width in (360, 768, 1280):
        size = show(SHOWN[name], width).evaluate("""() => Math.min(...[...document.querySelectorAll("svg.trail")]
            .filter(svg => svg.getBoundingClientRect().width)
            .map(svg => 11 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width))""")
        assert size > 8


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints(show, paper, tmp_path):
    pdfium = pytest.importorskip("pypdfium2")
    page = show(CONTRADICTED, scheme="dark")
    file = tmp_path / "report.pdf"
    page.pdf(path=str(file), format=paper)
    printed = pdfium.PdfDocument(str(file))
    text = "".join(printed[number].get_textpage().get_text_bounded() for number in range(len(printed)))
    for words in (
        "What could hurt",
        "Fictwort is edible",
        "Fictwort is harmless",
        "Why this rating",
        "not read",
        "settle",
    ):
        assert words in text
    assert text.index("What could hurt") < text.index("Why this rating")
    # Paper stays white whatever the screen's scheme: the middle of the first page's left edge.
    picture = printed[0].render(scale=0.2)
    at = 60 * picture.stride + picture.n_channels
    assert bytes(picture.buffer)[at : at + 3] == b"\xff\xff\xff"


def test_letters_are_as_legible_in_the_dark(show):
    dark = show(CONTRADICTED, scheme="dark").evaluate("getComputedStyle(document.body).backgroundColor")
    light = show(CONTRADICTED).evaluate("getComputedStyle(document.body).backgroundColor")
    assert light == "rgb(255, 255, 255)"
    assert dark != light
