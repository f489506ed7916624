"""One claim through all stages: taken in, chased, judged, rated, with the cautions that go with it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime

from doubtwort.audit.chase import Chase, Chased, Found, Page, source_of
from doubtwort.audit.keeper import Keeper, NullKeeper, Progress
from doubtwort.audit.reader import Copy, Readers, WorkReader
from doubtwort.citing.intake import take_in
from doubtwort.citing.urls import registrable_domain
from doubtwort.errors import PageUnread
from doubtwort.fetching import original_address
from doubtwort.model import Audit, Claim, Fetcher, Outcome, Source, Step, Taxon, UnreadReason, Wording
from doubtwort.reading import read
from doubtwort.settings import Settings
from doubtwort.support import CLAIM
from doubtwort.support.cautions import OnTrail, cautions_for
from doubtwort.support.rate import Tally, rate
from doubtwort.support.reasons import Reason, reason
from doubtwort.support.roots import Root, independent_groups
from doubtwort.support.trail import Node, Settled, best_wording, settle, shift, supporting_roots
from doubtwort.support.wordings import never_safe
from doubtwort.taxa.hazards import Hazards, load_hazards
from doubtwort.wording import read_document

_ADVICE = {
    UnreadReason.OFFLINE_WORK: "Give an address that starts with http:// or https://.",
    UnreadReason.ADDRESS_NOT_ALLOWED: "If that machine is yours, allow it with --allow-private.",
    UnreadReason.ROBOTS: "Its site asks programs not to read it; read it yourself.",
    UnreadReason.NO_TEXT: "It holds no text that can be read; read it yourself.",
    UnreadReason.UNSUPPORTED_TYPE: "It is of a type that is not read; give the page as HTML, PDF or plain text.",
}
# Statements of one root that are compared with those of others.
_MOST_QUOTES = 20
# Reasons in the order in which they matter to a reader: what speaks against the claim first.
_ORDER = (
    Outcome.CONTRADICTS,
    Outcome.MIXED,
    Outcome.SUPPORTS,
    Outcome.NARROWER,
    Outcome.OVERSTATES,
    Outcome.WEAKER,
    Outcome.ELSEWHERE,
    Outcome.CIRCULAR,
    Outcome.OTHER_TAXON,
    Outcome.SILENT,
    Outcome.ABSENT,
    Outcome.UNREAD,
)


def audit_page(
    url: str,
    taxon: Taxon,
    *,
    settings: Settings,
    fetcher: Fetcher,
    wording: Wording = Wording.EDIBLE,
    parts: tuple[str, ...] = (),
    preparations: tuple[str, ...] = (),
    keeper: Keeper | None = None,
    progress: Callable[[Progress], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
    now: Callable[[], datetime] | None = None,
    readers: Readers | None = None,
    hazards: Hazards | None = None,
) -> Audit:
    """Audits the claim that a page makes about a taxon. Raises PageUnread or NoClaimFound.

    ``clock`` gives seconds for the time limit, ``now`` the date of the audit. The fetcher is called from several
    threads. Cited sources that cannot be read are rows of the result.
    """
    keeper, readers = keeper or NullKeeper(), readers or default_readers()
    reader = WorkReader(fetcher, keeper, readers.read, settings, clock)
    copy = reader.read_url(url)
    if copy.document is None:
        why = copy.reason or UnreadReason.NO_TEXT
        raise PageUnread(url, why.value, copy.detail, _ADVICE.get(why, ""))
    reading = readers.read_document(copy.document, taxon)
    taken = take_in(copy.document, reading, taxon, wording, parts, preparations)
    page = Page(url, copy.final_url, copy.document, reading, copy)
    return _audit(taken.claim, page, taken.notes, reader, readers, settings, keeper, progress, now, hazards)


def audit_claim(
    claim: Claim,
    *,
    settings: Settings,
    fetcher: Fetcher,
    keeper: Keeper | None = None,
    progress: Callable[[Progress], None] | None = None,
    clock: Callable[[], float] = time.monotonic,
    now: Callable[[], datetime] | None = None,
    readers: Readers | None = None,
    hazards: Hazards | None = None,
) -> Audit:
    """Audits a claim that is in hand already: from a book, a video, a file. Its own page, if any, is not read."""
    keeper, readers = keeper or NullKeeper(), readers or default_readers()
    reader = WorkReader(fetcher, keeper, readers.read, settings, clock)
    page = Page(claim.url, copy=Copy(final_url=claim.url))
    return _audit(claim, page, (), reader, readers, settings, keeper, progress, now, hazards)


def default_readers() -> Readers:
    """The program's own readers."""
    return Readers(read, read_document)


