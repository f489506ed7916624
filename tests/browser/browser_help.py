"""Debian's Chromium, driven by Playwright, for tests that see pages as people do; skipped where one is absent."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CHROMIUM = Path(os.environ.get("CHROMIUM", "/usr/bin/chromium"))
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-proxy-server",
]
# WCAG 2.2 AA and everything that it builds on, as axe-core names them.
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def axe_script() -> str:
    """axe-core (npm package axe-core, 4.x); the test is skipped where it is not installed."""
    named = os.environ.get("AXE_CORE")
    places = [Path(named)] if named else []
    places += [Path("/usr/lib/node_modules"), Path("/usr/local/lib/node_modules"), ROOT / "node_modules"]
    for place in places:
        for file in (
            place,
            place / "axe.min.js",
            place / "axe-core/axe.min.js",
            place / "node_modules/axe-core/axe.min.js",
        ):
            if file.is_file():
                return file.read_text(encoding="utf-8")
    pytest.skip("axe-core is not installed: npm install axe-core, and name the folder in AXE_CORE")


def violations(page) -> list[str]:
    """What axe-core finds wrong with the page that is shown, one line each."""
    # Through the debugger, as a page's own policy forbids scripts that are put into it.
    page.evaluate(axe_script())
    found = page.evaluate(
        "async (tags) => (await axe.run(document, {runOnly: {type: 'tag', values: tags}})).violations", AXE_TAGS
    )
    return [
        f"{each['id']}: {node['html'][:160]} ({node['failureSummary']})" for each in found for node in each["nodes"]
    ]
