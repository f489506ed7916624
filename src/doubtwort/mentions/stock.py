"""Common names in running text: one pattern for many names, each in every form in which it may be printed."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final

from doubtwort.taxa.lexicon import KnownNames, key, keys, lexicon, plural, singulars

_GAP: Final = "\x00"  # between words: space, hyphen or nothing
_STOP: Final = "\x01"  # after "st": a full stop or nothing
_CLOSED: Final = "\x02"  # within a closed compound: a hyphen or nothing
_READS: Final = {_GAP: "[ -]?", _STOP: r"\.?", _CLOSED: "-?", "'": "'?"}
# Last parts of closed compounds that are also written apart: bearberry, bear-berry, bear berry.
_PARTS: Final = (
    "berry", "wort", "weed", "bane", "nettle", "thorn", "cress", "parsley", "grass", "flower", "root", "foot", "leaf",
    "cap", "seed", "nut", "lily", "vetch", "thistle", "sorrel", "mustard", "mint", "apple", "wood", "bush",
)  # fmt: skip
# Parts of a plant that close up with its name: elderflower, elderberries.
_ORGANS: Final = (
    "berry",
    "flower",
    "blossom",
    "leaf",
    "root",
    "seed",
    "nut",
    "tree",
    "bush",
    "plant",
    "bloom",
    "fruit",
    "shoot",
)


def forms(name: str) -> set[str]:
    """The name and its plural, with marks where a gap may stand.

    >>> sorted(each.replace("\\x00", "~") for each in forms("bearberry"))
    ['bearberries', 'bearberry', 'bear~berries', 'bear~berry']
    """
    lower = name.lower().replace(".", "")
    bases = {lower, plural(lower), *singulars(lower)}
    for part in _PARTS:
        if lower.endswith(part) and len(lower) - len(part) >= 3 and lower[-len(part) - 1] not in " -":
            apart = lower[: -len(part)] + _GAP + part
            bases |= {apart, plural(apart)}
    return {mark(base) for base in bases}


def mark(name: str) -> str:
    """The lower-case name with marks where a gap or a stop may stand."""
    marked = re.sub(r"[\s-]+", _GAP, name)
    return re.sub(rf"(^|{_GAP})st{_GAP}", rf"\1st{_STOP}{_GAP}", marked)


def with_organs(names: Iterable[str]) -> set[str]:
    """Marked names closed up with a part of the plant, and the bearer of a berry; none that is another plant's name.

    >>> sorted(each for each in with_organs(["elder"]) if "flow" in each)
    ['elder\\x02flower', 'elder\\x02flowers']
    >>> sorted(each for each in with_organs(["elderberry"]) if each.startswith("elder") and len(each) < 7)
    ['elder', 'elders']
    """
    stock, listed = lexicon(), _listed()
    found: set[str] = set()
    for name in names:
        lower = name.lower()
        for organ in _ORGANS:
            if key(lower + organ) not in listed:
                found |= {mark(lower) + _CLOSED + each for each in (organ, plural(organ))}
        for bearer in stock.berry_bearers:
            if key(lower) == bearer + "berry":
                found |= {bearer, plural(bearer)}
    return found


@cache
def _listed() -> frozenset[str]:
    return frozenset(key(each) for each in lexicon().names)


def unmarked(form: str) -> str:
    """Key of a marked form."""
    return key(form.replace(_GAP, "").replace(_STOP, "").replace(_CLOSED, ""))


def pattern(marked: Iterable[str]) -> re.Pattern[str]:
    """One pattern over marked names, as a tree of letters, longest first; to be used on lower-case text."""
    tree: dict[str, Any] = {}
    for name in marked:
        node = tree
        for letter in name:
            node = node.setdefault(letter, {})
        node[""] = {}
    return re.compile(rf"(?<![\w]){_branch(tree)}(?!\w)") if tree else re.compile(r"(?!)")


def _branch(node: dict[str, Any]) -> str:
    """The tree below one node as a pattern; a chain of single letters stays a plain literal."""
    ends = "" in node
    options = []
    for letter in sorted(each for each in node if each):
        literal, below = _READS.get(letter, re.escape(letter)), node[letter]
        while len(below) == 1 and "" not in below:
            (letter,) = below
            literal += _READS.get(letter, re.escape(letter))
            below = below[letter]
        options.append(literal + (_branch(below) if set(below) != {""} else ""))
    if not options:
        return ""
    joined = "|".join(options)
    if ends:
        return f"(?:{joined})?"
    return f"(?:{joined})" if len(options) > 1 else joined


_THE: Final = f"the{_GAP}"
_RUN: Final = re.compile(r"\w+")


@dataclass(frozen=True, slots=True)
class NamePattern:
    """A pattern over marked names that looks only where a word stands with which one of them can begin."""

    pattern: re.Pattern[str]
    firsts: frozenset[str]

    def matches(self, lower: str, words: Collection[str]) -> Iterator[re.Match[str]]:
        """All matches in a lower-case text; ``words`` are what ``runs`` gives of it."""
        return iter(()) if self.firsts.isdisjoint(words) else self.pattern.finditer(lower)


def name_pattern(marked: Collection[str]) -> NamePattern:
    """The pattern of ``pattern`` with the words that begin its names."""
    return NamePattern(pattern(marked), first_words(marked))


def runs(lower: str) -> list[str]:
    """The runs of letters, digits and underscores of a text."""
    return _RUN.findall(lower)


def first_words(marked: Iterable[str]) -> frozenset[str]:
    """Words of which one stands in every match of the marked names: the first, but the second after "the"."""
    return frozenset(word for name in marked for word in _first_words(name))


def _first_words(marked: str) -> Iterator[str]:
    r"""Every run of letters with which a marked name may begin in print.

    >>> list(_first_words("bear\x00berry"))
    ['bear', 'bearberry']
    """
    if marked.startswith(_THE):
        for word in _first_words(marked.removeprefix(_THE)):
            yield from (word, f"the{word}")
        return
    word = ""
    for letter in marked:
        if _RUN.match(letter):
            word += letter
        elif word:
            yield word
            if letter not in _READS:
                return
    if word:
        yield word


@dataclass(frozen=True, slots=True)
class General:
    """The pattern over everyone's names, with the keys of those that need care."""

    pattern: NamePattern
    foods: frozenset[str]
    weak: frozenset[str]
    listed: frozenset[str]
    binomials: frozenset[str]
    latin_firsts: frozenset[str]


