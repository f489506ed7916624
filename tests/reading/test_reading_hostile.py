"""Hostile and broken input ends in bounded time, without an exception. Times are not asserted; the sizes are such
that anything quadratic would not end within a test run."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_pages import check, fetched, page

from doubtwort.model import Document
from doubtwort.reading import read, read_text
from doubtwort.settings import Settings

DEEP = 20_000


def _notes(most: int, opening: str, entry: str) -> str:
    marked = "".join(f"w<sup><a href='#n{n}'>{n}</a></sup> " for n in range(most))
    return f"<p>{marked}{opening}" + "".join(entry.format(n) for n in range(most))


@pytest.mark.parametrize(
    "name", ["div", "b", "span", "ul", "table", "blockquote", "a href=#x", "sup", "section class=comments"]
)
def test_deep_nesting(name: str) -> None:
    document = page(
        f"<p>Before.</p>{f'<{name}>' * DEEP}deep edible text" + f"</{name.split()[0]}>" * DEEP + "<p>After."
    )
    assert "deep edible text" in document.text
    assert "Before." in document.text


@pytest.mark.parametrize(
    "body",
    [
        "<p>" + "word " * 400_000,
        "<p>" + "x" * 2_000_000,
        "<p>" + "".join(f"<a href='/x{n}'>l{n}</a> " for n in range(20_000)),
        "<p>"
        + "".join(f"<a href='#n{n}'>{n}</a> " for n in range(5_000))
        + "".join(f"<p id=n{n}>x" for n in range(5_000)),
        "<p>[" * 50_000,
        _notes(5_000, "<ol>", "<li id=n{0}>Alder 1998"),
        _notes(5_000, "<p>", "<a name=n{0}></a>{0}. Alder 1998. "),
        "<p>" + "(Alder 1998, " * 20_000,
        "<p>http://" + "a." * 100_000,
        "<table>" + "<tr><td rowspan=1000 colspan=1000>x" * 3_000,
        "<table>" + "<tr>" + "<td>x" * 20_000,
        "<dl>" + "<dt>x" * 10_000,
        "<br>" * 100_000,
        "<h1>" * 5_000 + "x",
        "<ol start=99999999999999999999><li value=-1>x",
        "<div class='" + "a-" * 100_000 + "'>text",
        "&#0;&#x110000;&#xD800;<p>\x00\x01text\x7f",
        "<title>" * 1000,
        "<script type='application/ld+json'>" + "[" * 100_000 + "</script><p>text",
        "<p id=a><a href=#a>1</a><sup><a href=#a>[1]</a></sup>",
        "<ul><li id=a><a href=#b>1</a><li id=b><a href=#a>1</a></ul>",
    ],
)
def test_large_and_odd_pages(body: str) -> None:
    result = read(fetched(body), Settings())
    if isinstance(result, Document):
        check(result)
        assert all(len(passage.text) <= 20_000 for passage in result.passages)


def test_elements_passages_and_citations_are_bounded() -> None:
    body = "".join(f"<p>text {n} <a href='http://a{n}.example/'>x</a></p>" for n in range(2_000))
    document = read(fetched(body), Settings(max_passages=50))
    assert isinstance(document, Document)
    check(document)
    assert len(document.passages) == 50
    assert len(document.citations) <= 50


@given(st.text(alphabet="<>/abhpliqtdrsu=#\"' []()123.&;\n–Aé", max_size=300))
@settings(max_examples=150, deadline=None)
def test_any_markup(body: str) -> None:
    result = read(fetched(f"<p>x{body}"), Settings())
    if isinstance(result, Document):
        check(result)


PIECES = [
    "<p>", "</p>", "<li>", "<ul>", "</ul>", "<table><tr><td>", "</table>", "<h2>References</h2>", "<ol>", "</ol>",
    "<br>", "<sup>1</sup>", "<a href=#n1>[1]</a>", "<li id=n1>", "<a name=n1></a>", "Alder 1998", " (Alder 1998) ",
    "[1, 2]", "text. ", "<a href='http://a.example/x'>link</a>", "<dl><dt>a<dd>", "</dl>", "<i>", "</i>", "  ",
    "<div class=x-label>L</div>", "<div class=x-value>V</div>", "<div id=n2 class=footnote>", "</div>",
    "<a href=#n2>2</a>", "<pre>\n a  b\n", "</pre>", "¹",
]  # fmt: skip


@given(st.lists(st.sampled_from(PIECES), max_size=40))
@settings(max_examples=300, deadline=None)
def test_any_order_of_pieces(pieces: list[str]) -> None:
    result = read(fetched("".join(pieces) or "x"), Settings())
    if isinstance(result, Document):
        check(result)


@given(st.text(max_size=400))
@settings(max_examples=150, deadline=None)
def test_any_text(text: str) -> None:
    check(read_text(text))


@given(
    st.binary(max_size=400),
    st.sampled_from(["", "text/html", "text/plain; charset=utf-16", "application/pdf", "text/markdown"]),
)
@settings(max_examples=150, deadline=None)
def test_any_bytes(body: bytes, header: str) -> None:
    result = read(fetched(body, header), Settings())
    if isinstance(result, Document):
        check(result)


@given(
    st.lists(
        st.sampled_from(
            ["|", " a ", "\n", "\n\n", "[^1]", "[^1]: x", "# ", "- ", "  ", "[a](b)", "A: b", "ABC", "---"]
        ),
        max_size=30,
    )
)
@settings(max_examples=150, deadline=None)
def test_any_plain_or_markdown(pieces: list[str]) -> None:
    text = "".join(pieces)
    check(read_text(text))
    result = read(fetched(text, "text/markdown"), Settings())
    if isinstance(result, Document):
        check(result)
