"""``doubtwort recheck``: visits sources again, for a person or for a scheduler."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import timedelta
from pathlib import Path
from typing import Any

from doubtwort.audit import Progress as Step
from doubtwort.cli.auditing import open_source, page_cache
from doubtwort.cli.keeping import opened, print_json, show_cards
from doubtwort.cli.progress import Progress
from doubtwort.errors import CallError
from doubtwort.notebook import Notebook
from doubtwort.notebook.query import require_claim
from doubtwort.recheck import Difference, Rechecked, due_claims, recheck_claim
from doubtwort.reporting.cards import Card
from doubtwort.reporting.view import DANGEROUS_CODES
from doubtwort.settings import Settings

CHANGED = 3  # exit status with --fail-on-change; 0, 1 and 2 have their meaning for every command
_ALARMING = ("disputed", "contradicted")
_SAYS = {
    "rating": "rating", "claim-sentence": "the claim's own sentence", "claim-gone": "the page no longer says so",
    "claim-page-unread": "the claim's page could not be read", "page-moved": "the claim's page has moved",
    "source-new": "a source that was not cited before", "source-gone": "a source that is no longer cited",
    "source-died": "a source that can no longer be read", "source-back": "a source that can be read again",
    "outcome": "what a source is worth", "sentence": "a sentence", "wording": "the reading of a sentence",
    "statement-new": "a new statement", "statement-gone": "a statement that is gone",
}  # fmt: skip


def recheck_command(
    claims: Sequence[str],
    *,
    due: bool,
    every: bool,
    older_than: int,
    fail_on_change: bool,
    settings: Settings,
    notebook: Path | None,
    as_json: bool,
) -> int:
    """The exit status: 0, or 1 when a claim could not be looked at, or 3 when asked to tell of changes so."""
    if sum((bool(claims), due, every)) != 1:
        raise CallError("Say what to visit again: claims by their ids, --due, or --all.")
    with (
        opened(notebook, settings=settings) as kept,
        open_source(kept, settings, page_cache()) as fetcher,
        Progress() as tell,
    ):
        wanted = _wanted(kept, claims, every=every, older_than=older_than)
        done = []
        for number, claim in enumerate(wanted, start=1):

            def told(step: Step, number: int = number) -> None:
                tell(f"claim {number} of {len(wanted)}, {step.done} of {step.known} sources: {step.url}")

            done.append(recheck_claim(kept, claim, settings=settings, fetcher=fetcher, progress=told))
    changed = [each for each in done if each.changes]
    failed = [each for each in done if each.failed]
    if as_json:
        counts = {"checked": len(done), "changed": len(changed), "failed": len(failed)}
        print_json("recheck", "claims", [_object(each) for each in done], **counts)
    else:
        _print(done)
    if failed:
        return 1
    return CHANGED if changed and fail_on_change else 0


def _wanted(notebook: Notebook, claims: Sequence[str], *, every: bool, older_than: int) -> tuple[str, ...]:
    if claims:
        with notebook.reading() as db:
            for each in claims:
                require_claim(db, notebook.path, each)
        return tuple(dict.fromkeys(claims))
    if every:
        return tuple(row.id for row in notebook.claims())
    return due_claims(notebook, older_than=timedelta(days=older_than))


def _object(done: Rechecked) -> dict[str, Any]:
    return {
        "claim": done.claim,
        "taxon": done.taxon,
        "rating_before": done.before.rating.value if done.before else None,
        "rating": done.after.rating.value if done.after else None,
        "first": done.first,
        "dangers": [asdict(each) for each in done.after.cautions if each.code in DANGEROUS_CODES] if done.after else [],
        "changes": [asdict(each) for each in done.changes],
        "back_to_waiting": list(done.moved),
        "failed": done.failed or None,
    }


def _print(done: Sequence[Rechecked]) -> None:
    ordered = sorted(done, key=lambda each: (not _alarms(each), not each.failed, not each.changes))
    changed = sum(bool(each.changes) for each in done)
    after = [f"Claims visited again: {len(done)}; changed: {changed}."] if done else []
    show_cards([_card(each) for each in ordered], "No claim is due.", after)


def _alarms(done: Rechecked) -> bool:
    return done.after is not None and done.after.rating in _ALARMING


def _card(done: Rechecked) -> Card:
    rating = done.after.rating.value if done.after else "not audited"
    mark = "failed" if done.failed else "changed" if done.changes else "first audit" if done.first else "unchanged"
    lines = [done.failed] if done.failed else []
    lines += [line for each in done.changes for line in _told(each)]
    dangers = []
    if _alarms(done):
        dangers.append(f"The claim is {rating}.")
    if done.after is not None:
        dangers += [each.text for each in done.after.cautions if each.code in DANGEROUS_CODES]
    dangers += [f"Entry {each} of the vetted list went back to waiting." for each in done.moved]
    return Card(mark, f"{done.taxon}: {rating}", tuple(lines), tuple(dangers), (f"claim {done.claim}",))


def _told(each: Difference) -> list[str]:
    said = [f"{_SAYS[each.what]}:" + (f" {each.source}" if each.source else "")]
    said += [f"  before: {each.before}"] if each.before else []
    return said + ([f"  now: {each.after}"] if each.after else [])
