"""``doubtwort demo``: serves the invented web on loopback, audits its claims, says what to try next."""

from __future__ import annotations

import shlex
from pathlib import Path

from rich.text import Text

from doubtwort.cli.auditing import audit_kept
from doubtwort.cli.progress import Progress
from doubtwort.demo import DemoWeb, demo_claims
from doubtwort.fetching import open_fetcher
from doubtwort.model import Audit, Taxon
from doubtwort.notebook import open_notebook
from doubtwort.reporting.terminal import open_console, print_audit, print_summary
from doubtwort.reporting.view import view_audit
from doubtwort.settings import Settings
from doubtwort.text import printable


def demonstrate(notebook: Path) -> None:
    """Audits every claim of the demo, prints each, and leaves the notebook at ``notebook``."""
    console = open_console()
    claims = demo_claims()
    audits: list[Audit] = []
    with (
        DemoWeb() as web,
        open_notebook(notebook) as opened,
        Progress() as tell,
    ):
        settings = Settings(proxies=web.proxies)
        with open_fetcher(settings) as fetcher:
            for claim in claims:
                audits.append(
                    audit_kept(
                        claim.url,
                        claim.taxon,
                        claim.wording,
                        claim.parts,
                        claim.preparations,
                        settings,
                        fetcher,
                        opened,
                        tell,
                    )
                )
    console.print(Text("An invented web: its sites, plants and people do not exist.\n"))
    for number, audit in enumerate(audits, start=1):
        console.rule(Text(f" {number} of {len(audits)} "), style="dim")
        print_audit(view_audit(audit), console)
        console.print()
    console.rule(Text(" what was found "), style="dim")
    print_summary([view_audit(audit) for audit in audits], console)
    for line in _next_commands(notebook, audits[0]):
        # As plain text and never broken: commands are there to be copied.
        console.print(Text(printable(line)), soft_wrap=True)


def _next_commands(notebook: Path, audit: Audit) -> list[str]:
    """Commands that work as they stand, from the folder that the demo ran in."""
    at = f"--notebook {shlex.quote(str(notebook))}"
    claim = audit.claim
    return [
        f"The demo's notebook is {notebook.resolve()}. Next, try:",
        f"  doubtwort list {at}",
        f"  doubtwort show {shlex.quote(claim.id)} {at} --json",
        f"  doubtwort audit {shlex.quote(claim.url)} {_named(claim.taxon)} --offline {at}",
        f"  echo 'Fictwort is harmless but not worth eating.' | doubtwort read - {_named(claim.taxon)}",
    ]


def _named(taxon: Taxon) -> str:
    names = "".join(f" --common-name {shlex.quote(each)}" for each in taxon.common_names)
    return f"--taxon {shlex.quote(taxon.scientific_name)}{names}"
