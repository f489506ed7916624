"""The stock of common names: its table, plurals and keys."""

import pytest

from doubtwort.errors import TableError
from doubtwort.taxa.lexicon import key, lexicon, plural, read_lexicon, singulars


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("nettle", "nettles"),
        ("bearberry", "bearberries"),
        ("silver leaf", "silver leaves"),
        ("moonleaf", "moonleaves"),
        ("lily of the valley", "lilies of the valley"),
        ("wood mouse", "wood mice"),
        ("radish", "radishes"),
        ("box", "boxes"),
        ("day", "days"),
        ("cactus", "cacti"),
        ("coltsfoot", "coltsfoots"),
        ("chives", "chives"),
    ],
)
def test_plural(one: str, many: str) -> None:
    assert plural(one) == many


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("nettles", ("nettle",)),
        ("bearberries", ("bearberry",)),
        ("moonleaves", ("moonleaf",)),
        ("radishes", ("radish",)),
        ("wood mice", ("wood mouse",)),
        ("iris", ()),
        ("cress", ()),
    ],
)
def test_singular(many: str, one: tuple[str, ...]) -> None:
    assert singulars(many) == one


def test_keys_are_equal_for_all_spellings() -> None:
    assert len({key(each) for each in ("St. John's-wort", "st johns wort", "St John's Wort")}) == 1


def test_the_shipped_table_has_no_name_in_two_lists_that_exclude_each_other() -> None:
    stock = lexicon()
    assert not stock.names & stock.weak
    assert not stock.foods & stock.weak
    assert not stock.modifiers & stock.plain
    assert all(name == name.lower() for name in stock.names | stock.foods | stock.weak)
    assert all(genus[0].isupper() for genus in stock.genera)


LISTS = (
    "names", "weak", "foods", "heads", "not_heads", "berry_bearers", "modifiers", "plain", "followers",
    "genera", "distinguishing", "not_latin", "bare_heads",
)  # fmt: skip


def table(**changed: str) -> str:
    one = '["a"]'
    return "\n".join(f"{name} = {changed.get(name, one)}" for name in LISTS)


def test_a_whole_table_is_read() -> None:
    assert read_lexicon(table()).names == frozenset({"a"})


@pytest.mark.parametrize("name", LISTS)
def test_an_empty_list_stops_the_program(name: str) -> None:
    with pytest.raises(TableError, match=f"empty list: {name}"):
        read_lexicon(table(**{name: "[]"}))


def test_an_unknown_list_or_no_toml_stops_the_program() -> None:
    with pytest.raises(TableError, match="unknown list: others"):
        read_lexicon(table() + '\nothers = ["a"]')
    with pytest.raises(TableError, match="no TOML"):
        read_lexicon("names = [")
