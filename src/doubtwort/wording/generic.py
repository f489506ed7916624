"""Subjects that are no names: "the latter", "its cousin", "most members of the genus", "unlike edible mushrooms"."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from doubtwort.model import About
from doubtwort.wording.clauses import FINITE
from doubtwort.wording.drafts import PRAISE, Draft, Sentence
from doubtwort.wording.grammar import phrase_class, word_class
from doubtwort.wording.names import Named, joined

if TYPE_CHECKING:
    from doubtwort.wording.attribution import Context

_GENERIC: Final = word_class("generic")
_RELATIVES: Final = word_class("relatives")
_COMPARES: Final = word_class("compares")
_MEASURES: Final = word_class("measures")
_AFTER: Final = word_class("after-predicate") | word_class("after-eaten") | word_class("to")
_STOPS: Final = frozenset({",", ".", ";", "(", ")", "this", "that", "these", "as", "which"})
_OWN_KIND: Final = (About.TAXON, About.GENUS, About.FAMILY)


def generic_subject(
    sentence: Sentence,
    draft: Draft,
    lead: tuple[int, int],
    subjects: list[Named],
    named: list[Named],
    context: Context,
) -> tuple[list[tuple[About, str]], str] | None:
    """The subject in the tokens ``lead`` when it is a phrase and no name; None when there is none."""
    words = sentence.tokens.words
    first, end = lead
    last_name = subjects[-1].last if subjects else -1
    lead_words = words[max(first, last_name) : end]
    if _keywords().isdisjoint(lead_words) and "that" not in lead_words:
        return None
    text = " " + " ".join(lead_words) + " "
    if " latter " in text or " former " in text:
        return _latter(text, draft, named, context)
    if (that := _that_one(lead_words, context)) is not None:
        return that
    kinds = [context.current.about, context.page.about, *(each.whose for each in named)]
    ours = any(kind in _OWN_KIND for kind in kinds)
    theirs = About.OTHER if any(kind is About.OTHER for kind in kinds) else About.UNCLEAR
    if subjects and subjects[-1].whose is About.GENUS and subjects[-1].first < end:
        return None
    if not any(first < each.first < end for each in subjects):
        for phrase in phrase_class("genus-phrases"):
            if phrase == "our species" and words[end : end + 1] in (["is"], ["has"], ["was"], ["can"]):
                continue  # the one spoken of
            if f" {phrase} " in text:
                if " unlike " in text[: text.index(f" {phrase} ")]:
                    return None
                return [(About.GENUS if ours else theirs, phrase)], f"“{phrase}”"
    for phrase in phrase_class("family-phrases"):
        if f" {phrase} " in text:
            return [(About.FAMILY if ours else theirs, phrase)], f"“{phrase}”"
    for phrase in phrase_class("other-phrases"):
        at = text.find(f" {phrase} ")
        if at < 0 or text.startswith(" the other hand", at) or " on the other hand" in text[: at + 16]:
            continue
        after = text[at + len(phrase) + 2 :].split()[:1] or words[end : end + 1]
        if phrase.endswith("others") and after and after[0] in word_class("said-by-people"):
            continue
        if phrase in ("others", "the others") and context.current.about is About.GENUS:
            return [(About.GENUS, phrase)], f"“{phrase}”"
        before = text[:at].split()
        if subjects and before and set(before) <= {"and", "or", ","}:
            return [*joined(words, subjects[-1], named), (About.OTHER, phrase)], f"the names before “{phrase}”"
        return [(About.OTHER, phrase)], f"“{phrase}”"
    head = next((word for word in lead_words if word in _RELATIVES), "")
    if head and not any(word in ("like", "unlike") for word in lead_words[: lead_words.index(head)]):
        return [(About.OTHER, head)], f"“{head}”"
    return None


@cache
def _keywords() -> frozenset[str]:
    """The last word of every phrase: without one of them there is no such subject."""
    phrases = [*phrase_class("genus-phrases"), *phrase_class("family-phrases"), *phrase_class("other-phrases")]
    return frozenset({"latter", "former", *(phrase.split()[-1] for phrase in phrases)}) | _RELATIVES


def _that_one(lead: list[str], context: Context) -> tuple[list[tuple[About, str]], str] | None:
    """ "That species", "the berries of that shrub": the plant named last before, not the one spoken of."""
    at = next((at for at, word in enumerate(lead[:-1]) if word == "that" and lead[at + 1] in _GENERIC), -1)
    if at < 0 or not context.recent or (at > 0 and lead[at - 1] != "of"):
        return None
    last = context.recent[-1]
    return [(last.whose, last.name)], f"“that {lead[at + 1]}”, which is named before"


def _latter(
    text: str, draft: Draft, named: list[Named], context: Context
) -> tuple[list[tuple[About, str]], str] | None:
    known = [each.own for each in named if each.first < draft.cue.first]
    known = known or [(mention.whose, mention.name) for mention in context.recent]
    if len(known) < 2:
        # Of the two at least one has no name that is known; it is not taken for the plant in question.
        return [(About.OTHER, "the latter")], "“the latter”, which is no name that is known"
    if " latter " in text:
        return [known[-1]], "“the latter”"
    return [known[-2]], "“the former”"


def relative_of(words: list[str], at: int) -> bool:
    """Is the name at ``at`` only what a relative is compared with: "a cousin of X"?"""
    before = words[max(at - 4, 0) : at]
    if "," in before:
        before = before[len(before) - before[::-1].index(",") :]
    return any(word in _RELATIVES for word in before) and any(word in ("of", "to") for word in before)


def is_compared(sentence: Sentence, draft: Draft) -> bool:
    """Is the adjective said of plants that the subject is only compared with: "unlike most edible mushrooms"?"""
    words, target = sentence.tokens.words, draft.cue
    if draft.cue.rule.kind or target.last >= len(words):
        return False
    behind = words[target.last : target.last + 5]
    if "of" in behind and any(word in _RELATIVES for word in behind[behind.index("of") :]):
        return True  # "the poisonous nature of its relatives"
    if _is_counted_among(words, target.first):
        return False
    if _has_relatives(words, target.first, behind):
        return True
    if draft.wording in PRAISE and _names_another(sentence, draft):
        return True
    near = words[target.last : target.last + 4]
    noun = next((at for at, word in enumerate(near) if word in _GENERIC or word in FINITE or word in _STOPS), -1)
    capital = sentence.text[sentence.tokens.starts[target.last]].isupper()
    plant = capital or (noun >= 0 and near[noun] in _GENERIC)
    determined = True
    for at in range(target.first - 1, max(target.first - 7, -1), -1):
        if words[at] in _COMPARES and plant:
            return True
        measured = any(word in _MEASURES for word in words[max(at - 5, 0) : at])
        if words[at] in ("from", "to", "with", "for", "by") and measured and (plant or determined):
            return True
        if words[at] in FINITE or words[at] in _STOPS or words[at] in ("in", "its", "their"):
            return False
        determined = determined and words[at] in ("the", "a", "an", "some", "other", "very", "quite", "perfectly")
    return False


def _names_another(sentence: Sentence, draft: Draft) -> bool:
    """ "It grows with the edible runnelcress": a noun that is no part and no kind of plant is taken for a name.

    Only what speaks for a plant is kept from it so; a warning is not.
    """
    words, target = sentence.tokens.words, draft.cue
    noun: list[str] = []
    for word in words[target.last : target.last + 4]:
        if not word.isalpha() or word in FINITE or word in _AFTER or word in word_class("pronouns"):
            break
        noun.append(word)
    if not noun or any(word in _GENERIC or word in word_class("things") for word in noun):
        return False
    if any(cue.first < target.last + len(noun) and cue.last > target.last for cue in sentence.attributes):
        return False
    before = words[max(target.first - 4, 0) : target.first]
    return not any(word in ("is", "are", "was", "were", "as", "has", "have", "with") for word in before[-3:]) and bool(
        {"the", "among", "from", "after", "beside", "some"} & set(before)
    )


def _is_counted_among(words: list[str], at: int) -> bool:
    """ "Listed among the edible boletes" says it of the one that is listed."""
    before = words[max(at - 4, 0) : at]
    if not {"among", "amongst", "with"} & set(before):
        return False
    return not word_class("counted").isdisjoint(words[max(at - 6, 0) : at])


def _has_relatives(words: list[str], at: int, behind: list[str]) -> bool:
    """ "It has poisonous look-alikes", but not "it is a poisonous relative of fictwort"."""
    noun = next((index for index, word in enumerate(behind) if word in _RELATIVES), -1)
    if noun < 0 or any(word in FINITE or word in _STOPS for word in behind[:noun]):
        return False
    return not any(word in ("is", "are", "was", "were", "as") for word in words[max(at - 4, 0) : at])
