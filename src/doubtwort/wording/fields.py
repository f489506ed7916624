"""Rows of tables and databases: "Edibility: not edible", "Known hazards: None known".

The label asks a question and the value answers it; ``tables/fields.toml`` holds both.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any, Final

from doubtwort.errors import TableError
from doubtwort.model import Certainty, Eater, Wording
from doubtwort.wording.attributes import attach
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.patterns import telling_words
from doubtwort.wording.rules import Role, Rule, attribute_lexicon

ASKS: Final = (
    "uses",
    "edible",
    "quality",
    "edible-parts",
    "edible-uses",
    "toxic",
    "toxic-parts",
    "toxic-animals",
    "hazards",
)
VALUES: Final = (
    "no",
    "advice",
    "none-known",
    "yes",
    "poor",
    "unknown",
    "degree",
    "suspected",
    "number",
    "food",
    "skull",
)
_FIELD_RULE: Final = "field-"
_LONGEST_LABEL: Final = 40
_LABEL = re.compile(r"[\s•*|\"'-]*([a-z][a-z ()?/'-]{1,38}?)\s?(?::|\||=|\s-\s|\.{4,})\s*")
_OF_PART = re.compile(r"(.+) of (?:the )?([a-z]+)")
_LEADER = re.compile(r"(?<![\w-])([A-Z][a-z]+(?: [a-z]+)?) ?\.{4,}")
_NO_MARKS = str.maketrans("", "", "?()/")
_NUMBER = re.compile(r"(\d(?:\.\d)?)(?:\s?(?:/|of|out of)\s?\d{1,2})?(?: stars?)?")
_FOOD = re.compile(
    r"(?<!no )(?<!not )(?<!none as )(?<!none for )\b"
    r"(?:food|edible|eaten|culinary|vegetable|salad|spice|condiment|potherb|human food)\b"
    r"(?! for)(?!,? (?:none|no|not|nil|never)\b)"
)
_DISH = re.compile(
    r"(?:^|[,;/&] ?|\band )(?:[a-z]+ )?(?:mash|soups?|crisps|chips|salads?|jams?|jelly|jellies|pies?|puddings?|stews?|"
    r"pickles?|chutneys?|casseroles?|fruit for jams?|stir[ -]fry|stir[ -]fries|preserves|desserts?|potherbs?|"
    r"greens|curries|curry|sandwiches|pesto|"
    r"garnish|seasoning|sauces?|fritters|omelettes?|cordials?|marmalade|bread)(?=$|[.,;/&(]| \()"
)
_STARS = re.compile(r"(★+|☆+|\*{1,5}(?!\*)|\+{1,4})(?![\w★])")
_TICKS = dict.fromkeys("✓✔☑✅", "yes") | dict.fromkeys("✗✘☒❌✖✕", "no")
_MEASURED = {"slight": "poor", "low": "poor", "minor": "poor", "high": "yes"}
_MARKS = ("(", ",", ";", "-", ":", "/")
_NO_FOOD = ("edible", "edible-parts", "edible-uses", "quality")
_HEAD = re.compile(r"[^.,;:(\[]*")
_GLUED = re.compile(r"(?<![\w-])([A-Z][a-z]+(?: [a-z]+)?):\s")
_SEGMENT = re.compile(r"(?:;|\s\||\.)\s+(?=[A-Za-z][A-Za-z ()?/'-]{1,38}:\s)")

# What (question, kind of value) states: wording and certainty. A pair that is not here states nothing of itself.
ANSWERS: Final[dict[tuple[str, str], tuple[Wording, Certainty]]] = {
    ("edible", "no"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible", "advice"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible", "skull"): (Wording.TOXIC, Certainty.STATED),
    ("toxic", "skull"): (Wording.TOXIC, Certainty.STATED),
    ("quality", "advice"): (Wording.UNPALATABLE, Certainty.STATED),
    ("edible-parts", "advice"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible-uses", "advice"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible", "none-known"): (Wording.INEDIBLE, Certainty.HEDGED),
    ("edible", "number"): (Wording.EDIBLE, Certainty.STATED),
    ("quality", "number"): (Wording.EDIBLE, Certainty.STATED),
    ("toxic", "number"): (Wording.TOXIC, Certainty.STATED),
    ("edible", "yes"): (Wording.EDIBLE, Certainty.STATED),
    ("edible", "poor"): (Wording.UNPALATABLE, Certainty.STATED),
    ("edible", "suspected"): (Wording.TOXIC, Certainty.HEDGED),
    ("quality", "no"): (Wording.UNPALATABLE, Certainty.STATED),
    ("quality", "none-known"): (Wording.UNPALATABLE, Certainty.STATED),
    ("quality", "yes"): (Wording.EDIBLE, Certainty.STATED),
    ("quality", "poor"): (Wording.UNPALATABLE, Certainty.STATED),
    ("uses", "food"): (Wording.EDIBLE, Certainty.STATED),
    ("edible-parts", "no"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible-parts", "none-known"): (Wording.INEDIBLE, Certainty.HEDGED),
    ("edible-parts", "other"): (Wording.EDIBLE, Certainty.STATED),
    ("edible-uses", "no"): (Wording.INEDIBLE, Certainty.STATED),
    ("edible-uses", "none-known"): (Wording.INEDIBLE, Certainty.HEDGED),
    ("edible-uses", "yes"): (Wording.EDIBLE, Certainty.STATED),
    ("edible-uses", "other"): (Wording.EDIBLE, Certainty.STATED),
    ("edible-uses", "poor"): (Wording.UNPALATABLE, Certainty.STATED),
    ("toxic", "no"): (Wording.NON_TOXIC, Certainty.STATED),
    ("toxic", "none-known"): (Wording.NON_TOXIC, Certainty.HEDGED),
    ("toxic", "yes"): (Wording.TOXIC, Certainty.STATED),
    ("toxic", "degree"): (Wording.TOXIC, Certainty.STATED),
    ("toxic", "suspected"): (Wording.TOXIC, Certainty.HEDGED),
    ("toxic-parts", "no"): (Wording.NON_TOXIC, Certainty.STATED),
    ("toxic-parts", "none-known"): (Wording.NON_TOXIC, Certainty.HEDGED),
    ("toxic-parts", "other"): (Wording.TOXIC, Certainty.STATED),
    ("toxic-animals", "no"): (Wording.NON_TOXIC, Certainty.STATED),
    ("toxic-animals", "none-known"): (Wording.NON_TOXIC, Certainty.HEDGED),
    ("toxic-animals", "yes"): (Wording.TOXIC, Certainty.STATED),
    ("toxic-animals", "degree"): (Wording.TOXIC, Certainty.STATED),
    ("hazards", "no"): (Wording.NON_TOXIC, Certainty.STATED),
    ("hazards", "none-known"): (Wording.NON_TOXIC, Certainty.HEDGED),
}


@dataclass(frozen=True, slots=True)
class Field:
    """A label found at the start of a text: what it asks, of which part, and where its value begins (offset)."""

    rule: str
    asks: str
    value_start: int
    part: str = ""


@dataclass(frozen=True, slots=True)
class _Tables:
    """``labels``: (rule, question) of each; ``qualifiers``: words of a label that ask nothing; ``values``: the kind of
    each; ``longest``: the most words of a value."""

    labels: dict[str, tuple[str, str]]
    qualifiers: frozenset[str]
    values: dict[str, str]
    longest: int


@cache
def _tables() -> _Tables:
    table: dict[str, Any] = tomllib.loads(files("doubtwort.wording").joinpath("tables/fields.toml").read_text("utf-8"))
    labels: dict[str, tuple[str, str]] = {}
    for row in table.get("label", []):
        if set(row) != {"id", "asks", "labels"} or row["asks"] not in ASKS or not row["labels"]:
            raise TableError(f"fields.toml: the label {row.get('id')!r} is incomplete or asks something unknown.")
        for label in row["labels"]:
            labels[label] = (_FIELD_RULE + row["id"], row["asks"])
    values: dict[str, str] = {}
    for kind, words in table.get("values", {}).items():
        if kind not in VALUES or not words:
            raise TableError(f"fields.toml: the values {kind!r} are unknown or empty.")
        for word in words:
            values[word] = kind
    beside = frozenset(table.get("qualifiers", []))
    if not labels or not beside or not values:
        raise TableError("fields.toml needs labels, qualifiers and values.")
    return _Tables(labels, beside, values, max(len(word.split()) for word in values))


def labels() -> Iterable[str]:
    """Every label, in lower case."""
    return _tables().labels.keys()


def qualifiers() -> Iterable[str]:
    """Words that a label may hold beside what it asks, in lower case."""
    return _tables().qualifiers


@cache
def label_words() -> frozenset[str]:
    """A telling word of every label: a text with none of them has no field."""
    return frozenset(word for label in _tables().labels for word in telling_words(label.translate(_NO_MARKS)))


def segments(text: str, start: int, end: int) -> list[tuple[int, int]]:
    """A row "Species: X; Edible: yes" cut into its cells; any other sentence whole."""
    cuts = [start, *(match.end() for match in _SEGMENT.finditer(text, start, end))]
    known = False
    for match in _GLUED.finditer(text, start, end):
        known = known or _label_of(match.group(1)) is not None
        whole = _label_of(text[max(at for at in cuts if at <= match.start(1)) : match.end(1)])
        if known and whole is None and match.start(1) > start:
            cuts.append(match.start(1))
    leaders = [match.start(1) for match in _LEADER.finditer(text, start, end)]
    cuts += [at for at in leaders if at > start]
    return list(pairwise([*sorted(set(cuts)), end]))


def answers_label(rule: str) -> bool:
    """Is it the rule of a statement made of a label and its value?"""
    return rule.startswith(_FIELD_RULE)


def _label_of(text: str) -> tuple[str, str] | None:
    """(rule, question) of a label, whole or without the words that ask nothing: "overall edibility (humans)"."""
    tables, label = _tables(), text.strip().lower()
    if label in tables.labels:
        return tables.labels[label]
    return tables.labels.get(" ".join(word for word in label.split() if word.strip("()") not in tables.qualifiers))


def field_at(lower: str, start: int, end: int) -> Field | None:
    """The field that begins at ``start``, or None when no known label stands there."""
    match = _LABEL.match(lower, start, min(end, start + _LONGEST_LABEL + 8))
    if match is None:
        return None
    label = match.group(1).strip()
    found = _label_of(label)
    of_part = None if found else _OF_PART.fullmatch(label)
    if of_part is not None:  # "Eating quality of leaf"
        found = _label_of(of_part.group(1))
    if found is None:
        return None
    return Field(found[0], found[1], match.end(), of_part.group(2) if of_part is not None else "")


def heading_field(heading: str) -> Field | None:
    """The field that a heading alone asks for, when a short text follows it: a whole label, since "Local food" asks
    nothing."""
    found = _tables().labels.get(heading.strip().lower().rstrip(":"))
    return Field(found[0], found[1], 0) if found else None


def kind_of(value: str) -> str:
    """The kind of a value: one of the table's, or "other".

    >>> kind_of("none known."), kind_of("leaves, seed")
    ('none-known', 'other')
    """
    tables = _tables()
    values, longest = tables.values, tables.longest
    marks = value.strip(" .!()[]")
    if marks[:1] in _TICKS:
        return _TICKS[marks[0]]
    if marks[:1] == "☠":
        return "skull"
    if (stars := _STARS.match(marks)) is not None:
        return "no" if stars.group(1)[0] == "☆" else "number"
    whole = value.strip(" .!*")
    if whole[:1] == "(" and whole.find(")") == len(whole) - 1:  # "(2 of 5)"
        whole = whole[1:-1]
    if whole in values:
        return values[whole]
    match = _HEAD.match(whole)
    head = (match.group() if match else "").strip()
    if head in values:
        return values[head]
    number = _NUMBER.fullmatch(whole) or _NUMBER.fullmatch(head)
    if number is not None:
        return "no" if float(number.group(1)) == 0 else "number"
    words = head.split()
    for count in range(min(longest, len(words)), 1, -1):
        if " ".join(words[:count]) in values:
            return values[" ".join(words[:count])]
    if (
        words
        and values.get(words[0]) in ("no", "yes", "degree", "suspected")
        and not (words[0] in ("no", "not") and len(words) > 1)
    ):
        return values[words[0]]
    return "other"


def _is_contact_only(sentence: Sentence) -> bool:
    return "skin only" in sentence.lower[sentence.start : sentence.end] or any(
        cue.rule.role is Role.NOTICE for cue in sentence.attributes
    )


def is_left_open(field: Field | None, lower: str, end: int) -> bool:
    """ "Edible by humans: see text" answers nothing."""
    return field is not None and kind_of(lower[field.value_start : end]) == "unknown"


def prepared_part(sentence: Sentence) -> Draft | None:
    """ "Leaves, shoots: cooked." — parts, a mark, and how they are prepared: they are eaten so."""
    words = sentence.tokens.words
    mark = next((at for at, word in enumerate(words[:9]) if word in (":", "-")), 0)
    if not 0 < mark < len(words) - 1 or (
        words[mark] == "-" and sentence.lower[sentence.tokens.starts[mark] - 1] != " "
    ):
        return None
    roles: dict[int, Role] = {}
    for cue in sentence.attributes:
        roles.update(dict.fromkeys(range(cue.first, cue.last), cue.rule.role))
    lead = [roles.get(at) for at in range(mark) if words[at] not in (",", "and", "or", "&")]
    if Role.PART not in lead or not set(lead) <= {Role.PART, Role.STAGE} or roles.get(mark + 1) is not Role.PREPARATION:
        return None
    rule = Rule(f"{_FIELD_RULE}prepared-part", Role.SAYS, ("part: preparation",), says=Wording.EDIBLE, kind="verb")
    cue = Cue(rule, sentence.tokens.starts[mark + 1], sentence.tokens.end(mark + 1), mark + 1, mark + 2)
    return Draft(cue, sentence.structure.number[mark + 1], Wording.EDIBLE, rules=[rule.id])


def _without_answer(sentence: Sentence, drafts: list[Draft]) -> None:
    """In "none (poisonous)" the first word answers the label, and denies nothing of what follows its mark."""
    for draft in drafts:
        denials = [cue for cue in draft.modifiers if cue.rule.role is Role.NEGATE]
        if not any(cue.first == 0 and sentence.tokens.words[cue.last] in _MARKS for cue in denials):
            continue
        draft.negated = len(denials) % 2 == 0
        draft.wording = draft.cue.rule.negated if draft.negated else draft.cue.rule.says
        draft.why_silent = ""


def field_draft(field: Field, sentence: Sentence, drafts: list[Draft]) -> Draft | None:
    """What the field states by itself. ``drafts`` are the statements that its value makes in words of its own."""
    value = sentence.lower[sentence.start : sentence.end]
    kind = kind_of(value)
    if field.asks == "uses":
        kind = (
            "food"
            if (_FOOD.search(value) or _DISH.search(value.strip(" .")))
            and not any(draft.wording is Wording.EDIBLE and Eater.ANIMALS not in draft.eaters for draft in drafts)
            else "other"
        )
    if kind == "degree" and field.asks in ("edible", "quality") and not any(draft.wording for draft in drafts):
        kind = _MEASURED.get(sentence.tokens.words[0], kind)
    if kind == "no" and field.asks in _NO_FOOD:
        _without_answer(sentence, drafts)
    spoken = [draft for draft in drafts if draft.wording is not None]
    if kind == "other":
        if field.asks in ("edible-parts", "toxic-parts"):
            if any(draft.negated or draft.wording in (Wording.INEDIBLE, Wording.NON_TOXIC) for draft in spoken):
                return None
            whole = value.strip(" .") in ("all", "whole", "entire", "everything")
            named = any(cue.rule.role is Role.PART for cue in sentence.attributes)
            if not whole and not named and field.asks == "toxic-parts":
                return None
        elif spoken or any(draft.why_silent for draft in drafts):
            return None
        if field.asks == "toxic" and any(cue.rule.role is Role.PART for cue in sentence.attributes):
            kind, answer = "yes", ANSWERS["toxic", "yes"]
    elif kind == "yes" and any(draft.wording is Wording.EDIBLE for draft in spoken) and field.asks == "edible":
        return None
    found = ANSWERS.get((field.asks, kind))
    if found is not None and found[0] is Wording.TOXIC and _is_contact_only(sentence):
        return None
    if found is None:
        return None
    answer = found
    if kind == "advice" and any(draft.wording is Wording.TOXIC for draft in spoken):
        return None  # "not recommended, as it causes vomiting": the value gives a reason, and the reason counts
    words = sentence.tokens.words
    if kind in ("no", "none-known", "advice"):
        kept = (Wording.TOXIC, Wording.NON_TOXIC, Wording.UNPALATABLE) if field.asks in _NO_FOOD else ()
        for draft in drafts:
            if draft.wording not in kept:  # "none (poisonous)" says both
                draft.silence("the value answers its label")
    rule = Rule(field.rule, Role.SAYS, (field.rule,), says=answer[0], kind="verb")
    cue = Cue(rule, sentence.start, sentence.end, 0, 1 if len(words) > 1 else len(words))
    if (
        field.asks in ("toxic-parts", "edible-parts")
        and kind == "other"
        and value.strip(" .") in ("all", "whole", "entire", "everything")
    ):
        kind = "all"
    draft = Draft(cue, 0, answer[0], certainty=answer[1], rules=[field.rule, f"value-{kind}"])
    if kind == "all":
        draft.parts.append("whole plant")
    part = attribute_lexicon().words.get(field.part)
    if part is not None and part.role is Role.PART:
        draft.parts.append(part.value)
    if field.asks == "toxic-animals":
        draft.eaters.append(Eater.ANIMALS)
    return draft


def with_field(sentence: Sentence, own: Draft, drafts: list[Draft]) -> list[Draft]:
    """The field's own statement beside those that its value makes in words of another wording, or of animals."""
    spoken = [
        draft
        for draft in drafts
        if draft.wording is not None and (draft.wording is not own.wording or Eater.ANIMALS in draft.eaters)
    ]
    eaters = own.eaters.copy()
    attach(sentence, [own, *spoken], [])
    if any(draft.wording is own.wording for draft in spoken):  # "Uses: food, fodder": the animals have their own
        own.eaters = eaters
    return [own, *spoken]
