"""Sentences of other hands, none of which was taught or tuned on, are read at least as well as their floors say."""

from __future__ import annotations

import pytest

from doubtwort.model import Wording
from wording.gold import below, rows
from wording.measured_sets import SETS, figures, file_of, floors, items, measured, sha256, taught, wrongly_edible

LONG = 40  # characters; shorter texts ("Not edible.") are anybody's


@pytest.mark.parametrize("name", SETS)
def test_the_floors_are_of_this_file(name: str) -> None:
    assert floors()[name]["sha256"] == sha256(name)


@pytest.mark.parametrize("name", SETS)
def test_no_figure_is_below_its_floor(name: str) -> None:
    assert below(*figures(name), floors()[name]) == []


def test_nothing_that_measures_is_taught() -> None:
    known = {item.text.lower() for item in taught() if len(item.text) >= LONG}
    for name in SETS:
        assert not [item for item in items(file_of(name)) if item.text.lower() in known]
        assert len(measured(name)) > 550
    # Counted, not shown: the locked half is not looked into.
    assert sum(row.text.lower() in known for row in rows("locked")) == 0


def test_nothing_taught_is_read_as_edible_that_is_not() -> None:
    """A tenth of all, so that it takes half a minute; ``measured_sets.py --taught`` reads every one."""
    assert wrongly_edible(taught()[::10]) == []


def test_every_wording_is_taught_often_and_many_texts_state_nothing() -> None:
    said = [wording for item in taught() for wording in item.wordings]
    assert all(said.count(wording) > 900 for wording in Wording)
    assert sum(not item.said for item in taught()) > 7000


def test_an_item_that_cannot_be_read_is_named(tmp_path) -> None:
    path = tmp_path / "bad.txt"
    path.write_text("# Fictaria silvana | fictwort |\nX\tThe seeds are eaten.\n", "utf-8")
    with pytest.raises(ValueError, match=r"bad\.txt, line 2: 'X' is no code"):
        list(items(path))
