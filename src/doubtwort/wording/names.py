"""Names of a sentence as its grammar sees them: a common name with its scientific one in brackets is one name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from doubtwort.mentions.find import Mention
from doubtwort.model import About
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.drafts import Sentence
from doubtwort.wording.grammar import word_class

# "Family/sub family: Fictariaceae" in a row only places the plant.
_FAMILY_CELL: Final = re.compile(r"\bfamily[^;:]{0,20}:\s*$")
_JOINS: Final = word_class("joins-names")
_LATIN: Final = frozenset({"scientific name", "synonym", "other binomial", "spelling", "abbreviated genus"})


@dataclass(slots=True)
class Named:
    """One name over the tokens [first, last); a bracket with its other name is included."""

    first: int
    last: int
    whose: About
    name: str
    comparison: bool

    @property
    def own(self) -> tuple[About, str]:
        return self.whose, self.name

    def is_object(self, words: list[str]) -> bool:
        """Is it the object: "the roots of X", "after eating X"?"""
        return any(word in word_class("before-objects") for word in words[max(self.first - 2, 0) : self.first])


def units(sentence: Sentence, mentions: list[Mention]) -> list[Named]:
    """The sentence's names in order, without those that only place the plant: its family, other cells of a row, what
    stands behind "except"."""
    tokens = sentence.tokens
    words = tokens.words
    named: list[Named] = []
    for number, mention in enumerate(mentions):
        first, last = tokens.at(mention.start), tokens.at(mention.end)
        if named and "|" in words and mentions[0].rule in _LATIN:
            break
        row = ";" in words and ":" in words and any(each.rule in _LATIN for each in mentions)
        if mention.rule == "family name" and (number or row) and "the" not in words[max(first - 2, 0) : first]:
            continue
        if mention.rule == "family name" and _FAMILY_CELL.search(sentence.lower, 0, mention.start):
            continue
        if mention.rule == "other common name" and mention.name.lower() in word_class("generic"):
            continue  # "edible boletes"
        if mention.whose is About.GENUS and words[max(first - 1, 0)] == "this":
            continue  # "this mosswort" is the one spoken of
        if words[last : last + 1] and words[last] in word_class("coloured"):
            continue  # "a cinnamon coloured stalk"
        if any(word in word_class("excepts") for word in words[max(first - 3, 0) : first]):
            continue
        inside = first < len(words) and sentence.structure.inside[first]
        if named and inside and first - named[-1].last <= 1 and words[first - 1] == "(":
            before = named[-1]
            before.last = last + 1 if words[last : last + 1] == [")"] else last
            if before.whose is not About.TAXON and mention.rule in _LATIN:
                before.whose, before.name = mention.whose, mention.name
            continue
        while inside and first > 1 and words[first - 1] == "(" and _is_capital(sentence, first - 2):
            # "Fells (Fictaria montana)": the word before the bracket is the same plant's.
            first -= 2
            last = last + 1 if words[last : last + 1] == [")"] else last
        compared = mention.comparison
        if compared and words[max(first - 1, 0)] == "," and words[last : last + 1] and words[last] in FINITE:
            compared = False  # "unlike X, Y has edible roots"
        if words[first - 1 : first] in (["from"], ["to"], ["with"], ["for"]):  # "it may be told from X by its milk"
            compared = compared or not word_class("measures").isdisjoint(words[max(first - 6, 0) : first])
        if "not" in words[max(first - 3, 0) : first] and not any(
            word in FINITE or word == "," for word in words[words.index("not", max(first - 3, 0)) : first]
        ):
            compared = True  # "the roots of brindle, not of fictwort"
        named.append(Named(first, last, mention.whose, mention.name, compared))
    return named


def _is_capital(sentence: Sentence, at: int) -> bool:
    return sentence.text[sentence.tokens.starts[at]].isupper()


def joined(words: list[str], chosen: Named, named: list[Named]) -> list[tuple[About, str]]:
    """The chosen name with those joined to it by "and": one subject for each kind."""
    group = [chosen]
    at = named.index(chosen) if chosen in named else -1
    if at >= 0:
        for other in reversed(named[:at]):
            if other.comparison or not _only_joins(words[other.last : group[0].first]):
                break
            group.insert(0, other)
        for other in named[at + 1 :]:
            if not _only_joins(words[group[-1].last : other.first]):
                break
            group.append(other)
    subjects: dict[About, str] = {}
    for each in group:
        subjects.setdefault(each.whose, each.name)
    if About.TAXON in subjects and len(group) > 1:
        subjects.pop(About.GENUS, None)
        subjects.pop(About.FAMILY, None)
    return list(subjects.items())


def _only_joins(words: list[str]) -> bool:
    """Do the words only join two names, an author after the first at most ("Bull.,")?"""
    if len(words) > 2 and words[0] not in _JOINS and "." in words[1:4]:
        words = words[words.index(".") + 1 :] or ["and"]
    if len(words) > 2 and words[-1] == "(" and words[0] in _JOINS and all(word.isalpha() for word in words[1:-1]):
        return len(words) < 7  # "the morwen yam and the sand yam (Morwennia arenaria)"
    return bool(words) and all(word in _JOINS or word == "." for word in words)