def _audit(
    claim: Claim,
    page: Page,
    notes: tuple[str, ...],
    reader: WorkReader,
    readers: Readers,
    settings: Settings,
    keeper: Keeper,
    progress: Callable[[Progress], None] | None,
    now: Callable[[], datetime] | None,
    hazards: Hazards | None,
) -> Audit:
    keeper.start(claim)
    chased = Chase(claim, page, reader, readers, settings, keeper, progress).run()
    edges = [
        (CLAIM if origin is None else origin.id, CLAIM if target is None else target.id)
        for origin, target in chased.edges
    ]
    nodes = {each.id: Node(each.id, each.verdict.outcome, each.beyond) for each in chased.found}
    settled = settle(nodes, edges)
    groups = _groups(claim, chased, settled)
    tally = Tally(
        cites=any(not each.further_reading for each in claim.citations),
        outcomes={each: found.outcome for each, found in settled.items()},
        roots=len(groups),
    )
    rating, because = rate(tally)
    sources = tuple(_source(each, settled[each.id]) for each in chased.found)
    on_trail = [OnTrail(CLAIM, page.reading)]
    on_trail += [OnTrail(each.id, each.reading, each.verdict.conditions) for each in chased.found]
    safe = never_safe(claim)
    audit = Audit(
        claim=claim,
        rating=rating,
        reasons=(because, *([safe] if safe else ()), *_reasons(claim, chased, settled)),
        cautions=cautions_for(claim, sources, on_trail, hazards or load_hazards()),
        sources=sources,
        trail=_trail(claim, page, chased, edges),
        root_groups=groups,
        audited_at=_iso(now() if now else datetime.now(UTC)),
        notes=(*notes, *chased.notes, *([safe] if safe else ())),
    )
    keeper.finish(audit)
    return audit


def _groups(claim: Claim, chased: Chased, settled: Mapping[str, Settled]) -> tuple[tuple[str, ...], ...]:
    """The independent groups of those roots that support the claim."""
    ends = set(supporting_roots(settled))
    roots = []
    for each in chased.found:
        if each.id in ends:
            archived = each.copy.fetched is not None and each.copy.fetched.archived
            cited = original_address(each.work.url) or each.work.url
            urls = (cited,) if archived else (cited, each.copy.final_url)
            quotes = tuple(said.quote for said in each.verdict.affirming[:_MOST_QUOTES])
            works = (each.work.citation, each.own) if each.own else (each.work.citation,)
            roots.append(Root(each.id, urls, works, quotes, each.sketch))
    return independent_groups(roots, registrable_domain)


def _source(found: Found, settled: Settled) -> Source:
    return replace(source_of(found, settled.outcome), grounds=settled.grounds)


def _trail(claim: Claim, page: Page, chased: Chased, edges: list[tuple[str, str]]) -> tuple[Step, ...]:
    """Every edge with its shift. What is followed are statements of the claim's own wording."""
    best = {each.id: best_wording(each.reading.statements, claim.wording) for each in chased.found}
    best[CLAIM] = claim.wording
    return tuple(Step(origin, target, shift(claim.wording, best[target], claim.wording)) for origin, target in edges)


def _reasons(claim: Claim, chased: Chased, settled: Mapping[str, Settled]) -> tuple[str, ...]:
    """The named reasons of every source, those that speak against the claim first."""
    found = []
    for each in sorted(chased.found, key=lambda each: _ORDER.index(settled[each.id].outcome)):
        for why in _reasons_of(each, settled[each.id], claim):
            found.append(str(replace(why, source=each.id)))
    return tuple(found)


def _reasons_of(found: Found, settled: Settled, claim: Claim) -> tuple[Reason, ...]:
    if settled.outcome is found.verdict.outcome:
        return found.verdict.reasons
    name = "leads-back" if settled.outcome is Outcome.CIRCULAR else "not-borne-out"
    return reason(name, wording=claim.wording.value), *found.verdict.reasons


def _iso(moment: datetime) -> str:
    """ISO 8601 in UTC: 2026-11-25T09:30:00Z."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
