"""``doubtwort evidence``: what was read for a claim, listed, or exported as a WARC file. Fetches nothing."""

from __future__ import annotations

import sys
from pathlib import Path

from doubtwort.errors import NotebookError
from doubtwort.model import Fetched
from doubtwort.notebook import open_notebook
from doubtwort.notebook.evidence import evidence_of, fetches_of_evidence
from doubtwort.reporting.warc import write_warc
from doubtwort.settings import default_notebook
from doubtwort.text import one_line


def evidence_command(claim_id: str, warc: Path | None, notebook: Path | None) -> None:
    """The fetches of the claim's latest finished audit."""
    with open_notebook(notebook or default_notebook(), create=False) as opened:
        found = evidence_of(opened, claim_id)
        if not found.fetch_ids:
            raise NotebookError(
                f"No pages were fetched for claim {one_line(claim_id, 80)}: there is nothing to export."
            )
        fetches = fetches_of_evidence(opened, found)
        if warc is None:
            for fetch in fetches:
                if isinstance(fetch, Fetched):
                    kind, size = "archived" if fetch.archived else "read", len(fetch.body)
                    line = f"{fetch.fetched_at} {kind} {size} bytes sha256:{fetch.sha256} {fetch.final_url}"
                else:
                    line = f"{fetch.fetched_at} {fetch.reason.value} {fetch.url}"
                print(one_line(line))
            return
        about = {
            "isPartOf": f"claim {found.claim_id}",
            "claim": found.claim_url,
            "taxon": found.taxon,
            "rating": found.rating,
            "audited": found.audited_at,
        }
        pages, failures = write_warc(warc.expanduser(), fetches, about, found.audited_at)
    print(f"{pages} pages and {failures} failures written to {one_line(str(warc))}", file=sys.stderr)
