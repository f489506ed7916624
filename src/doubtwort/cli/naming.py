"""``doubtwort taxon``: accepted names with their history, synonyms, common names by language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from doubtwort.cli.keeping import known_taxon, make_sure, opened, print_json, published_warnings, show_cards
from doubtwort.model import Taxon
from doubtwort.notebook import Notebook
from doubtwort.notebook.looked_up import NameOrigin, origins
from doubtwort.notebook.taxa import KeptTaxon, add_taxon, join_taxa, remove_name, rename_taxon, taxa
from doubtwort.reporting.cards import Card
from doubtwort.taxa.names import taxon_from_user


def add_command(
    name: str,
    *,
    synonyms: Sequence[str],
    common_names: Sequence[str],
    language: str,
    family: str,
    remarks: str,
    notebook: Path | None,
    as_json: bool,
) -> None:
    typed = taxon_from_user(name, synonyms, common_names)
    taxon = Taxon(typed.scientific_name, typed.synonyms, typed.common_names, family.strip())
    with opened(notebook, create=True) as kept:
        _show(kept, [add_taxon(kept, taxon, language=language, remarks=remarks)], as_json=as_json)


def show_command(name: str, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        _show(kept, [known_taxon(kept, name)], as_json=as_json)


def list_command(notebook: Path | None, limit: int, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        _show(kept, taxa(kept, limit=limit), as_json=as_json)


def rename_command(name: str, accepted: str, *, reason: str, on: str, notebook: Path | None, as_json: bool) -> None:
    new = taxon_from_user(accepted).scientific_name
    with opened(notebook) as kept:
        old = known_taxon(kept, name).scientific_name
        _show(kept, [rename_taxon(kept, old, new, reason=reason, on=on)], as_json=as_json)


def join_command(
    name: str, into: str, *, reason: str, on: str, yes: bool, notebook: Path | None, as_json: bool
) -> None:
    with opened(notebook) as kept:
        old, new = known_taxon(kept, name).scientific_name, known_taxon(kept, into).scientific_name
        make_sure(f"All that belongs to {old} becomes {new}.", yes=yes)
        _show(kept, [join_taxa(kept, old, new, reason=reason, on=on)], as_json=as_json)


def unname_command(taxon: str, name: str, *, yes: bool, notebook: Path | None, as_json: bool) -> None:
    with opened(notebook) as kept:
        accepted = known_taxon(kept, taxon).scientific_name
        make_sure(f"{accepted} will no longer be found as {name}.", yes=yes)
        _show(kept, [remove_name(kept, accepted, name)], as_json=as_json)


def _show(kept: Notebook, found: Sequence[KeptTaxon], *, as_json: bool) -> None:
    came_from = origins(kept)
    if as_json:
        rows = [
            asdict(each)
            | {"origins": [asdict(origin) for origin in came_from.get(each.id, ())]}
            | {"published_warnings": [asdict(w) for w in published_warnings(each.scientific_name, each.taxon.synonyms)]}
            for each in found
        ]
        print_json("taxa", "taxa", rows)
        return
    nothing = "The notebook knows no taxon yet. Add one: doubtwort taxon add NAME"
    show_cards([_card(each, came_from.get(each.id, ())) for each in found], nothing)


def _card(taxon: KeptTaxon, came_from: Sequence[NameOrigin]) -> Card:
    lines = []
    if taxon.common_names:
        said = (f"{name} ({language})" if language else name for name, language in taxon.common_names)
        lines.append(f"common names: {', '.join(said)}")
    if taxon.synonyms:
        lines.append(f"synonyms: {', '.join(taxon.synonyms)}")
    for former in taxon.former_names:
        lines.append(f"until {former.until}: {former.name}" + (f" ({former.reason})" if former.reason else ""))
    lines += [taxon.remarks] if taxon.remarks else []
    heading = taxon.scientific_name + (f" ({taxon.family})" if taxon.family else "")
    dangers = tuple(each.text for each in published_warnings(taxon.scientific_name, taxon.taxon.synonyms))
    sources = dict.fromkeys((each.source, each.retrieved) for each in came_from)
    small = [
        f"according to {source}, {day}: "
        + ", ".join(each.name for each in came_from if (each.source, each.retrieved) == (source, day))
        for source, day in sources
    ]
    return Card("taxon", heading, tuple(lines), dangers, (*small, f"claims: {taxon.claims}"))
