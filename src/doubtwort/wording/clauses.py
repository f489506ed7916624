"""Clauses of one sentence: where a new subject and verb begin, and where the scope of a modifier ends.

No parser: a sentence is cut at contrasting words, strong marks, brackets, relative pronouns after a comma, and at
"and" or a comma that is followed by a subject with a verb of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from doubtwort.wording.cues import Tokens
from doubtwort.wording.grammar import word_class

FINITE = word_class("finite")
_BE = word_class("be")
_CONTRAST = word_class("contrast")
_RELATIVE = word_class("relative")
_BEFORE_RELATIVE = word_class("before-relative")
_PRONOUNS = word_class("subject-pronouns")
_DETERMINERS = word_class("determiners")
_TEMPORAL_WHILE = word_class("temporal-while")
_PREPOSITIONS = word_class("prepositions")
_STOPS_SUBJECT = word_class("stops-subject")
_SO = (["so"], ["neither"])
_GAPPED = (["the", "latter"], ["the", "former"], ["the", "other"], ["the", "others"])
_LONGEST_SUBJECT = 8


@dataclass(slots=True)
class Clauses:
    """``number[i]`` is the clause of token i; ``inside[i]`` tells whether it stands in brackets; ``parent[c]`` is the
    clause that holds or precedes clause c (-1 for the first); ``opener[c]`` is the word that opened it."""

    number: list[int]
    inside: list[bool]
    parent: list[int]
    opener: list[str]
    first: list[int]


def clauses(tokens: Tokens, lower: str) -> Clauses:
    """Cuts one sentence into clauses."""
    words = tokens.words
    number: list[int] = []
    inside: list[bool] = []
    parent, opener, first = [-1], [""], [0]
    current, has_verb = 0, False
    suspended: tuple[int, bool] | None = None
    outer: list[tuple[int, bool]] = []
    for at, word in enumerate(words):
        opens = ""
        if word in ("(", "["):
            outer.append((current, has_verb))
            opens = "("
        elif word in (")", "]") and outer:
            number.append(current)
            inside.append(True)
            current, has_verb = outer.pop()
            continue
        elif word in (".", "?", "!") and 0 < at < len(words) - 2 and len(words[at - 1]) > 3:
            opens = "."
        elif word == ";" or (word == ":" and at > 0):
            opens = word
        elif word == "-" and 0 < at < len(words) - 1:
            if lower[tokens.starts[at] - 1] == " " and lower[tokens.end(at) : tokens.end(at) + 1] == " ":
                opens = "-"
        elif word == "," and suspended is not None and _resumes(words, at):
            # "the seeds, though large, are eaten": the first clause goes on.
            current, has_verb = suspended
            suspended = None
        elif word in _CONTRAST:
            if _contrasts(words, at):
                opens = word
        elif word in _RELATIVE:
            if at and (words[at - 1] in _BEFORE_RELATIVE or word == "whose"):
                opens = "which"
        elif (
            (
                word in ("and", "as", "nor")
                and words[at + 1 : at + 2] in _SO
                and words[at + 2 : at + 3]
                and words[at + 2] in FINITE
            )
            or (
                word == "for"
                and at
                and words[at - 1] == ","
                and has_verb
                and words[at + 1 : at + 2] in (["it"], ["they"])
            )
            or (word == "," and has_verb and words[at + 1 : at + 3] in _GAPPED)
            or (word in ("and", "or", ",", "so", "since", "then") and has_verb and _new_subject(words, at))
        ):
            opens = word
        if opens:
            aside = at and (words[at - 1] == "," or (opens == "which" and words[at - 2] == ","))
            suspended = (current, has_verb) if aside and not has_verb else None
            parent.append(current)
            opener.append(opens)
            first.append(at)
            current, has_verb = len(parent) - 1, at == 0
        elif word in FINITE:
            has_verb = True
        number.append(current)
        inside.append(bool(outer))
    return Clauses(number, inside, parent, opener, first)


def _resumes(words: list[str], at: int) -> bool:
    """Does a finite verb follow the comma, after an adverb at most?"""
    following = words[at + 1 : at + 3]
    return bool(following) and (
        following[0] in FINITE or (len(following) > 1 and following[0].endswith("ly") and following[1] in FINITE)
    )


def denies_all_before(words: list[str], at: int) -> bool:
    """Does "nothing", "none" or "no" stand a few words before: "nothing of it is eaten but …"?"""
    return not {"nothing", "none", "no"}.isdisjoint(words[max(at - 9, 0) : at])


def _is_exception(words: list[str], at: int) -> bool:
    """ "Nothing of it is eaten but the aril": what "but" leaves out of a denial has no verb."""
    if words[at - 1] == "," or not denies_all_before(words, at):
        return False
    following = words[at + 1 : at + 7]
    end = next((n for n, word in enumerate(following) if not word.isalpha()), len(following))
    return not any(word in FINITE for word in following[:end])


def _contrasts(words: list[str], at: int) -> bool:
    word = words[at]
    following = words[at + 1] if at + 1 < len(words) else ""
    before = words[at - 1] if at else ""
    if word == "but":
        if _is_exception(words, at):
            return False
        return before not in ("all", "nothing", "anything", "none", "everything") and following not in ("a", "few")
    if word in ("while", "whilst"):
        return following not in _TEMPORAL_WHILE or (following in ("it", "they") and "young" not in words[at : at + 5])
    if word == "because":
        return following != "of"
    if word == "yet":
        return before not in ("not", "as", "and") and following not in ("to", "been")
    if word == "though":
        return before not in ("as", "even") or following in _DETERMINERS or following in _PRONOUNS
    return True


def _new_subject(words: list[str], at: int) -> bool:
    """Does a subject with a finite verb of its own follow the token at ``at``?"""
    start = at + 1
    if start < len(words) and words[at] == "," and words[start] in ("and", "or", "so", "then"):
        start += 1
    if start >= len(words):
        return False
    if words[start] in ("which", "that", "who") or words[start] in FINITE or words[start] in _PREPOSITIONS:
        return False
    if words[at] in (",", "since", "so", "then") and not (
        words[start] in _DETERMINERS or words[start] in _PRONOUNS or words[at + 1] in ("and", "or", "so", "then")
    ):
        # "…, seeds are poisonous": a bare noun, then the verb at once.
        if words[at] != "," or words[start].endswith("ly"):
            return False
        subject = words[start : start + 4]
        verb = next((index for index, word in enumerate(subject) if word in _BE or word in ("has", "have", "had")), 0)
        return verb > 0 and not any(word in _STOPS_SUBJECT for word in subject[:verb])
    for position in range(start, min(start + _LONGEST_SUBJECT, len(words))):
        word = words[position]
        if word in FINITE:
            return position > start and words[position - 1] not in ("to", "and", "or")
        if word in (",", ";", ":", "(", ")", "-", "which", "that", "who", "but", "when", "if", "to", "as"):
            return word == "-" and position + 1 < len(words) and _new_subject(words, position)
    return False


def related(structure: Clauses, upper: int, lower: int) -> bool:
    """Is clause ``lower`` the clause ``upper`` or a bracket inside it?"""
    while lower != upper and lower >= 0:
        if structure.opener[lower] != "(":
            return False
        lower = structure.parent[lower]
    return lower == upper
