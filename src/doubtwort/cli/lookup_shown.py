"""What a look-up of names shows, for people and for scripts. Warnings of published lists come first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import Any, Final

from doubtwort.cli.keeping import print_json, published_warnings, show_cards
from doubtwort.fetching.names_service import told
from doubtwort.notebook.looked_up import Addition
from doubtwort.reporting.cards import Card
from doubtwort.taxa.usages import LookedUp, Usage

ONLY_NAMES: Final = (
    "A look-up of names says nothing about eating: not that a plant is edible, and not that it is harmless."
)
_LINE: Final = 500  # characters of a line of names
_LANGUAGES: Final = 60


@dataclass(frozen=True, slots=True)
class Recorded:
    """What goes into the notebook; ``done`` when it did. None with ``why_not`` when nothing can. ``left_out`` are
    synonyms that are not recorded, each with its reason."""

    addition: Addition | None
    left_out: tuple[str, ...] = ()
    done: bool = False
    why_not: str = ""


def print_lookup(found: LookedUp, recorded: Recorded) -> None:
    dangers = [each["text"] for each in _warnings(found)]
    if not found.is_exact:
        dangers.append(f"The service took {found.asked} for another name: {found.usage.scientific_name}.")
    heading = found.accepted.scientific_name + (f" ({found.accepted.family})" if found.accepted.family else "")
    cached = ", from the cache" if found.from_cache else ""
    small = (f"according to {found.source}, {found.retrieved[:10]}{cached}",)
    cards = [Card("names", heading, tuple(_lines(found)), tuple(dangers), small)]
    if recorded.addition is not None:
        cards.append(_card(recorded, recorded.addition))
    after = [recorded.why_not] if recorded.why_not else []
    if recorded.addition is not None and not recorded.done and not recorded.addition.is_empty:
        after.append("Nothing was recorded. To record it: --add.")
    show_cards(cards, after=[*after, ONLY_NAMES])


def print_lookup_json(found: LookedUp, recorded: Recorded) -> None:
    """One object, with the terms of Darwin Core where it has some."""
    match = found.match
    row: dict[str, Any] = {
        "asked": found.asked,
        "match_type": match.match_type if match else None,
        "confidence": match.confidence if match else None,
        "note": match.note if match else "",
        "exact": found.is_exact,
        **_usage(found.usage),
        "accepted_name_usage": found.accepted.scientific_name,
        "accepted_name_usage_id": found.accepted.key,
        "accepted_status": found.accepted.taxonomic_status,
        "family": found.accepted.family,
        "kingdom": found.accepted.kingdom,
        "synonyms": [_usage(each) for each in found.synonyms],
        "vernacular_names": [
            {"vernacular_name": each.name, "language": each.language} for each in found.vernacular_names
        ],
        "homonyms": [_usage(each) for each in found.homonyms],
        "left_off": found.left_off,
        "source": found.source,
        "retrieved": found.retrieved,
        "from_cache": found.from_cache,
        "published_warnings": _warnings(found),
        "recorded": recorded.done,
        "addition": None if recorded.addition is None else asdict(recorded.addition),
        "left_out": recorded.left_out,
        "why_not": recorded.why_not,
    }
    print_json("lookup", "names", [row], remember=ONLY_NAMES)


def _usage(usage: Usage) -> dict[str, Any]:
    return {
        "taxon_id": usage.key,
        "scientific_name": usage.scientific_name,
        "scientific_name_authorship": usage.authorship,
        "taxon_rank": usage.rank,
        "taxonomic_status": usage.taxonomic_status,
    }


def _warnings(found: LookedUp) -> list[dict[str, str]]:
    """Of published lists, about every name of the answer."""
    names = [each.name for each in (found.accepted, found.usage, *found.synonyms) if each.name]
    warned = [each for name in dict.fromkeys(names) for each in published_warnings(name)]
    return [asdict(each) for each in dict.fromkeys(warned)]


def _lines(found: LookedUp) -> Iterator[str]:
    if found.match is None:
        yield f"asked: {found.asked}, key {found.usage.key}"
    else:
        sure = "" if found.match.confidence is None else f", confidence {found.match.confidence}"
        yield f"asked: {found.asked}; match: {found.match.match_type}{sure}"
    status = _said(found.usage.taxonomic_status) or "not given"
    if found.usage.key == found.accepted.key:
        yield f"status: {status}"
    else:
        yield f"status: {found.usage.scientific_name} is a name of this taxon ({status})"
        there = _said(found.accepted.taxonomic_status) or "no status"
        yield f"accepted name: {found.accepted.scientific_name} ({there})"
    facts = (
        ("rank", _said(found.accepted.rank)),
        ("family", found.accepted.family),
        ("kingdom", found.accepted.kingdom),
    )
    yield "; ".join(f"{what}: {said or 'not given'}" for what, said in facts)
    for each in found.homonyms:
        yield f"another taxon of the same name: {told(each)}"
    plain = "SYNONYM"
    synonyms = (
        each.scientific_name + ("" if each.taxonomic_status == plain else f" ({_said(each.taxonomic_status)})")
        for each in found.synonyms
    )
    yield from _joined("synonyms", synonyms)
    languages: dict[str, list[str]] = {}
    for said in found.vernacular_names:
        languages.setdefault(said.language, []).append(said.name)
    for language in sorted(languages, key=lambda tag: (not tag, tag))[:_LANGUAGES]:
        yield from _joined(f"common names, {language or 'language not given'}", languages[language])
    if found.left_off:
        yield f"not all were asked for; the service has more: {', '.join(found.left_off)}"


def _said(word: str) -> str:
    return word.replace("_", " ").lower()


def _joined(what: str, names: Iterable[str]) -> Iterator[str]:
    """Names in lines of bounded length."""
    line = ""
    for each in names:
        if line and len(line) + len(each) > _LINE:
            yield f"{what}: {line}"
            line = ""
        line += f", {each}" if line else each
    if line:
        yield f"{what}: {line}"


def _card(recorded: Recorded, addition: Addition) -> Card:
    lines = []
    if not addition.known:
        lines.append("a taxon that the notebook does not have yet" if not recorded.done else "a new taxon")
    if addition.former:
        lines.append(f"accepted name: {addition.taxon}; until now {addition.former}, which goes into its history")
    lines += [f"family: {addition.family}"] if addition.family else []
    lines += _joined("synonyms", addition.synonyms)
    lines += _joined(
        "common names", (f"{name} ({language})" if language else name for name, language in addition.common_names)
    )
    if addition.is_empty:
        lines.append("nothing that the notebook does not have")
    dangers = [f"{each.what}: here {each.here}; the service: {each.there}; {each.kept}" for each in addition.conflicts]
    small = tuple(_joined("not recorded", recorded.left_out))
    mark = "recorded" if recorded.done else "notebook" if addition.is_empty else "to record"
    return Card(mark, addition.taxon, tuple(lines), tuple(dangers), small)
