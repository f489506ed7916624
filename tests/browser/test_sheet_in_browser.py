"""The field sheet in a real browser: search, months, no barrier, nothing asked for, and paper that folds in eight."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from browser_help import violations

sys.path.insert(0, str(Path(__file__).parents[1] / "reporting"))
from sheet_samples import FEW, LEAF, NOTHING, SCRIPTS, hostile, large

from doubtwort.reporting.sheet import field_sheet
from doubtwort.taxa.hazards import load_hazards

SHEETS = {"few": FEW, "other scripts": SCRIPTS, "nothing": NOTHING, "hostile": hostile(), "large": large(40, 12)}
INK = 200  # of 255: darker is ink


@pytest.fixture
def show(page, tmp_path):
    """Writes a sheet and opens it from the disk."""

    def opened(view, width=360, scheme="light"):
        file = tmp_path / "sheet.html"
        file.write_text(field_sheet(view), encoding="utf-8")
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": width, "height": 740})
        page.goto(file.as_uri())
        return page

    return opened


def shown(page) -> list[str]:
    return page.locator(".entry:visible").evaluate_all("all => all.map(each => each.dataset.entry)")


def apart(page) -> list[str]:
    return page.locator(".not:visible").evaluate_all("all => all.map(each => each.dataset.entry)")


@pytest.mark.parametrize("name", SHEETS)
def test_nothing_is_asked_for_or_complained_of_and_nothing_scrolls_sideways(show, name):
    page = show(SHEETS[name])
    if name != "nothing":  # where there is nothing to search in, there is no search
        page.fill("#words", "fict")
        page.fill("#words", "")
    assert page.asked == [page.url]
    assert page.complaints == []
    for width in (320, 360, 768, 1280):
        page.set_viewport_size({"width": width, "height": 740})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1280, "light")])
def test_no_barrier_that_axe_core_knows(show, name, width, scheme):
    assert violations(show(SHEETS[name], width, scheme)) == []


def test_words_find_names_parts_warnings_and_notes_without_regard_to_case_and_accents(show):
    page = show(
        replace(FEW, entries=(*FEW.entries, replace(LEAF, id="v9", taxon="Umbrosia alta", common_names=("Ümbrosé",))))
    )
    for words, found in (
        ("FICTWORT", ["v1"]), ("umbrose", ["v9"]), ("ümbrosé", ["v9"]), ("rough  vague", ["v2"]),
        ("boiled silvana fictwort", ["v1"]), ("burned", ["v1", "v9"]), ("three generations", ["v2"]),
        ("wet paper alta", ["v9"]), ("fictaria ficta", ["v1", "v9"]), ("nowhere to be found", []),
    ):  # fmt: skip
        page.fill("#words", words)
        assert shown(page) == found, words
    assert page.locator("#nothing").is_visible()
    page.fill("#words", "")
    assert len(shown(page)) == 4
    assert not page.locator("#nothing").is_visible()


def test_what_is_not_to_be_eaten_is_found_too_and_counted_apart(show):
    page = show(FEW)
    page.fill("#words", "silvana root")
    assert apart(page) == ["v4"]
    page.fill("#words", "black apocry")
    assert (shown(page), apart(page)) == ([], ["v5"])
    assert page.locator("#count").inner_text() == "0 of 3 on the list; 1 of 2 not to be eaten by this list"
    assert page.locator("#never .verdict:visible").all_inner_texts() == ["NOT TO BE EATEN: WAITING"]


def test_a_month_keeps_what_is_in_season_and_everything_that_is_not_to_be_eaten(show):
    page = show(FEW)
    for month, found in (("April", ["v1"]), ("January", ["v2"]), ("August", []), ("season not noted", ["v3"])):
        page.select_option("#month", label=month)
        assert shown(page) == found, month
        assert apart(page) == ["v5", "v4"]
    page.select_option("#month", label="any month")
    assert len(shown(page)) == 3


def test_search_and_month_are_reached_by_keyboard_and_named(show):
    page = show(FEW)
    reached = []
    for _ in range(5):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id"))
    assert {"words", "month"} <= set(reached)
    assert page.get_by_role("searchbox", name="Name, part, warning, note").count() == 1
    assert page.get_by_role("combobox", name="In season").count() == 1
    page.focus("#words")
    page.keyboard.type("vague")
    page.keyboard.press("Enter")
    assert shown(page) == ["v2"]


def test_a_review_whose_day_has_come_since_is_told(show, page):
    page.clock.set_fixed_time("2031-05-31T12:00:00Z")
    show(FEW)
    assert page.locator(".late:visible").count() == 1
    page.fill("#words", "overdue")
    assert shown(page) == ["v2"]
    page.clock.set_fixed_time("2031-06-01T12:00:00Z")
    page.reload()
    assert page.locator(".late:visible").count() == 3
    page.fill("#words", "overdue")
    assert len(shown(page)) == 3


def test_look_alikes_and_warnings_stand_above_everything_else_of_an_entry(show):
    page = show(FEW)
    tops = [
        page.locator(f"[data-entry=v1] {part}").first.bounding_box()["y"]
        for part in (".alike", ".hurts:not(.alike)", ".rest")
    ]
    assert tops == sorted(tops)
    assert page.locator(".first").bounding_box()["y"] < page.locator(".standing").bounding_box()["y"]
    assert page.locator(".standing").bounding_box()["y"] < page.locator("#usable").bounding_box()["y"]


def test_hostile_text_is_shown_as_text(show):
    page = show(hostile())
    assert "<script>alert(1)</script>" in page.locator(".entry").first.inner_text()
    assert page.evaluate("document.querySelectorAll('img, iframe, object, a, [onerror]').length") == 0
    assert page.evaluate("document.scripts.length") == 1
    page.fill("#words", '"><script>alert')
    assert page.locator(".entry:visible").count() == 3


def test_without_a_script_everything_is_there(browser, tmp_path):
    file = tmp_path / "sheet.html"
    file.write_text(field_sheet(FEW), encoding="utf-8")
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())
    assert (page.locator(".entry:visible").count(), page.locator(".not:visible").count()) == (3, 2)
    assert not page.locator("#filters").is_visible()
    assert not page.locator("#nothing").is_visible()
    context.close()


# --------------------------------------------------------------------------- on paper


@pytest.fixture
def printed(show, tmp_path):
    """The printed sheets: their text, and a picture of each in grey."""
    pdfium = pytest.importorskip("pypdfium2")

    def made(view, paper, before=None):
        page = show(view, scheme="dark")
        if before:
            before(page)
        file = tmp_path / "sheet.pdf"
        page.pdf(path=str(file), format=paper, landscape=True)
        document = pdfium.PdfDocument(str(file))
        sheets = [document[number] for number in range(len(document))]
        return sheets, [each.get_textpage().get_text_bounded() for each in sheets]

    return made


def bare(text: str) -> str:
    """Without white space, which a reader of PDF files has to guess."""
    return "".join(text.split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_printed_sheet_bears_the_standing_cautions_and_nothing_is_lost(printed, paper):
    view = SHEETS["large"]
    sheets, texts = printed(view, paper)
    assert len(sheets) > 5
    for number, text in enumerate(texts, start=1):
        for each in load_hazards().standing:
            assert bare(each.text) in bare(text)
        assert bare("makes nothing safe to eat") in bare(text)
        assert bare("Poison centre:") in bare(text)
        assert f"sheet{number}of{len(sheets)}" in bare(text)
    everything = bare(" ".join(texts))
    for each in view.entries:
        assert len(re.findall(rf"(?<!\d){each.id}·", everything)) == 1
    assert len(re.findall(r"REJECTED|WAITING", everything)) == 12
    assert everything.index("Acceptedbythelist") < everything.index("NottobeeatenbythislistRejected")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", ["few", "large", "other scripts"])
def test_no_ink_lies_on_a_crease_or_at_the_edge_of_the_paper(printed, name, paper):
    sheets, _ = printed(SHEETS[name], paper)
    for sheet in sheets:
        width, height = sheet.get_size()
        assert width > height
        picture = sheet.render(scale=1, grayscale=True)
        rows, columns, stride = picture.height, picture.width, picture.stride
        grey = bytes(picture.buffer)
        down = [round(columns * part / 4) for part in (1, 2, 3)]
        for x in (*down, 3, columns - 4):
            for off in (-2, 0, 2):
                assert min(grey[row * stride + x + off] for row in range(rows)) > INK, f"crease at {x}"
        for y in (rows // 2 - 2, rows // 2, rows // 2 + 2, 3):
            assert min(grey[y * stride : y * stride + columns]) > INK, f"crease at {y}"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_words_stay_within_their_panels(printed, paper):
    """Each character's box lies within one of eight panels."""
    sheets, _ = printed(SHEETS["large"], paper)
    for sheet in sheets:
        width, height = sheet.get_size()
        text = sheet.get_textpage()
        for index in range(0, text.count_chars(), 7):
            left, bottom, right, top = text.get_charbox(index)
            if right - left < 0.1 or bottom < 17:  # white space; the sheet's number stands in the margin
                continue
            assert int(left / width * 4) == int(right / width * 4)
            assert int(bottom / height * 2) == int(top / height * 2)


