"""Words of ordinary grammar that the reading leans on, by class: ``tables/grammar.toml``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from doubtwort.errors import TableError


@cache
def _classes() -> dict[str, frozenset[str]]:
    table = tomllib.loads(files("doubtwort.wording").joinpath("tables/grammar.toml").read_text("utf-8"))
    if not table:
        raise TableError("The wording table grammar.toml is empty.")
    classes = {}
    for name, row in table.items():
        if set(row) != {"serves", "words"} or not row["words"].split():
            raise TableError(f"grammar.toml: the class {name!r} needs words, and a line on what they serve.")
        classes[name] = frozenset(row["words"].split())
    return classes


def word_class(name: str) -> frozenset[str]:
    """The words of one class, e.g. "finite": {"is", "are", …}. TableError when there is no such class."""
    if name not in _classes():
        raise TableError(f"grammar.toml has no class {name!r}.")
    return _classes()[name]


@cache
def phrase_class(name: str) -> tuple[str, ...]:
    """The phrases of one class, longest first; words of a phrase are joined by "_" in the table."""
    return tuple(sorted((word.replace("_", " ") for word in word_class(name)), key=len, reverse=True))


def is_plants(word: str) -> bool:
    """Is it a noun for plants or fungi in the plural?

    >>> is_plants("mushrooms"), is_plants("fungi"), is_plants("leaves")
    (True, True, False)
    """
    return word in ("species", "fungi") or (word.endswith("s") and word[:-1] in word_class("generic"))
