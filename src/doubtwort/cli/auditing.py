"""``doubtwort audit``: joins fetcher, notebook and audit, and prints the result."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from platformdirs import user_cache_path

from doubtwort.audit import Progress as Step
from doubtwort.audit import audit_page
from doubtwort.citing.urls import canonical_url
from doubtwort.cli.progress import Progress
from doubtwort.fetching import open_fetcher
from doubtwort.model import Audit, Fetcher, Taxon, Wording
from doubtwort.notebook import KeptFetcher, Notebook, NotebookKeeper, open_notebook
from doubtwort.reporting.machine import audit_object, dumps
from doubtwort.reporting.terminal import open_console, print_audit
from doubtwort.reporting.view import view_audit
from doubtwort.settings import Settings, default_notebook


def audit_command(
    url: str,
    taxon: Taxon,
    *,
    wording: Wording,
    parts: tuple[str, ...],
    preparations: tuple[str, ...],
    settings: Settings,
    notebook: Path | None,
    as_json: bool,
) -> None:
    """One audit, kept in the notebook and printed."""
    with (
        open_notebook(notebook or default_notebook(), settings=settings, canonical=canonical_url) as opened,
        open_source(opened, settings, page_cache()) as fetcher,
        Progress() as tell,
    ):
        audit = audit_kept(url, taxon, wording, parts, preparations, settings, fetcher, opened, tell)
    if as_json:
        print(dumps(audit_object(audit)))
    else:
        print_audit(view_audit(audit), open_console())


def page_cache() -> Path:
    """Where pages are kept between runs, e.g. ~/.cache/doubtwort/pages.sqlite."""
    return user_cache_path("doubtwort", appauthor=False) / "pages.sqlite"


def open_source(notebook: Notebook, settings: Settings, cache: Path | None) -> AbstractContextManager[Fetcher]:
    """Where pages come from: the notebook alone when offline, else the web."""
    if settings.offline:
        return nullcontext(KeptFetcher(notebook))
    return open_fetcher(settings, cache)


def audit_kept(
    url: str,
    taxon: Taxon,
    wording: Wording,
    parts: tuple[str, ...],
    preparations: tuple[str, ...],
    settings: Settings,
    fetcher: Fetcher,
    notebook: Notebook,
    tell: Progress,
) -> Audit:
    """One audit, each of its steps kept in the notebook as it is done."""

    def told(step: Step) -> None:
        tell(f"{step.done} of {step.known} sources, {step.depth} deep: {step.url}")

    return audit_page(
        url,
        taxon,
        wording=wording,
        parts=parts,
        preparations=preparations,
        settings=settings,
        fetcher=fetcher,
        keeper=NotebookKeeper(notebook),
        progress=told,
    )
