"""Visits the sources of a claim again through the machinery of an audit, and keeps the result in the notebook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

from doubtwort.audit import Progress, Readers, audit_claim, audit_page
from doubtwort.audit.page import default_readers
from doubtwort.citing.intake import take_in
from doubtwort.errors import DoubtwortError, NoClaimFound, NotInNotebook, PageUnread
from doubtwort.model import Audit, Claim, Fetched, Fetcher, NotFetched, Source, Taxon, Unreadable, Wording
from doubtwort.notebook import Notebook, NotebookKeeper
from doubtwort.notebook.claims_by_hand import claim_and_origin
from doubtwort.notebook.query import Wanted, claims_audited_by
from doubtwort.notebook.vetted import Status, entries
from doubtwort.recheck.compare import Difference, differences
from doubtwort.settings import Settings
from doubtwort.taxa.hazards import Hazards

REVIEW_AFTER: Final = timedelta(days=180)


@dataclass(frozen=True, slots=True)
class Rechecked:
    """One claim looked at again. ``first`` tells that it had not been audited before; ``moved`` are entries of the
    vetted list that went back to waiting; ``failed`` is why it could not be done, else ""."""

    claim: str
    taxon: str
    before: Audit | None
    after: Audit | None
    changes: tuple[Difference, ...] = ()
    moved: tuple[str, ...] = ()
    failed: str = ""

    @property
    def first(self) -> bool:
        return self.before is None and self.after is not None


class _SameClaim:
    """Keeps an audit under the id that the claim has, also when its page has moved."""

    def __init__(self, keeper: NotebookKeeper, claim_id: str) -> None:
        self._keeper, self._id = keeper, claim_id

    def start(self, claim: Claim) -> None:
        self._keeper.start(replace(claim, id=self._id))

    def keep_fetch(self, fetch: Fetched | NotFetched, /) -> None:
        self._keeper.keep_fetch(fetch)

    def kept(self, url: str) -> Fetched | NotFetched | None:
        return self._keeper.kept(url)

    def transcript(self, work: str, /) -> Fetched | None:
        return self._keeper.transcript(work)

    def keep_source(self, source: Source) -> None:
        self._keeper.keep_source(source)

    def finish(self, audit: Audit) -> None:
        self._keeper.finish(replace(audit, claim=replace(audit.claim, id=self._id)))


def due_claims(notebook: Notebook, day: date | None = None, older_than: timedelta = REVIEW_AFTER) -> tuple[str, ...]:
    """Claims to look at again: never audited, audited longer ago than ``older_than``, or under an entry of the vetted
    list whose review date has come."""
    day = day or datetime.now(UTC).date()
    due = entries(notebook, due_on=day.isoformat())
    review = {each.claim: entry.review_on for entry in due for each in entry.claims}
    found = dict.fromkeys(claims_audited_by(notebook, (day - older_than).isoformat()))
    if review:
        # One that was audited since its entry's review date waits for the reader, not for another visit.
        found |= {
            row.id: None
            for claim, on in review.items()
            for row in notebook.claims(Wanted(label=claim))
            if row.rated_at[:10] < on
        }
    return tuple(found)


def recheck_claim(
    notebook: Notebook,
    claim_id: str,
    *,
    settings: Settings,
    fetcher: Fetcher,
    progress: Callable[[Progress], None] | None = None,
    readers: Readers | None = None,
    hazards: Hazards | None = None,
) -> Rechecked:
    """Audits a claim again and tells what has changed. A page that is gone is a finding, not a failure: the sources
    that the claim was known to cite are visited all the same.

    A claim that a person wrote down is audited as it was written down; one that was taken in from a page is taken in
    anew, since the page may say something else by now. Raises ``NotInNotebook`` for an unknown claim.
    """
    claim, origin = claim_and_origin(notebook, claim_id)
    before = _last(notebook, claim_id)
    accepted = {each.id for each in entries(notebook, status=Status.ACCEPTED)}
    found: list[Difference] = []
    after: Audit | None = None
    failed = ""

    def again() -> _SameClaim:
        return _SameClaim(NotebookKeeper(notebook), claim_id)

    try:
        if origin is None and claim.url:
            try:
                after = audit_page(
                    claim.url, claim.taxon, wording=claim.wording, parts=claim.parts, preparations=claim.preparations,
                    settings=settings, fetcher=fetcher, keeper=again(), progress=progress, readers=readers,
                    hazards=hazards,
                )  # fmt: skip
            except PageUnread as error:
                why = f"{error.reason} ({error.detail})" if error.detail else error.reason
                found.append(Difference("claim-page-unread", claim.url, claim.quote, why))
            except NoClaimFound as error:
                found.append(Difference("claim-gone", claim.url, claim.quote, str(error)))
        if after is None:
            after = audit_claim(
                claim, settings=settings, fetcher=fetcher, keeper=again(), progress=progress, readers=readers,
                hazards=hazards,
            )  # fmt: skip
    except DoubtwortError as error:
        failed = str(error)
    if before is not None and after is not None:
        found += differences(before, after)
    still = {each.id for each in entries(notebook, status=Status.ACCEPTED)}
    moved = tuple(sorted(accepted - still, key=lambda each: (len(each), each)))
    return Rechecked(claim_id, claim.taxon.scientific_name, before, after, tuple(found), moved, failed)


def _last(notebook: Notebook, claim_id: str) -> Audit | None:
    try:
        return notebook.audit(claim_id)
    except NotInNotebook:
        return None


def take_claim(
    notebook: Notebook,
    url: str,
    taxon: Taxon,
    *,
    settings: Settings,
    fetcher: Fetcher,
    wording: Wording = Wording.EDIBLE,
    parts: tuple[str, ...] = (),
    preparations: tuple[str, ...] = (),
    readers: Readers | None = None,
) -> Claim:
    """Takes in a page's claim with its citations, without visiting them yet. Raises PageUnread or NoClaimFound."""
    readers = readers or default_readers()
    fetched = fetcher.fetch(url)
    if isinstance(fetched, NotFetched):
        raise PageUnread(url, fetched.reason.value, fetched.detail)
    document = readers.read(fetched, settings)
    if isinstance(document, Unreadable):
        raise PageUnread(url, document.reason.value, document.detail)
    reading = readers.read_document(document, taxon)
    claim = take_in(document, reading, taxon, wording, parts, preparations).claim
    NotebookKeeper(notebook).keep_fetch(fetched)
    notebook.keep_claim(claim)
    return claim
