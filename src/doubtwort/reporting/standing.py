"""The standing cautions: shown with every result, whatever the rating and whatever the format."""

from __future__ import annotations

from doubtwort.model import Caution, Wording

CODE = "standing"

NOT_SAFE = Caution(
    CODE,
    "This is a check of what sources say. It does not tell whether anything is safe to eat; no rating does.",
)
NOT_NAMED = Caution(
    CODE,
    "It does not identify plants or fungi. Names are shared, mistaken and changed; look-alikes kill.",
)
MISREADS = Caution(
    CODE,
    "It reads by rules and can misread a sentence. Read the quoted source yourself before you rely on it.",
)
TOXIC_CLAIM = Caution(
    CODE,
    "The claim checked is a warning. Little support for a warning is never evidence that the taxon is harmless.",
)


def standing_cautions(wording: Wording | None) -> tuple[Caution, ...]:
    """Those that stand under a result about a claim of this wording (None: no claim, only text that was read)."""
    if wording in (Wording.TOXIC, Wording.INEDIBLE, Wording.UNPALATABLE):
        return TOXIC_CLAIM, NOT_SAFE, NOT_NAMED, MISREADS
    return NOT_SAFE, NOT_NAMED, MISREADS
