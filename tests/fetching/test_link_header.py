"""Links as header field and document: RFC 8288, with what its appendix B makes of broken ones."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doubtwort.fetching.links import links


def told(text: str) -> list[tuple[str, tuple[str, ...]]]:
    return [(each.target, each.relations) for each in links(text)]


def test_examples_of_the_rfc():
    # RFC 8288 §3.5, in the order in which they stand there.
    (one,) = links('<http://example.com/TheBook/chapter2>; rel="previous";\r\n  title="previous chapter"')
    assert (one.target, one.relations) == ("http://example.com/TheBook/chapter2", ("previous",))
    assert one.get("title") == "previous chapter"
    assert one.anchor is None
    assert told('</>; rel="http://example.net/foo"') == [("/", ("http://example.net/foo",))]
    (anchored,) = links('</terms>; rel="copyright"; anchor="#foo"')
    assert anchored.anchor == "#foo"
    two = list(
        links(
            "</TheBook/chapter2>;\r\n rel=\"previous\"; title*=UTF-8'de'letztes%20Kapitel,\r\n"
            " </TheBook/chapter4>;\r\n rel=\"next\"; title*=UTF-8'de'n%c3%a4chstes%20Kapitel"
        )
    )
    assert [each.relations for each in two] == [("previous",), ("next",)]
    assert [each.get("title*") for each in two] == ["letztes Kapitel", "nächstes Kapitel"]
    (several,) = links('<http://example.org/>;\r\n rel="start http://example.net/relation/other"')
    assert several.relations == ("start", "http://example.net/relation/other")
    both = told('<https://example.org/>; rel="start", <https://example.org/index>; rel="index"')
    assert both == [("https://example.org/", ("start",)), ("https://example.org/index", ("index",))]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # §3.3: the first rel counts, values are compared without case; §3: names too.
        ("</a>; rel=prev; rel=next", [("/a", ("prev",))]),
        ("</a>; REL=Next", [("/a", ("next",))]),
        # commas and semicolons within addresses and quoted strings part nothing (appendix B.2)
        ('</a,b;c>; title="x, <y>; z"; rel=next, </d>; rel=prev', [("/a,b;c", ("next",)), ("/d", ("prev",))]),
        ('</a>; title="x \\", </no>; rel=no"; rel=next', [("/a", ("next",))]),
        # white space and empty elements (RFC 9110 §5.6.1)
        (" , ,</a>  ;  rel  =  next ,, </b>;rel=prev,", [("/a", ("next",)), ("/b", ("prev",))]),
        # parameters without value; none at all
        ("</a>; crossorigin; rel=next", [("/a", ("next",))]),
        ("</a>", [("/a", ())]),
        ("<>; rel=self", [("", ("self",))]),
        # what is no link value is passed over, up to the next comma
        ("nonsense, </a>; rel=next", [("/a", ("next",))]),
        ('"<x>; rel=y", </a>; rel=next', [("/a", ("next",))]),
        ("</a; rel=next", []),
        ("", []),
        ('</a>; rel="next', [("/a", ("next",))]),
    ],
)
def test_forms(text, expected):
    assert told(text) == expected


@given(st.text(alphabet="<>;,=\"\\ ax*/\n'%", max_size=120))
@settings(max_examples=300, deadline=None)
def test_any_text(text):
    for each in links(text):
        assert ">" not in each.target


@pytest.mark.parametrize(
    "text",
    ["<" * 400_000, '"' * 400_000, ";" * 400_000, "<a>" * 200_000, "<a>;" + "x;" * 200_000, '<a>; x="' + "\\" * 400_000,
     "a" * 400_000, ("<" + "a" * 20) * 20_000, "<a>;x=" * 100_000, "=" * 400_000, "<a>; " + " " * 400_000],
)  # fmt: skip
def test_made_to_be_slow(text):
    started = time.process_time()
    list(links(text))
    assert time.process_time() - started < 5  # quadratic work would take minutes
