"""What exports for readers are made of: each claim with its origin, its latest audit, and what warns of its taxon; the
list and the notes. Exact places are taken out of the keeper's own words unless they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from doubtwort.model import Audit, Claim
from doubtwort.notebook.claims_by_hand import Origin, claim_and_origin
from doubtwort.notebook.dangers import Danger
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.notes import KeptTasting, Tasting, tastings
from doubtwort.notebook.place_words import OWN_WORDS, spots_of, without_places
from doubtwort.notebook.store import Store
from doubtwort.notebook.taxa import KeptTaxon, find_taxon, taxa
from doubtwort.notebook.vetted import Entry, entries
from doubtwort.sharing.warnings import dangers

T = TypeVar("T", Origin, Entry, Tasting)


@dataclass(frozen=True, slots=True)
class Told:
    """A claim as it goes out. ``audit`` is its latest finished one, None when there is none."""

    claim: Claim
    origin: Origin | None
    audit: Audit | None
    rated_at: str
    taxon: KeptTaxon
    dangers: tuple[Danger, ...]


def discreet(store: Store, *, exact: bool = False) -> Callable[[str], str]:
    """Takes places out of the keeper's words; leaves them as they are when ``exact``."""
    if exact:
        return lambda text: text
    with store.reading() as db:
        spots = spots_of(db)
    return lambda text: without_places(text, spots)


def told(notebook: Notebook, *, exact: bool = False) -> Iterator[Told]:
    """Every claim, disputed and contradicted ones first."""
    hide = discreet(notebook, exact=exact)
    known: dict[str, tuple[KeptTaxon, tuple[Danger, ...]]] = {}
    for row in notebook.claims():
        if row.taxon not in known:
            taxon = find_taxon(notebook, row.taxon)
            known[row.taxon] = (taxon, dangers(notebook, taxon, hide))
        claim, origin = claim_and_origin(notebook, row.id)
        if origin:
            origin = _hidden(origin, OWN_WORDS["origins"], hide)
        audit = notebook.audit(row.audit_id) if row.audit_id is not None else None
        yield Told(audit.claim if audit else claim, origin, audit, row.rated_at, *known[row.taxon])


def listed(notebook: Notebook, *, exact: bool = False) -> Iterator[tuple[Entry, tuple[Danger, ...]]]:
    """Every entry of the vetted list with what warns of its taxon; what warns first."""
    hide = discreet(notebook, exact=exact)
    for each in entries(notebook):
        warns = dangers(notebook, find_taxon(notebook, each.taxon), hide)
        yield _hidden(each, OWN_WORDS["entries"], hide), warns


def noted(notebook: Notebook, *, exact: bool = False) -> Iterator[KeptTasting]:
    """Every tasting note, those with a reaction first."""
    hide = discreet(notebook, exact=exact)
    for each in tastings(notebook):
        yield replace(each, tasting=_hidden(each.tasting, OWN_WORDS["tastings"], hide))


def named(notebook: Notebook) -> Iterator[tuple[KeptTaxon, tuple[Danger, ...]]]:
    """Every taxon with what warns of it."""
    hide = discreet(notebook)
    for each in taxa(notebook):
        yield replace(each, remarks=hide(each.remarks)), dangers(notebook, each, hide)


def _hidden(value: T, names: Iterable[str], hide: Callable[[str], str]) -> T:
    """A frozen value with some of its texts changed."""
    changed: dict[str, Any] = {name: hide(getattr(value, name)) for name in names}
    return replace(value, **changed)
