"""Pages as they were fetched: kept once a body, given back only when its SHA-256 still fits."""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

from sqlite_utils import Database

from doubtwort.model import Fetched, NotFetched, UnreadReason
from doubtwort.notebook.rows import Row, given, stored, without_credentials
from doubtwort.notebook.store import Store

NOT_KEPT = "offline, and not kept in this notebook"
MOST_HEADERS = 100
MOST_HEADER = 4_000  # characters of one header's name or value
_SECRET = ("cookie", "auth", "token", "session", "secret", "csrf", "xsrf", "api-key", "apikey", "password")
# Reasons that say more about that day's network than about the page.
PASSING = frozenset({UnreadReason.TIMEOUT, UnreadReason.UNREACHABLE})
_SELECT = "SELECT fetches.*, bodies.size, bodies.zlib FROM fetches LEFT JOIN bodies USING (sha256)"


@dataclass(frozen=True, slots=True)
class Packed:
    """A fetch ready to be written: its row, and that of its body when one came."""

    row: Row
    body: Row | None


def now() -> str:
    """This moment, e.g. "2026-11-25T09:30:00Z"."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def pack(store: Store, fetch: Fetched | NotFetched) -> Packed:
    """Compresses and hashes; needs no lock. A body above ``max_body`` is kept as ``too-large``."""
    most = store.settings.max_body
    if isinstance(fetch, Fetched) and len(fetch.body) > most:
        detail = f"{len(fetch.body)} bytes, more than {most}"
        fetch = NotFetched(fetch.url, UnreadReason.TOO_LARGE, detail, fetch.final_url, fetch.fetched_at)
    row: Row = {
        "canonical_url": stored(store.key(fetch.url)),
        "url": stored(without_credentials(fetch.url)),
        "final_url": stored(without_credentials(fetch.final_url)),
        "fetched_at": stored(fetch.fetched_at),
        "headers": "{}",
        "status": None,
        "reason": None,
        "detail": "",
        "sha256": None,
        "archived": 0,
    }
    if isinstance(fetch, NotFetched):
        row |= {"reason": fetch.reason.value, "detail": stored(without_credentials(fetch.detail))}
        return Packed(row, None)
    digest = sha256(fetch.body).hexdigest()
    row |= {
        "status": fetch.status,
        "headers": _headers(fetch.headers),
        "sha256": digest,
        "archived": int(fetch.archived),
    }
    return Packed(row, {"sha256": digest, "size": len(fetch.body), "zlib": zlib.compress(fetch.body)})


def _headers(headers: Mapping[str, str]) -> str:
    """As JSON, without those that carry somebody's identity."""
    kept = {
        stored(name.lower()[:MOST_HEADER]): stored(without_credentials(value[:MOST_HEADER]))
        for name, value in headers.items()
        if not any(secret in name.lower() for secret in _SECRET)
    }
    return json.dumps(dict(list(kept.items())[:MOST_HEADERS]), ensure_ascii=False)


def insert(db: Database, packed: Packed, audit_id: int | None) -> int:
    """Writes the row and, if new, the body. The very same fetch of the same audit is not written twice."""
    if packed.body is not None:
        db.table("bodies").insert(packed.body, ignore=True)
    row = packed.row | {"audit_id": audit_id}
    same = " AND ".join(f"{column} IS :{column}" for column in row)
    found = db.execute(f"SELECT id FROM fetches WHERE {same}", row).fetchone()
    if found:
        return int(found[0])
    return int(db.execute(_insert_sql(row), row).lastrowid or 0)


def _insert_sql(row: Row) -> str:
    return f"INSERT INTO fetches ({', '.join(row)}) VALUES ({', '.join(':' + column for column in row)})"


def unpack(row: Mapping[str, Any], most: int) -> Fetched | NotFetched | None:
    """The fetch that was kept; None when its bytes no longer fit their SHA-256, or are more than ``most``."""
    try:
        url, final_url, fetched_at = given(row["url"]), given(row["final_url"]), given(row["fetched_at"])
        if row["reason"] is not None:
            return NotFetched(url, UnreadReason(row["reason"]), given(row["detail"]), final_url, fetched_at)
        body = unzip(row["zlib"], row["size"], most)
        if body is None or sha256(body).hexdigest() != row["sha256"]:
            return None
        headers = {given(name): given(value) for name, value in json.loads(row["headers"]).items()}
        return Fetched(
            url, final_url, row["status"], headers, body, fetched_at, row["sha256"], archived=bool(row["archived"])
        )
    except (ValueError, TypeError, AttributeError):
        return None  # a cell that somebody has edited: as good as not kept


def unzip(packed: bytes, size: int, most: int) -> bytes | None:
    """At most ``size`` bytes come out, however much was packed in."""
    if not 0 <= size <= most:
        return None
    if size == 0:
        return b""
    unpacker = zlib.decompressobj()
    try:
        body = unpacker.decompress(packed, size)
        # The end marker may need one more call; a byte more than promised is a lie about the size.
        over = b"" if unpacker.eof else unpacker.decompress(unpacker.unconsumed_tail, 1)
    except zlib.error:
        return None
    return None if over else body


def fetches_of(store: Store, url: str, where: str = "1", values: tuple[Any, ...] = ()) -> list[Row]:
    """Rows of one page, the latest first, without their bodies. Found by either spelling of its address."""
    page = (stored(store.key(url)), stored(without_credentials(url)))
    asked = (
        f"SELECT id, reason FROM fetches WHERE (canonical_url = ? OR url = ?) AND {where} ORDER BY id DESC LIMIT 100"
    )
    with store.reading() as db:
        return list(db.query(asked, (*page, *values)))


def load(store: Store, fetch_id: int) -> Fetched | NotFetched | None:
    """One fetch by its row's id."""
    with store.reading() as db:
        rows = list(db.query(f"{_SELECT} WHERE fetches.id = ?", (fetch_id,)))
    return unpack(rows[0], store.settings.max_body) if rows else None


class KeptFetcher:
    """Gives what the notebook keeps, and touches no network: an audit done again with ``--offline``, years later.

    Of several fetches of a page the latest counts, save that a passing failure (timeout, unreachable) does not hide
    an earlier page, nor does one whose bytes no longer fit their SHA-256.
    """

    def __init__(self, store: Store) -> None:
        self._store = store

    def fetch(self, url: str) -> Fetched | NotFetched:
        passing: NotFetched | None = None
        for row in fetches_of(self._store, url):
            fetch = load(self._store, row["id"])
            if isinstance(fetch, NotFetched) and fetch.reason in PASSING:
                passing = passing or fetch
            elif fetch is not None:
                return fetch
        return passing or NotFetched(without_credentials(url), UnreadReason.UNREACHABLE, NOT_KEPT)
