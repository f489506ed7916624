"""Takes exact places out of text that others may see: a field sheet is lent, an export is passed on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from sqlite_utils import Database

from doubtwort.notebook.rows import given, stored

LEFT_OUT = "[place left out]"
# Shorter words for a spot than this would strike half the language ("oak").
SHORTEST_SPOT = 5
_DEGREES = r"[-+−]?\d{1,3}[.,]\d{2,}(?:\s?°)?(?:\s?[NSEW]\b)?"
_EXACT = re.compile(
    "|".join(
        (
            # RFC 5870: geo:51.1234,-0.1234
            r"\bgeo:[-+0-9.,;=a-z]+",
            # Two numbers of degrees, each with two digits or more after the point (a hundredth of a degree: 1 km).
            rf"(?<![\d.,]){_DEGREES}\s?[,;/ ]\s?{_DEGREES}(?![\d])",
            # One number with a letter of direction, or with four digits or more after the point.
            r"(?<![\d.,])[-+−]?\d{1,3}[.,]\d{2,}(?:\s?°)?\s?[NSEW]\b",
            r"(?<![\d.,])[-+−]?\d{1,3}[.,]\d{4,}(?:\s?°)?",
            # Degrees, minutes, seconds: 51° 7′ 24″ N
            r"\d{1,3}\s?°\s?\d{1,2}(?:[.,]\d+)?\s?['’′](?:\s?\d{1,2}(?:[.,]\d+)?\s?(?:[\"”″]|''))?(?:\s?[NSEW]\b)?",
            # Open Location Code (specification 1.0): 9C3W9QCJ+2V
            r"\b[23456789CFGHJMPQRVWX]{4,8}\+[23456789CFGHJMPQRVWX]{2,3}\b",
            # Grid references of letters and two equal groups of digits: TQ 3008 8040, 31U DQ 48251 11932
            r"\b(?:\d{1,2}[C-X]\s?)?[A-Z]{2}\s?(?:\d{3}\s\d{3}|\d{4}\s\d{4}|\d{5}\s\d{5}|\d{6}|\d{8}|\d{10})\b",
        )
    )
)

# The keeper's own words, in which a place may stand. What others wrote, such as a quote, goes out as it is.
OWN_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "taxa": ("remarks",),
    "former_names": ("reason",),
    "origins": ("work", "locator", "role", "region", "remarks"),
    "entries": ("reason", "despite", "waiting_because", "decided_by"),
    "tastings": ("prepared", "amount", "taste", "texture", "reaction", "remarks"),
    "places": ("region",),
}


def spots_of(db: Database) -> tuple[str, ...]:
    """The words that the notebook keeps for very spots."""
    return tuple(given(row[0]) for row in db.execute("SELECT DISTINCT spot FROM places WHERE spot <> ''").fetchall())


def hiding(db: Database) -> Callable[[str], str]:
    """``without_places`` for texts as this notebook stores them."""
    spots = spots_of(db)

    def hidden(text: str) -> str:
        return stored(without_places(given(text), spots)) if text else text

    return hidden


def without_places(text: str, spots: Iterable[str] = ()) -> str:
    """The text without coordinates, and without the words of ``spots`` that the notebook keeps for itself.

    >>> without_places("Good ones at 51.12345, -0.98765 behind the third oak.", ["behind the third oak"])
    'Good ones at [place left out] [place left out].'
    """
    said = _EXACT.sub(LEFT_OUT, text)
    folded = " ".join(said.split()).casefold()
    for spot in spots:
        words = spot.split()
        whole = " ".join(words)
        if len(whole) >= SHORTEST_SPOT and whole.casefold() in folded:
            wanted = r"\s+".join(re.escape(each) for each in words)
            said = re.sub(rf"(?<!\w){wanted}(?!\w)", LEFT_OUT, said, flags=re.IGNORECASE)
    return said
