"""Names that are only a measure: "cooked like spinach", "a substitute for coffee", "mistaken for hemlock"."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Final

_REACH: Final = 70
_BETWEEN: Final = re.compile(
    r"(?:(?:the|a|an|of|that|those|its|their|true|real|common|ordinary|wild|cultivated|garden|other|young|fresh|cooked|ripe|dried|roasted|boiled|fried|stewed"
    r"|raw|green|small|large|some|any|such|several|certain|many|edible|poisonous|deadly|toxic|highly|very|extremely|more"
    r"|harmless|dangerous|similar|closely|related|plants|members|species|relatives?|leaves|leaf|roots?|seeds?|shoots?"
    r"|fruits?|berries|tops|stems|bulbs?|both|either|and|or|in|e\.g\.)\s){0,6}"
)
# "known as hemlock" names, "cooked as asparagus" measures.
_NAMING: Final = "".join(
    rf"(?<!{word} )"
    for word in (
        "known",
        "such",
        "called",
        "described",
        "regarded",
        "named",
        "classified",
        "listed",
        "treated",
        "sold",
        "familiar",
        "marketed",
        "identified",
        "recorded",
        "offered",
        "labelled",
    )
)
_MEASURES: Final = (
    r"like",
    r"unlike",
    r"than",
    rf"{_NAMING}as",
    r"instead of",
    r"in place of",
    r"in lieu of",
    r"substitut\w+ (?:for|of)",
    r"substitute,?",
    r"replac\w+(?: for)?",
    r"alternative to",
    r"similar(?:ity)? to",
    r"resembl\w+(?: to)?",
    r"(?:same|way|manner|style|fashion) (?:as|of)",
    r"(?:confus\w+|mix\w*(?: up)?|muddl\w+) (?:with|for|between)",
    r"(?:mistak\w+|mistook|passed|pass|passes|taken) (?:for|as)",
    r"(?:took|takes?|taking|mistook|mistak\w+|confus\w+) (?:\w+ ){1,4}(?:for|with)",
    r"distinguish\w* (?:\w+ ){0,2}from",
    r"differ\w* from",
    r"different (?:from|to)",
    r"compar\w+ (?:to|with)",
    r"(?:tastes?|tasting|smells?|smelling|flavou?r|odou?r|scent|reminiscent|suggestive) of",
    r"(?:relat\w+|akin|allied|kin) to",
    r"relatives? of",
    r"cousins? (?:of|to)",
    r"look-?alikes?(?: of)?,?",
    r"grow\w* (?:among|with|beside|near)",
)
# One "begins a word" before them all, not one in each: many times as fast.
_CUE: Final = re.compile(rf"\b(?:{'|'.join(_MEASURES)})\s")
_COMPANY: Final = re.compile(
    r"\b(?:with|into|in|to|for|kind of|sort of)\s"
    r"(?:(?:the|a|an|some|cooked|boiled|fried|fresh|other|ordinary|common|plain)\s){0,3}$"
)
_SUFFIX: Final = re.compile(
    r"-(?:like|leaved|leafed|shaped|scented|smelling|flavou?red|tasting|colou?red|sized|free|based|ish|type)\b"
    r"|\s(?:flavou?r|taste|odou?r|smell|scent|substitute|family|salads?|soups?|stews?|pies?|jam|flour|bread|sauce"
    r"|dish(?:es)?|cake|pudding)\b"
)
_LIKENESS: Final = re.compile(
    r"-(?:like|leaved|leafed|shaped|scented|smelling|flavou?red|tasting|colou?red|sized|ish|type)\b|-?like\b"
)
_BECAUSE: Final = re.compile(r"(?:^|[,;:(-]\s?)as (?:the |a |an )?$")
_VERB: Final = re.compile(r"\s(?:is|are|was|were|has|have|had|can|could|may|might|contains?|causes?)\b")
_JOINS: Final = re.compile(
    r"(?:,\s?|\s)(?:(?:or|and|nor)\s)?(?:even\s|the\s|a\s|an\s|other\s|with\s|wild\s|true\s|some\s){0,2}"
)


def cues(lower: str) -> list[int]:
    """Offsets right after words that measure ("like ", "instead of "), for ``measures``."""
    return [match.end() for match in _CUE.finditer(lower)]


def measures(lower: str, start: int, end: int, cued: list[int], *, food: bool) -> bool:
    """Is the name at [start, end) a measure or company, not what the sentence is about?

    >>> text = "cooked like true spinach"
    >>> measures(text, 17, 24, cues(text), food=True), measures("spinach is grown", 0, 7, [], food=True)
    (True, False)
    """
    if _LIKENESS.match(lower, end):
        return True
    before = bisect_right(cued, start)
    if before and start - cued[before - 1] <= _REACH and _BETWEEN.fullmatch(lower, cued[before - 1], start):
        return not (_VERB.match(lower, end) and _BECAUSE.search(lower[max(0, start - _REACH) : start]))
    if food:
        return bool(_SUFFIX.match(lower, end) or _COMPANY.search(lower[max(0, start - _REACH) : start]))
    return False


def joined(lower: str, end: int, start: int) -> bool:
    """Do two names stand in one list: is there only ", ", " or ", " and " between them?"""
    return start - end <= 24 and bool(_JOINS.fullmatch(lower, end, start))
