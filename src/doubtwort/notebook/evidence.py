"""What one audit read: every fetch that was kept for it, in order, one body in memory at a time. Reads only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from doubtwort.errors import NotebookError, NotInNotebook
from doubtwort.model import Fetched, NotFetched
from doubtwort.notebook.kept import load
from doubtwort.notebook.rows import given, stored
from doubtwort.notebook.store import Store
from doubtwort.text import one_line


@dataclass(frozen=True, slots=True)
class Evidence:
    """Which audit, of which claim. ``fetch_ids`` are the rows of its fetches in the order in which they came."""

    claim_id: str
    claim_url: str
    taxon: str
    rating: str
    audited_at: str
    fetch_ids: tuple[int, ...]


def evidence_of(store: Store, claim_id: str) -> Evidence:
    """The evidence of a claim's latest finished audit. ``NotInNotebook`` when there is none."""
    asked = """
        SELECT audits.id, audits.audited_at, audits.rating, claims.label, claims.url, taxa.scientific_name
        FROM audits JOIN claims ON claims.id = audits.claim_id JOIN taxa ON taxa.id = claims.taxon_id
        WHERE claims.label = ? AND audits.state = 'done' ORDER BY audits.id DESC LIMIT 1
    """
    with store.reading() as db:
        row = next(iter(db.query(asked, (stored(claim_id),))), None)
        if row is None:
            name = one_line(claim_id, 80)
            raise NotInNotebook(
                f"The notebook {one_line(str(store.path))} holds no finished audit of a claim {name}. List its claims."
            )
        ids = db.query("SELECT id FROM fetches WHERE audit_id = ? ORDER BY id", (row["id"],))
        return Evidence(
            given(row["label"]),
            given(row["url"]),
            given(row["scientific_name"]),
            row["rating"],
            given(row["audited_at"]),
            tuple(each["id"] for each in ids),
        )


def fetches_of_evidence(store: Store, evidence: Evidence) -> Iterator[Fetched | NotFetched]:
    """The fetches one by one. Raises ``NotebookError`` for bytes that no longer fit their SHA-256: evidence is whole,
    or it is none."""
    for fetch_id in evidence.fetch_ids:
        fetch = load(store, fetch_id)
        if fetch is None:
            raise NotebookError(
                f"Kept page {fetch_id} of the notebook {one_line(str(store.path))} no longer fits its SHA-256, or is "
                "larger than may be read. Audit the claim again to have its evidence whole."
            )
        yield fetch
