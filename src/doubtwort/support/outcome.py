"""What one source is worth to one claim: the table of outcomes, first row that fits.

Supports and narrower need a statement of the claim's wording; a statement of an opposite wording that reaches the
claim is an *opposing* one. Both at once: set aside, told apart, or mixed. Only then come weaker and elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, TypeVar

from doubtwort.model import About, Certainty, Claim, Eater, Outcome, Reading, Statement, Wording
from doubtwort.support.conditions import RAW, WHOLE_PLANT
from doubtwort.support.coverage import Coverage, Reach, cells, cover, warns_by_name, warns_of
from doubtwort.support.reasons import Reason, reason
from doubtwort.support.told_apart import Apart, By, told_apart
from doubtwort.support.wordings import STRENGTH, denies

_T = TypeVar("_T")
# Statements of each side that are compared pair by pair. A page with more of both is no sober source.
MOST_PAIRED: Final = 150
_HIGHER: Final = (About.GENUS, About.FAMILY)


@dataclass(frozen=True, slots=True)
class Verdict:
    """``affirming`` are the statements of the claim's wording that count; their citations are what the trail
    follows. ``opposing`` reach the claim and deny it. ``conditions`` are those that the claim leaves out."""

    outcome: Outcome
    reasons: tuple[Reason, ...]
    affirming: tuple[Statement, ...] = ()
    opposing: tuple[Statement, ...] = ()
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Sorted:
    """The statements of one reading, as the table needs them."""

    same: tuple[Statement, ...]
    same_higher: tuple[Statement, ...]
    opposing: tuple[Statement, ...]
    beside: tuple[Statement, ...]
    full: tuple[Statement, ...]
    cases: tuple[tuple[Statement, Coverage], ...]
    all_covered: bool

    @property
    def narrower(self) -> tuple[Statement, ...]:
        """Statements of this taxon that bear the claim out at least in part."""
        return _unique(said for said, found in self.cases if found.reach is not Reach.ELSEWHERE)


def judge(claim: Claim, reading: Reading) -> Verdict:
    """The outcome of one source that was read.

    >>> from doubtwort.model import Taxon, Wording
    >>> claim = Claim("c", Taxon("Fictaria silvana"), Wording.EDIBLE, "It is edible.", "")
    >>> judge(claim, Reading((Statement("Not poisonous.", Wording.NON_TOXIC, About.TAXON),), named=True)).outcome
    <Outcome.WEAKER: 'weaker'>
    """
    found = _sort(claim, reading)
    if denied := _denied_by_name(claim, found):
        return denied
    aside = [_set_aside(each, claim, found.full) for each in found.opposing[:MOST_PAIRED]]
    aside += [False] * (len(found.opposing) - len(aside))
    set_aside = tuple(each for each, out in zip(found.opposing, aside, strict=True) if out)
    opposing = tuple(each for each, out in zip(found.opposing, aside, strict=True) if not out)
    if opposing and found.narrower:
        return _both(claim, found, opposing)
    if opposing:
        return _contradicts(claim, opposing)
    if found.all_covered:
        return _supports(claim, found, set_aside)
    if found.narrower or _reaching(claim, found.same_higher):
        return _narrower(claim, found)
    if found.beside:
        return _weaker(claim, found.beside)
    if found.same or found.same_higher:
        return _elsewhere(claim, found)
    return _nothing(claim, reading)


def _sort(claim: Claim, reading: Reading) -> _Sorted:
    people = [each for each in reading.statements if each.eater is Eater.PEOPLE]
    own = [each for each in people if each.about is About.TAXON]
    same = tuple(each for each in own if each.wording is claim.wording)
    wanted = tuple(cells(claim))
    cases = tuple((said, cover(said, claim, cell)) for said in same for cell in wanted)
    full = tuple(
        said
        for said in same
        if said.certainty is Certainty.STATED and any(cover(said, claim, cell).reach is Reach.COVERS for cell in wanted)
    )
    return _Sorted(
        same=same,
        same_higher=tuple(each for each in people if each.wording is claim.wording and each.about in _HIGHER),
        opposing=tuple(each for each in own if denies(each.wording, claim.wording) and warns_of(each, claim)),
        beside=tuple(
            each for each in own if each.wording is not claim.wording and not denies(each.wording, claim.wording)
        ),
        full=full,
        cases=cases,
        all_covered=all(any(cover(said, claim, cell).reach is Reach.COVERS for said in full) for cell in wanted),
    )


def _denied_by_name(claim: Claim, found: _Sorted) -> Verdict | None:
    """The source warns of a case that the claim names, and what it affirms of that case is said in general only:
    "edible; the leaves are poisonous" denies a claim of the leaves. None: no such case."""
    wanted = tuple(cells(claim))
    overruled: list[Statement] = []
    affirmed: list[Statement] = []
    for number, cell in enumerate(wanted):
        named = [each for each in found.opposing[:MOST_PAIRED] if warns_by_name(each, claim, cell)]
        own = [
            said
            for said, its in found.cases[number :: len(wanted)][:MOST_PAIRED]
            if its.reach is not Reach.ELSEWHERE and not any(_overrules(each, said) for each in named)
        ]
        affirmed += own
        if named and not own:
            overruled += named
    if not overruled:
        return None
    denying = _unique(overruled)
    if not affirmed:
        return _contradicts(claim, denying)
    why = reason("one-case-denied", affirmed[0].quote, wording=claim.wording.value, said=_wordings(denying))
    return Verdict(Outcome.MIXED, (why, *_quoted(claim, denying)), _unique(affirmed), denying)


def _overrules(warning: Statement, said: Statement) -> bool:
    """Whether only the warning's own conditions tell the two apart: then the warning is the more particular."""
    apart = told_apart(said, warning)
    sides = {By.PART: said.parts, By.PREPARATION: said.preparations, By.STAGE: said.stages, By.AMOUNT: said.amount}
    return bool(apart) and not any(sides[each.by] for each in apart)


