"""``doubtwort claim``: claims written down by hand, or taken in from a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path

from doubtwort.cli.auditing import open_source, page_cache
from doubtwort.cli.keeping import any_taxon, known_taxon, make_sure, opened, print_json, show_cards
from doubtwort.cli.options import page_address, parts_from_user, preparations_from_user, stages_from_user
from doubtwort.errors import CallError
from doubtwort.model import Certainty, Claim, Outcome, Rating, Wording
from doubtwort.notebook.claims_by_hand import Medium, Origin, claim_and_origin, delete_claim, record_claim
from doubtwort.notebook.query import ClaimRow, Wanted, count_claims
from doubtwort.recheck import take_claim
from doubtwort.reporting.cards import Card
from doubtwort.settings import Settings
from doubtwort.sharing.references import references_of
from doubtwort.sharing.typed import citation_from_user, label_of
from doubtwort.text import one_line


def add_command(
    taxon: str,
    quote: str,
    *,
    wording: Wording,
    certainty: Certainty,
    parts: Sequence[str],
    preparations: Sequence[str],
    stages: Sequence[str],
    url: str,
    sources: Sequence[str],
    references: Sequence[Path],
    origin: Origin,
    anyway: bool,
    notebook: Path | None,
    as_json: bool,
) -> None:
    named = (parts_from_user(parts), preparations_from_user(preparations), stages_from_user(stages))
    address = page_address(url) if url else ""
    if origin.medium is Medium.PAGE and not address:
        raise CallError("A page has an address: give it with --url, or say where it was heard with --medium.")
    cited = [citation_from_user("", each) for each in sources]
    cited += [citation for file in references for citation in references_of(file)]
    citations = tuple(replace(each, key=str(number)) for number, each in enumerate(cited, start=1))
    with opened(notebook, create=True) as kept:
        claim = Claim("", any_taxon(kept, taxon), wording, quote.strip(), address, *named, citations, certainty)
        recorded = record_claim(kept, replace(claim, id=label_of(claim, origin)), origin, anyway=anyway)
    if as_json:
        print_json(
            "claim", "claim", [_claim_object(recorded.claim, origin)], alike=recorded.alike, shared=recorded.shared
        )
        return
    after = [f"Kept as {recorded.claim.id}. Rate it: doubtwort recheck {recorded.claim.id}"]
    if recorded.alike:
        after.append(f"Nearly the same words are claimed elsewhere: {', '.join(recorded.alike)}.")
    if recorded.shared:
        after.append(f"One of its sources is cited by: {', '.join(recorded.shared)}.")
    show_cards([_card(recorded.claim, origin)], after=after)


def take_command(
    url: str,
    taxon: str,
    *,
    wording: Wording,
    parts: Sequence[str],
    preparations: Sequence[str],
    settings: Settings,
    notebook: Path | None,
    as_json: bool,
) -> None:
    address = page_address(url)
    of, how = parts_from_user(parts), preparations_from_user(preparations)
    with opened(notebook, create=True, settings=settings) as kept, open_source(kept, settings, page_cache()) as fetcher:
        asked = any_taxon(kept, taxon)
        claim = take_claim(
            kept, address, asked, settings=settings, fetcher=fetcher, wording=wording, parts=of, preparations=how
        )
    if as_json:
        print_json("claim", "claim", [_claim_object(claim, None)])
    else:
        show_cards([_card(claim, None)], after=[f"Kept as {claim.id}. Rate it: doubtwort recheck {claim.id}"])


def show_command(claim: str, notebook: Path | None, *, as_json: bool) -> None:
    with opened(notebook) as kept:
        found, origin = claim_and_origin(kept, claim)
    if as_json:
        print_json("claim", "claim", [_claim_object(found, origin)])
    else:
        show_cards([_card(found, origin)], after=[f"Its audit: doubtwort show {found.id}"])


def list_command(
    notebook: Path | None,
    *,
    taxon: str,
    rating: Rating | None,
    part: str,
    outcome: Outcome | None,
    limit: int,
    after: int,
    as_json: bool,
) -> None:
    """One page of the list, disputed and contradicted claims first."""
    with opened(notebook) as kept:
        taxon_id = known_taxon(kept, taxon).id if taxon else None
        named = parts_from_user([part])[0] if part else ""
        wanted = Wanted(taxon_id, rating, named, outcome, limit=limit, after=after)
        rows, in_all = kept.claims(wanted), count_claims(kept, wanted)
    if as_json:
        print_json("claims", "claims", rows, count=in_all)
        return
    last = after + len(rows)
    more = [f"{after + 1} to {last} of {in_all}. More: --after {last}"] if rows and last < in_all else []
    show_cards([_line(each) for each in rows], "No claim fits, or none is kept.", more)


def _line(row: ClaimRow) -> Card:
    rating = row.rating.value if row.rating else "not audited"
    rated = f", rated {row.rated_at}" if row.rated_at else ""
    small = tuple(filter(None, (row.url, f"claim {row.id}{rated}")))
    return Card(rating, f"{row.taxon}: {row.wording.value}", (f"“{one_line(row.quote, 200)}”",), small=small)


def delete_command(claim: str, notebook: Path | None, *, yes: bool) -> None:
    with opened(notebook) as kept:
        found, _ = claim_and_origin(kept, claim)
        make_sure(f"Claim {found.id} on {found.taxon.scientific_name} goes, with all its audits.", yes=yes)
        moved = delete_claim(kept, claim)
    after = [f"Deleted: {one_line(claim, 80)}. To have it back: doubtwort undo"]
    if moved:
        after.append(f"Back to waiting, since they rested on it: {', '.join(moved)}.")
    show_cards([], after=after)


def _claim_object(claim: Claim, origin: Origin | None) -> dict[str, object]:
    said = asdict(claim)
    said["taxon"] = claim.taxon.scientific_name
    return said | {"origin": asdict(origin) if origin else None}


def _card(claim: Claim, origin: Origin | None) -> Card:
    limits = (*claim.parts, *claim.preparations, *claim.stages)
    lines = [f"“{claim.quote}”"]
    if origin:
        told = (origin.medium.value, origin.work, origin.locator, origin.role, origin.region, origin.heard_on)
        lines.append(", ".join(filter(None, told)))
        lines += [origin.remarks] if origin.remarks else []
    lines += [f"cites: {each.text or ', '.join(each.urls)}" for each in claim.citations]
    heading = f"{claim.taxon.scientific_name}: {claim.wording.value}" + (f" [{', '.join(limits)}]" if limits else "")
    return Card("claim", heading, tuple(lines), small=tuple(filter(None, (claim.url, f"claim {claim.id}"))))
