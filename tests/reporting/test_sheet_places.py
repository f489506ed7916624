"""Exact places never reach a field sheet, in whatever notation a keeper has typed them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.notebook.place_words import LEFT_OUT, without_places

# Notations: ISO 6709 and common practice; RFC 5870 (geo URI); the examples of the Open Location Code specification;
# grid references with letters as national grids and the Military Grid Reference System write them.
PLACES = [
    "51.12345, -0.98765",
    "51.12345,-0.98765",
    "51,12345; 0,98765",
    "51.12 N 0.98 W",
    "N 51.123456 E 12.345678",
    "51.1234° N, 0.5678° W",
    "-33.868820",
    "51° 7′ 24″ N, 0° 59′ 15″ W",
    "51°7'24.4\"N 0°59'15.5\"W",
    "51° 07.41' N",
    "geo:51.1234,-0.1234;u=10",
    "9C3W9QCJ+2V",
    "849VCWC8+R9",
    "TQ 3008 8040",
    "TQ30088040",
    "31U DQ 48251 11932",
]


@pytest.mark.parametrize("place", PLACES)
def test_a_place_is_left_out_and_the_words_around_it_stay(place):
    shown = without_places(f"Many there: {place}. Boil them twice.")
    assert shown.startswith("Many there: ")
    assert shown.endswith("Boil them twice.")
    assert LEFT_OUT in shown
    assert not any(char.isdigit() for char in shown)


@pytest.mark.parametrize(
    "text",
    [
        "Boiled for 2.5 hours, 10 minutes each, in 3 waters; 1.25 kg gave 0.4 l.",
        "2026-05-01, leaf, boiled: taste: mild",
        "Claim c1 is supported since 2026-11-01.",
        "One of 12 was bitter (8%).",
        "Leaves 3-5 cm, 12.5 mm thick, at 90 °C.",
        "",
    ],
)
def test_other_numbers_stay(text):
    assert without_places(text) == text


@given(
    st.floats(-90, 90).map(lambda number: f"{number:.5f}"),
    st.floats(-180, 180).map(lambda number: f"{number:.5f}"),
    st.sampled_from([", ", ",", " ", "; ", "/"]),
)
def test_no_pair_of_degrees_stays(latitude, longitude, between):
    shown = without_places(f"at {latitude}{between}{longitude}")
    assert not any(char.isdigit() for char in shown)


def test_words_for_a_spot_that_the_notebook_keeps_are_left_out():
    spots = ["behind the third oak", "Mill Lane (gate)"]
    said = "Picked  Behind the\nthird oak, and at mill lane (gate)."
    assert without_places(said, spots) == f"Picked  {LEFT_OUT}, and at {LEFT_OUT}."
    assert without_places("behind the third oaks", spots) == "behind the third oaks"


def test_a_spot_of_a_few_letters_strikes_no_words():
    assert without_places("oak leaves", ["oak", ""]) == "oak leaves"
