"""Claims that a person writes down: who said it where, in which words, citing what. Duplicates are recognised."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from rapidfuzz import fuzz, process, utils
from sqlite_utils import Database

from doubtwort.errors import AlreadyKept, CallError
from doubtwort.model import Citation, Claim
from doubtwort.notebook.history import Change, changing
from doubtwort.notebook.kept import now
from doubtwort.notebook.labels import a_date, some_text
from doubtwort.notebook.query import claim_of_label, require_claim
from doubtwort.notebook.rows import Row, given, stored
from doubtwort.notebook.store import Store
from doubtwort.notebook.write import put_claim, put_taxon, work_keys

# Two quotes about one taxon whose words, in any order, agree to this degree (rapidfuzz token_sort_ratio, 0 to 100) are
# taken for one claim told twice, when they were heard in the same place; in another place they are told of only.
SAME_WORDS: Final = 92.0
MOST_CITATIONS: Final = 200
_WRITTEN = ("taxa", "names", "claims", "citations", "claim_names", "citation_keys")
_OWNED = ("cautions", "steps", "root_groups", "sources")


class Medium(StrEnum):
    """Where a claim was heard or read."""

    PAGE = "page"
    BOOK = "book"
    PAPER = "paper"
    TALK = "talk"
    VIDEO = "video"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a claim was heard or read.

    ``work`` is the title of the book, talk or video; ``locator`` a page number or a time ("p. 12", "00:14:05");
    ``role`` what the speaker is ("guide of a walk"), never a name; ``heard_on`` a date, month or year.
    """

    medium: Medium
    work: str = ""
    locator: str = ""
    role: str = ""
    region: str = ""
    heard_on: str = ""
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class Recorded:
    """What came of recording a claim: ``alike`` are claims in nearly the same words from elsewhere, ``shared`` are
    claims that cite one of its sources too."""

    claim: Claim
    alike: tuple[str, ...]
    shared: tuple[str, ...]


def record_claim(store: Store, claim: Claim, origin: Origin, *, anyway: bool = False) -> Recorded:
    """Keeps a claim with its origin. ``AlreadyKept`` when the notebook holds it, in the same words or nearly, from the
    same place; ``anyway`` keeps it nevertheless, under an id of its own."""
    row = check_claim(claim, origin)
    said = f"claim {claim.id} written down: {claim.taxon.scientific_name}, {claim.wording.value}"
    with changing(store, said) as change:
        return _record(store, change, claim, row, anyway=anyway)


def record_claims(
    store: Store, claims: Iterable[tuple[Claim, Origin]], said: str
) -> tuple[Recorded | AlreadyKept, ...]:
    """Keeps many claims as one change, or none of them; those that the notebook holds already are told and left
    out."""
    checked = [(claim, check_claim(claim, origin)) for claim, origin in claims]
    done: list[Recorded | AlreadyKept] = []
    with changing(store, said) as change:
        for claim, row in checked:
            try:
                done.append(_record(store, change, claim, row, anyway=False))
            except AlreadyKept as error:
                done.append(error)
        if not any(isinstance(each, Recorded) for each in done):
            change.db.execute("DELETE FROM history WHERE id = ?", (change.event,))
    return tuple(done)


def check_claim(claim: Claim, origin: Origin) -> Row:
    """The origin as a row; ``CallError`` when the claim or its origin cannot be kept."""
    _require_words(claim)
    return {
        "medium": origin.medium.value,
        "work": some_text(origin.work, "title of the work", 1_000),
        "locator": some_text(origin.locator, "locator", 200),
        "role": some_text(origin.role, "role", 200),
        "region": some_text(origin.region, "region", 500),
        "heard_on": a_date(origin.heard_on, partial=True),
        "remarks": some_text(origin.remarks, "remark"),
        "recorded_at": now(),
    }


def _record(store: Store, change: Change, claim: Claim, row: Row, *, anyway: bool) -> Recorded:
    claim = replace(claim, citations=_once(store, claim.citations))
    db = change.db
    with change.noting_new("taxa"):
        taxon_id = put_taxon(db, claim.taxon)
    alike = _alike(db, taxon_id, claim)
    same = [label for label, url, work in alike if _same_place(store, claim, row, url, work)]
    taken = db.execute("SELECT 1 FROM claims WHERE label = ?", (stored(claim.id),)).fetchone()
    if (same or taken) and not anyway:
        held = same[0] if same else claim.id
        raise AlreadyKept(held, f"The notebook holds this claim already, as {held}. To keep it once more: --anyway.")
    if taken:
        claim = replace(claim, id=_free_label(db, claim.id))
    shared = _citing_too(store, db, claim.citations)
    with change.noting_new(*_WRITTEN):
        put_claim(db, claim, store.key)
    change.insert("origins", row | {"claim": stored(claim.id)})
    others = tuple(label for label, _, _ in alike if label not in same or anyway)
    return Recorded(claim, others, shared)


