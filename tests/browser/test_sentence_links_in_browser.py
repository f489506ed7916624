"""Links to one sentence, followed in a real browser: it scrolls to the words, whatever stands in them."""

from __future__ import annotations

import pytest

from doubtwort.reporting.links import sentence_link
from loopback import LoopbackWeb

QUOTES = {
    "plain": "Fictwort is harmless.",
    "marks that the syntax uses": "Non-toxic, they say & boil it: 100 % fine - or so.",
    "quotation marks": "It's called “the doubtful one”, not 'edible'.",
    "long": "The young leaves of fictwort are gathered in spring before the flowers open, boiled twice in fresh water, "
    "and eaten with salt by the people of Nowhere, who have never fallen ill.",
    "Chinese": "架空草的叶子可以吃，但根部生食有毒，必须煮熟两次才能食用。",
    "Arabic": "نبتة وهمية صالحة للأكل حسب كتاب لا وجود له.",
}


@pytest.mark.parametrize("name", QUOTES)
def test_the_browser_scrolls_to_the_sentence(page, name):
    quote = QUOTES[name]
    filler = "".join(f"<p>Paragraph {number} speaks of the weather.</p>" for number in range(200))
    escaped = quote.replace("&", "&amp;")
    with LoopbackWeb() as web:
        web.page("/a", f"<!DOCTYPE html><meta charset=utf-8><title>a</title>{filler}<p id=it>{escaped}</p>{filler}")
        page.goto(sentence_link(web.url("/a"), quote))
        page.wait_for_function("window.scrollY > 0", timeout=5000)
        top = page.evaluate("document.getElementById('it').getBoundingClientRect().top")
    assert 0 <= top < 900


def test_a_footnote_mark_inside_a_long_sentence_does_no_harm(page):
    quote = QUOTES["long"]
    marked = quote.replace("boiled twice", "boiled<sup>[3]</sup> twice")
    filler = "<p>Weather.</p>" * 200
    with LoopbackWeb() as web:
        web.page("/a", f"<!DOCTYPE html><title>a</title>{filler}<p id=it>{marked}</p>{filler}")
        page.goto(sentence_link(web.url("/a"), quote))
        page.wait_for_function("window.scrollY > 0", timeout=5000)
