"""The pictures of README.md are those of today's program. Anew: .venv/bin/python fixtures/make_pictures.py"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

FIXTURES = Path(__file__).parents[2] / "fixtures"


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("make_pictures", FIXTURES / "make_pictures.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_trail_and_the_report_are_those_of_today(maker):
    svg, page = maker.made()
    anew = "write them anew: .venv/bin/python fixtures/make_pictures.py"
    assert (maker.PICTURES / "trail.svg").read_text(encoding="utf-8") == svg, anew
    assert (maker.PICTURES / "report.sha256").read_text(encoding="ascii").strip() == maker.digest(page), anew


def test_the_photograph_is_a_png_of_the_size_asked_for(maker):
    # PNG (W3C, third edition), sections 5.2 and 11.2.1: signature, then IHDR with width and height.
    head = (maker.PICTURES / "report.png").read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    assert (int.from_bytes(head[16:20]), int.from_bytes(head[20:24])) == (maker.SIZE["width"], maker.SIZE["height"])
