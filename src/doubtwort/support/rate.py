"""How far the claim is supported: the table of ratings, first row that fits. None of them means that it is safe."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from doubtwort.model import Outcome, Rating

AFFIRM: Final = (Outcome.SUPPORTS, Outcome.NARROWER, Outcome.MIXED)
DENY: Final = (Outcome.CONTRADICTS, Outcome.MIXED)
STRETCH: Final = (Outcome.WEAKER, Outcome.ELSEWHERE, Outcome.OVERSTATES)


@dataclass(frozen=True, slots=True)
class Tally:
    """All that the table looks at. ``outcomes`` by source id; ``roots`` counts independent roots that support."""

    cites: bool
    outcomes: Mapping[str, Outcome]
    roots: int = 0

    def having(self, *outcomes: Outcome) -> tuple[str, ...]:
        return tuple(each for each, outcome in self.outcomes.items() if outcome in outcomes)

    @property
    def read(self) -> tuple[str, ...]:
        return tuple(each for each, outcome in self.outcomes.items() if outcome is not Outcome.UNREAD)


@dataclass(frozen=True, slots=True)
class Row:
    """One row: ``fits`` decides, ``says`` is its reason; {sources} are those in ``names``."""

    rating: Rating
    fits: Callable[[Tally], bool]
    says: str
    names: Callable[[Tally], tuple[str, ...]] = lambda tally: ()


ROWS: Final = (
    Row(Rating.UNCITED, lambda t: not t.cites, "The claim names no source."),
    Row(Rating.UNVERIFIABLE, lambda t: not t.read, "None of the sources could be read."),
    Row(
        Rating.DISPUTED,
        lambda t: bool(t.having(*AFFIRM) and t.having(*DENY)),
        "Sources disagree: {sources} affirm or deny the claim.",
        lambda t: t.having(*AFFIRM, *DENY),
    ),
    Row(
        Rating.CONTRADICTED,
        lambda t: bool(t.having(Outcome.CONTRADICTS)),
        "Said the opposite: {sources}; no source affirms the claim.",
        lambda t: t.having(Outcome.CONTRADICTS),
    ),
    Row(
        Rating.CORROBORATED,
        lambda t: t.roots >= 2,
        "{roots} independent roots support the claim, found through {sources}.",
        lambda t: t.having(Outcome.SUPPORTS),
    ),
    Row(
        Rating.SUPPORTED,
        lambda t: t.roots == 1,
        "One independent root supports the claim, found through {sources}.",
        lambda t: t.having(Outcome.SUPPORTS),
    ),
    Row(
        Rating.PARTLY_SUPPORTED,
        lambda t: bool(t.having(Outcome.NARROWER)),
        "The end of the trail is narrower than the claim: {sources}.",
        lambda t: t.having(Outcome.NARROWER),
    ),
    Row(
        Rating.STRETCHED,
        lambda t: bool(t.having(*STRETCH)),
        "The claim says more than, or something else than: {sources}.",
        lambda t: t.having(*STRETCH),
    ),
    Row(
        Rating.UNSUPPORTED,
        lambda t: True,
        "Nothing that was read bears the claim out: {sources}.",
        lambda t: t.read,
    ),
)


def rate(tally: Tally) -> tuple[Rating, str]:
    """The rating and its reason in words.

    >>> rate(Tally(True, {"s1": Outcome.SUPPORTS, "s2": Outcome.CONTRADICTS}, roots=1))
    (<Rating.DISPUTED: 'disputed'>, 'Sources disagree: s1, s2 affirm or deny the claim. (disputed)')
    """
    row = next(row for row in ROWS if row.fits(tally))
    said = row.says.format(sources=", ".join(row.names(tally)), roots=tally.roots)
    return row.rating, f"{said} ({row.rating.value})"