def _require_words(claim: Claim) -> None:
    if not claim.quote.strip():
        raise CallError("The quote is empty. Write down the words in which it was claimed.")
    if len(claim.citations) > MOST_CITATIONS:
        raise CallError(f"A claim with more than {MOST_CITATIONS} sources is not kept. Give those that matter.")
    some_text(claim.quote, "quote")


def _once(store: Store, citations: Iterable[Citation]) -> tuple[Citation, ...]:
    """Each cited work once: by DOI, ISBN or canonical address, else by its text."""
    known: set[str] = set()
    kept = []
    for each in citations:
        keys = set(work_keys(each, store.key)) or {f"text:{' '.join(each.text.lower().split())}"}
        if not keys & known:
            kept.append(each)
        known |= keys
    return tuple(kept)


def _alike(db: Database, taxon_id: int, claim: Claim) -> list[tuple[str, str, str]]:
    """(label, address, work) of claims of the same wording about the taxon in nearly the same words."""
    asked = """
        SELECT claims.label, claims.quote, claims.url, coalesce(origins.work, '') AS work
        FROM claim_ratings JOIN claims ON claims.id = claim_ratings.claim_id
        LEFT JOIN origins ON origins.claim = claims.label
        WHERE claim_ratings.taxon_id = ? AND claims.wording = ?
    """
    rows = list(db.query(asked, (taxon_id, claim.wording.value)))
    quotes = [given(row["quote"]) for row in rows]
    near = process.extract(
        claim.quote, quotes, scorer=fuzz.token_sort_ratio, processor=utils.default_process, score_cutoff=SAME_WORDS,
        limit=20,
    )  # fmt: skip
    return [(given(rows[at]["label"]), given(rows[at]["url"]), rows[at]["work"]) for _, _, at in near]


def _same_place(store: Store, claim: Claim, row: Row, url: str, work: str) -> bool:
    """One address, or where there is none, one title."""
    if claim.url or url:
        return bool(claim.url and url) and store.key(claim.url) == store.key(url)
    return bool(given(work).casefold() == given(row["work"]).casefold())


def _free_label(db: Database, label: str) -> str:
    number = 2
    while db.execute("SELECT 1 FROM claims WHERE label = ?", (stored(f"{label}-{number}"),)).fetchone():
        number += 1
    return f"{label}-{number}"


def _citing_too(store: Store, db: Database, citations: Iterable[Citation]) -> tuple[str, ...]:
    keys = [key for each in citations for key in work_keys(each, store.key)]
    asked = f"""
        SELECT DISTINCT claims.label FROM citation_keys
        JOIN citations ON citations.id = citation_keys.citation_id JOIN claims ON claims.id = citations.claim_id
        WHERE citation_keys.key IN ({", ".join("?" * len(keys))}) ORDER BY claims.id LIMIT 20
    """
    return tuple(given(row[0]) for row in db.execute(asked, keys).fetchall()) if keys else ()


def claim_and_origin(store: Store, claim_id: str) -> tuple[Claim, Origin | None]:
    """A claim as last taken in, and where it was heard if a person wrote it down."""
    with store.reading() as db:
        claim = claim_of_label(db, store.path, claim_id)
        rows = list(db.query("SELECT * FROM origins WHERE claim = ?", (stored(claim_id),)))
    return claim, _origin(rows[0]) if rows else None


def _origin(row: Row) -> Origin:
    return Origin(
        Medium(row["medium"]),
        *(given(row[column]) for column in ("work", "locator", "role", "region", "heard_on", "remarks")),
    )


def delete_claim(store: Store, claim_id: str) -> tuple[str, ...]:
    """Deletes a claim with its audits; entries that rested on it go back to waiting, and are given. The pages that
    were fetched for it stay. Can be undone."""
    from doubtwort.notebook.ruling import settle

    label = stored(claim_id)
    with changing(store, f"claim {claim_id} deleted") as change:
        db = change.db
        require_claim(db, store.path, claim_id)
        claims, audits = "SELECT id FROM claims WHERE label = ?", "SELECT id FROM audits WHERE claim_id IN"
        of_audits = f"audit_id IN ({audits} ({claims}))"
        of_sources = f"source_id IN (SELECT id FROM sources WHERE {of_audits})"
        for table in ("statements", "notices", "citations"):
            change.delete_where(table, of_sources, (label,))
        for table in _OWNED:
            change.delete_where(table, of_audits, (label,))
        for (fetch,) in db.execute(f"SELECT id FROM fetches WHERE {of_audits}", (label,)).fetchall():
            change.update("fetches", fetch, {"audit_id": None})
        change.delete_where("audits", f"claim_id IN ({claims})", (label,))
        cited = f"citation_id IN (SELECT id FROM citations WHERE claim_id IN ({claims}))"
        change.delete_where("citation_keys", cited, (label,))
        for table in ("citations", "claim_names"):
            change.delete_where(table, f"claim_id IN ({claims})", (label,))
        change.delete_where("origins", "claim = ?", (label,))
        change.delete_where("claims", "label = ?", (label,))
        return tuple(settle(change))
