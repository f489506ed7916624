"""What the notebook's commands share: opening it, asking, names of taxa, published warnings, JSON."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

import typer

from doubtwort.citing import canonical_url
from doubtwort.errors import CallError, ManyTaxa, NotInNotebook
from doubtwort.model import Caution, Taxon, Wording
from doubtwort.notebook import Notebook, open_notebook
from doubtwort.notebook.taxa import KeptTaxon, find_taxon
from doubtwort.reporting.cards import Card, print_cards
from doubtwort.reporting.machine import dumps
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import open_console
from doubtwort.settings import Settings, default_notebook
from doubtwort.taxa.hazards import load_hazards
from doubtwort.taxa.names import taxon_from_user
from doubtwort.text import one_line

W = TypeVar("W", bound=StrEnum)


def opened(notebook: Path | None, *, create: bool = False, settings: Settings | None = None) -> Notebook:
    """The notebook, with one spelling for one page."""
    return open_notebook(
        notebook or default_notebook(), create=create, settings=settings, canonical=lambda url: canonical_url(url)
    )


def interactive() -> bool:
    return sys.stdin.isatty() and sys.stderr.isatty()


def make_sure(question: str, *, yes: bool) -> None:
    """Asks before something is deleted. Where nobody can answer, ``--yes`` has to."""
    if yes:
        return
    if not interactive():
        raise CallError(f"{one_line(question, 300)} To do it, add --yes.")
    if not typer.confirm(f"{one_line(question, 300)} Do it?", err=True):
        raise CallError("Left as it was.")


def known_taxon(notebook: Notebook, name: str) -> KeptTaxon:
    """The taxon of any of its names. Of several, the user is asked which; where nobody can answer, ``ManyTaxa``."""
    try:
        return find_taxon(notebook, name)
    except ManyTaxa as error:
        return find_taxon(notebook, which(name, error.candidates) if interactive() else _none(error))
    except NotInNotebook:
        canonical = _canonical(name)
        if canonical and canonical != name:
            return find_taxon(notebook, canonical)
        raise


def _none(error: ManyTaxa) -> str:
    raise error


def which(name: str, candidates: Sequence[str]) -> str:
    """Asks the user which of several a name means."""
    print(f"{one_line(name, 80)} may be:", file=sys.stderr)
    for number, each in enumerate(candidates, start=1):
        print(f"  {number}  {one_line(each)}", file=sys.stderr)
    number = int(typer.prompt("Which", type=int, err=True))
    if not 1 <= number <= len(candidates):
        raise CallError(f"There is no number {number} in that list.")
    return str(candidates[number - 1])


def _canonical(name: str) -> str:
    try:
        return taxon_from_user(name).scientific_name
    except CallError:
        return ""


def any_taxon(notebook: Notebook, name: str) -> Taxon:
    """A taxon that the notebook knows by this name, or a new one by its scientific name."""
    try:
        return known_taxon(notebook, name).taxon
    except NotInNotebook:
        return taxon_from_user(name)


def standing() -> tuple[Caution, ...]:
    """The cautions that stand under everything said about eating."""
    published = tuple(Caution(each.code, each.text, each.citation) for each in load_hazards().standing)
    return standing_cautions(Wording.EDIBLE, published)


def published_warnings(name: str, synonyms: Sequence[str] = ()) -> tuple[Caution, ...]:
    """What published lists say of a taxon and its genus, whether or not any claim about it was audited."""
    try:
        taxon = taxon_from_user(name, synonyms)
    except CallError:
        return ()
    hazards = load_hazards()
    found = [
        Caution(
            "listed-poisonous", f"{row.taxon} stands in a published list of poisonous taxa: {row.poison}", row.citation
        )
        for row in hazards.poisonous(taxon)
    ]
    for pair in hazards.lookalikes(taxon):
        other = pair.dangerous if pair.asked == "taxon" else pair.taxon
        found.append(Caution("look-alike", f"It has been confused with {other}.", pair.citation))
    return tuple(found)


def print_json(name: str, key: str, rows: Sequence[Any], **more: Any) -> None:
    """One object: its schema ("doubtwort.entries/1"), the rows under ``key``, and the standing cautions."""
    said = [each if isinstance(each, dict) else asdict(each) for each in rows]
    cautions = [asdict(each) for each in standing()]
    print(dumps({"schema": f"doubtwort.{name}/1", key: said, **more, "cautions": cautions}))


def show_cards(cards: Sequence[Card], nothing: str = "", after: Sequence[str] = ()) -> None:
    print_cards(cards, open_console(), nothing=nothing, after=after, standing=standing())


def one_of(kind: type[W], typed: str, what: str) -> W:
    """A word of a fixed list, as typed in any case."""
    for each in kind:
        if each.value == typed.strip().lower():
            return each
    raise CallError(f"{one_line(typed, 40)!r} is no {what}. Known: {', '.join(each.value for each in kind)}.")


def months_from_user(typed: Sequence[str]) -> tuple[int, ...]:
    """Months by number or range; a range may go over the year's end.

    >>> months_from_user(["4-6", "11-1"])
    (1, 4, 5, 6, 11, 12)
    """
    found: set[int] = set()
    for each in typed:
        if not re.fullmatch(r"[0-9]{1,2}(?:-[0-9]{1,2})?", each):
            raise CallError(f"{one_line(each, 40)} is no month. Give a number from 1 to 12, or a range such as 4-6.")
        first, _, last = each.partition("-")
        start, end = int(first), int(last or first)
        if not (1 <= start <= 12 and 1 <= end <= 12):
            raise CallError(f"{one_line(each, 40)}: a month is a number from 1 to 12.")
        found.update((start + step - 1) % 12 + 1 for step in range((end - start) % 12 + 1))
    return tuple(sorted(found))


def this_month() -> int:
    return date.today().month
