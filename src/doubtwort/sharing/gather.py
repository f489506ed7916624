"""What exports for readers are made of: each claim with its origin, its latest audit, and what warns of its taxon."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from doubtwort.model import Audit, Claim
from doubtwort.notebook.claims_by_hand import Origin, claim_and_origin
from doubtwort.notebook.dangers import Danger
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.taxa import KeptTaxon, find_taxon
from doubtwort.sharing.warnings import dangers


@dataclass(frozen=True, slots=True)
class Told:
    """A claim as it goes out. ``audit`` is its latest finished one, None when there is none."""

    claim: Claim
    origin: Origin | None
    audit: Audit | None
    rated_at: str
    taxon: KeptTaxon
    dangers: tuple[Danger, ...]


def told(notebook: Notebook) -> Iterator[Told]:
    """Every claim, disputed and contradicted ones first."""
    known: dict[str, tuple[KeptTaxon, tuple[Danger, ...]]] = {}
    for row in notebook.claims():
        if row.taxon not in known:
            taxon = find_taxon(notebook, row.taxon)
            known[row.taxon] = (taxon, dangers(notebook, taxon))
        claim, origin = claim_and_origin(notebook, row.id)
        audit = notebook.audit(row.audit_id) if row.audit_id is not None else None
        yield Told(audit.claim if audit else claim, origin, audit, row.rated_at, *known[row.taxon])
