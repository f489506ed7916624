"""The cut-offs of spelling, argued for on a small labelled table.

The pairs are our own choice. "Different" pairs are published names that lie near each other; they stand as names only.
No different pair is joined, though none of its genera is given as known; every same pair is joined unless it is too
short; and a cut-off one letter lower would join different names.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.taxa.spelling import (
    COMMON_EDITS,
    EPITHET_EDITS,
    GENUS_EDITS,
    Nearness,
    allowed,
    near_binomial,
    near_common,
    near_epithet,
    near_word,
)

SAME_BINOMIALS = [
    ("Fictarla silvana", "Fictaria silvana", Nearness.SLIP),  # i read as l
    ("Fictaria sllvana", "Fictaria silvana", Nearness.SLIP),
    ("Fictaria si1vana", "Fictaria silvana", Nearness.SLIP),
    ("Fictaria filvana", "Fictaria silvana", Nearness.SLIP),  # long s
    ("Fictaria silvanna", "Fictaria silvana", Nearness.SLIP),
    ("Fictaria silvanum", "Fictaria silvana", Nearness.SLIP),  # gender
    ("Fictaria sylvana", "Fictaria silvana", Nearness.SLIP),
    ("Rurnicella alba", "Rumicella alba", Nearness.SLIP),  # rn read for m
    ("Rumicclla alba", "Rumicella alba", Nearness.EDIT),
    ("Mockera hookerii", "Mockera hookeri", Nearness.SLIP),
    ("Mockera candelabrum", "Mockera clandelabrum", Nearness.EDIT),
    ("Fictaria silvestrsi", "Fictaria silvestris", Nearness.EDIT),  # two letters swapped
    ("Fictoria silvestris", "Fictaria silvestris", Nearness.EDIT),
    ("Urtica dioca", "Urtica dioica", Nearness.OTHER),  # six letters: too short for an edit
]
DIFFERENT_BINOMIALS = [
    ("Lepista nuda", "Lepiota nuda"),
    ("Tamus communis", "Taxus communis"),
    ("Cistus incanus", "Cissus incanus"),
    ("Arethusa bulbosa", "Aethusa bulbosa"),
    ("Ficus serratus", "Fucus serratus"),
    ("Melica altissima", "Melia altissima"),
    ("Arum album", "Carum album"),
    ("Cicuta virosa", "Cicuta maculata"),
    ("Galium vernum", "Galium verum"),
    ("Amanita verna", "Amanita vernalis"),
    ("Rumex acetosella", "Rumex acetosa"),
    ("Boletus satanoides", "Boletus satanas"),
    ("Conium maculatum", "Cicuta maculata"),
    ("Viola odorata", "Vicia odorata"),
    ("Plantago minor", "Plantago major"),
]
SAME_COMMON = [
    ("bearbery", "bearberry", Nearness.SLIP),
    ("fictwort", "fict-wort", Nearness.SLIP),
    ("rnoonleaf", "moonleaf", Nearness.SLIP),
    ("silver moonlaef", "silver moonleaf", Nearness.EDIT),
    ("stining nettle", "stinging nettle", Nearness.EDIT),
    ("silvr moonlef wort", "silver moonleaf wort", Nearness.EDIT),
]
DIFFERENT_COMMON = [
    ("barberry", "bearberry"),
    ("crowberry", "cowberry"),
    ("hops", "hogs"),
    ("mint", "mist"),
    ("sloes", "slops"),
    ("dewberry", "deerberry"),
    ("hackberry", "huckleberry"),
    ("wood nettle", "food nettle"),
    ("nettles", "kettles"),
]


def pair(name: str) -> tuple[str, str]:
    genus, epithet = name.split()
    return genus, epithet


@pytest.mark.parametrize(("printed", "true", "near"), SAME_BINOMIALS)
def test_same_scientific_name(printed: str, true: str, near: Nearness) -> None:
    assert near_binomial(pair(printed), pair(true)) is near


@pytest.mark.parametrize(("one", "other"), DIFFERENT_BINOMIALS)
def test_different_scientific_names(one: str, other: str) -> None:
    assert near_binomial(pair(one), pair(other)) is Nearness.OTHER
    assert near_binomial(pair(other), pair(one)) is Nearness.OTHER


@pytest.mark.parametrize(("printed", "true", "near"), SAME_COMMON)
def test_same_common_name(printed: str, true: str, near: Nearness) -> None:
    assert near_common(printed, true) is near


KNOWN = {"barberry", "bearberry", "crowberry", "cowberry"}


@pytest.mark.parametrize(("one", "other"), DIFFERENT_COMMON)
def test_different_common_names(one: str, other: str) -> None:
    assert near_common(one, other, known=KNOWN) is Nearness.OTHER
    assert near_common(other, one, known=KNOWN) is Nearness.OTHER


def test_one_letter_looser_would_join_different_names() -> None:
    """The step below each cut-off joins names that are different: the cut-offs cannot be loosened."""
    assert near_word("Arethusa", "Aethusa", ((7, 1),)) is Nearness.EDIT
    assert near_word("Lepista", "Lepiota", ((7, 1),)) is Nearness.EDIT
    assert near_word("vernum", "verum", ((5, 1),)) is Nearness.EDIT
    assert near_word("dewberry", "deerberry", ((8, 2),)) is Nearness.EDIT


@pytest.mark.parametrize("steps", [EPITHET_EDITS, GENUS_EDITS, COMMON_EDITS])
def test_short_names_are_stricter(steps: tuple[tuple[int, int], ...]) -> None:
    edits = [allowed(length, steps) for length in range(30)]
    assert edits == sorted(edits)
    assert edits[7] == 0
    assert edits[-1] == 2


def test_a_known_genus_is_never_a_misspelling() -> None:
    assert near_binomial(("Fictaroia", "silvestris"), ("Fictaria", "silvestris")) is Nearness.EDIT
    assert (
        near_binomial(("Fictaroia", "silvestris"), ("Fictaria", "silvestris"), genera={"Fictaroia"}) is Nearness.OTHER
    )


def test_two_names_on_one_page_are_two_taxa_but_slips_are_slips() -> None:
    named = {("Fictaria", "silvestris")}
    assert near_binomial(("Fictaria", "silvistris"), ("Fictaria", "silvestris"), named=named) is Nearness.OTHER
    assert near_binomial(("Fictaria", "siivestris"), ("Fictaria", "silvestris"), named=named) is Nearness.SLIP
    assert near_common("bearbarry", "bearberry", named={"bearberry"}) is Nearness.OTHER


def test_never_both_words_edited() -> None:
    assert near_binomial(("Fictaroia", "silvostris"), ("Fictaria", "silvestris")) is Nearness.OTHER


@given(st.text(alphabet="abcdeilmnorstuv", min_size=1, max_size=20))
def test_a_word_is_the_same_as_itself_in_any_case(word: str) -> None:
    assert near_word(word.upper(), word, EPITHET_EDITS) is Nearness.SAME
    assert near_epithet(word, word.upper()) is Nearness.SAME
    assert near_common(word.upper(), word) is Nearness.SAME
