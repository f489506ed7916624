"""The shelf: works that could not be fetched, and the passages that a person transcribed from them.

A passage belongs to one claim and one work (``work`` is a digest that the audit gives). The latest one counts; earlier
ones are kept, since audits were made from them.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final

from doubtwort.errors import CallError
from doubtwort.model import Citation, Fetched, UnreadReason
from doubtwort.notebook.history import changing
from doubtwort.notebook.kept import now, unzip
from doubtwort.notebook.labels import some_text
from doubtwort.notebook.rows import Row, given, stored, value_of
from doubtwort.notebook.store import Store
from doubtwort.text import one_line

MEDIA_TYPES: Final = {"text": "text/plain; charset=utf-8", "pdf": "application/pdf"}
PAGE_HEADER: Final = "printed-page"


@dataclass(frozen=True, slots=True)
class Unread:
    """A source of a claim's latest audit that was not read."""

    claim: str
    source: str
    reason: UnreadReason
    citation: Citation


@dataclass(frozen=True, slots=True)
class Passage:
    """What to keep: ``kind`` is "text" or "pdf", ``page`` the printed page or ""."""

    slip: str
    claim: str
    work: str
    reference: str
    look_for: str
    kind: str
    page: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Filled:
    """When a slip was filled last, from which page; ``size`` in bytes."""

    slip: str
    claim: str
    work: str
    reference: str
    look_for: str
    page: str
    filled_at: str
    size: int


def unread_sources(store: Store, reasons: Iterable[UnreadReason], claim: str = "") -> tuple[Unread, ...]:
    """Sources of every claim's latest finished audit that were not read for one of these reasons, in the order of the
    list of claims; with ``claim`` those of one claim."""
    words = [each.value for each in reasons]
    asked = f"""
        SELECT claim_ratings.label AS claim, sources.label AS source, sources.reason AS unread_for, citations.*
        FROM claim_ratings
        JOIN sources ON sources.audit_id = claim_ratings.audit_id
        JOIN citations ON citations.source_id = sources.id
        WHERE sources.outcome = 'unread' AND sources.reason IN ({", ".join("?" * len(words))})
            AND (? = '' OR claim_ratings.label = ?)
        ORDER BY claim_ratings.alarm DESC, claim_ratings.audit_id DESC, sources.position
    """
    with store.reading() as db:
        return tuple(
            Unread(given(row["claim"]), given(row["source"]), UnreadReason(row["unread_for"]), value_of(Citation, row))
            for row in db.query(asked, (*words, stored(claim), stored(claim)))
        )


def keep_passage(store: Store, passage: Passage) -> None:
    """Keeps a transcribed passage. The next audit of its claim reads it; can be undone."""
    if not passage.body.strip():
        raise CallError("The passage is empty. Write down the sentences on eating the plant, word for word.")
    if len(passage.body) > store.settings.max_body:
        raise CallError(f"The passage has {len(passage.body)} bytes, more than {store.settings.max_body}.")
    digest = sha256(passage.body).hexdigest()
    row: Row = {
        "label": stored(passage.slip),
        "claim": stored(passage.claim),
        "work": stored(passage.work),
        "reference": some_text(one_line(passage.reference, 4_000), "reference", 4_000),
        "look_for": some_text(passage.look_for, "question", 4_000),
        "kind": passage.kind,
        "page": some_text(passage.page, "page", 40),
        "sha256": digest,
        "filled_at": now(),
    }
    with changing(store, f"slip {passage.slip} filled: {one_line(passage.reference, 200)}") as change:
        body = {"sha256": digest, "size": len(passage.body), "zlib": zlib.compress(passage.body)}
        change.db.table("bodies").insert(body, ignore=True)
        change.insert("transcripts", row)


def transcript(store: Store, claim: str, work: str) -> Fetched | None:
    """The latest passage of a work for a claim, as if it had been fetched when it was written down; None when there is
    none, or when its bytes no longer fit their SHA-256."""
    asked = """
        SELECT transcripts.*, bodies.size, bodies.zlib FROM transcripts JOIN bodies USING (sha256)
        WHERE transcripts.claim = ? AND transcripts.work = ? ORDER BY transcripts.id DESC LIMIT 1
    """
    with store.reading() as db:
        rows = list(db.query(asked, (stored(claim), stored(work))))
    if not rows or rows[0]["kind"] not in MEDIA_TYPES:
        return None
    return _fetched(rows[0], store.settings.max_body)


def _fetched(row: Mapping[str, Any], most: int) -> Fetched | None:
    body = unzip(row["zlib"], row["size"], most)
    if body is None or sha256(body).hexdigest() != row["sha256"]:
        return None
    address = f"shelf:{given(row['label'])}"
    headers = {"content-type": MEDIA_TYPES[row["kind"]], PAGE_HEADER: given(row["page"])}
    return Fetched(address, address, 200, headers, body, given(row["filled_at"]), row["sha256"])


def filled_slips(store: Store) -> dict[str, Filled]:
    """The latest filling of every slip that was ever filled, by the slip's id."""
    asked = """
        SELECT transcripts.*, bodies.size FROM transcripts JOIN bodies USING (sha256) ORDER BY transcripts.id
    """
    with store.reading() as db:
        found = (
            Filled(
                slip=given(row["label"]),
                claim=given(row["claim"]),
                work=given(row["work"]),
                reference=given(row["reference"]),
                look_for=given(row["look_for"]),
                page=given(row["page"]),
                filled_at=given(row["filled_at"]),
                size=row["size"],
            )
            for row in db.query(asked)
        )
        return {each.slip: each for each in found}
