"""The relations between parts, preparations and stages, as tables."""

from __future__ import annotations

import pytest

from doubtwort.support.conditions import COVERED, PORTIONS, TOUCHING, parts_touch, preparations_touch, stages_by_axis
from doubtwort.support.coverage import Cell, Reach, cells, cover, stages_apart, warns_of
from doubtwort.support.told_apart import By, told_apart
from support.shorthand import claim, statement


def test_what_is_covered_is_a_portion_or_the_whole() -> None:
    for whole, parts in COVERED.items():
        assert parts <= PORTIONS[whole]
        assert all(parts_touch(whole, part) for part in parts)
    assert all(len(each) > 1 for each in TOUCHING)


@pytest.mark.parametrize(
    ("one", "other", "touch"),
    [
        ("leaf", "leaf", True),
        ("leaf", "root", False),
        ("whole plant", "pollen", True),
        ("tuber", "rhizome", True),
        ("shoot", "leaf", True),
        ("stem", "leaf", False),
        ("fruit", "aril", True),
        ("fruit", "seed", False),
        ("seed", "nut", True),
    ],
)
def test_parts_touch_in_both_directions(one: str, other: str, touch: bool) -> None:
    assert parts_touch(one, other) is parts_touch(other, one) is touch


@pytest.mark.parametrize(
    ("warned", "claimed", "reached"),
    [
        ("raw", "raw", True),
        ("raw", "dried", True),
        ("raw", "boiled", False),
        ("raw", "leached", False),
        ("raw", "fermented", False),
        ("cooked", "fried", True),
        ("fried", "cooked", True),
        ("fried", "boiled", False),
        ("cooked", "raw", False),
    ],
)
def test_which_preparations_a_warning_reaches(warned: str, claimed: str, reached: bool) -> None:
    assert preparations_touch(warned, claimed) is reached


def test_stages_exclude_each_other_on_one_axis_only() -> None:
    assert stages_apart(("young",), ("old",))
    assert stages_apart(("young",), ("mature",))
    assert not stages_apart(("old",), ("mature",))
    assert not stages_apart(("young",), ("ripe",))
    assert not stages_apart(("frosted",), ("young",))
    assert stages_by_axis(("frosted",)) == {-1: frozenset({"frosted"})}


def test_cells_are_the_product_of_parts_and_preparations() -> None:
    found = list(cells(claim("edible leaf,root /raw,boiled")))
    assert found == [Cell("leaf", "raw"), Cell("leaf", "boiled"), Cell("root", "raw"), Cell("root", "boiled")]
    assert list(cells(claim("edible"))) == [Cell("", "")]


@pytest.mark.parametrize(
    ("said", "claimed", "reach", "conditions"),
    [
        ("edible leaf @young", "edible leaf @young", Reach.COVERS, ()),
        ("edible leaf @young,spring", "edible leaf @young", Reach.NARROWER, ("spring",)),
        ("edible fruit @ripe", "edible fruit @ripe,unripe", Reach.NARROWER, ("ripe",)),
        ("edible leaf @frosted", "edible leaf", Reach.NARROWER, ("frosted",)),
        ("edible leaf @frosted", "edible leaf @frosted", Reach.COVERS, ()),
        ("edible leaf @frosted", "edible leaf @frosted,limp", Reach.COVERS, ()),
        ("toxic leaf #large", "toxic leaf", Reach.NARROWER, ("large amounts",)),
        ("toxic leaf #small", "toxic leaf", Reach.COVERS, ()),
        ("edible -skin", "edible fruit", Reach.NARROWER, ("except skin",)),
    ],
)
def test_coverage_names_what_is_left_out(said: str, claimed: str, reach: Reach, conditions: tuple[str, ...]) -> None:
    case = claim(claimed)
    found = cover(statement(said), case, next(cells(case)))
    assert (found.reach, found.conditions) == (reach, conditions)


def test_a_warning_reaches_whatever_the_claim_leaves_open() -> None:
    assert warns_of(statement("toxic root /raw @unripe"), claim("edible"))
    assert not warns_of(statement("toxic root"), claim("edible leaf"))
    assert not warns_of(statement("toxic @unripe"), claim("edible fruit @ripe"))


def test_two_sides_of_a_condition_are_both_named() -> None:
    apart = told_apart(statement("edible /boiled @young"), statement("toxic /raw"))
    assert [each.by for each in apart] == [By.PREPARATION, By.STAGE]
    assert apart[0].conditions == ("edible: boiled", "toxic: raw")
    assert apart[1].conditions == ("edible: young",)


def test_a_bare_warning_is_not_limited_by_a_part_named_elsewhere() -> None:
    assert told_apart(statement("edible leaf"), statement("toxic")) == ()
    same = "The plant is poisonous, but the leaves are edible."
    assert told_apart(statement("edible leaf", same), statement("toxic", same))
