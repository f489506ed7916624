"""Keeping an audit step by step: each fetch and each source in a transaction of its own.

Whatever moment the program is killed at, the file holds whole steps. The next audit of the same claim goes on from
there: it is given the pages already fetched, and writes the sources anew as it comes by them.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from threading import RLock
from typing import Any

from sqlite_utils import Database

from doubtwort.errors import NotebookBusy, NotebookError
from doubtwort.model import Audit, Citation, Claim, Fetched, NotFetched, Source, Taxon
from doubtwort.notebook import kept, shelf
from doubtwort.notebook.rows import Row, listed, row_of, stored, without_credentials
from doubtwort.notebook.ruling import after_audit
from doubtwort.notebook.store import Store
from doubtwort.text import one_line

# An audit broken off longer ago than this starts anew: its pages would pass for today's.
RESUME_WITHIN = timedelta(days=7)


class NotebookKeeper:
    """Keeps one audit at a time. ``audit_id`` is its row's id once started; ``resumed`` tells whether it goes on from
    an earlier, unfinished one. Any thread may call any method."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = RLock()
        self._early: list[int] = []  # fetches kept before start: the claim's own page
        self._claim = ""
        self._holder = ""
        self.audit_id: int | None = None
        self.resumed = False

    def start(self, claim: Claim) -> None:
        """Begins the claim's audit, or goes on with an unfinished one that no living process is at."""
        holder = f"{os.getpid()}:{secrets.token_hex(8)}"
        with self._lock, self._store.writing() as db:
            claim_row = put_claim(db, claim, self._store.key)
            audit_id = _unfinished(db, claim.id)
            resumed = audit_id is not None
            if audit_id is None:
                audit_id = _new_audit(db, claim_row, holder)
            else:
                db.table("audits").update(audit_id, {"claim_id": claim_row, "holder": holder})
            for fetch_id in self._early:
                db.table("fetches").update(fetch_id, {"audit_id": audit_id})
        self.audit_id, self.resumed, self._holder, self._claim, self._early = audit_id, resumed, holder, claim.id, []

    def keep_fetch(self, fetch: Fetched | NotFetched) -> None:
        """Keeps what came from an address, or why nothing came. What an offline fetcher lacks is no fetch."""
        if isinstance(fetch, NotFetched) and fetch.detail == kept.NOT_KEPT:
            return
        packed = kept.pack(self._store, fetch)
        with self._lock, self._store.writing() as db:
            if self.audit_id is not None:
                self._require_mine(db)
            fetch_id = kept.insert(db, packed, self.audit_id)
            if self.audit_id is None:
                self._early.append(fetch_id)

    def kept(self, url: str) -> Fetched | NotFetched | None:
        """What this audit has fetched from the address so far. A timeout or an unreachable host is worth a new try."""
        if self.audit_id is None:
            return None
        for row in kept.fetches_of(self._store, url, "audit_id = ?", (self.audit_id,)):
            if row["reason"] not in kept.PASSING:
                return kept.load(self._store, row["id"])
        return None

    def transcript(self, work: str, /) -> Fetched | None:
        """What was transcribed by hand of a work for this claim (see ``shelf``)."""
        return shelf.transcript(self._store, self._claim, work) if self._claim else None

    def keep_source(self, source: Source) -> None:
        """Keeps a source as far as it is known; a later call with the same id replaces it."""
        with self._lock, self._store.writing() as db:
            audit_id = self._require_mine(db)
            asked = "SELECT position FROM sources WHERE audit_id = ? AND label = ?"
            same = db.execute(asked, (audit_id, stored(source.id))).fetchone()
            asked = "SELECT coalesce(max(position) + 1, 0) FROM sources WHERE audit_id = ?"
            position = same[0] if same else db.execute(asked, (audit_id,)).fetchone()[0]
            db.table("sources").delete_where("audit_id = ? AND label = ?", (audit_id, stored(source.id)))
            _put_source(db, audit_id, position, source)

    def finish(self, audit: Audit) -> None:
        """Writes the audit as it ended, in one transaction: before it, the audit is unfinished, after it, done."""
        if self.audit_id is None or audit.claim.id != self._claim:
            raise NotebookError(f"The audit of claim {one_line(audit.claim.id, 80)} was not started in this notebook.")
        with self._lock, self._store.writing() as db:
            _put_audit(db, self._require_mine(db), audit, self._store.key)
        self.audit_id, self._claim, self._holder = None, "", ""

    def _require_mine(self, db: Database) -> int:
        """Two processes never write one audit: the one that took it up last goes on, the other stops here."""
        asked = "SELECT 1 FROM audits WHERE id = ? AND holder = ? AND state = 'running'"
        if self.audit_id is None or not db.execute(asked, (self.audit_id, self._holder)).fetchone():
            raise NotebookBusy(
                f"The audit of claim {one_line(self._claim, 80) or '(none)'} is not, or no longer, this process's to "
                "write. Run it again when no other is at it."
            )
        return self.audit_id


