"""One render-neutral view of an audit: what to show, in which order, in words. Every writer starts from it.

Order: danger, the claim in its own words, rating and reasons, sources, trail, what was not read, cautions.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from doubtwort.model import (
    About,
    Audit,
    Caution,
    Claim,
    Eater,
    Outcome,
    Rating,
    Shift,
    Source,
    Step,
    Wording,
)
from doubtwort.reporting.context import CLAIM_KEY, Contexts
from doubtwort.reporting.links import link_address, sentence_link
from doubtwort.reporting.quotes import Quote, is_toxic, quote_of, says_of_taxon
from doubtwort.reporting.settle import settles
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.words import (
    ABOUT_SAYS,
    GROUNDS_SAYS,
    OUTCOME_SAYS,
    RATING_SAYS,
    SHIFT_SAYS,
    UNREAD_SAYS,
)
from doubtwort.support.ladder import LadderRung, ladders

DANGEROUS_CODES = ("toxic-stated", "listed-poisonous", "look-alike", "condition-dropped")
# What belongs to this one claim. Every other code stands in the published list of cautions that hold for all eating.
_OF_THE_CLAIM = (
    *DANGEROUS_CODES,
    "ambiguous-common-name",
    "toxic-to-animals",
    "contact-irritant",
    "sources-unread",
    "own-word-only",
)
_ALARMING = (Rating.CONTRADICTED, Rating.DISPUTED)
_OPPOSITE = (Wording.TOXIC, Wording.INEDIBLE)
_NO_CONTEXTS: Contexts = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Danger:
    """A warning shown before all else: one sentence, and the quote and source behind it where there is one, or the
    published work (``cited``) that it is known from."""

    text: str
    quote: Quote | None = None
    source_id: str = ""
    source_title: str = ""
    cited: str = ""


@dataclass(frozen=True, slots=True)
class SourceView:
    """One source. ``told`` is the outcome in a clause; ``unread`` the reason in a clause, "" when it was read.

    ``says`` are the wordings that it has for the taxon; ``link`` and ``archive`` are addresses fit for links, or "".
    """

    id: str
    title: str
    url: str
    moved_to: str
    outcome: str
    told: str
    unread: str
    grounds: str
    main_subject: str
    fetched_at: str
    archived: bool
    quotes: tuple[Quote, ...]
    says: tuple[str, ...] = ()
    cited_by: tuple[str, ...] = ()
    cited_as: str = ""
    sha256: str = ""
    link: str = ""
    archive: str = ""


@dataclass(frozen=True, slots=True)
class Edge:
    """One step of the trail as the picture draws it. ``shift`` is its word or "", ``said`` the clause that explains."""

    origin: str
    target: str
    shift: str
    said: str


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of the trail with the steps below it. ``again``: the source was shown further up already."""

    source_id: str
    title: str
    outcome: str
    shift: str
    again: bool
    below: tuple[Rung, ...] = ()


