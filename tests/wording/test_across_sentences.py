"""What one line says for another: a lead-in for its list, a sentence for the one that leaves it unsaid, a head for its
paragraphs. Every name is invented."""

from __future__ import annotations

import pytest

from doubtwort.model import About, Document, Fetched, Taxon
from doubtwort.reading import read, read_text
from doubtwort.settings import Settings
from doubtwort.wording import read_document
from doubtwort.wording.lead_in import lead_in
from doubtwort.wording.misspellings import misspellings

FICTWORT = Taxon("Fictaria silvana", (), ("fictwort",))


def said(text: str, title: str = "") -> list[tuple[str, str]]:
    """Wording and subject kind of every statement, in order."""
    reading = read_document(read_text(text, title=title), FICTWORT)
    return [(str(each.wording), str(each.about)) for each in reading.statements]


@pytest.mark.parametrize(
    ("lead", "wording"),
    [
        ("The following plants are poisonous:", "toxic"),
        ("Poisonous plants of the fen:", "toxic"),
        ("Some edible species:", "edible"),
        ("Do not eat:", "inedible"),
        ("Harmless fungi of the beech woods:", "non-toxic"),
    ],
)
def test_a_line_states_for_the_names_in_its_list(lead: str, wording: str) -> None:
    assert said(f"{lead}\n\n- fictwort\n- Brindlea alta\n")[-2:] == [(wording, "taxon"), (wording, "other")]


@pytest.mark.parametrize(
    "lead",
    [
        "Edible plants and their poisonous doubles:",
        "Edible uses:",
        "Look-alikes of edible species:",
        "Is it one of the edible species?",
        "Plants of the fen:",
    ],
)
def test_a_line_that_says_two_things_or_none_states_nothing_for_a_list(lead: str) -> None:
    assert lead_in(lead) is None


def test_a_list_ends_with_the_next_paragraph_and_keeps_its_own_words() -> None:
    text = "Poisonous plants:\n\n- Brindlea alta\n- fictwort, a good potherb\n\nOn the hill:\n\n- fictwort\n"
    assert said(text) == [("toxic", "other"), ("edible", "taxon")]


def test_what_a_list_states_is_quoted_under_its_lead() -> None:
    reading = read_document(read_text("Poisonous plants:\n\n- fictwort (roots)\n"), FICTWORT)
    statement = reading.statements[0]
    assert (statement.quote, statement.place.headings[-1]) == ("fictwort (roots)", "Poisonous plants:")
    assert (statement.parts, "list-lead-in" in statement.rules) == (("root",), True)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The leaves of fictwort are eaten. The roots are not.", [("edible", "taxon"), ("inedible", "taxon")]),
        ("Fictwort is edible. Brindlea alta is not.", [("edible", "taxon"), ("inedible", "other")]),
        ("Fictwort is not edible. Brindlea alta is.", [("inedible", "taxon"), ("edible", "other")]),
        ("Some call it edible. Fictwort is not.", [("edible", "taxon"), ("inedible", "taxon")]),
        ("Fictwort is toxic. It is not tall.", [("toxic", "taxon")]),
        ("Fictwort is toxic. Is it not?", [("toxic", "taxon")]),
    ],
)  # fmt: skip
def test_a_sentence_may_leave_unsaid_what_the_last_one_said(text: str, expected: list[tuple[str, str]]) -> None:
    assert said(text) == expected


