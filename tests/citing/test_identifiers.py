"""DOI, ISBN, ISSN and PMID: found in free text, checked by their check digits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import isbn as reference_isbn
from stdnum import issn as reference_issn

from doubtwort.citing.identifiers import (
    IdentifierKind,
    doi_url,
    find_identifiers,
    normalise_doi,
    normalise_isbn,
    normalise_issn,
)


def found(text: str) -> list[tuple[str, str]]:
    return [(each.kind.value, each.value) for each in find_identifiers(text)]


# Check values of ISO 2108: 978-0-306-40615-7 and 978-3-16-148410-0 are the examples of the standard's user manual;
# the ten-digit ones stand in imprints (a WHO and an Agriculture Canada publication among them).
@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("978-0-306-40615-7", "9780306406157"),
        ("978-3-16-148410-0", "9783161484100"),
        ("0-306-40615-2", "9780306406157"),
        ("0-8436-1072-7", "9780843610727"),
        ("92 4 154487 2", "9789241544870"),
        ("0-662-13586-5", "9780662135869"),
        ("ISBN-10: 0-306-40615-2", "9780306406157"),
        ("978–3–16–148410–0", "9783161484100"),
        # "X" stands for ten; made by the rule, checked against python-stdnum below.
        ("0-8044-2957-X", "9780804429573"),
        ("0-8044-2957-x", "9780804429573"),
    ],
)
def test_isbn_that_is_right(written: str, value: str) -> None:
    assert normalise_isbn(written) == value
    assert reference_isbn.is_valid(written.replace("ISBN-10: ", "").replace("–", "-"))


# 978-3-16-148410-3 has the check digit that some published pages reach by forgetting the last subtraction.
@pytest.mark.parametrize(
    "written",
    ["978-3-16-148410-3", "978-3-16-148410-1", "0-8436-1072-8", "X-306-40615-2", "979-0-2600-0043-8", "", "٠٣٠٦٤٠٦١٥٢"],
)
def test_isbn_that_is_wrong(written: str) -> None:
    assert normalise_isbn(written) == ""


# ISO 3297: 2070-1721 is that of the RFC series, 0171-8630 and 1120-6721 stand in imprints of journals.
@pytest.mark.parametrize("written", ["2070-1721", "0171-8630", "1120-6721", "0317-8471", "2434-561X"])
def test_issn_that_is_right(written: str) -> None:
    assert normalise_issn(written) == written
    assert normalise_issn(written.replace("-", "")) == written
    assert found(f"(ISSN {written}).") == [("issn", written)]


@pytest.mark.parametrize("written", ["0317-8472", "2070-172", "X070-1721"])
def test_issn_that_is_wrong(written: str) -> None:
    assert normalise_issn(written) == ""
    assert found(f"ISSN {written}") == []


@given(
    st.text("0123456789X", min_size=10, max_size=10)
    | st.text("0123456789", min_size=10, max_size=10).map("978".__add__)
)
def test_isbn_agrees_with_python_stdnum(digits: str) -> None:
    expected = reference_isbn.to_isbn13(digits) if reference_isbn.is_valid(digits) else ""
    assert normalise_isbn(digits) == expected


@given(st.text("0123456789", min_size=9, max_size=9))
def test_every_nine_digits_have_one_check_character(nine: str) -> None:
    right = [last for last in "0123456789X" if normalise_isbn(nine + last)]
    assert right == [reference_isbn._calc_isbn10_check_digit(nine)]


@given(st.text("0123456789", min_size=7, max_size=7), st.sampled_from("0123456789X"))
def test_issn_agrees_with_python_stdnum(seven: str, last: str) -> None:
    assert bool(normalise_issn(seven + last)) == reference_issn.is_valid(seven + last)


# The DOIs are ones that stand in published references; ISO 26324 allows parentheses, brackets, "<" and ";".
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("doi:10.1136/bmj.b2680.", "10.1136/bmj.b2680"),
        ("(see 10.1371/journal.pone.0184727)", "10.1371/journal.pone.0184727"),
        ("(doi:10.1016/S0196-0644(99)70280-5).", "10.1016/s0196-0644(99)70280-5"),
        ("https://doi.org/10.3358/shokueishi.55.55;", "10.3358/shokueishi.55.55"),
        ("<https://doi.org/10.1136/bmj.b2680>", "10.1136/bmj.b2680"),
        (
            "10.1002/(SICI)1097-0258(19980815)17:15<1661::AID-SIM968>3.0.CO;2-2,",
            "10.1002/(sici)1097-0258(19980815)17:15<1661::aid-sim968>3.0.co;2-2",
        ),
        ("“10.1136/bmj.b2680”", "10.1136/bmj.b2680"),
        ("https://doi.org/10.1136%2Fbmj.b2680", "10.1136/bmj.b2680"),
        ("http://dx.doi.org/10.1136/bmj.b2680?nosfx=y#tab", "10.1136/bmj.b2680"),
        ("https://press.example/doi/10.1136/bmj.b2680/full?x=1", "10.1136/bmj.b2680"),
        ("10.1136/bmj.b2680…", "10.1136/bmj.b2680"),
        ("[10.1136/bmj.b2680]", "10.1136/bmj.b2680"),
    ],
)
def test_doi_in_text(text: str, value: str) -> None:
    (only,) = find_identifiers(text)
    assert (only.kind, only.value) == (IdentifierKind.DOI, value)
    assert text[only.start : only.end].lower().replace("%2f", "/") == value


@pytest.mark.parametrize(
    "text", ["110.1136/x", "10.1/x", "10.1136/", "10.1136/ x", "v10.1136", "10.1136/...", "1.10.1136/x"]
)
def test_no_doi(text: str) -> None:
    assert found(text) == []


def test_two_dois_joined_by_a_comma() -> None:
    assert found("10.1136/bmj.b2680,10.3358/shokueishi.55.55") == [
        ("doi", "10.1136/bmj.b2680"),
        ("doi", "10.3358/shokueishi.55.55"),
    ]


def test_a_whole_reference() -> None:
    text = (
        "Ficta A. Mock plants. 2nd ed. ISBN 0-8436-1072-7 (pbk), 978-3-16-148410-0; J Ficta 1998-2001;12:3-9. "
        "e-ISSN: 0317-8471. PMID: 12345678. doi: 10.1136/bmj.b2680"
    )
    assert found(text) == [
        ("isbn", "9780843610727"),
        ("isbn", "9783161484100"),
        ("issn", "0317-8471"),
        ("pmid", "12345678"),
        ("doi", "10.1136/bmj.b2680"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "call 0306406152 today",  # ten digits with a right check digit, and no ISBN
        "1998-2001 and 2070-1721",  # years, and an ISSN that is not called one
        "PMID 0123",
        "ISBN 0-306-40615-3",
        "9780306406157123",
    ],
)
def test_numbers_that_are_no_identifiers(text: str) -> None:
    assert found(text) == []


def test_an_isbn_inside_a_doi_is_not_a_second_identifier() -> None:
    assert found("doi:10.1007/978-3-16-148410-0") == [("doi", "10.1007/978-3-16-148410-0")]


def test_doi_url_encodes_what_the_resolver_needs() -> None:
    # DOI Handbook §2.5.2.4: "%", '"', "#" and space must be encoded, "<" and ">" should be.
    assert doi_url("10.1000/456#789") == "https://doi.org/10.1000/456%23789"
    assert doi_url("doi:10.1000/A<B>c") == "https://doi.org/10.1000/a%3Cb%3Ec"
    assert doi_url("nothing") == ""


@pytest.mark.parametrize("written", ["doi: 10.1000/182", "DOI 10.1000/182", "info:doi/10.1000/182", "10.1000/182."])
def test_doi_alone(written: str) -> None:
    assert normalise_doi(written) == "10.1000/182"


@pytest.mark.parametrize("written", ["see 10.1000/182", "10.1000/182 and more", "10.1000", "", "doi:"])
def test_more_or_less_than_a_doi(written: str) -> None:
    assert normalise_doi(written) == ""


@given(st.text(max_size=200))
def test_any_text_is_searched_without_error(text: str) -> None:
    for each in find_identifiers(text):
        assert 0 <= each.start < each.end <= len(text)
        assert each.value


@pytest.mark.parametrize(
    "filler", ["10.1000/(", "ISBN 0-", "10.1000/x,", "ISSN (", "https://x/10.1000/a)))", "97 8 0 "]
)
def test_hostile_length_is_searched_in_bounded_steps(filler: str) -> None:
    assert len(find_identifiers(filler * 20_000)) <= 20_000
