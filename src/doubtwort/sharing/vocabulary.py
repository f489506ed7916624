"""Parts, preparations and stages as a person writes them, in the words of the rule tables."""

from __future__ import annotations

from collections.abc import Iterable

from doubtwort.errors import CallError
from doubtwort.text import fold, one_line
from doubtwort.wording.cues import spot, tokenize
from doubtwort.wording.rules import Role, attribute_lexicon, attribute_rules


def parts_from_user(typed: Iterable[str]) -> tuple[str, ...]:
    """Parts in the words of the tables, sorted, none twice.

    >>> parts_from_user(["Leaves", "berries", "leaf"])
    ('fruit', 'leaf')
    """
    return _known(typed, Role.PART, "part")


def preparations_from_user(typed: Iterable[str]) -> tuple[str, ...]:
    """Preparations in the words of the tables, sorted, none twice.

    >>> preparations_from_user(["uncooked", "stewed"])
    ('cooked', 'raw')
    """
    return _known(typed, Role.PREPARATION, "preparation")


def stages_from_user(typed: Iterable[str]) -> tuple[str, ...]:
    """Stages in the words of the tables, sorted, none twice.

    >>> stages_from_user(["unripe"])
    ('unripe',)
    """
    return _known(typed, Role.STAGE, "stage")


def _known(typed: Iterable[str], role: Role, kind: str) -> tuple[str, ...]:
    values = {rule.value for rule in attribute_rules() if rule.role is role}
    found = set()
    for each in typed:
        said = fold(each.strip())
        length = len(said.lower)
        whole = {
            cue.rule.value
            for cue in spot(attribute_lexicon(), said.lower, length, tokenize(said.lower, 0, length), [])
            if cue.rule.role is role and (cue.start, cue.end) == (0, length)
        }
        value = said.lower if said.lower in values else next(iter(whole), "")
        if not value:
            raise CallError(f"{one_line(each, 60)!r} is no {kind} that is known. Known: {', '.join(sorted(values))}.")
        found.add(value)
    return tuple(sorted(found))
