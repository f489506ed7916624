"""Cited works: which citations mean the same one, and the addresses at which it may be read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from doubtwort.citing.identifiers import IdentifierKind, find_identifiers, normalise_doi
from doubtwort.citing.urls import canonical_url
from doubtwort.fetching.addresses import WebAddress, addresses_to_try
from doubtwort.fetching.landing import original_address
from doubtwort.model import Citation
from doubtwort.support.copies import words


@dataclass(frozen=True, slots=True)
class Work:
    """``keys`` name the work; two works that share one are the same. ``addresses`` are tried in order."""

    citation: Citation
    keys: frozenset[str]
    addresses: tuple[WebAddress, ...]

    @property
    def url(self) -> str:
        """The address under which the work is cited, "" for one without a link."""
        return self.addresses[0].url if self.addresses else ""


def page_key(url: str) -> str:
    """One key for one page, whether cited by http or https, live or as a kept copy; "" for no web address.

    >>> page_key("https://herb.example/x#top"), page_key("http://kept.example/20190503120000/http://herb.example/x")
    ('page:herb.example/x', 'page:herb.example/x')
    """
    canonical = canonical_url(original_address(url) or url)
    return f"page:{canonical.partition('://')[2]}" if canonical else ""


def _records(url: str) -> Iterator[tuple[str, str]]:
    """What an address names by itself: a PubMed record, a handle."""
    for each in find_identifiers(url):
        if each.kind in (IdentifierKind.PMID, IdentifierKind.HANDLE):
            yield each.kind.value, each.value.lower()


def through_resolver(url: str, resolvers: Mapping[str, str] | None) -> str:
    """The address to ask for: that of another resolver where one is set.

    >>> through_resolver("https://doi.org/10.1000/182", {"https://doi.org/": "http://127.0.0.1:8000/"})
    'http://127.0.0.1:8000/10.1000/182'
    """
    for public, other in (resolvers or {}).items():
        if url.startswith(public):
            return other + url[len(public) :]
    return url


def work_of(citation: Citation) -> Work:
    """The work that a citation means.

    >>> sorted(work_of(Citation("r1", "Muster 1999.", doi="10.5555/12345")).keys)
    ['doi:10.5555/12345', 'page:doi.org/10.5555/12345']
    """
    addresses = addresses_to_try(citation)
    doi = normalise_doi(citation.doi) or next((found for url in citation.urls if (found := normalise_doi(url))), "")
    keys = {f"doi:{doi}"} if doi else set()
    keys |= {f"{kind}:{value}" for url in citation.urls for kind, value in _records(url)}
    keys |= {page_key(each.url) for each in addresses[:1]}
    if not keys:
        keys.add(f"isbn:{citation.isbn}" if citation.isbn else f"text:{' '.join(words(citation.text, 200))}")
    return Work(citation, frozenset(keys), addresses)