@dataclass(frozen=True, slots=True)
class AuditView:
    """An audit as shown. ``sources`` were read; ``unread`` were not. ``ladders``: see ``support.ladder``."""

    claim_id: str
    taxon: str
    common_names: tuple[str, ...]
    wording: str
    conditions: tuple[str, ...]
    claim_quote: str
    claim_url: str
    dangers: tuple[Danger, ...]
    rating: str
    rating_says: str
    alarming: bool
    reasons: tuple[str, ...]
    sources: tuple[SourceView, ...]
    unread: tuple[SourceView, ...]
    trail: tuple[Rung, ...]
    roots: tuple[tuple[str, ...], ...]
    cautions: tuple[Caution, ...]
    standing: tuple[Caution, ...]
    notes: tuple[str, ...]
    audited_at: str
    edges: tuple[Edge, ...] = ()
    settles: tuple[str, ...] = ()
    claim_before: str = ""
    claim_after: str = ""
    claim_link: str = ""
    ladders: tuple[tuple[LadderRung, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class ClaimLine:
    """One claim of a list. ``rating`` is "not audited" when no audit of it was finished."""

    id: str
    heading: str
    rating: str
    rated_at: str
    quote: str
    url: str


def view_claim(
    claim_id: str, taxon: str, wording: Wording, rating: Rating | None, rated_at: str, quote: str, url: str
) -> ClaimLine:
    """A claim as a list shows it."""
    return ClaimLine(
        claim_id, f"{taxon}: {wording.value}", rating.value if rating else "not audited", rated_at, quote, url
    )


def view_audit(audit: Audit, contexts: Contexts = _NO_CONTEXTS) -> AuditView:
    """Everything that a writer needs, in the order in which it is shown. ``contexts``: see ``context.contexts_of``."""
    claim = audit.claim
    shown = tuple(each for each in audit.cautions if each.code in _OF_THE_CLAIM)
    dangers = _dangers(audit, shown, contexts)
    by_id = {source.id: source for source in audit.sources}
    before, after = contexts.get(CLAIM_KEY, ("", ""))
    return AuditView(
        claim_id=claim.id,
        taxon=claim.taxon.scientific_name,
        common_names=claim.taxon.common_names,
        wording=claim.wording.value,
        conditions=(*claim.parts, *claim.preparations, *claim.stages),
        claim_quote=claim.quote,
        claim_url=claim.url,
        dangers=dangers,
        rating=audit.rating.value,
        rating_says=RATING_SAYS[audit.rating],
        alarming=audit.rating in _ALARMING,
        reasons=audit.reasons,
        sources=tuple(_source(each, claim, contexts) for each in audit.sources if each.outcome is not Outcome.UNREAD),
        unread=tuple(_source(each, claim, contexts) for each in audit.sources if each.outcome is Outcome.UNREAD),
        trail=_ladder(audit.trail, by_id),
        roots=audit.root_groups,
        cautions=tuple(each for each in shown if each.code not in DANGEROUS_CODES),
        standing=standing_of(audit),
        notes=tuple(each for each in audit.notes if each not in audit.reasons),
        audited_at=audit.audited_at,
        edges=tuple(
            Edge(step.origin, step.target, step.shift.value if step.shift else "", _shift(step, by_id.get(step.target)))
            for step in audit.trail
        ),
        settles=settles(audit),
        claim_before=before,
        claim_after=after,
        claim_link=sentence_link(claim.url, claim.quote),
        ladders=ladders(audit),
    )


def standing_of(audit: Audit) -> tuple[Caution, ...]:
    """The standing cautions of today, and those that came with the audit beside them, none twice."""
    kept = [each for each in audit.cautions if each.code not in _OF_THE_CLAIM]
    return standing_cautions(audit.claim.wording, kept)


def all_cautions(audit: Audit) -> tuple[Caution, ...]:
    """The cautions of this claim, danger first as the audit gives them, and then the standing ones."""
    return (*(each for each in audit.cautions if each.code in _OF_THE_CLAIM), *standing_of(audit))


def _dangers(audit: Audit, cautions: tuple[Caution, ...], contexts: Contexts) -> tuple[Danger, ...]:
    """Statements against the claim first, then other toxic statements, then cautions of the dangerous kinds."""
    claim = audit.claim
    against: list[Danger] = []
    beside: list[Danger] = []
    quoted: set[str] = set()
    for source in audit.sources:
        opposes = source.outcome in (Outcome.CONTRADICTS, Outcome.MIXED)
        for statement in source.statements:
            opposite = (
                opposes
                and claim.wording in (Wording.EDIBLE, Wording.NON_TOXIC, Wording.UNPALATABLE)
                and statement.wording in _OPPOSITE
                and statement.about is About.TAXON
                and statement.eater is Eater.PEOPLE
            )
            if not (opposite or is_toxic(statement)):
                continue
            quote = quote_of(
                statement, claim.taxon, _address(source), contexts.get((source.id, statement.quote), ("", ""))
            )
            danger = Danger(_warning(quote, source.id), quote, source.id, _title(source))
            (against if opposite else beside).append(danger)
            quoted.add(source.id)
    on_trail = {"claim", *(source.id for source in audit.sources)}
    rest = [
        Danger(each.text, source_id=each.source) if each.source in on_trail else Danger(each.text, cited=each.source)
        for each in cautions
        if each.code in DANGEROUS_CODES and not (each.code == "toxic-stated" and each.source in quoted)
    ]
    return (*against, *beside, *rest)


def _warning(quote: Quote, source_id: str) -> str:
    """Such as "Poisonous (root, raw), says s2 of this taxon."."""
    said = "Poisonous" if quote.dangerous else "Not edible"
    conditions = f" ({', '.join(quote.conditions)})" if quote.conditions else ""
    about = "a taxon left unclear" if quote.about == ABOUT_SAYS[About.UNCLEAR] else quote.about
    return f"{said}{conditions}, says {source_id} of {about}."


def _source(source: Source, claim: Claim, contexts: Contexts) -> SourceView:
    unread = ""
    if source.reason is not None:
        unread = f"{source.reason.value}: {UNREAD_SAYS[source.reason]}"
        if source.detail:
            unread += f" ({source.detail})"
    return SourceView(
        id=source.id,
        title=_title(source),
        url=source.url,
        moved_to=source.final_url if source.final_url != source.url else "",
        outcome=source.outcome.value,
        told=OUTCOME_SAYS[source.outcome],
        unread=unread,
        grounds=GROUNDS_SAYS[source.grounds] if source.grounds else "",
        main_subject=source.main_subject,
        fetched_at=source.fetched_at,
        archived=source.archived,
        quotes=tuple(
            quote_of(each, claim.taxon, _address(source), contexts.get((source.id, each.quote), ("", "")))
            for each in source.statements
        ),
        says=says_of_taxon(source.statements),
        cited_by=source.cited_by,
        cited_as=source.citation.text if source.citation else "",
        sha256=source.sha256,
        link=link_address(_address(source)),
        archive=_archive(source),
    )


def _address(source: Source) -> str:
    return source.final_url or source.url


def _archive(source: Source) -> str:
    """The archived copy that was read, else the one that the citation names."""
    if source.archived:
        return link_address(source.final_url)
    return link_address(source.citation.archived_url) if source.citation else ""


def _shift(step: Step, source: Source | None) -> str:
    if step.shift is None:
        return ""
    if step.shift is Shift.STRENGTHENED and source is not None and source.outcome is Outcome.CONTRADICTS:
        return "strengthened: cited for the opposite of what it says"
    return SHIFT_SAYS[step.shift]


def _title(source: Source) -> str:
    """The source's own title, else how it is cited; a bare mark such as "[1]" says less than the address."""
    cited = source.citation.text if source.citation else ""
    return source.title or (cited if sum(each.isalpha() for each in cited) > 2 else "") or source.url or cited


def _ladder(trail: tuple[Step, ...], sources: dict[str, Source]) -> tuple[Rung, ...]:
    """The trail as a tree that starts at the claim; a source is opened only where it comes first."""
    below: dict[str, list[Step]] = {}
    for step in trail:
        below.setdefault(step.origin, []).append(step)
    opened: set[str] = set()

    def rungs(origin: str) -> tuple[Rung, ...]:
        made = []
        for step in below.get(origin, []):
            again = step.target in opened or step.target == "claim"
            opened.add(step.target)
            source = sources.get(step.target)
            made.append(
                Rung(
                    source_id=step.target,
                    title=_title(source)
                    if source
                    else ("back to the claim's own page" if step.target == "claim" else ""),
                    outcome=source.outcome.value if source else "",
                    shift=_shift(step, source),
                    again=again,
                    below=() if again else rungs(step.target),
                )
            )
        return tuple(made)

    return rungs("claim")
