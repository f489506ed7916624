"""The names of one taxon, made ready for searching: every printed form of its scientific and common names."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from doubtwort.mentions.stock import NamePattern, first_words, forms, mark, name_pattern, unmarked, with_organs
from doubtwort.model import Taxon
from doubtwort.taxa.lexicon import key, keys, lexicon, plural
from doubtwort.taxa.names import ParsedName, parse_name

_PRINTED_RANKS: Final = {
    "subsp.": ("subsp.", "ssp.", "subspecies"),
    "var.": ("var.", "variety"),
    "f.": ("f.", "forma", "form"),
}
# Common names that are everyday verbs: only with a part of the plant after them.
_VERBS: Final = frozenset({"may", "can", "will", "do", "be", "so"})


@dataclass(frozen=True, slots=True)
class OwnNames:
    """What to look for.

    ``pattern`` runs over lower-case text; ``rules`` maps the key of what it finds to a rule. ``species`` maps (genus,
    epithet) to a rule; ``below`` the same to the epithets that make it this taxon where the name has a rank below
    the species. ``shorts`` maps the key of a head alone ("hemlock") to keys of the full names ("poisonhemlock").
    """

    pattern: NamePattern
    rules: dict[str, str]
    genus: str
    genus_only: bool
    species: dict[tuple[str, str], str]
    below: dict[tuple[str, str], frozenset[str]]
    genera: frozenset[str]
    shorts: dict[str, frozenset[str]]
    common: tuple[str, ...]
    common_keys: frozenset[str]
    hybrid: bool
    latin_firsts: frozenset[str]


def own_names(taxon: Taxon) -> OwnNames:
    """All printed forms of the taxon's names."""
    accepted = parse_name(taxon.scientific_name)
    parsed = [(accepted, "scientific name"), *((parse_name(each), "synonym") for each in taxon.synonyms)]
    marked: set[str] = set()
    rules: dict[str, str] = {}
    species: dict[tuple[str, str], str] = {}
    below: dict[tuple[str, str], frozenset[str]] = {}
    for name, rule in parsed:
        pair = (name.genus, name.epithet)
        if name.infraspecific:
            below[pair] = below.get(pair, frozenset()) | {name.infraspecific[-1][1]}
        elif name.epithet:
            species.setdefault(pair, rule)
        if name.epithet or rule == "scientific name":
            for printed in _printed(name):
                marked.add(mark(printed))
                rules.setdefault(key(printed), rule)
    common = _everyday(taxon.common_names)
    for each in common:
        for form in forms(each):
            marked.add(form)
        for one in keys([each]) | {unmarked(form) for form in forms(each)}:
            rules.setdefault(one, "common name")
    for form in with_organs(common):
        marked.add(form)
        rules.setdefault(unmarked(form), "common name")
    for verb in sorted({each.lower() for each in taxon.common_names} & _VERBS):
        for organ in ("tree", "bush", "blossom", "flower", "flowers", "tree leaves"):
            marked.add(mark(f"{verb} {organ}"))
            rules.setdefault(key(verb + organ), "common name")
    for each in common:
        first, _, head = each.lower().rpartition(" ")
        if head and first.isalpha() and first not in lexicon().plain:  # "the swift one" of the swift maldovine
            marked.add(mark(f"the {first} one"))
            rules.setdefault(key(f"the {first} one"), "common name")
    shorts = _shorts(common, rules, marked)
    return OwnNames(
        pattern=name_pattern(marked),
        rules=rules,
        genus=accepted.genus,
        genus_only=not accepted.epithet,
        species=species,
        below=below,
        genera=frozenset(name.genus for name, _ in parsed),
        shorts=shorts,
        common=tuple(each.lower() for each in common),
        common_keys=frozenset(one for one, rule in rules.items() if rule == "common name"),
        hybrid=accepted.hybrid or accepted.intergeneric,
        latin_firsts=first_words(mark(printed) for name, _ in parsed for printed in _printed(name)),
    )


def _everyday(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(each for each in names if len(each) >= 3 and each.lower() not in _VERBS)


def _printed(name: ParsedName) -> list[str]:
    """Lower-case printed forms of a scientific name; ranks in full, short, or left out.

    >>> _printed(parse_name("Fictaria silvana subsp. minor"))[:2]
    ['fictaria silvana subsp. minor', 'fictaria silvana ssp. minor']
    """
    bases = [name.genus.lower()]
    if name.intergeneric:
        bases += [f"× {bases[0]}", f"×{bases[0]}", f"x {bases[0]}"]
    if name.epithet:
        signs = ("", "× ", "×", "x ") if name.hybrid else ("",)
        bases = [f"{base} {sign}{name.epithet}" for base in bases for sign in signs]
    for rank, epithet in name.infraspecific:
        ways = _PRINTED_RANKS.get(rank, (rank,))
        ways = (*ways, *(each.rstrip(".") for each in ways))
        bases = [f"{base} {way} {epithet}" for base in bases for way in ways] + [f"{base} {epithet}" for base in bases]
    return list(dict.fromkeys(bases))


def _shorts(common: Iterable[str], rules: dict[str, str], marked: set[str]) -> dict[str, frozenset[str]]:
    """Heads of compound names. Behind a plain word ("common fictwort") the head is the name itself."""
    plain = lexicon().plain
    shorts: dict[str, set[str]] = {}
    for each in common:
        words = re.split(r"[\s-]+", each.lower())
        head = words[-1]
        if (
            len(words) < 2
            or len(head) < 4
            or head in lexicon().bare_heads
            or any(word in {"of", "in", "the", "and"} for word in words)
            or words[0] in {"false", "mock", "bastard", "fool's", "fools", "pseudo"}  # the head alone is the true one
        ):
            continue
        for form in forms(head):
            marked.add(form)
            if all(word in plain for word in words[:-1]):
                rules.setdefault(unmarked(form), "common name")
            else:
                shorts.setdefault(unmarked(form), set()).add(key(each))
        shorts.setdefault(key(plural(head)), set()).update(shorts.get(key(head), ()))
    return {head: frozenset(full) for head, full in shorts.items() if head not in rules and full}