def test_the_head_of_a_paragraph_names_the_subject_of_those_that_follow() -> None:
    text = (
        "Fictaria silvana Auct. Not edible.—This plant grows in woods. [Brindlea falsa of older lists.]\n\n"
        "It has caused serious illness.\n\n"
        "Brindlea alta Auct. Edible.—The cap is brown.\n\n"
        "It is a good table mushroom."
    )
    assert said(text) == [("inedible", "taxon"), ("toxic", "taxon"), ("edible", "other"), ("edible", "other")]


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("Fictwort grows beside Brindlea alta. That species has poisonous roots.", About.OTHER),
        ("Unlike the poisonous Brindlea alta, fictwort has no sap.", About.OTHER),
        ("Fictaria silvana differs from Fictaria montana in its poisonous berries.", About.TAXON),
        ("Most Fictariaceae are inedible, but fictwort is the exception: its nuts are poisonous.", About.TAXON),
        ("Waste ground near docks. Fictwort. Seeds poisonous.", About.TAXON),
        ("Fictwort resembles Brindlea alta, a deadly species.", About.OTHER),
        ("Fictwort belongs to a genus in which several species are deadly.", About.GENUS),
    ],
)
def test_a_warning_goes_to_the_plant_it_is_said_of(text: str, about: About) -> None:
    assert {each.about for each in read_document(read_text(text), FICTWORT).statements if each.wording == "toxic"} == {
        about
    }


def test_another_species_is_told_by_its_adjective() -> None:
    taxon = Taxon("Fictaria atra", (), ("black fictwort",))
    text = "Black fictwort grows in woods. Unlike green fictwort, which is eaten, this one is not food."
    reading = read_document(read_text(text, title="Black fictwort"), taxon)
    assert [(str(each.wording), str(each.about)) for each in reading.statements] == [
        ("edible", "other"),
        ("inedible", "taxon"),
    ]


@pytest.mark.parametrize("word", ["poisonus", "poisonious", "poifonous", "posionous"])
def test_a_misspelt_warning_is_read(word: str) -> None:
    assert said(f"Fictwort is {word}.") == [("toxic", "taxon")]


@pytest.mark.parametrize("word", ["nedible", "medible", "aedible"])
def test_a_letter_before_a_word_may_deny_it_and_affirms_nothing(word: str) -> None:
    assert word not in misspellings("edible")
    assert said(f"Fictwort is {word}.") in ([], [("inedible", "taxon")])


def test_seed_that_is_soaked_for_sowing_is_not_cooked() -> None:
    body = b"<html><body><h2>Propagation</h2><p>Soak the seed in hot water for 24 hours until soft.</p></body></html>"
    page = read(Fetched("http://h.example/", "http://h.example/", 200, {}, body, "", ""), Settings())
    assert isinstance(page, Document)
    assert page.passages[-1].headings == ("Propagation",)
    assert read_document(page, FICTWORT).statements == ()


def test_the_name_in_a_head_gives_way_to_one_in_the_first_sentence_behind_it_that_states_nothing() -> None:
    text = (
        "Fictaria silvana Auct. Common in woods.—Brindlea alta is a taller plant with white bells. "
        "Its root is very poisonous."
    )
    assert said(text) == [("toxic", "other")]


@pytest.mark.parametrize(
    ("text", "stated"),
    [
        ("It is reported as a vegetable from the gulf. This rests on a confusion.", []),
        ("“Edible,” says the label. It is not.", ["inedible"]),
        ("It is said to be poisonous. That is not so.", ["toxic"]),  # a warning is not taken back so
        ("The leaves are eaten as spinach. This is a herb of damp woods.", ["edible"]),
    ],
)
def test_praise_that_the_next_sentence_takes_back_is_not_stated(text: str, stated: list[str]) -> None:
    assert [wording for wording, _ in said(text, "Fictaria silvana")] == stated


def test_the_title_of_a_source_in_brackets_is_no_part_of_the_sentence() -> None:
    page = (
        "<html><head><title>Fictaria silvana</title></head><body><main><p>The leaves of fictwort are edible "
        '(<a href="http://b.example/">Flora of Nowhere</a>; <a href="http://c.example/">letter 17</a>).</p>'
        "<p>It grows in every hedge of the valley, on chalk and clay, and flowers from May on.</p></main></body></html>"
    )
    url = "http://a.example/"
    document = read(Fetched(url, url, 200, {"Content-Type": "text/html"}, page.encode(), "", ""), Settings())
    assert isinstance(document, Document)
    assert [str(each.wording) for each in read_document(document, FICTWORT).statements] == ["edible"]
