"""The page of explained sentences in a real browser: no barrier, nothing asked for, nothing wider than the window."""

from __future__ import annotations

import pytest
from browser_help import violations

from doubtwort.model import Taxon
from doubtwort.reading import read_text
from doubtwort.reporting.explain import explained_views
from doubtwort.reporting.explain_html import explained_page

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
TEXT = (
    "The young leaves of fictwort may be eaten raw, but the seeds are reportedly poisonous and are not edible. "
    "Is fictwort harmless? No.\n\nKnown hazards: None known\n\nIs fictwort edible?"
)


@pytest.fixture
def explained(page, tmp_path):
    made = tmp_path / "explained.html"
    views = explained_views(read_text(TEXT, "Fictaria silvana"), TAXON)
    made.write_text(explained_page(views, TAXON, "fictwort.txt"), encoding="utf-8")
    page.goto(made.as_uri())
    return page


def test_it_asks_for_nothing_and_complains_of_nothing(explained):
    assert explained.asked == [explained.url]
    assert explained.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_is_found(explained, scheme):
    explained.emulate_media(color_scheme=scheme)
    for each in explained.locator("summary").all():
        each.click()
    assert violations(explained) == []


@pytest.mark.parametrize("width", [320, 768, 1280])
def test_the_picture_wraps_within_the_window(explained, width):
    explained.set_viewport_size({"width": width, "height": 800})
    assert explained.evaluate("document.documentElement.scrollWidth") <= width


def test_a_label_stands_under_the_words_that_it_is_of(explained):
    atom = explained.locator(".atom", has=explained.locator(".does.weakens", has_text="weakens (1): may")).first
    words, label = atom.locator(".words").bounding_box(), atom.locator(".does").first.bounding_box()
    assert label["y"] >= words["y"] + words["height"] - 1
    assert abs(label["x"] - words["x"]) <= 1


def test_a_line_lies_over_the_words_that_it_reaches(explained):
    reached = explained.locator(".gloss").first.locator(".atom", has=explained.locator(".lane-0"))
    for atom in reached.all():
        words, line = atom.locator(".words").first.bounding_box(), atom.locator(".lane-0").bounding_box()
        assert line["y"] < words["y"]
    assert reached.first.locator(".reacher").first.inner_text() in ("may", "reportedly")
