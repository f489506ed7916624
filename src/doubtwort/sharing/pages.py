"""The pages behind an audit, read again from the bytes that the notebook keeps. Fetches nothing."""

from __future__ import annotations

from collections.abc import Callable

from doubtwort.model import Audit, Document, Fetched, Fetcher, Source
from doubtwort.notebook.kept import KeptFetcher
from doubtwort.notebook.store import Store
from doubtwort.reading import read
from doubtwort.settings import Settings


def pages_of(store: Store) -> Callable[[Source], Document | None]:
    """Gives the page of a source as it was audited: only these very bytes will do."""
    fetcher = KeptFetcher(store)

    def page_of(source: Source) -> Document | None:
        archived = source.citation.archived_url if source.citation else ""
        for url in dict.fromkeys(each for each in (source.url, source.final_url, archived) if each):
            if document := _document(fetcher, url, source.sha256):
                return document
        return None

    return page_of


def page_of_claim(store: Store, audit: Audit) -> Document | None:
    """The claim's own page as it was fetched last."""
    return _document(KeptFetcher(store), audit.claim.url, "") if audit.claim.url else None


def _document(fetcher: Fetcher, url: str, sha256: str) -> Document | None:
    """The page as kept, read again; with a hash, only if these are the very bytes that were audited."""
    kept = fetcher.fetch(url)
    if not isinstance(kept, Fetched) or (sha256 and kept.sha256 != sha256):
        return None
    document = read(kept, Settings())
    return document if isinstance(document, Document) else None
