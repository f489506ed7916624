"""A trail as a ladder in words: what each page says, and what the one above it has made of that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from doubtwort.support.ladder import LadderRung

MOST_SHOWN: Final = 3


@dataclass(frozen=True, slots=True)
class Rising:
    """One rung. ``says`` is what the page says at its strongest; ``gained`` what it says more than the rung below."""

    id: str
    says: str
    quote: str
    gained: str


def risings(ladders: Sequence[Sequence[LadderRung]]) -> tuple[tuple[Rising, ...], ...]:
    """The ladders on which something was gained, the claim first; those on which nothing was are left out.

    >>> from doubtwort.model import Wording
    >>> rungs = [LadderRung("claim", None, Wording.EDIBLE, gained=("edible from non-toxic",)),
    ...          LadderRung("s1", None, Wording.NON_TOXIC, quote="Fictwort is harmless.")]
    >>> [(each.id, each.says, each.gained) for each in risings([rungs])[0]]
    [('claim', 'edible', 'edible from non-toxic'), ('s1', 'non-toxic', '')]
    """
    return tuple(tuple(map(_rising, ladder)) for ladder in ladders if any(rung.gained for rung in ladder))


def _rising(rung: LadderRung) -> Rising:
    if rung.wording is None:
        unread = rung.outcome is not None and rung.outcome.value == "unread"
        return Rising(rung.id, "not read" if unread else "says nothing on eating it", "", "; ".join(rung.gained))
    parts = [rung.wording.value]
    if rung.about is not None and rung.about.value != "taxon":
        parts.append(f"of its {rung.about.value}")
    if rung.certainty is not None and rung.certainty.value != "stated":
        parts.append(rung.certainty.value)
    parts += rung.conditions
    return Rising(rung.id, ", ".join(parts), rung.quote, "; ".join(rung.gained))
