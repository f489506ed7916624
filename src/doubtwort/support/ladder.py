"""Where along a trail the wording was strengthened: a ladder for each end of it, from the claim down to the root.

A rung is what one page says of the taxon at its strongest. Between two rungs stands what the upper one has gained: a
stronger wording, more certainty, conditions left out, this taxon instead of its genus.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from doubtwort.model import About, Audit, Certainty, Claim, Eater, Outcome, Source, Statement, Step, Wording
from doubtwort.support import CLAIM
from doubtwort.support.conditions import part_includes, preparation_covers
from doubtwort.support.coverage import conditions_of
from doubtwort.support.wordings import STRENGTH

MOST_LADDERS: Final = 50
_ABOUT: Final = (About.TAXON, About.GENUS, About.FAMILY)
_CERTAINTY: Final = (Certainty.STATED, Certainty.HEARSAY, Certainty.HEDGED)


@dataclass(frozen=True, slots=True)
class LadderRung:
    """One page of a trail. ``wording`` None: it says nothing of people eating this taxon or its kin, or was not read.
    ``gained`` is what it says more than the rung below, such as ("edible from non-toxic", "leaves out: boiled")."""

    id: str
    outcome: Outcome | None
    wording: Wording | None = None
    about: About | None = None
    certainty: Certainty | None = None
    conditions: tuple[str, ...] = ()
    quote: str = ""
    gained: tuple[str, ...] = ()


def ladders(audit: Audit) -> tuple[tuple[LadderRung, ...], ...]:
    """A ladder for each source at which the trail ends, the claim first, the root last; those on which most was gained
    come first. At most ``MOST_LADDERS`` of them.

    >>> from doubtwort.model import Rating, Taxon
    >>> said = Statement("Fictwort is harmless.", Wording.NON_TOXIC, About.TAXON)
    >>> root = Source("s1", "", "", 1, ("claim",), Outcome.WEAKER, statements=(said,))
    >>> claim = Claim("c1", Taxon("Fictaria silvana"), Wording.EDIBLE, "Fictwort is edible.", "")
    >>> ladder = ladders(Audit(claim, Rating.STRETCHED, (), (), (root,), (Step("claim", "s1"),)))[0]
    >>> [(rung.id, rung.gained) for rung in ladder]
    [('claim', ('edible from non-toxic',)), ('s1', ())]
    """
    by_id = {each.id: each for each in audit.sources}
    paths = _paths(audit.trail, by_id)
    made = [_ladder(path, audit.claim, by_id) for path in paths]
    return tuple(sorted(made, key=lambda rungs: -sum(len(rung.gained) for rung in rungs)))


def strengthened_at(audit: Audit) -> tuple[str, ...]:
    """Ids of the pages ("claim", "s2" …) that say more than what they rest on, in the order of the ladders."""
    return tuple(dict.fromkeys(rung.id for ladder in ladders(audit) for rung in ladder if rung.gained))


def _paths(trail: Iterable[Step], by_id: dict[str, Source]) -> list[list[str]]:
    """The shortest way from the claim to each end of the trail."""
    below: dict[str, list[str]] = {}
    for step in trail:
        below.setdefault(step.origin, []).append(step.target)
    came: dict[str, str] = {CLAIM: ""}
    waiting = deque([CLAIM])
    ends: list[str] = []
    while waiting:
        here = waiting.popleft()
        fresh = [each for each in below.get(here, ()) if each in by_id and each not in came]
        for each in fresh:
            came.setdefault(each, here)
        waiting.extend(dict.fromkeys(fresh))
        if here != CLAIM and not any(each in by_id for each in below.get(here, ())):
            ends.append(here)
    paths = []
    for end in ends[:MOST_LADDERS]:
        path = [end]
        while path[-1] != CLAIM:
            path.append(came[path[-1]])
        paths.append(path[::-1])
    return paths


def _ladder(path: Sequence[str], claim: Claim, by_id: dict[str, Source]) -> tuple[LadderRung, ...]:
    own = Statement(
        claim.quote, claim.wording, About.TAXON, certainty=claim.certainty, parts=claim.parts,
        preparations=claim.preparations, stages=claim.stages,
    )  # fmt: skip
    said = [own, *(_strongest(by_id[each].statements, claim) for each in path[1:])]
    rungs = []
    for number, (name, here) in enumerate(zip(path, said, strict=True)):
        outcome = by_id[name].outcome if name != CLAIM else None
        if here is None:
            rungs.append(LadderRung(name, outcome))
            continue
        lower = said[number + 1] if number + 1 < len(said) else None
        unread = number + 1 < len(path) and by_id[path[number + 1]].outcome is Outcome.UNREAD
        at_end = number + 1 == len(path)
        gained = () if at_end or unread else _gained(here, lower, claim.wording)
        rungs.append(
            LadderRung(name, outcome, here.wording, here.about, here.certainty, conditions_of(here), here.quote, gained)
        )
    return tuple(rungs)


def _strongest(statements: Iterable[Statement], claim: Claim) -> Statement | None:
    """What a page offers most for the claim: of this taxon first, then by wording, certainty, fewest conditions."""
    order = STRENGTH[claim.wording]
    fitting = (each for each in statements if each.eater is Eater.PEOPLE and each.about in _ABOUT)
    return min(
        fitting,
        key=lambda each: (
            _ABOUT.index(each.about),
            order.index(each.wording),
            _CERTAINTY.index(each.certainty),
            len(conditions_of(each)),
        ),
        default=None,
    )


def _gained(upper: Statement, lower: Statement | None, claimed: Wording) -> tuple[str, ...]:
    """What the citing statement says more than the cited one."""
    if lower is None:
        return (f"{upper.wording.value} from nothing on eating it",)
    order = STRENGTH[claimed]
    found = []
    if order.index(upper.wording) < order.index(lower.wording):
        found.append(f"{upper.wording.value} from {lower.wording.value}")
    if _CERTAINTY.index(upper.certainty) < _CERTAINTY.index(lower.certainty):
        found.append(f"{upper.certainty.value} from {lower.certainty.value}")
    if _ABOUT.index(upper.about) < _ABOUT.index(lower.about):
        found.append(f"this taxon from its {lower.about.value}")
    if dropped := _dropped(upper, lower):
        found.append(f"leaves out: {', '.join(dropped)}")
    return tuple(found)


def _dropped(upper: Statement, lower: Statement) -> tuple[str, ...]:
    """Conditions of the cited statement that the citing one does not name."""
    parts = [
        each for each in lower.parts
        if each != "whole plant" and not (upper.parts and all(part_includes(each, said) for said in upper.parts))
        and each not in upper.parts
    ]  # fmt: skip
    how = [
        each for each in lower.preparations
        if each not in upper.preparations and not any(preparation_covers(each, said) for said in upper.preparations)
    ]  # fmt: skip
    if {"raw", "cooked"} <= set(lower.preparations):
        how = [each for each in how if each not in ("raw", "cooked")]
    stages = [each for each in lower.stages if each not in upper.stages]
    amount = [f"{lower.amount} amounts"] if lower.amount == "small" and not upper.amount else []
    excepted = [f"except {each}" for each in lower.except_parts if each not in upper.except_parts and not upper.parts]
    return tuple(dict.fromkeys((*parts, *how, *stages, *amount, *excepted)))
