"""The gold sentences are read at least as well as the floors say, and the floors are those of these very files."""

from __future__ import annotations

import pytest

from doubtwort.model import Certainty, Wording
from wording.gold import FIELDS, HALVES, WORDINGS, Count, below, floors, in_both_halves, rows, scores, sha256, table


@pytest.mark.parametrize("half", HALVES)
def test_the_floors_are_of_this_file(half: str) -> None:
    """A changed gold file needs its floors looked at again: python tests/wording/gold.py prints hash and floors."""
    assert floors()[half]["sha256"] == sha256(half)


@pytest.mark.parametrize("half", HALVES)
def test_no_score_is_below_its_floor(half: str) -> None:
    found = scores(half)
    print("\n" + table(half, found))
    failed = below(found.rates, found.counts, floors()[half])
    assert not failed, "\n".join([*failed, table(half, found)])


@pytest.mark.parametrize("half", HALVES)
def test_the_labels_are_in_the_fixed_words(half: str) -> None:
    # Counted, not shown: the locked half is not looked into.
    said = [each for row in rows(half) for each in row.statements]
    assert set(WORDINGS) == {str(wording) for wording in Wording}
    assert sum(each["wording"] not in WORDINGS for each in said) == 0
    assert sum(each["certainty"] not in list(Certainty) for each in said) == 0
    assert sum(each[field] != sorted(set(each[field])) for each in said for field in FIELDS[1:]) == 0


def test_no_sentence_stands_in_both_halves() -> None:
    assert in_both_halves() == 0
    assert scores("locked").sentences == len(rows("locked"))


def test_there_are_six_hundred_open_sentences_and_every_wording_is_labelled_often() -> None:
    assert len(rows("open")) >= 600
    for half in HALVES:
        labelled = [wording for row in rows(half) for wording in row.wordings]
        assert min(labelled.count(wording) for wording in WORDINGS) >= 25


def test_a_score_that_sinks_or_has_no_floor_is_told() -> None:
    pinned = {"at_least": {"exact": 0.9, "gone": 0.1}, "at_most": {"false_edible": 0}}
    assert below({"exact": 0.9}, {"false_edible": 0}, pinned) == ["gone has a floor and no score"]
    told = below({"exact": 0.89, "about": 1.0}, {"false_edible": 1}, pinned)
    assert told[:3] == [
        "exact is 0.8900, its floor 0.9",
        "about is 1.0000, its floor None",
        "false_edible is 1, its ceiling 0",
    ]


def test_f1_is_the_harmonic_mean_of_precision_and_recall() -> None:
    # van Rijsbergen, Information Retrieval (1979), chapter 7: F = 2PR / (P + R).
    count = Count()
    count.add(["raw", "cooked", "dried"], ["raw", "boiled"])
    assert (count.right, count.wrong, count.missed) == (1, 2, 1)
    assert count.f1 == pytest.approx(2 * count.precision * count.recall / (count.precision + count.recall))
