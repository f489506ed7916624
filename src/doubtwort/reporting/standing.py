"""The standing cautions: shown with every result, whatever the rating and whatever the format."""

from __future__ import annotations

from collections.abc import Sequence

from doubtwort.model import Caution, Wording
from doubtwort.support.wordings import NEVER_SAFE

CODE = "standing"

NOT_SAFE = Caution(
    CODE, "No rating and no reading means that anything is safe to eat: this is a check of what sources say."
)
NOT_NAMED = Caution(
    CODE, "It does not identify plants or fungi. Names are shared, mistaken and changed; look-alikes kill."
)
MISREADS = Caution(
    CODE,
    "It reads by rules and can misread a sentence. Read the quoted source yourself before you rely on it.",
)


def standing_cautions(wording: Wording | None, published: Sequence[Caution] = ()) -> tuple[Caution, ...]:
    """Those that stand under a result about a claim of this wording (None: no claim, only text that was read).

    ``published`` are those of the published list; they say at more length what ``NOT_NAMED`` says.

    >>> standing_cautions(Wording.TOXIC)[0].text
    'The claim is a warning: low support for it, or a source against it, is never evidence of safety.'
    """
    warning = (Caution(CODE, NEVER_SAFE[wording]),) if wording in NEVER_SAFE else ()
    return tuple(dict.fromkeys((*warning, NOT_SAFE, *(published or (NOT_NAMED,)), MISREADS)))
