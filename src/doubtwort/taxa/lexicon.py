"""The general stock of plant and fungus names (``tables/plant_names.toml``): names only, nothing said of them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, fields
from functools import cache, lru_cache
from importlib.resources import files

from doubtwort.errors import TableError

_IRREGULAR = {
    "mouse": "mice", "tooth": "teeth", "goose": "geese", "wolf": "wolves", "loaf": "loaves", "foot": "foot",
    "fungus": "fungi", "cactus": "cacti", "narcissus": "narcissi", "crocus": "crocuses", "iris": "irises",
    "potato": "potatoes", "tomato": "tomatoes", "asparagus": "asparagus", "species": "species", "hibiscus": "hibiscus",
}  # fmt: skip
_NOT_IN_KEYS = re.compile(r"[\s'.-]")
_INNER = re.compile(r"^(.+?)([ -](?:of|in|on|by)[ -].+)$")


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Each field is one list of the table, in lower case except ``genera``."""

    names: frozenset[str]
    weak: frozenset[str]
    foods: frozenset[str]
    heads: frozenset[str]
    not_heads: frozenset[str]
    berry_bearers: frozenset[str]
    modifiers: frozenset[str]
    distinguishing: frozenset[str]
    plain: frozenset[str]
    followers: frozenset[str]
    genera: frozenset[str]
    not_latin: frozenset[str]
    bare_heads: frozenset[str]


@dataclass(frozen=True, slots=True)
class KnownNames:
    """Names of other taxa beyond the general stock: genera capitalised, binomials and common names in lower case."""

    genera: frozenset[str] = frozenset()
    binomials: frozenset[str] = frozenset()
    common: frozenset[str] = frozenset()


@cache
def lexicon() -> Lexicon:
    """The shipped table, read once."""
    return read_lexicon(files("doubtwort.taxa").joinpath("tables/plant_names.toml").read_text("utf-8"))


def read_lexicon(toml: str) -> Lexicon:
    """The table from its text; an empty, missing or unknown list is a ``TableError``."""
    try:
        table = tomllib.loads(toml)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"The table of plant names is no TOML: {error}.") from None
    wanted = {each.name for each in fields(Lexicon)}
    if table.keys() - wanted:
        raise TableError(f"The table of plant names has an unknown list: {sorted(table.keys() - wanted)[0]}.")
    for name in sorted(wanted):
        words = table.get(name)
        if (
            not isinstance(words, list)
            or not words
            or not all(isinstance(word, str) and word.strip() for word in words)
        ):
            raise TableError(f"The table of plant names has an empty list: {name}.")
    return Lexicon(**{name: frozenset(table[name]) for name in wanted})


def plural(name: str) -> str:
    """Plural of a common name: of its last word, or of the word before "of", "in", "by".

    >>> plural("bearberry"), plural("lily of the valley"), plural("silver leaf"), plural("dead nettle")
    ('bearberries', 'lilies of the valley', 'silver leaves', 'dead nettles')
    """
    inner = _INNER.match(name)
    if inner:
        return plural(inner[1]) + inner[2]
    cut = max(name.rfind(" "), name.rfind("-")) + 1
    first, word = name[:cut], name[cut:]
    if word in _IRREGULAR:
        return first + _IRREGULAR[word]
    if word.endswith("leaf"):
        return first + word[:-1] + "ves"
    if word.endswith("y") and word[-2:-1] not in set("aeiou"):
        return first + word[:-1] + "ies"
    if word.endswith(("s", "x", "z", "ch", "sh")):
        return first + word if word.endswith("s") and not word.endswith(("ss", "us", "is")) else first + word + "es"
    return first + word + "s"


def singulars(name: str) -> tuple[str, ...]:
    """What the name may be the plural of: "nettles" → ("nettle",); () when it is no plural.

    >>> singulars("bearberries"), singulars("silver leaves"), singulars("iris")
    (('bearberry',), ('silver leaf',), ())
    """
    cut = max(name.rfind(" "), name.rfind("-")) + 1
    first, word = name[:cut], name[cut:]
    for one, many in _IRREGULAR.items():
        if word == many and one != many:
            return (first + one,)
    if not word.endswith("s") or word.endswith(("ss", "us", "is")) or len(word) < 5:
        return ()
    if word.endswith("leaves"):
        return (first + word[:-3] + "f",)
    if word.endswith("ies"):
        return (first + word[:-3] + "y",)
    if word.endswith(("ches", "shes", "xes", "sses")):
        return (first + word[:-2],)
    return (first + word[:-1],)


@lru_cache(maxsize=10_000)
def key(name: str) -> str:
    """The name without case, space, hyphen, apostrophe and stop: equal for "St. John's-wort" and "st johns wort".

    >>> key("St. John's-wort")
    'stjohnswort'
    """
    return _NOT_IN_KEYS.sub("", name.lower())


def keys(names: Iterable[str]) -> frozenset[str]:
    """Keys of the names and of their plurals."""
    return frozenset(key(form) for name in names for form in (name, plural(name)))
