"""The named reasons of a rating, taken apart for display."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

_NAMED = re.compile(r"^(?:(s[0-9]{1,6}): )?(.*?)(?: \(([a-z]+(?:-[a-z]+)*)\))?$", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Why:
    """One reason: the source that it is about or "", its sentence, and the name that it is looked up by."""

    source: str
    text: str
    name: str


def why_of(reasons: Iterable[str]) -> tuple[Why, ...]:
    """The reasons in their order.

    >>> why_of(["s1: It does not name the taxon. (not-named)"])
    (Why(source='s1', text='It does not name the taxon.', name='not-named'),)
    """
    made = []
    for each in reasons:
        found = _NAMED.match(each)
        made.append(Why(found[1] or "", found[2], found[3] or "") if found else Why("", each, ""))
    return tuple(made)
