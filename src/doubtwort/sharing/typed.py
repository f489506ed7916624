"""What a person types for a page, a source or a claim: checked, and given the id by which it is known again."""

from __future__ import annotations

from hashlib import sha256
from urllib.parse import urlsplit

from doubtwort.citing import doi_url, normalise_doi, normalise_isbn
from doubtwort.citing.citations import citation_from
from doubtwort.citing.intake import claim_id
from doubtwort.errors import CallError
from doubtwort.model import Citation, Claim
from doubtwort.notebook.claims_by_hand import Origin
from doubtwort.text import one_line


def page_address(typed: str) -> str:
    """An http or https address, as typed.

    >>> page_address("herb.example/fictwort")
    Traceback (most recent call last):
    doubtwort.errors.CallError: herb.example/fictwort is not a web address. Give one that starts with http:// or https://.
    """
    address = typed.strip()
    try:
        parts = urlsplit(address)
        good = parts.scheme.lower() in ("http", "https") and bool(parts.hostname)
    except ValueError:
        good = False
    if not good:
        raise CallError(f"{one_line(typed, 200)} is not a web address. Give one that starts with http:// or https://.")
    return address


def citation_from_user(key: str, typed: str) -> Citation:
    """A source as a person gives it: an address, a DOI, an ISBN, or any text that may hold them.

    >>> citation_from_user("1", "0-306-40615-2").isbn, citation_from_user("2", "10.1000/182").doi
    ('9780306406157', '10.1000/182')
    """
    said = typed.strip()
    if not said:
        raise CallError("A source is empty. Give an address, a DOI, an ISBN or a reference.")
    if normalise_isbn(said):
        return citation_from(key, f"ISBN {said}")
    doi = normalise_doi(said)
    return citation_from(key, said, (doi_url(doi),) if doi and "://" not in said else ())


def label_of(claim: Claim, origin: Origin) -> str:
    """As for a page's claim where there is an address; else from what was said, and where."""
    if claim.url:
        return claim_id(claim.url, claim.taxon, claim.wording, claim.parts, claim.preparations)
    fields = (
        claim.taxon.scientific_name.lower(), claim.wording.value, ",".join(claim.parts), ",".join(claim.preparations),
        " ".join(claim.quote.split()).lower(), origin.medium.value, origin.work.lower(), origin.locator.lower(),
    )  # fmt: skip
    return "c" + sha256("\n".join(fields).encode("utf-8", "replace")).hexdigest()[:12]