def _set_aside(opposing: Statement, claim: Claim, full: tuple[Statement, ...]) -> bool:
    """Whether the source says in so many words that its warning does not hold for what the claim names."""
    named = {By.PART: claim.parts, By.PREPARATION: claim.preparations, By.STAGE: claim.stages}
    return 0 < len(full) <= MOST_PAIRED and all(
        any(named.get(each.by) and _on_our_side(each, said, claim) for each in told_apart(said, opposing))
        for said in full
    )


def _on_our_side(apart: Apart, said: Statement, claim: Claim) -> bool:
    """The claim names the affirmation's side of the condition: it says "boiled", and so does the source."""
    sides = {
        By.PART: (said.parts, claim.parts),
        By.PREPARATION: (said.preparations, claim.preparations),
        By.STAGE: (said.stages, claim.stages),
    }
    stated, claimed = sides[apart.by]
    return bool(stated) and bool(claimed)


def _both(claim: Claim, found: _Sorted, opposing: tuple[Statement, ...]) -> Verdict:
    """The source affirms and denies: told apart by a condition everywhere, or mixed."""
    affirming, against_it = found.narrower[:MOST_PAIRED], opposing[:MOST_PAIRED]
    pairs = [(said, against, told_apart(said, against)) for said in affirming for against in against_it]
    if len(found.narrower) > MOST_PAIRED or len(opposing) > MOST_PAIRED:
        pairs.append((found.narrower[-1], opposing[-1], ()))  # too many to tell apart: the source is taken as mixed
    said_both = {"wording": claim.wording.value, "said": _wordings(opposing)}
    for said, against, apart in pairs:
        if not apart:
            words = said_both | {"said": against.wording.value}
            reasons = (reason("both-ways", said.quote, **words), *_quoted(claim, (against,)))
            return Verdict(Outcome.MIXED, reasons, found.narrower, opposing)
    conditions = _unique(condition for _, _, apart in pairs for each in apart for condition in each.conditions)
    first = pairs[0]
    reasons = (
        reason("warned-under-condition", first[0].quote, conditions="; ".join(conditions), **said_both),
        *(_quoted(claim, (first[1],)) if first[1].quote != first[0].quote else ()),
    )
    return Verdict(Outcome.NARROWER, reasons, found.narrower, opposing, conditions)


def _contradicts(claim: Claim, opposing: tuple[Statement, ...]) -> Verdict:
    return Verdict(Outcome.CONTRADICTS, _quoted(claim, opposing), opposing=opposing)


def _quoted(claim: Claim, opposing: tuple[Statement, ...]) -> tuple[Reason, ...]:
    """One reason for each opposing wording, the certain ones first."""
    reasons: dict[Wording, Reason] = {}
    for each in sorted(opposing, key=lambda said: said.certainty is not Certainty.STATED):
        name = "says-opposite" if each.certainty is Certainty.STATED else "says-opposite-hedged"
        made = reason(name, each.quote, said=each.wording.value, wording=claim.wording.value)
        reasons.setdefault(each.wording, made)
    return tuple(reasons.values())


def _supports(claim: Claim, found: _Sorted, set_aside: tuple[Statement, ...]) -> Verdict:
    wanted = tuple(cells(claim))
    alone = [said for said in found.full if all(cover(said, claim, cell).reach is Reach.COVERS for cell in wanted)]
    affirming = found.full
    wording = claim.wording.value
    if set_aside:
        reasons = [reason("other-case-warned", affirming[0].quote, wording=wording, said=_wordings(set_aside))]
    elif alone:
        reasons = [reason("same-wording", alone[0].quote, wording=wording)]
    else:
        reasons = [reason("case-by-case", each.quote, wording=wording) for each in affirming]
    return Verdict(Outcome.SUPPORTS, tuple(reasons), affirming)


