"""What holds for mentions in any text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.mentions.find import Finder
from doubtwort.mentions.page import page_names
from doubtwort.model import About, Taxon
from doubtwort.text import fold

TAXON = Taxon("Fictaria silvana", ("Mockera silvana",), ("fictwort", "silver moonleaf"))
FINDER = Finder(TAXON)

WORDS = st.sampled_from(
    [
        *(
            "Fictaria",
            "silvana",
            "F.",
            "mollis",
            "fictwort",
            "dead",
            "-",
            "×",
            "hemlock",
            "The",
            "leaves",
            "of",
            "like",
        ),
        *(
            "silver",
            "moonleaf",
            "var.",
            "alba",
            "(",
            ")",
            ",",
            ".",
            "Umbelliferae",
            "spp.",
            "this",
            "Conium",
            "berries",
        ),
        *("St.", "İ", "ß", "é"),
    ]
)
TEXTS = st.one_of(st.text(max_size=120), st.lists(WORDS, max_size=25).map(" ".join))


@given(TEXTS)
def test_spans_are_in_range_in_order_and_apart(original: str) -> None:
    text = fold(original).text
    at = 0
    for mention in FINDER.find(text):
        assert at <= mention.start < mention.end <= len(text)
        assert text[mention.start : mention.end] == mention.name
        at = mention.end


@given(TEXTS)
def test_finding_is_a_pure_function(original: str) -> None:
    text = fold(original).text
    page = page_names([text], TAXON.common_names)
    assert FINDER.find(text, page) == FINDER.find(text, page)


NAMES = st.sampled_from(["Fictaria silvana", "Mockera silvana", "fictwort", "silver moonleaf"])
CASES = st.sampled_from([str.upper, str.lower, str.title, str.capitalize])


@given(NAMES, CASES)
def test_case_keeps_mentions_of_the_taxon(name: str, change: object) -> None:
    assert callable(change)
    text = change(f"we ate {name} today")
    assert [each.whose for each in FINDER.find(text)] == [About.TAXON]


@given(TEXTS, st.sampled_from(["The soup was hot.", "Rain fell.", "It was late in the year."]))
def test_an_unrelated_sentence_keeps_the_mentions(original: str, added: str) -> None:
    text = fold(original).text.strip()
    before = FINDER.find(text)
    after = FINDER.find(f"{text} . {added}")
    assert after[: len(before)] == before
    assert len(after) == len(before)


@pytest.mark.parametrize(
    "piece",
    [
        "F. ",
        "Fictaria ",
        "a-",
        "fictwort-",
        "dead ",
        "Fictaria silvana x ",
        "(",
        "A.a",
        "wort",
        "like the ",
        "Aa ",
        "silver ",
        "É",
    ],
)
def test_long_monotonous_text_is_read_to_its_end(piece: str) -> None:
    """Every pattern is bounded: text made to go back and forth in is read in a moment."""
    text = piece * 3_000 + ". fictwort"
    mentions = FINDER.find(text)
    assert mentions[-1].end == len(text)