def keep_audit(store: Store, audit: Audit) -> int:
    """Keeps a whole audit in one transaction and gives its row's id."""
    with store.writing() as db:
        audit_id = _new_audit(db, put_claim(db, audit.claim, store.key), "")
        _put_audit(db, audit_id, audit, store.key)
    return audit_id


def keep_claim(store: Store, claim: Claim) -> None:
    """Keeps a claim that nobody has audited yet. The same claim twice is kept once."""
    with store.writing() as db:
        put_claim(db, claim, store.key)


def _unfinished(db: Database, label: str) -> int | None:
    since = (datetime.now(UTC) - RESUME_WITHIN).strftime("%Y-%m-%dT%H:%M:%SZ")
    asked = """
        SELECT audits.id, audits.holder FROM audits JOIN claims ON claims.id = audits.claim_id
        WHERE claims.label = ? AND audits.state = 'running' AND audits.started_at >= ?
        ORDER BY audits.id DESC
    """
    for row in db.query(asked, (stored(label), since)):
        if not _at_work(row["holder"]):
            return int(row["id"])
    return None


def _at_work(holder: str) -> bool:
    """Whether another process of this machine that holds an audit still lives. "4711:9f…" begins with its id."""
    number = holder.partition(":")[0]
    if os.name != "posix" or not number.isdecimal() or int(number) == os.getpid():
        return False
    try:
        os.kill(int(number), 0)  # signal 0 is sent to nobody: it asks whether the process exists (POSIX kill)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _insert(db: Database, table: str, row: Row) -> int:
    return int(db.table(table).insert(row).last_rowid or 0)


def _insert_all(db: Database, table: str, owner: Row, values: Iterable[Any]) -> None:
    rows = (owner | {"position": position} | row_of(value) for position, value in enumerate(values))
    db.table(table).insert_all(rows)


def put_taxon(db: Database, taxon: Taxon) -> int:
    """The row of the taxon that has, or once had, this accepted name; made if there is none. Synonyms lead nowhere
    here: what a claim calls a synonym must not carry evidence from one taxon to another."""
    name = stored(taxon.scientific_name)
    for asked in (
        "SELECT id FROM taxa WHERE scientific_name = ?",
        "SELECT taxon_id FROM former_names WHERE name = ? ORDER BY id DESC",
    ):
        if row := db.execute(asked, (name,)).fetchone():
            return int(row[0])
    return _insert(db, "taxa", {"scientific_name": name, "family": stored(taxon.family), "remarks": ""})


def _claim_row(claim: Claim) -> Row:
    return row_of(claim, leave=("id", "taxon", "citations")) | {"label": stored(claim.id)}


def claim_digest(claim: Claim) -> str:
    """SHA-256 of the whole claim, in hexadecimal digits."""
    citations = [row_of(each) for each in claim.citations]
    return sha256(json.dumps([_claim_row(claim), row_of(claim.taxon), citations]).encode()).hexdigest()


