"""``doubtwort export``, ``import``, ``merge``, ``rescue`` and ``backups``."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from doubtwort.citing import canonical_url
from doubtwort.cli.keeping import opened, print_json, show_cards
from doubtwort.cli.options import page_address
from doubtwort.cli.sharing_app import Format, Sheet
from doubtwort.errors import CallError
from doubtwort.notebook import Notebook
from doubtwort.notebook.backups import backups
from doubtwort.notebook.incoming import new_file
from doubtwort.notebook.merge import Merged, merge
from doubtwort.notebook.merging import Conflict
from doubtwort.notebook.outgoing import Scope
from doubtwort.notebook.rescue import rescue
from doubtwort.reporting.cards import Card
from doubtwort.settings import default_notebook
from doubtwort.sharing.annotation import write_annotations
from doubtwort.sharing.bibliography import write_bibtex, write_csl_json
from doubtwort.sharing.claim_review import AUTHOR, write_claim_reviews
from doubtwort.sharing.csv_in import SheetTaken, import_claims
from doubtwort.sharing.csv_out import write_claims_csv, write_list_csv
from doubtwort.sharing.darwin_core import write_darwin_core
from doubtwort.sharing.files import text_of, whole_file
from doubtwort.sharing.jsonl import Imported, import_jsonl, write_jsonl
from doubtwort.sharing.markdown_out import write_markdown
from doubtwort.text import one_line, printable

STANDARD_OUTPUT = "-"
_ENDINGS = {
    ".jsonl": Format.JSONL, ".ndjson": Format.JSONL, ".csv": Format.CSV, ".md": Format.MARKDOWN,
    ".markdown": Format.MARKDOWN, ".bib": Format.BIBTEX,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of an export."""

    form: Format | None
    sheet: Sheet
    with_places: bool
    with_history: bool
    with_pages: bool
    author: str
    base_url: str

    def form_for(self, file: str) -> Format:
        found = self.form or _ENDINGS.get(Path(file).suffix.lower())
        if found is None:
            raise CallError(f"Say in which format: --format {', '.join(Format)}.")
        if self.with_places and found not in (Format.JSONL, Format.MARKDOWN):
            raise CallError("--with-places goes with --format jsonl or markdown; other formats hold no places.")
        if (self.with_history or self.with_pages) and found is not Format.JSONL:
            raise CallError("--with-history and --with-pages go with --format jsonl.")
        if (self.author or self.base_url) and found is not Format.CLAIM_REVIEW:
            raise CallError("--author and --base-url go with --format claimreview.")
        if self.sheet is not Sheet.CLAIMS and found is not Format.CSV:
            raise CallError("--sheet goes with --format csv.")
        return found


def export_command(file: str, wanted: Wanted, notebook: Path | None) -> None:
    form = wanted.form_for(file)
    scope = Scope(wanted.with_places, wanted.with_history, wanted.with_pages)
    base_url = page_address(wanted.base_url) if wanted.base_url else ""
    writers: Mapping[Format, Callable[[Notebook, TextIO], int]] = {
        Format.JSONL: lambda kept, out: write_jsonl(kept, out, scope),
        Format.CSV: write_list_csv if wanted.sheet is Sheet.LIST else write_claims_csv,
        Format.MARKDOWN: lambda kept, out: write_markdown(kept, out, exact_places=wanted.with_places),
        Format.CLAIM_REVIEW: lambda kept, out: write_claim_reviews(
            kept, out, author=wanted.author or AUTHOR, base_url=base_url
        ),
        Format.ANNOTATION: write_annotations,
        Format.DARWIN_CORE: write_darwin_core,
        Format.BIBTEX: write_bibtex,
        Format.CSL_JSON: write_csl_json,
    }
    counted = {
        Format.JSONL: "rows", Format.CLAIM_REVIEW: "reviews", Format.ANNOTATION: "annotations",
        Format.DARWIN_CORE: "names", Format.BIBTEX: "works", Format.CSL_JSON: "works", Format.MARKDOWN: "claims",
    }.get(form, "rows")  # fmt: skip
    with opened(notebook) as kept:
        if file == STANDARD_OUTPUT:
            _to_standard_output(writers[form], kept)
            return
        with whole_file(Path(file)) as out:
            count = writers[form](kept, out)
    held = "" if form is not Format.JSONL or wanted.with_places else " Exact places and history stay here."
    print(printable(f"{count} {counted} written to {file}.{held}"), file=sys.stderr)


def _to_standard_output(write: Callable[[Notebook, TextIO], int], kept: Notebook) -> None:
    """Bytes as in a file: UTF-8, and line ends as the format has them."""
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure:
        reconfigure(encoding="utf-8", errors="backslashreplace", newline="")
    write(kept, sys.stdout)
    sys.stdout.flush()


