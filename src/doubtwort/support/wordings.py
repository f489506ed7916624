"""How the five wordings lie to each other, as data."""

from __future__ import annotations

from typing import Final

from doubtwort.model import Claim, Wording

EDIBLE, NON_TOXIC, UNPALATABLE, INEDIBLE, TOXIC = (
    Wording.EDIBLE,
    Wording.NON_TOXIC,
    Wording.UNPALATABLE,
    Wording.INEDIBLE,
    Wording.TOXIC,
)

# Pairs that deny each other. The relation has no direction: what denies is denied.
# "Inedible" and "unpalatable" do not deny "non-toxic", and bad taste denies nothing.
_DENY: Final = (frozenset({EDIBLE, TOXIC}), frozenset({EDIBLE, INEDIBLE}), frozenset({NON_TOXIC, TOXIC}))


def denies(one: Wording, other: Wording) -> bool:
    """Whether the two wordings say opposite things.

    >>> denies(Wording.EDIBLE, Wording.TOXIC), denies(Wording.EDIBLE, Wording.UNPALATABLE)
    (True, False)
    """
    return frozenset({one, other}) in _DENY


# From the one that says most for eating to the one that says most against it.
TOWARDS_EATING: Final = (EDIBLE, NON_TOXIC, UNPALATABLE, INEDIBLE, TOXIC)
TOWARDS_WARNING: Final = tuple(reversed(TOWARDS_EATING))

# Strongest first, seen from a claim of each wording: what "says more" means on its trail.
STRENGTH: Final = {
    EDIBLE: TOWARDS_EATING,
    NON_TOXIC: TOWARDS_EATING,
    UNPALATABLE: TOWARDS_WARNING,
    INEDIBLE: TOWARDS_WARNING,
    TOXIC: TOWARDS_WARNING,
}

WARNINGS: Final = frozenset({TOXIC, INEDIBLE, UNPALATABLE})

NEVER_SAFE: Final = {
    TOXIC: "The claim is a warning: low support for it, or a source against it, is never evidence of safety.",
    INEDIBLE: "The claim is a warning: low support for it, or a source against it, is never evidence of safety.",
    UNPALATABLE: "The claim speaks of taste: low support for it is never evidence of safety.",
}


def never_safe(claim: Claim) -> str:
    """The sentence that stands beside every result about a warning, "" for a claim that invites to eat."""
    return NEVER_SAFE.get(claim.wording, "")
