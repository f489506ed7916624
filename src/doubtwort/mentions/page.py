"""Which names stand on a page: what an abbreviated genus or a short common name is read from."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from doubtwort.mentions.latin import scan
from doubtwort.taxa.lexicon import key, lexicon, plural

# A page names no more than this many genera that matter; further ones are not kept (hostile text).
_MOST = 5_000


@dataclass(frozen=True, slots=True)
class PageNames:
    """Names printed in full on a page.

    ``order`` maps a first letter to the indexes of texts and the genera named there, in order. ``at`` is the index of
    the text that is being read; ``compounds`` are keys of common names of two words and more.
    """

    binomials: frozenset[tuple[str, str]] = frozenset()
    genera: frozenset[str] = frozenset()
    compounds: frozenset[str] = frozenset()
    order: Mapping[str, tuple[tuple[int, str], ...]] = field(default_factory=dict)
    at: int | None = None

    def before(self, index: int) -> PageNames:
        """The same names, read from the text with this index: "last" means before it."""
        return replace(self, at=index)

    def last(self, start: str, among: Iterable[str] = ()) -> str:
        """The last genus beginning with ``start`` named before this text; "" when there is none.

        With ``among``, only those genera are looked at. Without a place (``before``), the first one counts.
        """
        named = self.order.get(start[:1], ())
        upto = len(named) if self.at is None else bisect_left(named, (self.at, ""))
        wanted = frozenset(among)
        for _, genus in reversed(named[:upto]):
            if genus.startswith(start) and (not wanted or genus in wanted):
                return genus
        return ""


def page_names(texts: Iterable[str], names: Iterable[str] = (), genera: Iterable[str] = ()) -> PageNames:
    """Collects the names of a page's folded texts. ``names`` are common names whose compounds matter, ``genera`` those
    to be known standing alone, beside the general stock.

    >>> page = page_names(["Fictaria silvana is tall.", "Fumaria mollis is small.", "F. silvana"], ["dead fictwort"])
    >>> page.before(2).last("F"), ("Fictaria", "silvana") in page.binomials
    ('Fumaria', True)
    """
    known, own = lexicon().genera, frozenset(genera)
    heads, wanted, compound = _compounds(tuple(names))
    binomials: set[tuple[str, str]] = set()
    compounds: set[str] = set()
    order: dict[str, list[tuple[int, str]]] = {}
    found: set[str] = set()
    for index, text in enumerate(texts):
        for name in scan(text, known, own):
            if name.form in {"abbreviated", "family"} or len(name.genus) < 3 or len(found) > _MOST:
                continue
            if name.epithet:
                binomials.add((name.genus, name.epithet))
            found.add(name.genus)
            order.setdefault(name.genus[:1], []).append((index, name.genus))
        lower = text.lower() if heads else ""
        if any(head in lower for head in heads):
            compounds |= {each for match in compound.finditer(lower) if (each := _compound(match, wanted))}
    return PageNames(
        frozenset(binomials),
        frozenset(found),
        frozenset(compounds),
        {letter: tuple(each) for letter, each in order.items()},
    )


@lru_cache(maxsize=256)
def _compounds(names: tuple[str, ...]) -> tuple[list[str], frozenset[str], re.Pattern[str]]:
    """The heads of compound names, keys of the names, and the pattern of a compound: any words before a head."""
    heads = sorted({each for name in names for each in _head_forms(name)}, key=len, reverse=True)
    wanted = frozenset(key(form) for name in names for form in (name.lower(), plural(name.lower())))
    either = "|".join(map(re.escape, heads))
    return heads, wanted, re.compile(rf"(?<![\w'])([a-z']{{2,30}}(?:[ -][a-z']{{2,30}})?)[ -](?:{either})(?!\w)")


def _head_forms(name: str) -> tuple[str, ...]:
    words = re.split(r"[\s-]+", name.lower())
    return (words[-1], plural(words[-1])) if len(words) > 1 else ()


def _compound(match: re.Match[str], wanted: Collection[str]) -> str:
    """Key of the compound name in the match, "" when the word before the head makes none ("the nettle")."""
    before, whole = match[1], match[0]
    last = re.split(r"[ -]", before)[-1]
    if key(whole) in wanted:
        return key(whole)
    tail = whole[len(before) - len(last) :]
    if key(tail) in wanted or last in lexicon().modifiers:
        return key(tail)
    return ""
