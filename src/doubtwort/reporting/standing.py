"""The standing cautions: shown with every result, whatever the rating and whatever the format.

They are rows of ``claims_db/hazards/cautions.csv`` and of no other place; here they are only put in order.
"""

from __future__ import annotations

from collections.abc import Sequence

from doubtwort.model import Caution, Wording
from doubtwort.support.wordings import NEVER_SAFE
from doubtwort.taxa.hazards import load_hazards

CODE = "standing"


def standing_cautions(wording: Wording | None, others: Sequence[Caution] = ()) -> tuple[Caution, ...]:
    """Those that stand under a result about a claim of this wording (None: no claim, only text that was read).

    ``others`` came with a kept result; of those whose code stands in the table today, the table's words are shown.

    >>> standing_cautions(Wording.TOXIC)[0].text
    'The claim is a warning: low support for it, or a source against it, is never evidence of safety.'
    """
    warning = (Caution(CODE, NEVER_SAFE[wording]),) if wording in NEVER_SAFE else ()
    published = tuple(Caution(each.code, each.text, each.citation) for each in load_hazards().standing)
    known = {each.code for each in published}
    return tuple(dict.fromkeys((*warning, *published, *(each for each in others if each.code not in known))))
