"""Two audits of one claim side by side: rating, the claim's own sentence, each source's state and sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from rapidfuzz import fuzz

from doubtwort.model import About, Audit, Outcome, Source, Statement

# Two sentences of one page that agree to this degree (rapidfuzz ratio, 0 to 100) are one sentence before and after.
SAME_SENTENCE: Final = 55.0
MOST_PAIRS: Final = 200


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that has changed.

    ``what`` is one of rating, claim-sentence, claim-gone, claim-page-unread, page-moved, source-new, source-gone,
    source-died, source-back, outcome, sentence, wording, statement-new, statement-gone. ``source`` is its address
    (or title), "" for the claim itself.
    """

    what: str
    source: str
    before: str
    after: str


def differences(before: Audit, after: Audit) -> tuple[Difference, ...]:
    """What has changed, the rating first."""
    found = []
    if before.rating is not after.rating:
        found.append(Difference("rating", "", before.rating.value, after.rating.value))
    if before.claim.quote != after.claim.quote:
        found.append(Difference("claim-sentence", "", before.claim.quote, after.claim.quote))
    if before.claim.url != after.claim.url:
        found.append(Difference("page-moved", "", before.claim.url, after.claim.url))
    old, new = {_key(each): each for each in before.sources}, {_key(each): each for each in after.sources}
    for key, source in new.items():
        if key not in old:
            found.append(Difference("source-new", _named(source), "", source.outcome.value))
        else:
            found += _of_source(old[key], source)
    found += [Difference("source-gone", _named(old[key]), old[key].outcome.value, "") for key in old if key not in new]
    return tuple(found)


def _key(source: Source) -> str:
    """By its address; a work without one by the text of its citation."""
    return source.url or (source.citation.text if source.citation else source.title)


def _named(source: Source) -> str:
    return source.url or source.title or _key(source)


def _of_source(old: Source, new: Source) -> list[Difference]:
    name = _named(new)
    if new.outcome is Outcome.UNREAD or old.outcome is Outcome.UNREAD:
        if old.outcome is not Outcome.UNREAD:
            return [Difference("source-died", name, old.outcome.value, _why(new))]
        if new.outcome is not Outcome.UNREAD:
            return [Difference("source-back", name, _why(old), new.outcome.value)]
        return [] if old.reason is new.reason else [Difference("outcome", name, _why(old), _why(new))]
    found = []
    if old.outcome is not new.outcome:
        found.append(Difference("outcome", name, old.outcome.value, new.outcome.value))
    return found + _sentences(name, old.statements, new.statements)


def _why(source: Source) -> str:
    reason = source.reason.value if source.reason else Outcome.UNREAD.value
    return f"{reason} ({source.detail})" if source.detail else reason


def _sentences(name: str, old: Sequence[Statement], new: Sequence[Statement]) -> list[Difference]:
    """Statements of other taxa say nothing of this claim, and are left aside."""
    was, now = _readings(old), _readings(new)
    found = [
        Difference("wording", name, f"{was[quote]}: “{quote}”", f"{said}: “{quote}”")
        for quote, said in now.items()
        if quote in was and was[quote] != said
    ]
    gone, come = [each for each in was if each not in now], [each for each in now if each not in was]
    pairs = _pairs(gone[:MOST_PAIRS], come[:MOST_PAIRS])
    for before, after in pairs:
        found.append(Difference("sentence", name, f"{was[before]}: “{before}”", f"{now[after]}: “{after}”"))
    paired_old, paired_new = {each for each, _ in pairs}, {each for _, each in pairs}
    found += [Difference("statement-gone", name, f"{was[e]}: “{e}”", "") for e in gone if e not in paired_old]
    found += [Difference("statement-new", name, "", f"{now[e]}: “{e}”") for e in come if e not in paired_new]
    return found


def _readings(statements: Iterable[Statement]) -> dict[str, str]:
    """Each sentence with all that it says, e.g. "toxic [raw], edible [boiled]"."""
    found: dict[str, list[str]] = {}
    for each in statements:
        if each.about is not About.OTHER:
            limits = (*each.parts, *each.preparations, *each.stages)
            said = each.wording.value + (f" [{', '.join(limits)}]" if limits else "")
            if said not in found.setdefault(each.quote, []):
                found[each.quote].append(said)
    return {quote: ", ".join(said) for quote, said in found.items()}


def _pairs(gone: Sequence[str], come: Sequence[str]) -> list[tuple[str, str]]:
    """Each sentence with the one most like it, the best pairs first, none twice."""
    alike = [
        (score, one, other)
        for one in gone
        for other in come
        if (score := fuzz.ratio(one, other, score_cutoff=SAME_SENTENCE)) >= SAME_SENTENCE
    ]
    pairs: dict[str, str] = {}
    for _, one, other in sorted(alike, key=lambda each: -each[0]):
        if one not in pairs and other not in pairs.values():
            pairs[one] = other
    return [(each, pairs[each]) for each in gone if each in pairs]
