"""Wording rules: data loaded from the tables, checked on loading. A broken table stops the program."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

from doubtwort.errors import TableError
from doubtwort.model import Certainty, Wording
from doubtwort.wording.misspellings import misspellings
from doubtwort.wording.openings import ANY, openings
from doubtwort.wording.patterns import expand, to_regex


class Role(StrEnum):
    """What a phrase does in its sentence."""

    SAYS = "says"
    NEGATE = "negate"
    NEGATE_HEDGED = "negate-hedged"
    CANCEL = "cancel"
    HEDGE = "hedge"
    HEARSAY = "hearsay"
    ANIMALS = "animals"
    PEOPLE = "people"
    MEDICINE = "medicine"
    CRAFT = "craft"
    TRAP = "trap"
    NOTICE = "notice"
    DETOXIFY = "detoxify"
    PART = "part"
    PREPARATION = "preparation"
    STAGE = "stage"
    AMOUNT = "amount"


DIRECTIONS = ("forward", "backward", "both")
REACHES = ("near", "phrase", "subject", "comma", "clause", "sentence")
KINDS = ("", "verb", "use")


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of a table.

    ``says`` is the wording when affirmed, ``negated`` the one when negated (None: nothing). ``kind`` tells how parts
    attach: "verb" and "use" take objects, adjectives ("") the noun that they stand before. ``weak`` rows yield to
    medicine and craft in their clause, ``alone`` rows to any other statement in their clause or sentence, and a row
    that ``needs`` "eating" counts only beside another statement about eating. An ``initial`` row begins its clause.
    A modifier with ``only`` "food" leaves all but uses as food alone, with "praise" all warnings.
    ``misspelt`` words are known with one letter wrong, too.
    """

    id: str
    role: Role
    patterns: tuple[str, ...]
    says: Wording | None = None
    negated: Wording | None = None
    value: str = ""
    direction: str = "forward"
    reach: str = "clause"
    kind: str = ""
    certainty: Certainty = Certainty.STATED
    weak: bool = False
    alone: str = ""
    needs: str = ""
    eater: str = ""
    initial: bool = False
    only: str = ""
    misspelt: tuple[str, ...] = ()
    fires: tuple[str, ...] = ()
    spares: tuple[str, ...] = ()