def _narrower(claim: Claim, found: _Sorted) -> Verdict:
    """Why not more: the best statement decides, that is the one with the fewest conditions on this taxon."""
    wording = claim.wording.value
    higher = _reaching(claim, found.same_higher)
    if not found.narrower:
        why = reason("only-higher-taxon", higher[0].quote, wording=wording)
        found_above = [cover(said, claim, cell) for said in higher for cell in cells(claim)]
        above = _unique(each for case in found_above if case.reach is Reach.NARROWER for each in case.conditions)
        return Verdict(Outcome.NARROWER, (why,), higher, conditions=above)
    best: tuple[Statement, Coverage] = min(
        ((said, case) for said, case in found.cases if case.reach is not Reach.ELSEWHERE),
        key=lambda each: (each[0].certainty is not Certainty.STATED, len(each[1].conditions)),
    )
    said, case = best
    conditions = _unique(
        condition
        for each, its in found.cases
        if its.reach is Reach.NARROWER and each.certainty is said.certainty
        for condition in its.conditions
    )
    reasons = []
    if said.certainty is not Certainty.STATED:
        reasons.append(reason(said.certainty.value, said.quote, wording=wording))
    if case.conditions:
        words = ", ".join(case.conditions)
        reasons.append(reason("only-under-condition", said.quote, wording=wording, conditions=words))
    elif case.reach is Reach.NARROWER:
        silent = RAW in claim.preparations and not said.preparations and said.wording is claim.wording
        whole = WHOLE_PLANT in claim.parts and WHOLE_PLANT not in said.parts
        reasons += [reason("raw-not-named", said.quote, wording=wording)] if silent else []
        reasons += [reason("part-not-named", said.quote, wording=wording)] if whole else []
    if not reasons:
        reasons.append(reason("some-cases-only", said.quote, wording=wording))
        conditions = ()
    return Verdict(Outcome.NARROWER, tuple(reasons), found.narrower, conditions=conditions)


def _weaker(claim: Claim, beside: tuple[Statement, ...]) -> Verdict:
    order = STRENGTH[claim.wording]
    said = min(beside, key=lambda each: order.index(each.wording))
    less = order.index(said.wording) > order.index(claim.wording)
    name = "says-less" if less else "says-other"
    reasons = (reason(name, said.quote, said=said.wording.value, wording=claim.wording.value),)
    return Verdict(Outcome.WEAKER, reasons)


def _elsewhere(claim: Claim, found: _Sorted) -> Verdict:
    said = (found.same or found.same_higher)[0]
    of = ", ".join((*said.parts, *(f"except {each}" for each in said.except_parts), *said.preparations, *said.stages))
    reasons = (reason("other-case", said.quote, wording=claim.wording.value, conditions=of),)
    return Verdict(Outcome.ELSEWHERE, reasons)


def _nothing(claim: Claim, reading: Reading) -> Verdict:
    """Other taxon, silent or absent: nothing on what the claim speaks of, and what there is instead."""
    said = reading.statements
    if said and all(each.about is About.OTHER for each in said):
        return Verdict(Outcome.OTHER_TAXON, (reason("only-other-taxa", said[0].quote),))
    people = [each for each in said if each.eater is Eater.PEOPLE]
    own = next((each for each in people if each.about is About.TAXON), None)
    if own:
        return Verdict(Outcome.SILENT, (reason("warns-of-other-case", own.quote, said=own.wording.value),))
    if not reading.named and not any(each.about is About.TAXON for each in said):
        return Verdict(Outcome.ABSENT, (reason("not-named"),))
    for name, abouts in (("higher-taxon-other-wording", _HIGHER), ("unclear-taxon", (About.UNCLEAR,))):
        if each := next((each for each in people if each.about in abouts), None):
            return Verdict(Outcome.SILENT, (reason(name, each.quote, said=each.wording.value),))
    if animal := next((each for each in said if each.about is About.TAXON), None):
        return Verdict(Outcome.SILENT, (reason("only-animals", animal.quote),))
    return Verdict(Outcome.SILENT, (reason("no-word-on-eating"),))


def _reaching(claim: Claim, said: tuple[Statement, ...]) -> tuple[Statement, ...]:
    wanted = tuple(cells(claim))
    return tuple(each for each in said if any(cover(each, claim, cell).reach is not Reach.ELSEWHERE for cell in wanted))


def _wordings(said: tuple[Statement, ...]) -> str:
    return " and ".join(_unique(each.wording.value for each in said))


def _unique(items: Iterable[_T]) -> tuple[_T, ...]:
    return tuple(dict.fromkeys(items))
