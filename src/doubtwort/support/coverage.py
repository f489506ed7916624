"""Does a statement cover the case that a claim speaks of, and does a warning reach it?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from doubtwort.model import Claim, Statement, Wording
from doubtwort.support.conditions import (
    COOKED,
    KINDS_OF_COOKED,
    PORTIONS,
    RAW,
    TAKES_OUT,
    WHOLE_PLANT,
    part_includes,
    parts_touch,
    preparation_covers,
    preparations_touch,
    stages_by_axis,
)


class Reach(StrEnum):
    """How a statement of the claim's wording lies to the claim's part, preparation, stage and amount."""

    COVERS = "covers"
    NARROWER = "narrower"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class Coverage:
    """``conditions`` are those that the claim leaves out, such as ("leaf", "boiled")."""

    reach: Reach
    conditions: tuple[str, ...] = ()


_WORST_FIRST: Final = (Reach.ELSEWHERE, Reach.NARROWER, Reach.COVERS)
# Wordings by which a reader may put something into the mouth.
_INVITES: Final = (Wording.EDIBLE, Wording.NON_TOXIC)
# An amount that is a condition of what is said: "edible in small amounts", "poisonous in large ones".
_AMOUNT_THAT_LIMITS: Final = {
    Wording.EDIBLE: "small",
    Wording.NON_TOXIC: "small",
    Wording.UNPALATABLE: "large",
    Wording.INEDIBLE: "large",
    Wording.TOXIC: "large",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One case that a claim speaks of: "" where it names no part or no preparation."""

    part: str
    preparation: str


def cells(claim: Claim) -> Iterator[Cell]:
    """Every case of the claim: leaf and root, raw → (leaf, raw), (root, raw)."""
    for part in claim.parts or ("",):
        for preparation in claim.preparations or ("",):
            yield Cell(part, preparation)


def cover(statement: Statement, claim: Claim, cell: Cell) -> Coverage:
    """How the statement lies to one case of the claim: the worst of part, preparation, stage and amount.

    >>> said = Statement("Boiled leaves are eaten.", Wording.EDIBLE, parts=("leaf",), preparations=("boiled",))
    >>> from doubtwort.model import Taxon
    >>> bare = Claim("c", Taxon("Fictaria silvana"), Wording.EDIBLE, "Edible.", "")
    >>> cover(said, bare, Cell("", ""))
    Coverage(reach=<Reach.NARROWER: 'narrower'>, conditions=('leaf', 'boiled'))
    """
    found = (
        _part(statement, cell.part),
        _preparation(statement, cell.preparation, claim),
        _stages(statement, claim.stages),
        _amount(statement),
    )
    reach = min((each.reach for each in found), key=_WORST_FIRST.index)
    return Coverage(reach, tuple(condition for each in found for condition in each.conditions))


def warns_of(statement: Statement, claim: Claim) -> bool:
    """Whether a statement of the opposite wording overlaps the claim. What the claim leaves open, it reaches.

    >>> from doubtwort.model import Taxon
    >>> leaf = Claim("c", Taxon("Fictaria silvana"), Wording.EDIBLE, "Leaves edible.", "", parts=("leaf",))
    >>> warns_of(Statement("All parts are poisonous.", Wording.TOXIC, parts=("whole plant",)), leaf)
    True
    >>> warns_of(Statement("The root is poisonous.", Wording.TOXIC, parts=("root",)), leaf)
    False
    """
    if claim.parts and not any(_part_reached(statement, part) for part in claim.parts):
        return False
    if (
        claim.preparations
        and statement.preparations
        and not any(preparations_touch(said, asked) for said in statement.preparations for asked in claim.preparations)
    ):
        return False
    return not stages_apart(statement.stages, claim.stages)


def warns_by_name(statement: Statement, claim: Claim, cell: Cell) -> bool:
    """Whether a warning names this very case of the claim, and sets no condition that the claim leaves open.

    >>> from doubtwort.model import Taxon
    >>> leaf = Claim("c", Taxon("Fictaria silvana"), Wording.EDIBLE, "Leaves edible.", "", parts=("leaf",))
    >>> warns_by_name(Statement("The leaf is poisonous.", Wording.TOXIC, parts=("leaf",)), leaf, Cell("leaf", ""))
    True
    >>> raw = Statement("The raw leaf is poisonous.", Wording.TOXIC, parts=("leaf",), preparations=("raw",))
    >>> warns_by_name(raw, leaf, Cell("leaf", ""))
    False
    """
    parts, preparations, stages = statement.parts, statement.preparations, statement.stages
    if not (parts or preparations or stages) or WHOLE_PLANT in parts or limits_amount(statement):
        return False
    if parts and not (cell.part and _part_reached(statement, cell.part)):
        return False
    if preparations and not (cell.preparation and any(preparations_touch(p, cell.preparation) for p in preparations)):
        return False
    warned, claimed = stages_by_axis(stages), stages_by_axis(claim.stages)
    return warned.keys() <= claimed.keys() and not stages_apart(stages, claim.stages)


