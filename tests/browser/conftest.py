"""One browser for all tests of this folder; one page each, with everything it asked for and said written down."""

from __future__ import annotations

import pytest
from browser_help import CHROMIUM, FLAGS


@pytest.fixture(scope="session")
def browser():
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="Playwright is not installed: pip install playwright"
    )
    if not CHROMIUM.is_file():
        pytest.skip(f"Chromium is not installed at {CHROMIUM}: apt-get install chromium")
    with playwright.sync_playwright() as started:
        opened = started.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser):
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened = context.new_page()
    opened.asked, opened.complaints = [], []
    opened.on("request", lambda request: opened.asked.append(request.url))
    opened.on("console", lambda message: opened.complaints.append(message.text))
    opened.on("pageerror", lambda error: opened.complaints.append(str(error)))
    opened.on("dialog", lambda dialog: opened.complaints.append(f"dialog: {dialog.message}") or dialog.dismiss())
    yield opened
    context.close()
