"""Over the gold sentences: what must not depend on how a text is set, what stands beside it, how a negation is spelt.

Exceptions are data with their reasons: ``fixtures/gold/unsteady.toml``; ``changes.py`` says how to look for more.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from doubtwort.model import About, Eater, Taxon, Wording
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording import changes
from wording.changes import CHANGES, UNRELATED, WITH_UNRELATED, is_prose, kept, reading_of, said, unsteady
from wording.gold import Row, rows
from wording.owed import debt

OPEN = {row.id: row for row in rows("open")}
# Every sentence is tried at least a few times over the changes; the seed is the test's, so that a run can be repeated.
steadily = settings(max_examples=120, deadline=None, derandomize=True)


def steady(change: str) -> some.SearchStrategy[Row]:
    return some.sampled_from([row for row in OPEN.values() if row.id not in unsteady(change)])


@pytest.mark.parametrize("change", WITH_UNRELATED)
@steadily
@given(draws=some.data())
def test_an_unrelated_sentence_beside_it_leaves_the_statements(change: str, draws: some.DataObject) -> None:
    row = draws.draw(steady(change))
    assert kept(change, row, CHANGES[change](row.text, draws.draw(some.sampled_from(UNRELATED))))


@steadily
@given(draws=some.data())
def test_sentences_on_both_sides_leave_the_statements(draws: some.DataObject) -> None:
    prose = [row for row in OPEN.values() if is_prose(row.text)]
    row, one, other = (draws.draw(some.sampled_from(each)) for each in (prose, UNRELATED, UNRELATED))
    assert said(row, f"{one} {row.text} {other}") == said(row, row.text)


@pytest.mark.parametrize("change", sorted(CHANGES.keys() - {*WITH_UNRELATED, "line_breaks"}))
@steadily
@given(draws=some.data())
def test_how_it_is_set_leaves_the_statements(change: str, draws: some.DataObject) -> None:
    row = draws.draw(steady(change))
    assert kept(change, row, CHANGES[change](row.text))


@steadily
@given(row=steady("line_breaks"), width=some.integers(min_value=15, max_value=70))
def test_where_lines_end_leaves_the_statements(row: Row, width: int) -> None:
    assert kept("line_breaks", row, changes.line_breaks(row.text, width))


def test_every_change_changes_texts() -> None:
    """A change that does nothing would be kept by every reader."""
    for name, change in CHANGES.items():
        assert sum(change(row.text) != row.text for row in OPEN.values()) >= 4, name


def test_the_exceptions_are_of_known_changes_and_sentences() -> None:
    for name in (*CHANGES, "not_before_edible"):
        assert unsteady(name).keys() <= OPEN.keys()
        assert all(len(why) > 20 for why in unsteady(name).values())
    prose = [row for row in OPEN.values() if is_prose(row.text)]
    assert sum(row.id in unsteady(name) for row in prose for name in CHANGES) <= 60


# --------------------------------------------------------------------------- "edible" that is taken back


def only_edible(row: Row) -> bool:
    """Only the adjective "edible" makes it say so, nothing in it denies anything, nothing repeats it ("so is …")."""
    if len(re.findall(r"\bedible\b", row.text)) != 1:
        return False
    if re.search(r"(?i)\b(?:no\w*|never|wrong|so is|so are)\b|n['’]t\b", row.text):
        return False
    return affirmed(row, row.text) and not affirmed(row, re.sub(r"\bedible\b", "large", row.text))


def affirmed(row: Row, text: str) -> bool:
    found = reading_of(row, text).statements
    return any(each.wording is Wording.EDIBLE and each.eater is Eater.PEOPLE for each in found)


ONLY_EDIBLE = [row for row in OPEN.values() if row.id not in unsteady("not_before_edible") and only_edible(row)]
DENIALS = ("not edible", "not at all edible", "inedible", "nonedible", "non-edible", "non edible", "never edible")


# The prefix parted from its word by a soft hyphen, a hyphen, a bracket, the end of a line, or in capitals.
PARTED = (
    "in\u00adedible",
    "in-edible",
    "in- edible",
    "non- edible",
    "(in)edible",
    "in-\nedible",
    "non-\nedible",
    "IN-\nEDIBLE",
)


def test_there_are_enough_sentences_to_take_back() -> None:
    assert len(ONLY_EDIBLE) >= 40


@pytest.mark.parametrize("denial", DENIALS)
@settings(max_examples=60, deadline=None, derandomize=True)
@given(row=some.sampled_from(ONLY_EDIBLE))
def test_not_before_edible_never_affirms(denial: str, row: Row) -> None:
    assert not affirmed(row, re.sub(r"\bedible\b", denial, row.text))


@pytest.mark.parametrize("denial", PARTED)
@settings(max_examples=60, deadline=None, derandomize=True)
@given(row=some.sampled_from(ONLY_EDIBLE))
def test_a_parted_prefix_never_affirms(denial: str, row: Row) -> None:
    assert not affirmed(row, re.sub(r"\bedible\b", denial, row.text))


# A sentence that begins in small letters ends what stood before it all the same.
@pytest.mark.parametrize(
    "before",
    [
        "It rained, and nobody found the path.",
        "Is it open? Nobody knows.",
        "She may not.",
    ],
)
def test_a_denial_ends_with_its_sentence_before_small_letters(before: str) -> None:
    row = next(row for row in OPEN.values() if row.taxon.scientific_name == "Fictaria silvana")
    found = said(row, f"{before} fictwort is deadly poisonous when raw.")
    assert found == {("toxic", "people", "taxon")}


@pytest.mark.parametrize(
    "sentence",
    [
        "The ferryman says that the old bridge was never safe.",
        "The road is not safe in winter.",
        debt("The rapids are deadly.", why="what is deadly is not looked at"),
        "The road is closed in winter.",
    ],
)
def test_a_danger_that_is_not_eaten_is_no_statement(sentence: str) -> None:
    row = next(row for row in OPEN.values() if row.title == "Fictaria silvana")
    assert reading_of(row, sentence).statements == ()


# --------------------------------------------------------------------------- places


@steadily
@given(some.lists(some.sampled_from(list(OPEN.values())), min_size=1, max_size=4), some.sampled_from(sorted(CHANGES)))
def test_offsets_give_back_the_quote(chosen: list[Row], change: str) -> None:
    text = "\n\n".join(CHANGES[change](row.text) for row in chosen)
    document = read_text(text, title=chosen[0].title)
    reading = read_document(document, chosen[0].taxon)
    for each in (*reading.statements, *reading.notices):
        assert each.place is not None
        assert each.quote
        assert document.text[each.place.start : each.place.end] == each.quote


@pytest.mark.parametrize(
    "passage",
    [
        "It is poisonous.",
        "“It is poisonous”",
        "It is poisonous because of—",
    ],
)
def test_a_place_ends_with_its_passage(passage: str) -> None:
    document = read_text(f"{passage}\n\nThe next.", title="Fictaria silvana")
    (found,) = read_document(document, Taxon("Fictaria silvana")).statements
    assert found.place is not None
    assert document.text[found.place.start : found.place.end] == found.quote


@steadily
@given(row=some.sampled_from(list(OPEN.values())))
def test_reading_twice_reads_the_same(row: Row) -> None:
    assert reading_of(row, row.text) == reading_of(row, row.text)


def unnamed(row: Row) -> bool:
    """The page's title names another taxon, and nothing names the one asked about or its genus."""
    own = row.taxon
    names = (own.scientific_name, *own.synonyms, *own.common_names, own.genus)
    return bool(row.title) and not any(name.lower() in f"{row.text} {row.title}".lower() for name in names)


def test_a_page_about_another_taxon_lends_no_statement() -> None:
    strangers = [row for row in OPEN.values() if unnamed(row)]
    assert len(strangers) >= 10
    lent = [row.id for row in strangers if any(each[2] == About.TAXON for each in said(row, row.text))]
    assert lent == []
