"""Own experience: notes of taste, and places that stay the keeper's own."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notebook_values import TAXON

from doubtwort.errors import CallError, NotInNotebook
from doubtwort.notebook import open_notebook
from doubtwort.notebook.history import events
from doubtwort.notebook.notes import Tasting, add_tasting, delete_tasting, tastings
from doubtwort.notebook.places import Place, Precision, SiteCaution, add_place, coarsened, delete_place, places
from doubtwort.notebook.search import search
from doubtwort.notebook.taxa import add_taxon

NAME = TAXON.scientific_name
SPOT = "behind the third oak at Nowhere Mill"


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        add_taxon(opened, TAXON)
        yield opened


def test_a_note_comes_back_and_a_reaction_comes_first(notebook):
    bad = Tasting(
        "boiled twice", "a mouthful", "bitter", "stringy", "itching lips", "in rain", "leaf", "boiled", "2026-05"
    )
    assert add_tasting(notebook, "mock fictary", bad).tasting == bad
    add_tasting(notebook, NAME, Tasting(taste="like paper", tasted_on="2026-06-01"))
    assert [(each.id, each.taxon) for each in tastings(notebook)] == [("n1", NAME), ("n2", NAME)]
    delete_tasting(notebook, "n2")
    assert add_tasting(notebook, NAME, Tasting(remarks="again")).id == "n3"
    with pytest.raises(NotInNotebook, match="n2"):
        delete_tasting(notebook, "n2")
    for wrong in (
        Tasting(),
        Tasting(part="leaf"),
        Tasting(taste="x", tasted_on="yesterday"),
        Tasting(taste="x" * 30_000),
    ):
        with pytest.raises(CallError):
            add_tasting(notebook, NAME, wrong)


# A thousandth of a degree of latitude is 111 m, a hundredth 1.1 km, a tenth 11 km (nautical mile: 1852 m a minute).
@pytest.mark.parametrize(
    ("precision", "kept"),
    [
        (Precision.EXACT, (51.123457, -1.987654)),
        (Precision.HUNDRED_METRES, (51.123, -1.988)),
        (Precision.KILOMETRE, (51.12, -1.99)),
        (Precision.TEN_KILOMETRES, (51.1, -2.0)),
    ],
)
def test_no_more_is_written_than_was_wished(notebook, precision, kept):
    add_place(notebook, NAME, Place(precision, 51.1234567, -1.9876543))
    (found,) = places(notebook, exact=True)
    assert (found.place.latitude, found.place.longitude) == kept
    notebook.close()
    for file in notebook.path.parent.iterdir():
        if precision is not Precision.EXACT:
            assert b"51.1234" not in file.read_bytes()


@given(
    latitude=st.floats(-90, 90), longitude=st.floats(-180, 180),
    precision=st.sampled_from([each for each in Precision if each is not Precision.WORDS]),
)  # fmt: skip
@settings(max_examples=200)
def test_coarsened_places_keep_a_tenth_of_a_degree_at_most(latitude, longitude, precision):
    shown = coarsened(Place(precision, latitude, longitude, "Low Hills", SPOT))
    assert (shown.spot, shown.region, shown.precision) == ("", "Low Hills", Precision.TEN_KILOMETRES)
    for value, told in ((latitude, shown.latitude), (longitude, shown.longitude)):
        assert round(told, 1) == told
        assert abs(told - value) <= 0.0501


def test_the_very_place_is_shown_only_when_asked_for(notebook):
    place = Place(
        Precision.EXACT, 51.123456, -1.987654, "Low Hills", SPOT, (SiteCaution.ROADSIDE, SiteCaution.PROTECTED), "wet",
        "2026-05-01",
    )  # fmt: skip
    add_place(notebook, NAME, place)
    (rough,), (exact,) = places(notebook), places(notebook, exact=True)
    assert (exact.place, exact.coarsened) == (place, False)
    assert (rough.place.latitude, rough.place.spot, rough.coarsened) == (51.1, "", True)
    assert rough.place.cautions == place.cautions
    assert search(notebook, "oak") == ()
    assert [hit.ref for hit in search(notebook, "Low Hills")] == ["p1"]
    delete_place(notebook, "p1")
    told = json.dumps([each.what for each in events(notebook)])
    assert "oak" not in told
    assert "51." not in told


@pytest.mark.parametrize(
    "wrong",
    [
        Place(),
        Place(Precision.EXACT, 51.0),
        Place(Precision.EXACT, 90.1, 0.0),
        Place(Precision.EXACT, 0.0, -180.5),
        Place(Precision.EXACT, float("nan"), 0.0),
        Place(Precision.EXACT, float("inf"), 0.0),
        Place(Precision.WORDS, 51.0, 1.0),
        Place(region="x", found_on="2026-13"),
        Place(region="x" * 1000),
    ],
)
def test_no_place_at_all(notebook, wrong):
    with pytest.raises(CallError) as caught:
        add_place(notebook, NAME, wrong)
    assert "\n" not in str(caught.value)
    assert places(notebook) == ()


def test_words_alone_are_a_place(notebook):
    add_place(notebook, NAME, Place(Precision.EXACT, spot=SPOT))
    (found,) = places(notebook)
    assert (found.place.precision, found.place.spot, found.coarsened) == (Precision.WORDS, "", True)
