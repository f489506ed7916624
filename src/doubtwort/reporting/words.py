"""What each fixed word of the result means, in one clause for the reader."""

from __future__ import annotations

from doubtwort.model import About, Certainty, Grounds, Outcome, Rating, Shift, UnreadReason

RATING_SAYS = {
    Rating.UNCITED: "The claim names no source.",
    Rating.UNVERIFIABLE: "None of the claim's sources could be read.",
    Rating.DISPUTED: "Some source bears the claim out, and some source says the opposite.",
    Rating.CONTRADICTED: "A source says the opposite, and none bears the claim out.",
    Rating.CORROBORATED: "Two or more independent roots bear the claim out.",
    Rating.SUPPORTED: "One independent root bears the claim out.",
    Rating.PARTLY_SUPPORTED: "A source says it only with a condition, hedged, or of the genus or family.",
    Rating.STRETCHED: "A source says less than the claim, or says it of something else.",
    Rating.UNSUPPORTED: "Nothing that could be read bears the claim out.",
}

OUTCOME_SAYS = {
    Outcome.SUPPORTS: "says the same of this taxon",
    Outcome.NARROWER: "says it only with a condition, hedged, or of the genus or family",
    Outcome.WEAKER: "says less than the claim",
    Outcome.ELSEWHERE: "says it of another part or preparation",
    Outcome.OVERSTATES: "says it, but the sources that it cites do not",
    Outcome.MIXED: "says it and its opposite, with no condition to tell them apart",
    Outcome.CONTRADICTS: "says the opposite",
    Outcome.OTHER_TAXON: "speaks of other taxa only",
    Outcome.SILENT: "names the taxon, says nothing of people eating it",
    Outcome.ABSENT: "does not name the taxon",
    Outcome.CIRCULAR: "leads back to the claim's own page, or is a copy of it",
    Outcome.UNREAD: "could not be read",
}

UNREAD_SAYS = {
    UnreadReason.NOT_FOUND: "there is no such page",
    UnreadReason.GONE: "the page was taken down",
    UnreadReason.REFUSED: "the site refused",
    UnreadReason.ROBOTS: "the site's robots.txt asks programs not to fetch it",
    UnreadReason.TIMEOUT: "the site took too long",
    UnreadReason.UNREACHABLE: "the site could not be reached",
    UnreadReason.TOO_LARGE: "it is too large",
    UnreadReason.UNSUPPORTED_TYPE: "it is of a type that is not read",
    UnreadReason.ADDRESS_NOT_ALLOWED: "its address is private or otherwise not allowed",
    UnreadReason.REDIRECT_LOOP: "it redirects without end",
    UnreadReason.NO_TEXT: "it holds no text",
    UnreadReason.OFFLINE_WORK: "it is a book or paper without a link: look it up on paper",
    UnreadReason.DEPTH_LIMIT: "it lies deeper than this audit goes",
}

GROUNDS_SAYS = {
    Grounds.OWN_WORD: "on its own word: it cites nothing for this",
    Grounds.UNCHECKED: "unchecked: what it cites for this could not be read",
    Grounds.TRACED: "traced: what it cites for this bears it out",
}

SHIFT_SAYS = {
    Shift.STRENGTHENED: "strengthened: cited for more than it says",
    Shift.KEPT: "kept: cited for what it says",
    Shift.WEAKENED: "weakened: cited for less than it says",
}

ABOUT_SAYS = {
    About.TAXON: "this taxon",
    About.GENUS: "the genus",
    About.FAMILY: "the family",
    About.OTHER: "another taxon",
    About.UNCLEAR: "unclear which taxon",
}

CERTAINTY_SAYS = {Certainty.STATED: "", Certainty.HEDGED: "hedged", Certainty.HEARSAY: "hearsay"}
