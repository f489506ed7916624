"""Places where a taxon was found, as rough or as precise as wished, with the cautions of the site.

What is asked for without ``exact`` is coarsened: coordinates to a tenth of a degree (about 11 km of latitude), and the
words for the very spot left out. Rounding by digits of a degree follows A. D. Chapman, Current Best Practices for
Generalizing Sensitive Species Occurrence Data (GBIF, 2020), section 5.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.notebook.history import changing
from doubtwort.notebook.kept import now
from doubtwort.notebook.labels import a_date, next_label, row_labelled, some_text, today
from doubtwort.notebook.rows import Row, given, listed, unlisted
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import taxon_id_of
from doubtwort.text import one_line


class Precision(StrEnum):
    """How exact the coordinates are, and are kept: they are rounded before anything is written."""

    EXACT = "exact"
    HUNDRED_METRES = "100m"
    KILOMETRE = "1km"
    TEN_KILOMETRES = "10km"
    WORDS = "words"


# Digits after the point of a degree. A thousandth of a degree of latitude is 111 m.
_DIGITS: Final = {
    Precision.EXACT: 6,
    Precision.HUNDRED_METRES: 3,
    Precision.KILOMETRE: 2,
    Precision.TEN_KILOMETRES: 1,
}
COARSE: Final = Precision.TEN_KILOMETRES


class SiteCaution(StrEnum):
    """What is amiss with a site."""

    SPRAYED = "sprayed"
    ROADSIDE = "roadside"
    OLD_INDUSTRY = "old-industry"
    FOUL_WATER = "foul-water"
    PROTECTED = "protected"
    PERMISSION = "permission"


SITE_SAYS: Final = {
    SiteCaution.SPRAYED: "the site is sprayed",
    SiteCaution.ROADSIDE: "the site lies by a road",
    SiteCaution.OLD_INDUSTRY: "there was industry on the site: the ground may be poisoned",
    SiteCaution.FOUL_WATER: "the water there is foul",
    SiteCaution.PROTECTED: "the site or the taxon is protected: do not pick",
    SiteCaution.PERMISSION: "picking needs permission there",
}


@dataclass(frozen=True, slots=True)
class Place:
    """Coordinates in degrees (WGS 84), None where only words are given. ``region`` are words that may be shown to
    others, ``spot`` words for the very place, which may not unless asked for."""

    precision: Precision = Precision.WORDS
    latitude: float | None = None
    longitude: float | None = None
    region: str = ""
    spot: str = ""
    cautions: tuple[SiteCaution, ...] = ()
    remarks: str = ""
    found_on: str = ""


@dataclass(frozen=True, slots=True)
class KeptPlace:
    """A place with its id ("p2") and the taxon. ``coarsened`` tells that more is known than is given here."""

    id: str
    taxon: str
    place: Place
    coarsened: bool


def add_place(store: Store, taxon: str, place: Place) -> KeptPlace:
    place = _checked(place)
    row = {
        "found_on": a_date(place.found_on, partial=True) or today(),
        "precision": place.precision.value,
        "latitude": place.latitude,
        "longitude": place.longitude,
        "spot": some_text(place.spot, "words for the spot", 1_000),
        "region": some_text(place.region, "region", 500),
        "cautions": listed(tuple(each.value for each in dict.fromkeys(place.cautions))),
        "remarks": some_text(place.remarks, "remark"),
        "recorded_at": now(),
    }
    with changing(store, f"place of {taxon}") as change:
        owner = {"label": next_label(change.db, "places"), "taxon_id": taxon_id_of(change.db, taxon)}
        row_id = change.insert("places", owner | row)
        return _kept(change.db, next(iter(change.db.query("SELECT * FROM places WHERE id = ?", (row_id,)))), exact=True)


def _checked(place: Place) -> Place:
    latitude, longitude = place.latitude, place.longitude
    if (latitude is None) != (longitude is None):
        raise CallError("Give latitude and longitude, or neither.")
    if latitude is None or longitude is None:
        if not (place.region.strip() or place.spot.strip()):
            raise CallError("The place is empty: give coordinates, a region or words for the spot.")
        return replace(place, precision=Precision.WORDS)
    if not (math.isfinite(latitude) and math.isfinite(longitude) and abs(latitude) <= 90 and abs(longitude) <= 180):
        raise CallError("Latitude lies between -90 and 90 degrees, longitude between -180 and 180.")
    if place.precision is Precision.WORDS:
        raise CallError("Say how exact the coordinates are: exact, 100m, 1km or 10km.")
    return _rounded(place, place.precision)


def _rounded(place: Place, precision: Precision) -> Place:
    if place.latitude is None or place.longitude is None:
        return place
    digits = _DIGITS[precision]
    return replace(
        place,
        precision=precision,
        latitude=round(place.latitude, digits),
        longitude=round(place.longitude, digits),
    )


def coarsened(place: Place) -> Place:
    """What may be shown to others: a tenth of a degree, no words for the spot.

    >>> coarsened(Place(Precision.EXACT, 51.123456, -0.98765, spot="behind the third oak")).latitude
    51.1
    """
    return replace(_rounded(place, COARSE), spot="")


def places(store: Store, *, taxon: str = "", exact: bool = False, limit: int | None = None) -> tuple[KeptPlace, ...]:
    """The latest first; coarsened unless ``exact``."""
    with store.reading() as db:
        where, values = ("taxon_id = ?", (taxon_id_of(db, taxon),)) if taxon else ("1", ())
        asked = f"SELECT * FROM places WHERE {where} ORDER BY found_on DESC, id DESC LIMIT ?"
        rows = list(db.query(asked, (*values, -1 if limit is None else limit)))
        return tuple(_kept(db, row, exact=exact) for row in rows)


def delete_place(store: Store, label: str) -> None:
    with changing(store, f"place {one_line(label, 40)} deleted") as change:
        change.delete("places", row_labelled(change.db, "places", label)["id"])


def _kept(db: Database, row: Row, *, exact: bool) -> KeptPlace:
    taxon = db.execute("SELECT scientific_name FROM taxa WHERE id = ?", (row["taxon_id"],)).fetchone()[0]
    place = Place(
        Precision(row["precision"]),
        row["latitude"],
        row["longitude"],
        given(row["region"]),
        given(row["spot"]),
        tuple(SiteCaution(each) for each in unlisted(row["cautions"])),
        given(row["remarks"]),
        row["found_on"],
    )
    shown = place if exact else coarsened(place)
    return KeptPlace(given(row["label"]), given(taxon), shown, shown != place)
