"""What would settle the question: what a person could still look up, from what the audit left open."""

from __future__ import annotations

from collections.abc import Iterable

from doubtwort.model import About, Audit, Grounds, Outcome, Rating, Source, UnreadReason, Wording
from doubtwort.text import one_line

LONGEST_WORK = 160
MOST_NAMED = 12

# What to do about a source that was not read; {these} are ids.
_LOOK_UP = {
    UnreadReason.OFFLINE_WORK: "Look up in a library, and read the pages cited: {these}.",
    UnreadReason.NOT_FOUND: "Look for an archived copy or a new address of {these}: the cited page is not there.",
    UnreadReason.GONE: "Look for an archived copy of {these}: the cited page was taken down.",
    UnreadReason.ROBOTS: "Open {these} yourself in a browser: the site asks programs to stay away.",
    UnreadReason.REFUSED: "Open {these} yourself in a browser: the site refused a program.",
    UnreadReason.TIMEOUT: "Audit again later: {these} took too long to answer.",
    UnreadReason.UNREACHABLE: "Audit again later: {these} could not be reached.",
    UnreadReason.TOO_LARGE: "Open {these} yourself: too large to be fetched here.",
    UnreadReason.UNSUPPORTED_TYPE: "Open {these} yourself: of a type that is not read here.",
    UnreadReason.ADDRESS_NOT_ALLOWED: "Check the address of {these}: it is private or otherwise not allowed.",
    UnreadReason.REDIRECT_LOOP: "Look for another address of {these}: this one redirects without end.",
    UnreadReason.NO_TEXT: "Look at {these} yourself: no text could be taken from it (a scan, perhaps).",
    UnreadReason.DEPTH_LIMIT: "Audit again with a greater --depth: {these} lie deeper than this audit went.",
}
_THIN = (Rating.UNCITED, Rating.UNVERIFIABLE, Rating.UNSUPPORTED, Rating.STRETCHED)


def settles(audit: Audit) -> tuple[str, ...]:
    """Each step in one sentence, the most telling first. None of them would show that anything is safe to eat."""
    claim = audit.claim
    what = f"“{claim.wording.value}”"
    limits = ", ".join((*claim.parts, *claim.preparations, *claim.stages))
    of = one_line(claim.taxon.scientific_name, LONGEST_WORK) + (f" ({limits})" if limits else "")
    found: list[str] = []
    against = _ids(audit, Outcome.CONTRADICTS, Outcome.MIXED)
    if against:
        found.append(
            f"Read in their places what {against} and the others say: whether they mean the same plant, part, "
            "preparation and stage. Until that is settled, the warning stands."
            if claim.wording is not Wording.TOXIC
            else f"Read {against} in place: what is said against a warning has to outweigh it, and seldom does."
        )
    if audit.rating in _THIN:
        found.append(f"A source that itself says {what} of {of}: none of those read does.")
    if these := _ids(audit, Outcome.NARROWER):
        found.append(
            f"A source that says {what} of {of} without the limits that {these} sets, or a claim that names them."
        )
    if these := _ids(audit, Outcome.OVERSTATES):
        found.append(f"What {these} says it from: the sources that it cites and that were read do not say it.")
    if these := _ids(audit, Outcome.CIRCULAR):
        found.append(f"A source from outside the circle: {these} lead back to where they began.")
    own = [each for each in audit.sources if each.grounds is Grounds.OWN_WORD]
    if own:
        found.append(
            f"What {_named(own)} says it from: it cites nothing for this, so ask its author, or test its word."
        )
    if audit.rating is Rating.SUPPORTED:
        found.append("A second root of other origin: another work, another site, other words.")
    unclear = [each for each in audit.sources if any(said.about is About.UNCLEAR for said in each.statements)]
    if unclear:
        found.append(f"Which plant {_named(unclear)} means: read the sentence in its place.")
    found += _unread(audit.sources)
    return tuple(found)


def _unread(sources: Iterable[Source]) -> list[str]:
    by_reason: dict[UnreadReason, list[Source]] = {}
    for each in sources:
        if each.reason is not None:
            by_reason.setdefault(each.reason, []).append(each)
    return [_LOOK_UP[why].format(these=_named(each)) for why, each in by_reason.items()]


def _ids(audit: Audit, *outcomes: Outcome) -> str:
    return _named([each for each in audit.sources if each.outcome in outcomes])


def _named(sources: list[Source]) -> str:
    """Such as "s1, s4 and 3 more"."""
    named = ", ".join(each.id for each in sources[:MOST_NAMED])
    more = len(sources) - MOST_NAMED
    return f"{named} and {more} more" if more > 0 else named
