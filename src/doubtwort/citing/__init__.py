"""Citing: identifiers and addresses of works, references in a text, and a page's claim with what it cites."""

from doubtwort.citing.identifiers import (
    Identifier,
    IdentifierKind,
    doi_url,
    find_identifiers,
    handle_url,
    normalise_doi,
    normalise_isbn,
    normalise_issn,
    pmid_url,
)
from doubtwort.citing.urls import canonical_url, host_of, registrable_domain, resolve, web_address

__all__ = [
    "Identifier",
    "IdentifierKind",
    "canonical_url",
    "doi_url",
    "find_identifiers",
    "handle_url",
    "host_of",
    "normalise_doi",
    "normalise_isbn",
    "normalise_issn",
    "pmid_url",
    "registrable_domain",
    "resolve",
    "web_address",
]
