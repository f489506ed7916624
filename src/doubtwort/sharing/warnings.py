"""What travels with every export: the dangers known of a taxon, and the cautions that stand under everything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from doubtwort.errors import CallError
from doubtwort.model import Caution, Wording
from doubtwort.notebook.dangers import REACTION, Danger, dangers_of
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import KeptTaxon
from doubtwort.reporting.standing import standing_cautions
from doubtwort.taxa.hazards import load_hazards
from doubtwort.taxa.names import taxon_from_user

REMEMBER = "No rating and no decision in this file means that anything is safe to eat: it tells what sources say."


def standing(wording: Wording | None = None) -> tuple[Caution, ...]:
    """The cautions that stand under every result, for an export of one claim those of its wording."""
    return standing_cautions(wording)


def dangers(store: Store, taxon: KeptTaxon, hide: Callable[[str], str]) -> tuple[Danger, ...]:
    """What warns of a taxon: published lists, the notebook's audits, own reactions. ``hide`` takes exact places out of
    what the keeper wrote."""
    with store.reading() as db:
        kept = [
            replace(each, text=hide(each.text)) if each.code == REACTION else each for each in dangers_of(db, taxon.id)
        ]
    return (*_published(taxon), *kept)


def _published(taxon: KeptTaxon) -> tuple[Danger, ...]:
    try:
        named = taxon_from_user(taxon.scientific_name, taxon.taxon.synonyms)
    except CallError:
        return ()
    hazards = load_hazards()
    found = [
        Danger("listed-poisonous", f"{row.taxon} stands in a list of poisonous taxa: {row.poison}", row.citation)
        for row in hazards.poisonous(named)
    ]  # fmt: skip
    for pair in hazards.lookalikes(named):
        other = pair.dangerous if pair.asked == "taxon" else pair.taxon
        found.append(Danger("look-alike", f"It has been confused with {other}.", pair.citation))
    return tuple(found)


def in_words(found: tuple[Danger, ...]) -> str:
    """One text, a sentence each with where it is known from."""
    return " ".join(f"[{each.code}] {each.text} ({each.source})" if each.source else each.text for each in found)
