"""Where a name occurs, and whose it is: the taxon's own, its genus's or family's, or another's.

Rules for common names that hold one another:

- the longest name wins: "white dead nettle" is one name, not a nettle;
- a word of ``modifiers`` before a name, or any word joined to it by a hyphen, makes another plant's name, unless the
  whole is one of the taxon's names ("water nettle", "dead-nettle");
- a word of ``plain`` parts no taxon: "stinging nettle", "common nettle" are the taxon named "nettle", and "nettle" is
  the taxon named "stinging nettle". Any other word before a name is taken as describing it;
- the head of any other compound ("hemlock" for "poison hemlock") counts only where the page names that compound and
  no other with the same head.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from doubtwort.mentions.comparison import cues, joined, measures
from doubtwort.mentions.latin import LatinName, may_hold_name, scan
from doubtwort.mentions.misspelt import Misspelt
from doubtwort.mentions.own import own_names
from doubtwort.mentions.page import PageNames
from doubtwort.mentions.stock import general, headed, runs
from doubtwort.model import About, Taxon
from doubtwort.taxa.hazards import known_names as listed_names
from doubtwort.taxa.lexicon import KnownNames, key, lexicon
from doubtwort.taxa.names import same_family
from doubtwort.taxa.spelling import Nearness, near_binomial

_BEFORE: Final = re.compile(r"([a-z][a-z']*(?:-[a-z]+)*)([ -])$")
_FOLLOWER: Final = re.compile(r"[ -]([a-z]+)")
_THING: Final = re.compile(r"\s(?:trees?|plants?|bush(?:es)?|vines?|shrubs?|family|genus)\b")
# "This thistle" is the plant spoken of, not another's name.
_THIS: Final = re.compile(r"\b(?:this|these|said)\s$")
_ALL_OF: Final = re.compile(r"\b(?:none|all|most|some|many|several|few|both)\s(?:of\s)?(?:the\s)?$")
_WORD: Final = re.compile(r"([a-z'-]+)\s$")
# Words that may stand before the head of a compound name without making another name of it.
_FREE: Final = frozenset(
    ["the", "a", "an", "of", "and", "or", "but", "that", "this", "these", "all", "some", "any", "no", "eat", "eating",
     "with", "for", "by", "from", "in", "as", "like", "is", "are", "was", "were", "if", "when", "because", "its",
     "their", "our"]
)  # fmt: skip
_OTHER_KIND: Final = frozenset({"true", "garden", "native"})
_INITIAL: Final = re.compile(r"(?<!\w)[A-Z]\.\s?$")
_AUTHORS: Final = re.compile(r"(?:\s(?:\([^()]{1,50}\)|[A-Z][\w.'-]{0,20}|ex|et|&)){0,5}\s?\(?")
_LATIN_RULES: Final = frozenset(
    {"scientific name", "synonym", "abbreviated genus", "spelling", "other binomial", "hybrid"}
)
_GENUS_ENDING: Final = re.compile(r"(?:us|um|is|as|a|e)$")
# Genera of the third declension: Iris, Iridaceae; Alisma, Alismataceae; -myces, -mycetaceae.
_STEMS: Final = (
    ("es", "et"),
    ("is", "id"),
    ("ma", "mat"),
    ("as", "ad"),
    ("x", "c"),
    ("x", "g"),
    ("on", "ont"),
    ("o", "on"),
)
_REACH: Final = 40
_LONGEST_WORD: Final = 45
_LOCAL: Final = 50  # Latin names of one text that an abbreviated genus is read from


@dataclass(frozen=True, slots=True)
class Mention:
    """One name in a folded text at [start, end), as printed, with the rule that told whose it is.

    ``comparison``: the name only measures something else ("cooked like spinach") and is not the subject.
    """

    start: int
    end: int
    whose: About
    name: str
    rule: str
    comparison: bool = False


class Finder:
    """Finds names of one taxon and of others. Compiled once; ``find`` is a pure function. ``common`` are the taxon's
    common names in lower case.

    >>> finder = Finder(Taxon("Fictaria silvana", common_names=("fictwort",)))
    >>> [(each.name, each.whose.value) for each in finder.find("F. silvana or fictwort is no dead-fictwort.")]
    [('F. silvana', 'taxon'), ('fictwort', 'taxon'), ('dead-fictwort', 'other')]
    """

    def __init__(self, taxon: Taxon, known_names: KnownNames | None = None) -> None:
        known = listed_names() if known_names is None else known_names
        self.taxon = taxon
        self._own = own_names(taxon)
        self._general = general(known)
        self._genera = lexicon().genera | known.genera | self._own.genera
        self.common = frozenset(name.lower() for name in taxon.common_names)
        # Common names that are looked for with a part of the plant alone may stand before their kind: "may shrub".
        self._odd_names = frozenset(word for name in self.common - set(self._own.common) for word in runs(name)[:1])
        self._latin_firsts = self._own.latin_firsts | self._general.latin_firsts
        self._misspelt = Misspelt(self._own.common, self._general.listed)

    def find(self, text: str, context: PageNames | None = None) -> list[Mention]:
        """Mentions in order of place, without overlaps. ``text`` is folded, its case kept."""
        lower = text.lower()
        if len(lower) != len(text):
            lower = "".join(each.lower() if len(each.lower()) == 1 else each for each in text)
        words = runs(lower)
        found = [
            *self._own_names(text, lower, words, context),
            *self._latin(text, context),
            *self._others(text, lower, words),
        ]
        found += self._misspelt_names(text, lower, found, context)
        return _measured(lower, _without_authors(text, _apart(found)), self._general.foods) if found else found

    def may_name_taxon(self, text: str, context: PageNames) -> bool:
        """Could ``find``, or the review of what it finds, give a name of the taxon? Cheaper to ask, and seldom yes."""
        lower = text.lower()
        words = runs(lower)
        return (
            not self._odd_names.isdisjoint(words)
            or any(True for _ in self._own.pattern.matches(lower, words))
            or self._misspelt.may_occur(lower)
            or any(each.whose is About.TAXON for each in self._latin(text, context))
        )

    def may_begin_in_latin(self, text: str, context: PageNames) -> bool:
        """Could a Latin name begin within the first four letters of the text?"""
        begin = text[:_LONGEST_WORD]
        lower = begin.lower()
        if begin[:6] != lower[:6] and may_hold_name(begin, self._genera, context.genera):
            return True
        return not self._latin_firsts.isdisjoint(runs(lower)[:3])

    # ------------------------------------------------------------------ the taxon's own names

    def _own_names(self, text: str, lower: str, words: Collection[str], context: PageNames | None) -> Iterable[Mention]:
        own = self._own
        for match in own.pattern.matches(lower, words):
            start, end = match.span()
            found = key(match[0])
            rule = own.rules.get(found)
            if rule is None:
                before = lower[max(0, start - _REACH) : start]
                if not self._short(found, before, context):
                    if _ALL_OF.search(before) and match[0].endswith("s"):
                        yield Mention(start, end, About.GENUS, text[start:end], "genus name")
                    elif (other := self._common(text, lower, start, end, "")).whose is About.OTHER:
                        yield other
                    elif (word := _WORD.search(before)) and word[1] in lexicon().distinguishing:
                        first = start - len(word[0])
                        yield Mention(first, end, About.OTHER, text[first:end], "other common name")
                    continue
                rule = "short common name"
            if rule in {"scientific name", "synonym"}:
                yield Mention(start, end, About.TAXON, text[start:end], rule)
            else:
                yield self._common(text, lower, start, end, rule)

    def _short(self, found: str, before: str, context: PageNames | None) -> bool:
        """Does the head of one of the taxon's compound names stand for the taxon here?"""
        full = self._own.shorts.get(found)
        if full is None or context is None or not full & context.compounds:
            return False
        if any(each.endswith(found) and each not in full for each in context.compounds):
            return False
        word = _WORD.search(before)
        if word is not None and word[1] in _OTHER_KIND and not any(each.startswith(word[1]) for each in full):
            return False  # "the garden hollin" is not the spiny hollin
        return word is None or word[1] in _FREE or word[1] in lexicon().plain

    def _common(self, text: str, lower: str, start: int, end: int, rule: str) -> Mention:
        """The taxon's common name, or the longer name of another that holds it."""
        stock = lexicon()
        if lower.startswith(" family", end):
            return Mention(start, end + 7, About.FAMILY, text[start : end + 7], "family name")
        first = start
        while before := _BEFORE.search(lower[max(0, first - _REACH) : first]):
            word = before[1]
            hyphen = before[2] == "-"
            last = word.rpartition("-")[2] if hyphen else word
            if last in stock.plain or not (hyphen or word in stock.modifiers):
                break
            if word == "non" or (first == start and key(word + lower[start:end]) in self._own.rules):
                break
            first -= len(before[0])
        follower = _FOLLOWER.match(lower, end)
        last_end = follower.end() if follower and follower[1] in stock.followers else end
        if first < start or last_end > end:
            return Mention(first, last_end, About.OTHER, text[first:last_end], "other common name")
        return Mention(start, end, About.TAXON, text[start:end], rule)

    # ------------------------------------------------------------------ Latin names

    def _latin(self, text: str, context: PageNames | None) -> Iterable[Mention]:
        local: list[LatinName] = []
        for name in scan(text, self._genera, context.genera if context is not None else ()):
            whose, rule = self._whose(name, local[-_LOCAL:], context)
            yield Mention(name.start, name.end, whose, text[name.start : name.end], rule)
            if name.form not in {"family", "abbreviated"} and len(name.genus) > 2:
                local.append(name)

    def _whose(self, name: LatinName, local: list[LatinName], context: PageNames | None) -> tuple[About, str]:
        own = self._own
        if name.form == "family":
            return self._family(name.genus), "family name"
        abbreviated = name.form in {"abbreviated", "formula", "hybrid"} and len(name.genus) <= 3
        genus = self._resolve(name, local, context) if abbreviated else name.genus
        pair = (genus, name.epithet)
        if name.form == "formula":
            return About.OTHER, "hybrid"
        if name.form in {"genus", "genus-wide"}:
            return self._genus(genus, context)
        if own.genus_only and genus == own.genus:
            return About.GENUS, "species of the genus"
        if name.doubt and (pair in own.species or pair in own.below):
            return (About.GENUS if name.doubt == "cf" else About.OTHER), "doubtful name"
        if pair in own.below and (name.below in own.below[pair] or pair not in own.species):
            if name.below:
                return (
                    (About.TAXON, "scientific name")
                    if name.below in own.below[pair]
                    else (About.OTHER, "other binomial")
                )
            return About.GENUS, "species of the variety"
        if pair in own.species:
            if name.form == "hybrid" and not own.hybrid:
                return About.OTHER, "hybrid"
            return About.TAXON, "abbreviated genus" if abbreviated else own.species[pair]
        if name.form == "hybrid":
            return About.OTHER, "hybrid"
        if abbreviated:
            return About.OTHER, "other abbreviated genus"
        return self._near(pair, context)

    def _near(self, pair: tuple[str, str], context: PageNames | None) -> tuple[About, str]:
        """A binomial that may be a misspelling of the taxon's."""
        named = context.binomials if context is not None else frozenset()
        for true in self._own.species:
            if near_binomial(pair, true, genera=self._genera, named=named) > Nearness.OTHER:
                return About.TAXON, "spelling"
        return About.OTHER, "other binomial"

    def _genus(self, genus: str, context: PageNames | None) -> tuple[About, str]:
        own = self._own
        if genus == own.genus:
            return (About.TAXON, "scientific name") if own.genus_only else (About.GENUS, "genus name")
        if (
            genus in own.genera
            and context is not None
            and any(pair in context.binomials for pair in own.species if pair[0] == genus)
        ):
            return About.GENUS, "genus name"
        return About.OTHER, "other genus"

    def _family(self, family: str) -> About:
        if same_family(family, self.taxon.family):
            return About.FAMILY
        genus = self._own.genus.lower()
        stems = {_GENUS_ENDING.sub("", genus)} | {
            genus[: -len(end)] + stem for end, stem in _STEMS if genus.endswith(end)
        }
        typical = not self.taxon.family and family.lower() in {f"{stem}aceae" for stem in stems if len(stem) >= 2}
        return About.FAMILY if typical else About.OTHER

    def _resolve(self, name: LatinName, local: list[LatinName], context: PageNames | None) -> str:
        """The genus that an abbreviated one stands for; "" when the page does not tell.

        The genus of the same binomial printed in full; of several the last one before. Else the taxon's own genus where
        the epithet is its own and nothing speaks against it. Else the last genus with that letter.
        """
        start, epithet = name.genus, name.epithet
        own = self._own
        same = {each.genus for each in local if each.epithet == epithet and each.genus.startswith(start)}
        fitting = {each.genus for each in local if each.genus.startswith(start)}
        if context is not None:
            same |= {genus for genus, other in context.binomials if other == epithet and genus.startswith(start)}
            fitting |= {genus for genus in context.genera if genus.startswith(start)}
        mine = {genus for genus, other in (*own.species, *own.below) if other == epithet and genus.startswith(start)}
        for among in (same, fitting if not mine or not fitting & mine else fitting & mine):
            if len(among) == 1:
                return next(iter(among))
            if among:
                last = next((each.genus for each in reversed(local) if each.genus in among), "")
                return (
                    last
                    or (context.last(start, among) if context is not None else "")
                    or next(iter(sorted(among & mine)), "")
                )
        if mine:
            return next(iter(sorted(mine)))
        return own.genus if own.genus.startswith(start) and own.genus_only else ""

    # ------------------------------------------------------------------ other names

    def _others(self, text: str, lower: str, words: Collection[str]) -> Iterable[Mention]:
        known = self._general
        for match in known.pattern.matches(lower, words):
            start, end = match.span()
            found = key(match[0])
            if found in known.binomials:
                yield Mention(start, end, About.OTHER, text[start:end], "other binomial")
                continue
            if found in known.weak and not _THING.match(lower, end):
                continue
            if found == "figs" and lower[end : end + 1] == ".":  # figures
                continue
            if _THIS.search(lower[max(0, start - _REACH) : start]) and lower[start:end].isalpha():
                continue
            if self._plain_form(lower[start:end]):
                continue
            yield Mention(start, end, About.OTHER, text[start:end], "other common name")
        for start, end in headed(lower, words):
            if not _THIS.search(lower[max(0, start - _REACH) : start]) and not self._plain_form(lower[start:end]):
                yield Mention(start, end, About.OTHER, text[start:end], "other common name")

    def _plain_form(self, printed: str) -> bool:
        """Is it one of the taxon's common names behind plain words ("stinging nettle" of "nettle")?"""
        words = re.split(r"[ -]", printed)
        at = 0
        while at < len(words) - 1 and words[at] in lexicon().plain:
            at += 1
        return at > 0 and key("".join(words[at:])) in self._own.common_keys

    def _misspelt_names(self, text: str, lower: str, found: list[Mention], context: PageNames | None) -> list[Mention]:
        return [
            self._common(text, lower, start, end, "spelling")
            for start, end in self._misspelt.spans(lower, context.compounds if context is not None else frozenset())
            if not any(each.start < end and start < each.end for each in found)
        ]