def import_command(file: Path, notebook: Path | None, *, as_json: bool) -> None:
    ending = file.suffix.lower()
    said = one_line(file.name, 80)
    if ending == ".csv":
        _show_sheet(_sheet_into(notebook or default_notebook(), text_of(file), said), as_json=as_json)
        return
    if ending not in (".jsonl", ".ndjson"):
        raise CallError(f"{said}: an import ends in .jsonl (a notebook) or .csv (a sheet of claims).")
    try:
        with file.expanduser().open("rb") as stream:
            done = import_jsonl(
                stream, notebook or default_notebook(), said=said, canonical=lambda url: canonical_url(url)
            )
    except OSError as error:
        raise CallError(f"{said} could not be read: {error.strerror or error}.") from error
    _show_import(done, as_json=as_json)


def _sheet_into(notebook: Path, text: str, said: str) -> SheetTaken:
    """A sheet that is refused leaves no new notebook behind."""
    if notebook.expanduser().exists():
        with opened(notebook) as kept:
            return import_claims(kept, text, said=said)
    with new_file(notebook) as partial, opened(partial, create=True) as kept:
        return import_claims(kept, text, said=said)


def _show_sheet(taken: SheetTaken, *, as_json: bool) -> None:
    claims = [each.claim.id for each in taken.claims]
    held = [{"row": row, "claim": claim} for row, claim in taken.held]
    if as_json:
        print_json("import", "claims", [{"id": each} for each in claims], held_already=held)
        return
    counted = "1 claim" if len(claims) == 1 else f"{len(claims)} claims"
    after = [f"{counted} taken in. To take back: doubtwort undo"] if claims else []
    after += [f"Row {row}: held already, as {claim}." for row, claim in taken.held]
    show_cards([], after=after)


def _show_import(done: Imported, *, as_json: bool) -> None:
    if done.merged:
        _show_merge(done.merged, as_json=as_json)
    elif as_json:
        print_json("import", "rows", [done.rows], back_to_waiting=done.back_to_waiting)
    else:
        counted = ", ".join(f"{number} {table}" for table, number in done.rows.items())
        show_cards([], after=[f"Taken in: {counted or 'an empty notebook'}.", *_waiting(done.back_to_waiting)])


def merge_command(other: Path, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook, create=True) as kept:
        _show_merge(merge(kept, other), as_json=as_json)


def _show_merge(done: Merged, *, as_json: bool) -> None:
    backup = str(done.backup) if done.backup else ""
    if as_json:
        print_json(
            "merge", "conflicts", done.conflicts, added=done.added, back_to_waiting=done.back_to_waiting, backup=backup
        )
        return
    counted = ", ".join(f"{number} {table}" for table, number in done.added.items())
    after = [f"Added: {counted}." if counted else "There was nothing to add.", *_waiting(done.back_to_waiting)]
    after += [f"As it was before: {backup}"] if backup else []
    show_cards([_conflict(each) for each in done.conflicts], after=after)


def _conflict(each: Conflict) -> Card:
    return Card("differs", each.what, (f"here: {each.here}", f"there: {each.there}", f"kept: {each.kept}"))


def _waiting(entries: Sequence[str]) -> list[str]:
    return [f"Back to waiting: {', '.join(entries)}. See: doubtwort vet list"] if entries else []


def rescue_command(file: Path, into: Path, *, as_json: bool) -> None:
    done = rescue(file, into)
    if as_json:
        aside = str(done.unplaced_file) if done.unplaced_file else ""
        print_json(
            "rescue", "rows", [done.rows], whole=done.whole, lost=done.lost, unplaced=done.unplaced,
            unplaced_file=aside, back_to_waiting=done.back_to_waiting,
        )  # fmt: skip
        return
    counted = ", ".join(f"{number} {table}" for table, number in done.rows.items())
    after = [f"Saved into {into}: {counted}."]
    if done.lost:
        after.append(f"Parts that could not be read: {', '.join(done.lost)}. What warned may be among them.")
    if done.unplaced_file:
        after.append(f"{done.unplaced} rows whose place is lost: {done.unplaced_file}")
    if done.whole:
        after.append("Nothing seems to be missing.")
    show_cards([], after=[*after, *_waiting(done.back_to_waiting)])


def backups_command(notebook: Path | None, *, as_json: bool) -> None:
    found = backups(notebook or default_notebook())
    if as_json:
        rows = [
            {
                "path": str(each.path), "schema": each.schema, "made_at": each.made_at, "size": each.size,
                "claims": each.claims, "sound": each.sound,
            }
            for each in found
        ]  # fmt: skip
        print_json("backups", "backups", rows)
        return
    cards = [
        Card(
            "sound" if each.sound else "damaged",
            each.path.name,
            (f"{each.made_at}, {each.size} bytes, schema {each.schema}, "
             f"{'claims unknown' if each.claims is None else f'{each.claims} claims'}",),
        )
        for each in found
    ]  # fmt: skip
    after = ["To go back to one, copy it to a new file and name that with --notebook."] if found else []
    show_cards(cards, "There is no backup beside the notebook.", after)
