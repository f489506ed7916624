"""Does a condition tell an affirmation and a warning of one source apart? "Poisonous raw, edible once boiled" does."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from doubtwort.model import Statement
from doubtwort.support.conditions import RAW, WHOLE_PLANT, part_includes, preparation_covers, stages_by_axis
from doubtwort.support.coverage import limits_amount, stages_apart


class By(StrEnum):
    PART = "part"
    PREPARATION = "preparation"
    STAGE = "stage"
    AMOUNT = "amount"


@dataclass(frozen=True, slots=True)
class Apart:
    """What tells two statements apart, and the conditions that a reader must know of."""

    by: By
    conditions: tuple[str, ...]


def told_apart(affirms: Statement, warns: Statement) -> tuple[Apart, ...]:
    """All conditions that tell the two apart; none: the source contradicts itself.

    A condition on the warning limits the warning ("edible; the seeds are poisonous"). A condition on the affirmation
    alone limits a bare warning only if it can take poison away (a preparation other than raw, a stage, a small
    amount), or if one sentence says both ("the plant is poisonous, but the fruit is edible").

    >>> from doubtwort.model import Wording
    >>> said = "Poisonous raw, edible once boiled."
    >>> told_apart(Statement(said, Wording.EDIBLE, preparations=("boiled",)),
    ...            Statement(said, Wording.TOXIC, preparations=("raw",)))
    (Apart(by=<By.PREPARATION: 'preparation'>, conditions=('edible: boiled', 'toxic: raw')),)
    """
    found = []
    if _parts(affirms, warns):
        of_all = warns.parts or tuple(f"all but {part}" for part in warns.except_parts)
        found.append(_apart(By.PART, affirms, affirms.parts, warns, of_all))
    if _preparations(affirms.preparations, warns.preparations):
        found.append(_apart(By.PREPARATION, affirms, affirms.preparations, warns, warns.preparations))
    if _stages(affirms.stages, warns.stages):
        found.append(_apart(By.STAGE, affirms, affirms.stages, warns, warns.stages))
    if _amounts(affirms, warns):
        said, warned = _amount_words(affirms), _amount_words(warns)
        found.append(_apart(By.AMOUNT, affirms, said, warns, warned))
    return tuple(found)


def _apart(by: By, affirms: Statement, said: tuple[str, ...], warns: Statement, warned: tuple[str, ...]) -> Apart:
    sides = ((affirms.wording, said), (warns.wording, warned))
    return Apart(by, tuple(f"{wording.value}: {' or '.join(words)}" for wording, words in sides if words))


def same_sentence(one: Statement, other: Statement) -> bool:
    """Whether the two stand in one sentence: the same quote, or spans that overlap."""
    if one.quote == other.quote:
        return True
    a, b = one.place, other.place
    return a is not None and b is not None and a.start < b.end and b.start < a.end


def _parts(affirms: Statement, warns: Statement) -> bool:
    said, warned = affirms.parts, warns.parts
    if said and all(any(part_includes(out, part) for out in warns.except_parts) for part in said):
        return True
    if warned and WHOLE_PLANT not in warned:
        if any(all(part_includes(out, part) for part in warned) for out in affirms.except_parts):
            return True
        if not said:
            return True
        if WHOLE_PLANT in said:
            return same_sentence(affirms, warns)
        return not any(part_includes(a, b) or part_includes(b, a) for a in said for b in warned)
    return bool(said) and WHOLE_PLANT not in said and same_sentence(affirms, warns)


def _preparations(said: tuple[str, ...], warned: tuple[str, ...]) -> bool:
    if warned and said:
        return not any(preparation_covers(a, b) or preparation_covers(b, a) for a in warned for b in said)
    return bool(warned) or (bool(said) and RAW not in said)


def _stages(said: tuple[str, ...], warned: tuple[str, ...]) -> bool:
    if stages_apart(said, warned):
        return True
    affirmed, against = stages_by_axis(said), stages_by_axis(warned)
    return affirmed.keys() != against.keys()


def _amounts(affirms: Statement, warns: Statement) -> bool:
    if limits_amount(warns):
        return affirms.amount != warns.amount
    return limits_amount(affirms) and not warns.amount


def _amount_words(statement: Statement) -> tuple[str, ...]:
    return (f"{statement.amount} amounts",) if statement.amount else ()
