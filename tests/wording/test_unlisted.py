"""What is said of plants whose names stand in no list is not lent to the plant in question. Every name is invented."""

from __future__ import annotations

import pytest

from doubtwort.model import About, Taxon, Wording
from doubtwort.reading import read_text
from doubtwort.wording import read_document

FICTWORT = Taxon("Fictaria silvana", (), ("fictwort",))


def edible_about(text: str) -> set[About]:
    document = read_text(text, title="Fictaria silvana")
    return {each.about for each in read_document(document, FICTWORT).statements if each.wording is Wording.EDIBLE}


@pytest.mark.parametrize(
    "text",
    [
        "Fictwort is poisonous. Marsh brindle is edible.",
        "Fictwort is poisonous. The marsh brindle is edible.",
        "Fictwort is poisonous. Brindles are boiled and eaten.",
        "Fictwort is poisonous. Marsh brindle, which grows beside it, has plain stems and is edible.",
        "Fictwort is poisonous. Young leaves of marsh brindle are edible.",
        "Fictwort is often mistaken for pellroot, which is edible.",
        "Pellroot is edible, while fictwort is not.",
        "Unlike fictwort, wild pellroot can be eaten raw.",
        "As with fictwort, the young leaves of pellroot are eaten.",
        "Pellroot, often mistaken for fictwort, is edible.",
    ],
)
def test_an_unlisted_name_keeps_its_praise(text: str) -> None:
    assert edible_about(text) == {About.OTHER}


@pytest.mark.parametrize(
    "text",
    [
        "Fictwort is common. Young leaves are edible.",
        "Fictwort is common. The flesh is edible.",
        "Fictwort is common. Flour is made from the roots and is eaten as porridge.",
        "Fictwort is common. Everything about it is edible.",
        "Fictwort is common. Ripe berries, which hang in bunches, are edible.",
        "Like pellroot, fictwort can be eaten raw.",
        "Villagers say that it can be eaten raw.",
        "Fictwort is common in the north, where it is eaten as a vegetable.",
    ],
)
def test_parts_foods_and_pronouns_are_no_names(text: str) -> None:
    assert edible_about(text) == {About.TAXON}


def test_a_warning_is_not_kept_from_the_plant_in_question() -> None:
    document = read_text("Fictwort is common. Brindle is poisonous.", title="Fictaria silvana")
    assert {(each.wording, each.about) for each in read_document(document, FICTWORT).statements} == {
        (Wording.TOXIC, About.TAXON)
    }
