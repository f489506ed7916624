"""Fetching: gets the bytes of an address politely and within bounds, or says in a typed reason why not."""

from __future__ import annotations

from pathlib import Path

from doubtwort.fetching.addresses import WebAddress, addresses_to_try
from doubtwort.fetching.landing import original_address, same_page_addresses
from doubtwort.fetching.politeness import Clock
from doubtwort.fetching.retrieve import WebFetcher, fetch_cited, fetch_work
from doubtwort.settings import Settings

__all__ = [
    "Clock",
    "WebAddress",
    "WebFetcher",
    "addresses_to_try",
    "fetch_cited",
    "fetch_work",
    "open_fetcher",
    "original_address",
    "same_page_addresses",
]


def open_fetcher(settings: Settings, cache: Path | None = None, *, clock: Clock | None = None) -> WebFetcher:
    """A fetcher for the live web, to be used in a ``with`` block.

    ``cache`` is the SQLite file where pages are kept between runs, None to keep them in memory for this run.
    Raises ``DoubtwortError`` when that file cannot be used.
    """
    return WebFetcher(settings, cache, clock)
