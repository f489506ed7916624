"""Every reason that a result can give, by name. The output quotes the name, so each can be looked up here.

Fields of a sentence: ``{wording}`` the claim's wording, ``{said}`` the source's, ``{conditions}`` such as
"leaf, boiled".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from doubtwort.errors import TableError
from doubtwort.text import one_line

LONGEST_QUOTE: Final = 400

SENTENCES: Final[dict[str, str]] = {
    # supports
    "same-wording": "It says {wording!r} of this taxon and covers what the claim speaks of.",
    "case-by-case": "It says {wording!r} of each part and preparation that the claim names.",
    "other-case-warned": "It says {wording!r} of exactly what the claim names, and {said!r} of the rest.",
    # narrower
    "only-under-condition": "It says {wording!r} only for: {conditions}. The claim leaves that out.",
    "part-not-named": "It says {wording!r} without saying that this holds for the whole plant.",
    "raw-not-named": "It says {wording!r} and is silent on whether it is eaten raw.",
    "hedged": "It says {wording!r} only as a possibility.",
    "hearsay": "It passes {wording!r} on from others, and does not say it itself.",
    "only-higher-taxon": "It says {wording!r} of the genus or family only, not of this taxon.",
    "some-cases-only": "It says {wording!r} of only some of what the claim names.",
    "warned-under-condition": "It says {wording!r}, and {said!r} where this tells them apart: {conditions}.",
    # mixed, contradicts
    "both-ways": "It says {wording!r} and {said!r}, with no condition that tells the two apart.",
    "one-case-denied": "It says {wording!r} of only some of what the claim names, and {said!r} of the rest.",
    "says-opposite": "It says {said!r} of what the claim calls {wording!r}.",
    "says-opposite-hedged": "It says {said!r}, if not for certain, of what the claim calls {wording!r}.",
    # weaker, elsewhere
    "says-less": "It says {said!r}, which is less than {wording!r}.",
    "says-other": "It says {said!r}, which is not the same as {wording!r}.",
    "other-case": "It says {wording!r} of another part, preparation or stage than the claim: {conditions}.",
    # other-taxon, silent, absent
    "only-other-taxa": "What it says of eating is about other taxa.",
    "higher-taxon-other-wording": "It says {said!r} of the genus or family only; of this taxon it says nothing.",
    "unclear-taxon": "It says {said!r}, but not clearly of which taxon.",
    "warns-of-other-case": "It says {said!r} of another part, preparation or stage, and nothing of what is claimed.",
    "only-animals": "It speaks of animals eating it, not of people.",
    "no-word-on-eating": "It names the taxon and says nothing of people eating it.",
    "not-named": "It does not name the taxon.",
    # found on the trail
    "own-page": "It is the claim's own page.",
    "copy-of-claim": "Its text is a copy of the claim's own page.",
    "leads-back": "All that it cites for this leads back to the claim's own page or round in a circle.",
    "not-borne-out": "It says {wording!r}, but of the sources that it cites for this none that could be read does.",
    "by-hand": "It was read from a passage {conditions}.",
    "not-read": "It could not be read: {conditions}.",
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One named reason, with the quote that decided where there is one. ``source`` is a source's id or ""."""

    id: str
    text: str
    quote: str = ""
    source: str = ""

    def __str__(self) -> str:
        """One line: ``s1: It does not name the taxon. (not-named)``."""
        said = f"{self.source}: {self.text}" if self.source else self.text
        quote = f" “{one_line(self.quote, LONGEST_QUOTE)}”" if self.quote else ""
        return f"{said}{quote} ({self.id})"


def reason(name: str, quote: str = "", **words: str) -> Reason:
    """The named reason with its words filled in.

    >>> str(reason("says-less", "Harmless.", said="non-toxic", wording="edible"))
    "It says 'non-toxic', which is less than 'edible'. “Harmless.” (says-less)"
    """
    if name not in SENTENCES:
        raise TableError(f"There is no reason named {name!r} in the table of reasons.")
    return Reason(name, SENTENCES[name].format(**words), quote)
