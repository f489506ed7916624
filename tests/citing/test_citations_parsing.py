"""Printed references read into their parts. The references are invented, in styles that are in common use."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doubtwort.citing.citations import citation_from, name_key, printed_addresses, printed_urls


@pytest.mark.parametrize(
    ("text", "authors", "year", "title", "pages"),
    [
        ("Alder, B. & Birk, C. (1998). Fictive herbs. Demo Press, pp. 12–15.", ("Alder", "Birk"), "1998",
         "Fictive herbs", "12–15"),
        ("Alder B, Birk CD. Roots eaten. J Inv Bot. 2010;65:577–82.", ("Alder", "Birk"), "2010", "Roots eaten",
         "577–82"),
        ("B. Alder and C. Birk, “Herbs of nowhere”, Inv. J. 12(3), 2001: 45–67.", ("Alder", "Birk"), "2001",
         "Herbs of nowhere", "45–67"),
        ("Alder, Beth. 1998. Herbs of Nowhere. Demo Press.", ("Alder",), "1998", "Herbs of Nowhere", ""),
        ("[3] van der Alder, B., et al. 2003a. Seeds. Journal 4: 5-6.", ("van der Alder",), "2003", "Seeds", "5-6"),
        ("Alder, B., C. D. Birk, and E. Cedar. 1970. Soils and fire. Ecology 51:696–700.", ("Alder", "Birk", "Cedar"),
         "1970", "Soils and fire", "696–700"),
        ("Alder. B. C. and Birk. D. Herbs of nowhere. Demo (1972/01/01)", ("Alder", "Birk"), "1972",
         "Herbs of nowhere", ""),
        ("Alder & Birk 1998, p. 14", ("Alder", "Birk"), "1998", "", "14"),
        ("O’Alder, P. 1901 'Of the eating of Herbs.' Demo.", ("O’Alder",), "1901", "Of the eating of Herbs", ""),
        ("Invented Herb Board. 2004. Plants and people.", (), "2004", "Plants and people", ""),
        ("Alder-Birk, Ł. (15 May 2012) Herbs. Demo.", ("Alder-Birk",), "2012", "Herbs", ""),
        ("See page 1998 of the herbal", (), "", "See page 1998 of the herbal", ""),
    ],
)  # fmt: skip
def test_parts(text: str, authors: tuple[str, ...], year: str, title: str, pages: str) -> None:
    citation = citation_from("k", text)
    assert (citation.authors, citation.year, citation.title, citation.pages) == (authors, year, title, pages)
    assert citation.urls == ()


@pytest.mark.parametrize(
    ("text", "urls"),
    [
        ("See http://herb.example/a.", ("http://herb.example/a",)),
        ("(www.herb.example/a_(b))", ("http://www.herb.example/a_(b)",)),
        ("<http://herb.example/a>, seen 2001", ("http://herb.example/a",)),
        ("http://herb.example/fic-\ntive", ("http://herb.example/fic-tive", "http://herb.example/fictive")),
        ("http://herb.example/fic\ufffetive", ("http://herb.example/fic-tive", "http://herb.example/fictive")),
        ("http://herb.example/fic\u00ad\ntive", ("http://herb.example/fictive",)),
        ("http://herb.example/\nplants/a", ("http://herb.example/plants/a",)),
        ("http://herb.example\n/plants", ("http://herb.example/plants",)),
        (
            "http://herb.example/pla\nnts/fict?x=1 end",
            ("http://herb.example/plants/fict?x=1", "http://herb.example/pla"),
        ),
        ("https: //herb.example/a", ("https://herb.example/a",)),
        ("http://herb.example/a\nAccessed 2009", ("http://herb.example/a",)),
        ("no address here", ()),
    ],
)
def test_printed_urls(text: str, urls: tuple[str, ...]) -> None:
    assert printed_urls(text) == urls


def test_linked_address_comes_first_and_is_not_repeated() -> None:
    citation = citation_from(
        "k", "Alder 1998. http://herb.example/a and http://birk.example/", ["https://herb.example/a/"]
    )
    assert citation.urls == ("https://herb.example/a/", "http://birk.example/")


def test_identifiers() -> None:
    # 10.1000/182 is the DOI of the DOI Handbook; 0-306-40615-2 the example of ISO 2108 in the ISBN Users' Manual.
    citation = citation_from("k", "Alder B. Herbs. 2001;5:3–9.10.1000/182. ISBN 0-306-40615-2")
    assert (citation.doi, citation.isbn) == ("10.1000/182", "9780306406157")
    assert citation_from("k", "Alder 2001", ["https://doi.org/10.1000/182"]).doi == "10.1000/182"
    assert citation_from("k", "doi:10.1000/inv-\nented.4").doi == "10.1000/inv-ented.4"


def test_archived_copy_gives_the_original() -> None:
    copy = "http://archive.example/web/20100504/http://herb.example/a"
    citation = citation_from("k", "Alder 1998", [copy])
    assert (citation.urls, citation.archived_url) == (("http://herb.example/a",), copy)
    plain = citation_from("k", "Alder 1998", ["http://herb.example/go?to=http://birk.example/"])
    assert plain.archived_url == ""


def test_addresses_in_running_text() -> None:
    text = "See www.herb.example/a, doi:10.1000/182 and https://doi.org/10.1000/182."
    assert [text[start:end] for start, end, _ in printed_addresses(text)] == [
        "www.herb.example/a",
        "https://doi.org/10.1000/182",
        "10.1000/182",
    ]


def test_name_keys() -> None:
    assert name_key("Łuk") == name_key("Luk") == "luk"
    assert name_key("van der Alder") == name_key("Alder")
    assert name_key("de") == "de"


@given(st.text(max_size=300))
@settings(max_examples=200, deadline=None)
def test_any_text_gives_a_citation(text: str) -> None:
    citation = citation_from("k", text)
    assert citation.key == "k"
    assert "\n" not in citation.text


@pytest.mark.parametrize(
    "text",
    ["A. " * 5_000, "http://" + "a-\n" * 5_000, "(" * 9_000, "Alder, B., " * 2_000, "10.1000/" * 900, "“" * 4_000],
)
def test_hostile_references(text: str) -> None:
    citation_from("k", text)