def _apart(found: list[Mention]) -> list[Mention]:
    """The longest of overlapping mentions; of equal ones the taxon's own, then the first rule's."""
    if len(found) < 2:
        return found
    kept: list[Mention] = []
    starts: list[int] = []
    for each in sorted(found, key=lambda each: (each.start - each.end, each.whose is not About.TAXON, each.start)):
        at = bisect_right(starts, each.start)
        if (at == 0 or kept[at - 1].end <= each.start) and (at == len(kept) or each.end <= kept[at].start):
            starts.insert(at, each.start)
            kept.insert(at, each)
    return kept


def _without_authors(text: str, mentions: list[Mention]) -> list[Mention]:
    """Leaves out persons: "Fictaria silvana (L.) Alder", "C. S. Alder"."""
    kept: list[Mention] = []
    latin_end = -1
    for each in mentions:
        if each.rule in _LATIN_RULES:
            latin_end = each.end
        elif each.rule == "other common name" and each.name[0].isupper() and each.start:
            near = 0 <= each.start - latin_end <= _REACH
            if near and latin_end > 0 and _AUTHORS.fullmatch(text, latin_end, each.start):
                continue
            if _INITIAL.search(text[max(0, each.start - 4) : each.start]):
                continue
        kept.append(each)
    return kept


def _measured(lower: str, mentions: list[Mention], foods: frozenset[str]) -> list[Mention]:
    """Marks names that only measure something, and those listed after one that does."""
    result: list[Mention] = []
    cued = cues(lower) if mentions and mentions[-1].start > 2 else []  # none is shorter than "as "
    for each in mentions:
        food = each.whose is About.OTHER and key(each.name) in foods
        comparison = measures(lower, each.start, each.end, cued, food=food)
        if not comparison and result and result[-1].comparison:
            comparison = joined(lower, result[-1].end, each.start)
        result.append(Mention(each.start, each.end, each.whose, each.name, each.rule, True) if comparison else each)
    return result
