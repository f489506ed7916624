"""Audits as ``ClaimReview`` in JSON-LD (schema.org/ClaimReview): who claimed what where, and how far it is borne out.

The rating is a word (``alternateName``); there is no ``ratingValue``, since there is no number. ``firstAppearance`` is
left out: where a claim was met is an ``appearance``, and nobody knows that it is the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, TextIO
from urllib.parse import urljoin

from doubtwort.model import Audit, Claim, Source
from doubtwort.notebook.claims_by_hand import Medium, Origin
from doubtwort.notebook.notebook import Notebook
from doubtwort.reporting.links import link_address
from doubtwort.reporting.listing import report_file
from doubtwort.reporting.words import OUTCOME_SAYS, RATING_SAYS
from doubtwort.sharing.gather import Told, told
from doubtwort.sharing.linked import urn, write_array
from doubtwort.sharing.warnings import REMEMBER, standing

AUTHOR: Final = "the keeper of this notebook"
_TYPES: Final = {
    Medium.PAGE: "WebPage",
    Medium.BOOK: "Book",
    Medium.PAPER: "ScholarlyArticle",
    Medium.VIDEO: "VideoObject",
}


def write_claim_reviews(notebook: Notebook, out: TextIO, *, author: str = AUTHOR, base_url: str = "") -> int:
    """One review for each audited claim; gives how many. ``author`` is who reviewed; with ``base_url``, the address
    under which the folder of reports is published, each review names its page."""
    head = {
        "@context": "https://schema.org",
        "@type": "ItemList",
        "name": "Reviews of claims about eating plants and fungi",
        "description": REMEMBER,
        "disambiguatingDescription": " ".join(each.text for each in standing()),
    }
    return write_array(out, head, "itemListElement", _reviews(notebook, author, base_url))


def _reviews(notebook: Notebook, author: str, base_url: str) -> Iterator[dict[str, Any]]:
    for each in told(notebook):
        if each.audit is not None:
            yield review(each, each.audit, author, base_url)


def review(each: Told, audit: Audit, author: str = AUTHOR, base_url: str = "") -> dict[str, Any]:
    """One claim's latest audit as a ``ClaimReview``."""
    claim = audit.claim
    found: dict[str, Any] = {
        "@type": "ClaimReview",
        "@id": urn("review", claim.id),
        "claimReviewed": claim_in_words(claim),
        "datePublished": (audit.audited_at or each.rated_at)[:10],
        "author": {"@type": "Person", "name": author},
        "reviewRating": {
            "@type": "Rating",
            "alternateName": audit.rating.value,
            "ratingExplanation": f"{RATING_SAYS[audit.rating]} {REMEMBER}",
        },
        "reviewBody": " ".join(_body(each, audit)),
        "itemReviewed": _item(claim, each.origin),
        "comment": [{"@type": "Comment", "name": code, "text": text} for code, text in _comments(each, audit)],
        "citation": [_source(source) for source in audit.sources],
    }
    if page := link_address(urljoin(f"{base_url.rstrip('/')}/", report_file(claim.id))) if base_url else "":
        found["url"] = page
    return found


def _body(each: Told, audit: Audit) -> dict[str, None]:
    """Sentences, none twice: what warns, why it is rated so, all else."""
    warned = (one.text for one in each.dangers)
    return dict.fromkeys((*warned, *audit.reasons, *(caution.text for caution in audit.cautions), REMEMBER))


def _comments(each: Told, audit: Audit) -> dict[tuple[str, str], None]:
    """(code, text) of every warning, none twice."""
    cautions = (*audit.cautions, *standing(audit.claim.wording))
    said = [*((one.code, one.text) for one in each.dangers), *((one.code, one.text) for one in cautions)]
    return dict.fromkeys(said)


def claim_in_words(claim: Claim) -> str:
    """The claim in one sentence, with the words in which it was made.

    >>> from doubtwort.model import Taxon, Wording
    >>> claim_in_words(Claim("c1", Taxon("Fictaria silvana"), Wording.EDIBLE, "Eat it.", "", ("leaf",), ("raw",)))
    'Claimed of Fictaria silvana (leaf, raw): edible. “Eat it.”'
    """
    limits = ", ".join((*claim.parts, *claim.preparations, *claim.stages))
    of = f"{claim.taxon.scientific_name} ({limits})" if limits else claim.taxon.scientific_name
    return f"Claimed of {of}: {claim.wording.value}. “{claim.quote}”"


def _item(claim: Claim, origin: Origin | None) -> dict[str, Any]:
    work: dict[str, Any] = {"@type": _TYPES.get(origin.medium, "CreativeWork") if origin else "WebPage"}
    if address := link_address(claim.url):
        work["url"] = address
    if origin and origin.work:
        work["name"] = origin.work
    item: dict[str, Any] = {
        "@type": "Claim",
        "@id": urn("claim", claim.id),
        "text": claim.quote,
        "about": {"@type": "Thing", "name": claim.taxon.scientific_name},
    }
    if claim.taxon.common_names:
        item["about"]["alternateName"] = list(claim.taxon.common_names)
    if len(work) > 1:
        item["appearance"] = work
    return item


def _source(source: Source) -> dict[str, Any]:
    found: dict[str, Any] = {"@type": "CreativeWork", "name": source.title or source.id}
    if address := link_address(source.url):
        found["url"] = address
    outcome = OUTCOME_SAYS[source.outcome]
    quotes = [f"“{each.quote}” ({each.wording.value})" for each in source.statements]
    found["description"] = "; ".join([f"{source.id}: {source.outcome.value}, {outcome}", *quotes])
    return found
