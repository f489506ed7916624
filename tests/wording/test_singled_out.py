"""What is said of a genus is said of the plant as well where it stands as an example. Every name is invented."""

from __future__ import annotations

import pytest

from doubtwort.model import About, Taxon, Wording
from doubtwort.reading import read_text
from doubtwort.wording import read_document

FICTWORT = Taxon("Fictaria silvana", (), ("fictwort",))


def said(text: str) -> set[tuple[Wording, About]]:
    document = read_text(text, title="Fictaria silvana")
    return {(each.wording, each.about) for each in read_document(document, FICTWORT).statements}


@pytest.mark.parametrize(
    "text",
    [
        "Several species are eaten, including F. silvana.",
        "Several species of the genus are eaten, among them F. silvana and F. nivea.",
        "Many species of the genus are eaten, among them F. nivea and F. silvana.",
        "Many Fictaria are edible, e.g. Fictaria silvana.",
        "Many species of the genus are edible, notably fictwort.",
    ],
)
def test_an_example_shares_what_is_said_of_its_genus(text: str) -> None:
    assert said(text) == {(Wording.EDIBLE, About.GENUS), (Wording.EDIBLE, About.TAXON)}


@pytest.mark.parametrize(
    "text",
    [
        "Most species of the genus are edible, except F. silvana.",
        "Most species of the genus are edible, but not F. silvana.",
        "Most species are edible, unlike fictwort.",
        "Many species of the genus are edible, notably F. nivea.",
        "Few species are edible, especially not fictwort.",
        "Many species of the genus are edible, and a few, among them fictwort, smell of mice.",
    ],
)
def test_an_exception_or_another_example_lends_it_nothing(text: str) -> None:
    assert (Wording.EDIBLE, About.TAXON) not in said(text)


def test_what_is_said_of_the_rest_is_not_said_of_the_example() -> None:
    assert said("Most of the genus are poisonous, but several, such as fictwort, are eaten.") == {
        (Wording.TOXIC, About.GENUS),
        (Wording.EDIBLE, About.TAXON),
    }
