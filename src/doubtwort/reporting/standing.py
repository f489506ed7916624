"""The standing cautions: shown with every result, whatever the rating and whatever the format."""

from __future__ import annotations

from doubtwort.model import Caution, Wording
from doubtwort.support.wordings import NEVER_SAFE

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


def standing_cautions(wording: Wording | None) -> tuple[Caution, ...]:
    """Those that stand under a result about a claim of this wording (None: no claim, only text that was read).

    >>> standing_cautions(Wording.TOXIC)[0].text
    'The claim is a warning: low support for it, or a source against it, is never evidence of safety.'
    """
    cautions = (NOT_SAFE, NOT_NAMED, MISREADS)
    if wording in NEVER_SAFE:
        return Caution(CODE, NEVER_SAFE[wording]), *cautions
    return cautions