Entries = tuple[tuple["Phrase", Rule], ...]


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Rules indexed by the first two words of each pattern. ``words`` serve one-word patterns without a regex;
    ``phrases`` map a first word to the entries for any second word, and to those for each known one; ``first`` are all
    first words."""

    words: Mapping[str, Rule] = field(default_factory=dict)
    phrases: Mapping[str, tuple[Entries, Mapping[str, Entries]]] = field(default_factory=dict)
    first: frozenset[str] = frozenset()


_ONE_WORD = re.compile(r"[a-z]+(?:'[a-z]+)*")
_NOT = "(not|isn't|aren't|wasn't|weren't|don't|doesn't|didn't|hasn't|haven't|can't)"
_NEGATED = {
    Wording.EDIBLE: Wording.INEDIBLE,
    Wording.TOXIC: Wording.NON_TOXIC,
    Wording.NON_TOXIC: Wording.TOXIC,
    Wording.UNPALATABLE: None,
    Wording.INEDIBLE: None,
}
_SAYS_KEYS = {
    "id",
    "says",
    "patterns",
    "negated",
    "kind",
    "certainty",
    "weak",
    "alone",
    "needs",
    "eater",
    "initial",
    "misspelt",
    "fires",
    "spares",
}
_MODIFIER_KEYS = {"id", "effect", "direction", "reach", "only", "patterns", "fires", "spares"}
_NOTICE_KEYS = {"id", "code", "patterns", "fires", "spares"}
_PHRASE_KEYS = {"id", "patterns", "fires", "spares"}

SAYS_TABLES = ("edible", "harmless", "unpalatable", "inedible", "toxic")


def _table(name: str) -> dict[str, Any]:
    text = files("doubtwort.wording").joinpath(f"tables/{name}.toml").read_text("utf-8")
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"The wording table {name}.toml is no TOML: {error}.") from None
    if not table:
        raise TableError(f"The wording table {name}.toml is empty.")
    return table


def rows_of(name: str, table: Mapping[str, Any], keys: set[str]) -> list[dict[str, Any]]:
    """The rows of one table, each with only known keys, an id of its own, patterns, and examples on both sides."""
    rows: list[dict[str, Any]] = table.get("rule", [])
    if not rows or set(table) != {"rule"}:
        raise TableError(f"The wording table {name}.toml needs rows under [[rule]] and nothing else.")
    seen = set()
    for row in rows:
        if unknown := set(row) - keys:
            raise TableError(f"{name}.toml, rule {row.get('id')!r}: unknown key {sorted(unknown)[0]!r}.")
        if not row.get("id") or row["id"] in seen:
            raise TableError(f"{name}.toml: a rule lacks an id, or {row.get('id')!r} stands twice.")
        seen.add(row["id"])
        for needed in ("patterns", "fires", "spares"):
            if not row.get(needed):
                raise TableError(f"{name}.toml, rule {row['id']!r}: {needed} is missing or empty.")
    return rows


def _says_rule(name: str, row: Mapping[str, Any]) -> Rule:
    try:
        says = Wording(row.get("says", ""))
        negated = Wording(row["negated"]) if row.get("negated", "nothing") != "nothing" else None
        certainty = Certainty(row.get("certainty", "stated"))
    except ValueError as error:
        raise TableError(f"{name}.toml, rule {row['id']!r}: {error}.") from None
    if (
        row.get("kind", "") not in KINDS
        or row.get("needs", "") not in ("", "eating", "predicate")
        or row.get("eater", "") not in ("", "animals")
        or row.get("alone", "") not in ("", "clause", "sentence")
    ):
        raise TableError(f"{name}.toml, rule {row['id']!r}: unknown kind or need.")
    if "negated" not in row:
        negated = _NEGATED[says]
    return Rule(
        row["id"], Role.SAYS, tuple(row["patterns"]), says, negated, kind=row.get("kind", ""), certainty=certainty,
        weak=row.get("weak", False), alone=row.get("alone", ""), needs=row.get("needs", ""), eater=row.get("eater", ""),
        initial=row.get("initial", False), misspelt=tuple(row.get("misspelt", ())),
        fires=tuple(row["fires"]), spares=tuple(row["spares"]),
    )  # fmt: skip


def _modifier(name: str, row: Mapping[str, Any]) -> Rule:
    direction, reach = row.get("direction", "forward"), row.get("reach", "clause")
    if direction not in DIRECTIONS or reach not in REACHES or row.get("only", "") not in ("", "food", "praise"):
        raise TableError(f"{name}.toml, rule {row['id']!r}: unknown direction {direction!r} or reach {reach!r}.")
    try:
        role = Role(row.get("effect", ""))
    except ValueError:
        raise TableError(f"{name}.toml, rule {row['id']!r}: unknown effect {row.get('effect')!r}.") from None
    return Rule(
        row["id"], role, tuple(row["patterns"]), direction=direction, reach=reach, only=row.get("only", ""),
        fires=tuple(row["fires"]), spares=tuple(row["spares"]),
    )  # fmt: skip


@cache
def statement_rules() -> tuple[Rule, ...]:
    """Rows that state or modify a wording, traps included: the first layer of reading."""
    rules = [_says_rule(name, row) for name in SAYS_TABLES for row in rows_of(name, _table(name), _SAYS_KEYS)]
    rules += [_modifier("modifiers", row) for row in rows_of("modifiers", _table("modifiers"), _MODIFIER_KEYS)]
    return (*rules, *_phrases_of("traps", Role.TRAP))


@cache
def retraction_rules() -> tuple[Rule, ...]:
    """Rows with which a sentence begins that takes back what the one before it said."""
    return tuple(_phrases_of("retractions", Role.CANCEL))


def _phrases_of(name: str, role: Role) -> list[Rule]:
    """The rows of a table of which every phrase does one and the same thing."""
    return [
        Rule(row["id"], role, tuple(row["patterns"]), fires=tuple(row["fires"]), spares=tuple(row["spares"]))
        for row in rows_of(name, _table(name), _PHRASE_KEYS)
    ]


@cache
def attribute_rules() -> tuple[Rule, ...]:
    """Rows for who eats, which part, how prepared, at what stage: the second layer, over the same words."""
    rules = [_modifier("eaters", row) for row in rows_of("eaters", _table("eaters"), _MODIFIER_KEYS)]
    rules += [
        Rule(
            row["id"], Role.NOTICE, tuple(row["patterns"]), value=row["code"],
            fires=tuple(row["fires"]), spares=tuple(row["spares"]),
        )
        for row in rows_of("contact", _table("contact"), _NOTICE_KEYS)
    ]  # fmt: skip
    roles = {"parts": Role.PART, "preparations": Role.PREPARATION, "stages": Role.STAGE, "amounts": Role.AMOUNT}
    table = _table("attributes")
    if set(table) != {*roles, "inverts"}:
        raise TableError("The wording table attributes.toml needs parts, preparations, stages, amounts and inverts.")
    for name, role in roles.items():
        for value, words in table[name].items():
            if not words:
                raise TableError(f"attributes.toml: {name} {value!r} has no words.")
            rules.append(Rule(f"{role}-{value.replace(' ', '-')}", role, tuple(words), value=value))
    return tuple(rules)


@cache
def inverting_words() -> tuple[str, ...]:
    """Words before a preparation that turn it round: "unless cooked" is about the raw plant."""
    return tuple(_table("attributes")["inverts"]["words"])


def full_pattern(pattern: str, macros: Mapping[str, str]) -> str:
    """A pattern with its word classes in, and with "isn't" and its like where it begins with "not"."""
    expanded = expand(pattern, macros)
    return _NOT + expanded[3:] if expanded.startswith("not ") else expanded


class Phrase:
    """An expanded pattern. ``match`` is that of its regular expression, which is compiled when it is first tried: most
    of the tables' patterns never are, in one run."""

    __slots__ = ("expanded", "match")

    def __init__(self, expanded: str) -> None:
        self.expanded = expanded
        self.match: Callable[..., re.Match[str] | None] = self._first_match

    def compiled(self) -> re.Pattern[str]:
        try:
            return re.compile(to_regex(self.expanded))
        except re.error as error:
            raise TableError(f"The pattern {self.expanded!r} is wrong ({error}).") from None

    def _first_match(self, text: str, *span: int) -> re.Match[str] | None:
        self.match = self.compiled().match
        return self.match(text, *span)


