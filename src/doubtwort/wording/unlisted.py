"""Subjects that look like a plant's name and stand in no list of names: "Marsh brindle is edible".

A noun without an article, or after "the", that is no part, no food and no general word is taken for another plant, and
what is said in its favour stays with it. Warnings are not kept from the plant in question so: to lend it one too many
harms nobody, unless the sentence names that plant apart.
"""

from __future__ import annotations

from functools import cache
from typing import Final

from doubtwort.wording.clauses import FINITE
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Role

_ABSTRACT: Final = ("ing", "ness", "tion", "sion", "ity", "ment", "ance", "ence", "ism", "ly", "age", "ful", "ous")
_COMPARED: Final = (
    word_class("relatives") | word_class("measures") | frozenset({"beware", "resembles", "resembling", "unlike"})
)
_LONGEST: Final = 4
_JOINS_SUBJECT: Final = word_class("be") | word_class("has")


def unlisted_subject(sentence: Sentence, draft: Draft, first: int, verb: int, *, apart: bool) -> str:
    """The bare noun that stands as the subject in the tokens [first, verb); "" when there is none.

    ``apart``: the plant in question is named by itself in another clause, so that a warning is not its own either.
    """
    words = sentence.tokens.words
    if words[verb] not in _JOINS_SUBJECT or not (draft.wording in PRAISE or apart):
        return ""
    while first < verb and words[first] in word_class("before-bare-subject"):
        first += 1
    end = _end_of_phrase(words, first, verb)
    if words[end : end + 1] == ["of"]:  # "the young leaves of marsh brindle are edible"
        first, end = end + 1, _end_of_phrase(words, end + 1, verb)
    tail = words[end:verb]
    tail = tail[len(tail) - tail[::-1].index(",") :] if "," in tail else tail
    if words[end : end + 1] == ["to"] or not word_class("subject-pronouns").isdisjoint(tail):
        return ""
    return _bare_name(sentence, first, end)


def behind_comparison(words: list[str], first: int, verb: int) -> int:
    """Where the subject begins: behind "unlike fictwort," or "as with the last,"."""
    if words[first] in word_class("ends-noun-phrase") and words[first] != "," and "," in words[first:verb]:
        return words.index(",", first) + 1
    return first


def unlisted_antecedent(sentence: Sentence, draft: Draft, which: int) -> str:
    """The noun right before ", which": "mistaken for pellroot, which is edible"; "" when it is no bare name."""
    words = sentence.tokens.words
    if words[which] not in ("which", "whose"):
        return ""  # "in Europe, where it is eaten"
    if draft.wording not in PRAISE and _COMPARED.isdisjoint(words[max(which - 7, 0) : which]):
        return ""
    end = which
    while end and words[end - 1] == ",":
        end -= 1
    first = end
    while first and words[first - 1].isalpha() and words[first - 1] not in word_class("ends-noun-phrase"):
        first -= 1
    return _bare_name(sentence, first, end)


def _end_of_phrase(words: list[str], first: int, verb: int) -> int:
    end = first
    while end < verb and words[end] not in word_class("ends-noun-phrase"):
        end += 1
    while end > first and words[end - 1] in word_class("adverbs"):
        end -= 1
    return end


def _bare_name(sentence: Sentence, first: int, end: int) -> str:
    words = sentence.tokens.words
    phrase = words[first:end]
    if phrase[:1] == ["the"]:
        phrase = phrase[1:]
    if not phrase or len(phrase) > _LONGEST or not all(word.isalpha() or word == "-" for word in phrase):
        return ""
    if not _known().isdisjoint(phrase) or any(word in FINITE for word in phrase):
        return ""
    head = phrase[-1]
    if len(head) < 3 or head.endswith(_ABSTRACT) or (head.endswith("ed") and not head.endswith("eed")):
        return ""
    covering = [cue for cue in (*sentence.attributes, *sentence.cues) if cue.first < end and cue.last > first]
    if any(cue.rule.role is not Role.STAGE for cue in covering):
        return ""
    return " ".join(phrase)


@cache
def _known() -> frozenset[str]:
    """Words that no name of a plant is made of: determiners, pronouns, general nouns, food."""
    classes = ("things", "generic", "pronouns", "determiners", "general-nouns", "relatives", "subject-pronouns")
    return frozenset().union(*(word_class(each) for each in classes))