def stages_apart(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Whether two sets of stages exclude each other on some axis: young and old, ripe and unripe."""
    first, second = stages_by_axis(one), stages_by_axis(other)
    return any(axis >= 0 and axis in second and not (first[axis] & second[axis]) for axis in first)


def limits_amount(statement: Statement) -> bool:
    """Whether the amount is a condition of what is said."""
    return bool(statement.amount) and statement.amount == _AMOUNT_THAT_LIMITS[statement.wording]


def exceptions(statement: Statement) -> tuple[str, ...]:
    return tuple(f"except {part}" for part in statement.except_parts)


def conditions_of(said: Statement) -> tuple[str, ...]:
    """Everything that limits a statement.

    >>> conditions_of(Statement("Raw roots kill.", Wording.TOXIC, parts=("root",), preparations=("raw",)))
    ('root', 'raw')
    """
    excepted = tuple(f"except {part}" for part in said.except_parts)
    amount = (f"{said.amount} amounts",) if said.amount else ()
    return (*said.parts, *excepted, *said.preparations, *said.stages, *amount)


def _part(statement: Statement, claimed: str) -> Coverage:
    """A statement that names no part speaks of the plant as food in general: it bears out a claim of one part, which
    says less than it does, but not one of the whole plant, which says more. Where the source warns of the claimed part
    by name, that overrules the general statement (``warns_by_name``)."""
    named = statement.parts
    of_all = not named or WHOLE_PLANT in named
    if not claimed:
        if not of_all:
            return Coverage(Reach.NARROWER, named)
        return Coverage(Reach.NARROWER, exceptions(statement)) if statement.except_parts else Coverage(Reach.COVERS)
    if claimed == WHOLE_PLANT:
        if WHOLE_PLANT in named and not statement.except_parts:
            return Coverage(Reach.COVERS)
        return Coverage(Reach.NARROWER, exceptions(statement) if of_all else named)
    if any(part_includes(part, claimed) for part in statement.except_parts):
        return Coverage(Reach.ELSEWHERE)
    excepted = exceptions(statement) if any(parts_touch(part, claimed) for part in statement.except_parts) else ()
    if of_all or any(part_includes(part, claimed) for part in named):
        return Coverage(Reach.NARROWER, excepted) if excepted else Coverage(Reach.COVERS)
    if portions := tuple(part for part in named if part in PORTIONS.get(claimed, ())):
        return Coverage(Reach.NARROWER, portions)
    return Coverage(Reach.ELSEWHERE)


def _preparation(statement: Statement, claimed: str, claim: Claim) -> Coverage:
    """A statement that names no preparation says that people eat it somehow. That bears out a claim of a cooked dish,
    for "eaten" is mostly said of what was cooked, and heat takes poison away more often than it makes any. It does not
    bear out "raw": many plants are food only after cooking, and the source is silent on the raw one. A general warning
    does hold for the raw plant."""
    said = statement.preparations
    if not said:
        silent_on_raw = claimed == RAW and statement.wording in _INVITES
        return Coverage(Reach.NARROWER if silent_on_raw else Reach.COVERS)
    beside = tuple(each for each in said if each in TAKES_OUT and each not in claim.preparations)
    if not claimed:
        if RAW in said and any(each == COOKED or each in KINDS_OF_COOKED for each in said) and not beside:
            return Coverage(Reach.COVERS)  # "raw or cooked" leaves nothing out
        return Coverage(Reach.NARROWER, said)
    if any(preparation_covers(each, claimed) for each in said):
        return Coverage(Reach.NARROWER, beside) if beside else Coverage(Reach.COVERS)
    if kinds := tuple(each for each in said if preparation_covers(claimed, each)):
        return Coverage(Reach.NARROWER, (*kinds, *beside))
    return Coverage(Reach.ELSEWHERE)


def _stages(statement: Statement, claimed: tuple[str, ...]) -> Coverage:
    if stages_apart(statement.stages, claimed):
        return Coverage(Reach.ELSEWHERE)
    said, asked = stages_by_axis(statement.stages), stages_by_axis(claimed)
    left_out = tuple(
        stage
        for stage in statement.stages
        for axis in stages_by_axis((stage,))
        if (stage not in claimed if axis < 0 else axis not in asked or not asked[axis] <= said[axis])
    )
    return Coverage(Reach.NARROWER, left_out) if left_out else Coverage(Reach.COVERS)


def _amount(statement: Statement) -> Coverage:
    if limits_amount(statement):
        return Coverage(Reach.NARROWER, (f"{statement.amount} amounts",))
    return Coverage(Reach.COVERS)


def _part_reached(statement: Statement, claimed: str) -> bool:
    if any(part_includes(part, claimed) for part in statement.except_parts):
        return False
    return not statement.parts or any(parts_touch(part, claimed) for part in statement.parts)