def test_a_search_is_printed_as_it_is_shown_and_says_what_it_was(printed):
    def april(page):
        page.select_option("#month", label="April")
        page.fill("#words", "fictaria")

    _, (text,) = printed(FEW, "A4", april)
    assert bare("April, “fictaria”: 1 of 3 on the list; 1 of 2 not to be eaten by this list") in bare(text)
    assert "Vaguelia aspera" not in text
    assert bare("Fictaria silvana: leaf, boiled") in bare(text)
    assert "REJECTED" in text


def test_a_part_of_an_entry_that_falls_into_another_panel_is_named_again(printed):
    _, (text,) = printed(FEW, "A4")
    assert bare("of Fictaria silvana: leaf, boiled (after its warnings)") in bare(text)
    assert bare("of Hesitanthus palustris: no part named, no preparation named season") in bare(text)


def test_paper_stays_white_in_the_dark(printed):
    sheets, _ = printed(FEW, "A4")
    picture = sheets[0].render(scale=0.2)
    at = 40 * picture.stride + picture.n_channels
    assert bytes(picture.buffer)[at : at + 3] == b"\xff\xff\xff"


def test_letters_on_paper_are_never_too_small_to_read(show):
    page = show(FEW)
    page.emulate_media(media="print")
    smallest = page.evaluate("""() => Math.min(...[...document.querySelectorAll("main *")]
        .filter(each => each.getClientRects().length)
        .filter(each => [...each.childNodes].some(node => node.nodeType === 3 && node.data.trim()))
        .map(each => parseFloat(getComputedStyle(each).fontSize)))""")
    assert smallest * 0.75 >= 5.7
