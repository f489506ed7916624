"""The list page in a real browser: filters, links to reports, no barrier, and all of it without its script."""

from __future__ import annotations

import pytest
from browser_help import violations

from demo_run import run_demo


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The demo's notebook as a folder of pages."""
    made = tmp_path_factory.mktemp("pages")
    done = run_demo().call("report", "--all", str(made), "--notebook", "doubtwort-demo.sqlite")
    assert done.returncode == 0, done.stderr
    return made


@pytest.fixture
def listed(page, folder):
    page.goto((folder / "index.html").as_uri())
    return page


def shown(page) -> list[str]:
    return page.locator(".card:visible h2").all_inner_texts()


def test_all_claims_are_shown_those_contradicted_first(listed):
    ratings = listed.locator(".card .stamp").all_inner_texts()
    assert len(ratings) == 12
    assert {each.strip() for each in ratings[:2]} == {"contradicted", "disputed"}
    assert listed.locator("#count").inner_text() == "12 of 12 shown"


def test_words_narrow_the_list(listed):
    listed.fill("#words", "FICTARIA pesto")
    assert shown(listed) == ["Fictaria silvana: edible"]
    assert listed.locator("#count").inner_text() == "1 of 12 shown"
    listed.fill("#words", "no such plant")
    assert shown(listed) == []
    listed.fill("#words", "")
    assert len(shown(listed)) == 12


def test_common_names_are_found(listed):
    listed.fill("#words", "rough vaguewort")
    assert "Vaguelia aspera: edible" in shown(listed)


def test_ratings_and_warnings_narrow_the_list(listed):
    for box in listed.locator("input[name=rating]").all():
        if box.get_attribute("value") != "uncited":
            box.uncheck()
    assert shown(listed) == ["Hesitanthus palustris: edible"]
    for box in listed.locator("input[name=rating]").all():
        box.check()
    listed.check("#warned")
    warned = listed.locator(".card:visible").all()
    assert 0 < len(warned) < 12
    assert all(card.locator(".warning").count() == 1 for card in warned)


def test_the_filters_are_reached_by_keyboard(listed):
    listed.keyboard.press("Tab")
    reached = []
    for _ in range(30):
        reached.append(listed.evaluate("document.activeElement.id || document.activeElement.name || ''"))
        listed.keyboard.press("Tab")
    assert "words" in reached
    assert "rating" in reached
    assert "warned" in reached


def test_each_claim_opens_its_report_and_the_report_leads_back(listed, folder):
    links = listed.locator(".card h2 a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    assert len(links) == len(set(links)) == 12
    assert all((folder / link).is_file() for link in links)
    listed.locator(".card h2 a").first.click()
    assert "Apocrypharia nigra" in listed.locator("h1").inner_text()
    listed.get_by_role("link", name="All claims").click()
    assert listed.url.endswith("index.html")


def test_every_claim_has_its_small_picture(listed):
    assert listed.locator(".card svg.thumb").count() == 12


def test_nothing_is_asked_for_and_nothing_is_complained_of(listed):
    listed.fill("#words", "x")
    assert listed.asked == [listed.url]
    assert listed.complaints == []


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_the_page_never_scrolls_sideways(listed, width):
    listed.set_viewport_size({"width": width, "height": 900})
    assert listed.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_that_axe_core_knows(listed, scheme):
    listed.emulate_media(color_scheme=scheme)
    assert violations(listed) == []


def test_reports_of_the_demo_have_no_barrier(page, folder):
    for file in sorted(folder.glob("claim-*.html")):
        page.goto(file.as_uri())
        assert violations(page) == [], file.name


def test_without_a_script_everything_is_there(browser, folder):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((folder / "index.html").as_uri())
    assert page.locator(".card:visible").count() == 12
    assert not page.locator("#filters").is_visible()
    context.close()