@lru_cache(maxsize=8)
def general(known: KnownNames) -> General:
    """The general stock and ``known`` names as one pattern. Compiled once for each ``known``."""
    stock = lexicon()
    every = stock.names | stock.foods | stock.weak | known.common
    marked = {form for name in every for form in forms(name)} | {mark(name) for name in known.binomials}
    return General(
        pattern=name_pattern(marked),
        foods=keys(stock.foods),
        weak=frozenset(key(name) for name in stock.weak),
        listed=keys(every),
        binomials=frozenset(key(name) for name in known.binomials),
        latin_firsts=first_words(mark(name) for name in known.binomials),
    )


@cache
def _head_forms() -> tuple[str, ...]:
    return tuple({each for head in lexicon().heads for each in (head, plural(head))})


@cache
def _heads() -> re.Pattern[str]:
    return re.compile(rf"(?<=[a-z-]){_tree(_head_forms())}(?!\w)")


@lru_cache(maxsize=50_000)
def _ends_in_head(word: str) -> bool:
    return word.endswith(_head_forms())


def _tree(words: Iterable[str]) -> str:
    tree: dict[str, Any] = {}
    for word in words:
        node = tree
        for letter in word:
            node = node.setdefault(letter, {})
        node[""] = {}
    return _branch(tree)


_WORD_BEFORE: Final = re.compile(r"[a-z'-]{1,40}$")


def headed(lower: str, words: Collection[str]) -> Iterator[tuple[int, int]]:
    """Spans of words that end like a plant's name ("doubtweed"), listed or not; ``words`` are the text's ``runs``."""
    if not any(map(_ends_in_head, words)):
        return
    stock = lexicon()
    for match in _heads().finditer(lower):
        low = max(0, match.start() - 40)
        before = _WORD_BEFORE.search(lower[low : match.start()])
        if before is None:
            continue
        start = low + before.start() + (len(before[0]) - len(before[0].lstrip("'-")))
        if start and lower[start - 1].isalpha():  # a chain of hyphens longer than any name: its last links
            start = lower.find("-", start, match.end()) + 1
        word = lower[start : match.end()]
        last = word.rpartition("-")[2]
        bare = {last, last.rstrip("s"), last[:-3] + "y"}
        if "-" not in word and (len(last) < 3 or bare & stock.not_heads):
            continue
        yield start, match.end()
