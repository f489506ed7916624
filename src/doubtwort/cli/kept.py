"""``doubtwort list`` and ``doubtwort show``: what the notebook holds. They fetch nothing and make no notebook."""

from __future__ import annotations

from pathlib import Path

from doubtwort.cli.keeping import print_json
from doubtwort.notebook import open_notebook
from doubtwort.reporting.machine import audit_object, dumps
from doubtwort.reporting.terminal import open_console, print_audit, print_claims
from doubtwort.reporting.view import view_audit, view_claim
from doubtwort.settings import default_notebook


def list_command(notebook: Path | None, *, as_json: bool = False) -> None:
    """Disputed and contradicted claims first, as the notebook gives them."""
    with open_notebook(notebook or default_notebook(), create=False) as opened:
        rows = opened.claims()
    if as_json:
        print_json("claims", "claims", rows, count=len(rows))
        return
    shown = [view_claim(row.id, row.taxon, row.wording, row.rating, row.rated_at, row.quote, row.url) for row in rows]
    print_claims(shown, open_console())


def show_command(claim_id: str, notebook: Path | None, *, as_json: bool) -> None:
    """The latest finished audit of the claim."""
    with open_notebook(notebook or default_notebook(), create=False) as opened:
        audit = opened.audit(claim_id)
    if as_json:
        print(dumps(audit_object(audit)))
    else:
        print_audit(view_audit(audit), open_console())
