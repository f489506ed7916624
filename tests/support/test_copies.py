"""Near-copies, judged on a table labelled by hand before the cut-off was set. All sentences are invented here."""

from __future__ import annotations

import pytest
from rapidfuzz import fuzz

from doubtwort.support.copies import COPY_RATIO, copied_pairs, is_copy, words

BASE = "The young leaves of Fictaria silvana are boiled in two changes of water and eaten like spinach in early spring."

# One of the two was made from the other.
COPIES = [
    (BASE, BASE),
    (BASE, BASE.upper()),
    (BASE, BASE.replace("young leaves", "“young” leaves[3]").replace(" and ", " &amp; and ")),
    (BASE, BASE.replace("are boiled", "can be boiled")),
    (BASE, BASE.replace("Fictaria silvana", "fictwort")),
    (BASE, BASE.replace(" in early spring", "")),
    (BASE, "According to old books, the young leaves of Fictaria silvana are boiled in two changes of water and eaten "
           "like spinach in spring."),
    (BASE, BASE.replace("The young leaves", "Young leaves").replace("two changes", "several changes")),
    (
        "Its black fruits ripen late and taste of pear, and country people made a thin jam of them for the winter.",
        "The black fruits ripen late and taste of pear; country people made a thin jam from them for winter.",
    ),
    (
        "Roots of the rough vaguewort were roasted, ground and brewed as a substitute for coffee in times of need.",
        "In times of need, roots of the rough vaguewort were roasted, ground and brewed as a substitute for coffee.",
    ),
]  # fmt: skip
# Two people wrote these; they speak of the same thing.
INDEPENDENT = [
    (BASE, "Tender leaves of Fictaria silvana make a good vegetable once they are cooked in plenty of water."),
    (BASE, "The young leaves of Fictaria silvana are eaten raw in salads and the roots are boiled."),
    (BASE, "In spring we boil the young leaves of Fictaria silvana twice and eat them with butter."),
    (BASE, "The young shoots of Vaguelia aspera are boiled in salted water and served like asparagus in late spring."),
    (
        "The fruits of Nusquamia lenta are edible and are made into jam, jelly and pies.",
        "The fruits of Nusquamia lenta are edible when ripe and taste a little like pears.",
    ),
    (
        "The leaves are edible raw or cooked and have a mild flavour.",
        "The seeds are edible raw or roasted and have a nutty flavour.",
    ),
    ("The leaves are edible raw or cooked.", "The leaves are edible raw or cooked."),
    ("Fictaria silvana is edible.", "Fictaria silvana is edible."),
]


@pytest.mark.parametrize("number", range(len(COPIES)))
def test_copies_are_found(number: int) -> None:
    one, other = COPIES[number]
    assert is_copy(one, other)
    assert list(copied_pairs([[one], [other]])) == [(0, 1)]


@pytest.mark.parametrize("number", range(len(INDEPENDENT)))
def test_independent_statements_are_no_copies(number: int) -> None:
    one, other = INDEPENDENT[number]
    assert not is_copy(one, other)
    assert list(copied_pairs([[one], [other]])) == []


def test_the_cut_off_lies_between_the_two_labels() -> None:
    copied = min(fuzz.ratio(sorted(words(one)), sorted(words(other))) for one, other in COPIES)
    apart = max(fuzz.ratio(sorted(words(one)), sorted(words(other))) for one, other in INDEPENDENT[:-2])
    assert apart + 3 < COPY_RATIO < copied - 3


def test_groups_that_share_a_copy_are_paired_once_whatever_else_they_hold() -> None:
    groups = [[BASE, "Other."], ["Nothing of the kind stands on this page at all today."], [BASE, BASE + " Really."]]
    assert list(copied_pairs(groups)) == [(0, 2)]


def test_comparing_grows_with_what_is_shared_not_with_the_square(monkeypatch: pytest.MonkeyPatch) -> None:
    compared = []
    import doubtwort.support.copies as copies

    real = copies._alike
    monkeypatch.setattr(copies, "_alike", lambda one, other: compared.append(1) or real(one, other))
    groups = [[f"w{n}a w{n}b w{n}c w{n}d w{n}e w{n}f w{n}g w{n}h w{n}i"] for n in range(2000)]
    assert list(copied_pairs([*groups, groups[7]])) == [(7, 2000)]
    assert not compared
    assert list(copied_pairs([*groups, [groups[7][0] + " more"]])) == [(7, 2000)]
    assert len(compared) == 1
    # A thousand near-copies of one statement, and a thousand others that share its stock phrase.
    compared.clear()
    copies_of_one = [[f"{BASE} Seen in place {n}a."] for n in range(1000)]
    stock = [[f"w{n}a w{n}b w{n}c w{n}d w{n}e boiled in two changes of water"] for n in range(1000)]
    pairs = list(copied_pairs(copies_of_one + stock))
    assert {one for one, _ in pairs} <= set(range(1000))
    assert {other for _, other in pairs} == set(range(1, 1000))
    assert len(compared) <= 70 * 2000