@cache
def phrase(expanded: str) -> Phrase | None:
    """The phrase of an expanded pattern; None for a pattern of one word, which needs none."""
    return None if _ONE_WORD.fullmatch(expanded) else Phrase(expanded)


def lexicon(rules: Sequence[Rule], macros: Mapping[str, str]) -> Lexicon:
    """Compiles rules into an index by first words. TableError on a pattern that is no pattern."""
    words: dict[str, Rule] = {}
    entries: dict[str, list[tuple[Phrase, Rule, frozenset[str]]]] = {}
    for rule in rules:
        for pattern in rule.patterns:
            expanded = full_pattern(pattern, macros)
            found = phrase(expanded)
            if found is None:
                words.setdefault(expanded, rule)
                continue
            for word, seconds in openings(expanded).items():
                entries.setdefault(word, []).append((found, rule, seconds))
    for rule in rules:
        for word in rule.misspelt:
            for wrong in misspellings(word):
                words.setdefault(wrong, rule)
    phrases = {word: _by_second(listed) for word, listed in entries.items()}
    return Lexicon(words, phrases, frozenset(words) | frozenset(phrases))


def _by_second(listed: list[tuple[Phrase, Rule, frozenset[str]]]) -> tuple[Entries, dict[str, Entries]]:
    """The entries of one first word: those for whatever follows, and for each word that some of them ask for."""
    following: dict[str, list[tuple[Phrase, Rule]]] = {word: [] for _, _, seconds in listed for word in (*seconds, ANY)}
    for pattern, rule, seconds in listed:
        for word in following if ANY in seconds else seconds:
            following[word].append((pattern, rule))
    found = {word: tuple(entries) for word, entries in following.items()}
    return found.pop(ANY), found


@cache
def macros() -> Mapping[str, str]:
    found: Mapping[str, str] = _table("macros").get("macros", {})
    if not found:
        raise TableError("The wording table macros.toml is empty.")
    return found


@cache
def statement_lexicon() -> Lexicon:
    return lexicon(statement_rules(), macros())


@cache
def attribute_lexicon() -> Lexicon:
    return lexicon(attribute_rules(), macros())


@cache
def retraction_lexicon() -> Lexicon:
    return lexicon(retraction_rules(), macros())


@cache
def part_rule(value: str) -> Rule:
    """The rule of one part, for words that no list can hold ("elderberries")."""
    return next(rule for rule in attribute_rules() if rule.role is Role.PART and rule.value == value)
