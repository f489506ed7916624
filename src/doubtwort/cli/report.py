"""``doubtwort report``: a kept audit as an HTML file or a picture, or the whole notebook as a folder of pages."""

from __future__ import annotations

import sys
from pathlib import Path

from doubtwort.errors import CallError
from doubtwort.model import Audit
from doubtwort.notebook import Notebook, open_notebook
from doubtwort.reporting.context import contexts_of
from doubtwort.reporting.drawing import draw_trail
from doubtwort.reporting.html import report_page, sheet
from doubtwort.reporting.listing import LIST_FILE, card_of, list_page, report_file
from doubtwort.reporting.view import AuditView, view_audit, view_claim
from doubtwort.settings import default_notebook
from doubtwort.sharing.files import whole_file
from doubtwort.sharing.pages import page_of_claim, pages_of
from doubtwort.text import printable

STANDARD_OUTPUT = "-"


def report_command(
    claim_id: str | None, file: str | None, *, svg: bool, folder: Path | None, notebook: Path | None
) -> None:
    """One claim's report (or its picture), or with ``folder`` all of them and their list."""
    if folder is not None:
        if claim_id is not None or svg:
            raise CallError("--all writes every claim: give it no CLAIM_ID, FILE or --svg.")
        with open_notebook(notebook or default_notebook(), create=False) as opened:
            written = write_folder(opened, folder)
        print(printable(f"{written} reports and their list: {folder / LIST_FILE}"), file=sys.stderr)
        return
    if claim_id is None:
        raise CallError(
            "Say which claim: doubtwort report CLAIM_ID --html [FILE], or --all FOLDER. Ids: doubtwort list."
        )
    with open_notebook(notebook or default_notebook(), create=False) as opened:
        view = viewed(opened, opened.audit(claim_id))
    text = picture_file(view) if svg else report_page(view)
    if file == STANDARD_OUTPUT:
        sys.stdout.buffer.write(text.encode("utf-8", "replace"))
        return
    default = report_file(view.claim_id).replace("claim-", "doubtwort-")
    target = Path(file) if file else Path(default).with_suffix(".svg" if svg else ".html")
    write_file(target, text)
    print(printable(str(target)), file=sys.stderr)


def write_folder(notebook: Notebook, folder: Path) -> int:
    """The list and one report for each audited claim, as a folder that any web host can serve. Other files that lie
    there are left alone."""
    cards, written = [], 0
    for row in notebook.claims():
        line = view_claim(row.id, row.taxon, row.wording, row.rating, row.rated_at, row.quote, row.url)
        view = viewed(notebook, notebook.audit(row.audit_id)) if row.audit_id is not None else None
        if view is not None:
            write_file(folder / report_file(row.id), report_page(view, home=LIST_FILE))
            written += 1
        cards.append(card_of(line, view))
    write_file(folder / LIST_FILE, list_page(cards))
    return written


def picture_file(view: AuditView) -> str:
    """The trail picture as an SVG file with its own style sheet, light and dark."""
    return f"{draw_trail(view, style=sheet('picture.css') + sheet('trail.css'), links=False).svg}\n"


def viewed(notebook: Notebook, audit: Audit) -> AuditView:
    """The view of an audit, its quotes in their context where the notebook still holds the pages that were read."""
    return view_audit(audit, contexts_of(audit, page_of_claim(notebook, audit), pages_of(notebook)))


def write_file(target: Path, text: str) -> None:
    """Writes a whole file or none: a reader never finds half of one."""
    with whole_file(target, "replace", lasting=False) as out:
        out.write(text)