def put_claim(db: Database, claim: Claim, key: Callable[[str], str], taxon_id: int | None = None) -> int:
    """The row of this very claim. One that has changed since, say in what it cites, gets a row of its own, so that
    an older audit keeps the claim that it was about. ``key`` gives one spelling for one page; ``taxon_id`` says to
    which taxon it belongs where its name alone does not."""
    row, digest = _claim_row(claim), claim_digest(claim)
    for same in db.query("SELECT id FROM claims WHERE digest = ?", (digest,)):
        return int(same["id"])
    taxon_id = put_taxon(db, claim.taxon) if taxon_id is None else taxon_id
    named_as = {"scientific_name": stored(claim.taxon.scientific_name), "family": stored(claim.taxon.family)}
    claim_id = _insert(db, "claims", row | named_as | {"digest": digest, "taxon_id": taxon_id})
    named = [("synonym", each) for each in claim.taxon.synonyms] + [
        ("common", each) for each in claim.taxon.common_names
    ]
    for position, (kind, name) in enumerate(named):
        name_id = put_name(db, taxon_id, kind, name)
        db.table("claim_names").insert({"claim_id": claim_id, "name_id": name_id, "position": position})
    _put_citations(db, {"claim_id": claim_id, "source_id": None}, claim.citations)
    of_claim = db.execute("SELECT id FROM citations WHERE claim_id = ? ORDER BY position", (claim_id,)).fetchall()
    for (citation_id,), citation in zip(of_claim, claim.citations, strict=True):
        keys = ({"citation_id": citation_id, "key": each} for each in work_keys(citation, key))
        db.table("citation_keys").insert_all(keys)
    return claim_id


def put_name(db: Database, taxon_id: int, kind: str, name: str, language: str = "") -> int:
    """A name of a taxon, kept once."""
    row = {"taxon_id": taxon_id, "kind": kind, "name": stored(name), "language": stored(language)}
    where = "taxon_id = :taxon_id AND kind = :kind AND name = :name AND language = :language"
    for same in db.table("names").rows_where(where, row):
        return int(same["id"])
    return _insert(db, "names", row)


def work_keys(citation: Citation, key: Callable[[str], str]) -> tuple[str, ...]:
    """How a cited work is known again, e.g. ("doi:10.1000/182", "url:http://herb.example/x")."""
    found = [f"doi:{citation.doi.strip().lower()}"] if citation.doi.strip() else []
    isbn = "".join(each for each in citation.isbn if each.isalnum()).upper()
    found += [f"isbn:{isbn}"] if isbn else []
    found += [f"url:{key(each)}" for each in citation.urls if each.strip()]
    return tuple(dict.fromkeys(stored(each) for each in found))


def _put_citations(db: Database, owner: Row, citations: Iterable[Citation]) -> None:
    _insert_all(db, "citations", owner, citations)


def _new_audit(db: Database, claim_id: int, holder: str) -> int:
    row = {"claim_id": claim_id, "state": "running", "holder": holder, "started_at": kept.now()}
    return _insert(db, "audits", row)


def _put_source(db: Database, audit_id: int, position: int, source: Source) -> None:
    row = row_of(source, leave=("id", "statements", "notices", "citation"))
    source_id = _insert(db, "sources", row | {"audit_id": audit_id, "position": position, "label": stored(source.id)})
    _insert_all(db, "statements", {"source_id": source_id}, source.statements)
    _insert_all(db, "notices", {"source_id": source_id}, source.notices)
    if source.citation is not None:
        _put_citations(db, {"claim_id": None, "source_id": source_id}, (source.citation,))


def _put_audit(db: Database, audit_id: int, audit: Audit, key: Callable[[str], str]) -> None:
    owner = {"audit_id": audit_id}
    for table in ("sources", "cautions", "steps", "root_groups"):
        db.table(table).delete_where("audit_id = ?", (audit_id,))
    for position, source in enumerate(audit.sources):
        _put_source(db, audit_id, position, source)
    _insert_all(db, "cautions", owner, audit.cautions)
    _insert_all(db, "steps", owner, audit.trail)
    roots = [(number, each) for number, group in enumerate(audit.root_groups, 1) for each in group]
    db.table("root_groups").insert_all(
        owner | {"position": position, "root": stored(root), "group_number": number}
        for position, (number, root) in enumerate(roots)
    )
    ending = {
        "claim_id": put_claim(db, audit.claim, key),
        "state": "done",
        "holder": "",
        "finished_at": kept.now(),
        "audited_at": stored(audit.audited_at),
        "rating": audit.rating.value,
        "reasons": listed(tuple(without_credentials(each) for each in audit.reasons)),
        "notes": listed(tuple(without_credentials(each) for each in audit.notes)),
    }
    db.table("audits").update(audit_id, ending)
    after_audit(db, stored(audit.claim.id), audit.rating)
