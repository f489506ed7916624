"""Labels with their values, in the words that pages of plants and databases put beside what they ask."""

from __future__ import annotations

import pytest

from doubtwort.model import Document, Passage, Taxon
from doubtwort.reading import read_text
from doubtwort.wording import read_document

PLANT = Taxon("Fictaria silvana", (), ("fictwort",))


def said(text: str) -> list[tuple[str, str]]:
    statements = read_document(read_text(text, title="Fictaria silvana"), PLANT).statements
    return sorted((each.wording.value, each.eater.value) for each in statements)


@pytest.mark.parametrize("label", ["Edibility", "Human edibility", "Overall edibility (humans)", "Edibility summary"])
def test_words_that_ask_nothing_leave_a_label_what_it_is(label: str) -> None:
    assert said(f"{label}: none") == [("inedible", "people")]
    assert said(f"{label}: good") == [("edible", "people")]


def test_such_a_label_is_seen_behind_other_sentences() -> None:
    assert said("It grows in woods. Toxicity summary (humans): none known.") == [("non-toxic", "people")]


@pytest.mark.parametrize("label", ["Animal edibility", "Edibility to insects", "Human", "Notes"])
def test_a_label_that_asks_something_else_is_no_question_of_food(label: str) -> None:
    assert said(f"{label}: good") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Edibility: low", [("unpalatable", "people")]),
        ("Edibility: slight, woody", [("unpalatable", "people")]),
        ("Edibility: high", [("edible", "people")]),
        ("Edibility: highly poisonous", [("toxic", "people")]),
        ("Edibility: slightly toxic", [("toxic", "people")]),
        ("Edibility: moderate", []),
    ],
)
def test_a_degree_answers_for_food_only_where_nothing_worse_follows(text: str, expected: list[tuple[str, str]]) -> None:
    assert said(text) == expected


@pytest.mark.parametrize("text", ["Uses: food, fodder", "Uses: fodder, food"])
def test_food_beside_fodder_is_of_people_as_well(text: str) -> None:
    assert said(text) == [("edible", "animals"), ("edible", "people")]


@pytest.mark.parametrize("text", ["Uses: fodder", "Edible: yes, for goats only"])
def test_fodder_alone_is_of_animals(text: str) -> None:
    assert said(text) == [("edible", "animals")]


@pytest.mark.parametrize(("heading", "expected"), [("Edible parts", ["edible"]), ("Local edible parts", [])])
def test_a_heading_asks_only_in_the_words_of_a_whole_label(heading: str, expected: list[str]) -> None:
    page = Document("", "Fictaria silvana", (Passage("Leaves, seeds", headings=(heading,)),))
    assert [each.wording.value for each in read_document(page, PLANT).statements] == expected
