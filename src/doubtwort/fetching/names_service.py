"""Asks a public names service about one name, or answers from what it said before.

The service answers by the species API, version 1, of the Global Biodiversity Information Facility: match, usage,
synonyms, vernacularNames and search, described at techdocs.gbif.org/en/openapi/v1/species; paging and the errors that
stand for "too many requests" at techdocs.gbif.org/en/openapi. It goes through the fetcher like any page: robots.txt,
pauses, limits, private addresses. Answers are used again for ``Settings.names_days``, as its guidelines ask, so that
the same question is asked once.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self, TypeVar
from urllib.parse import quote, urlencode

from doubtwort.citing.urls import split_reference, web_address
from doubtwort.errors import CallError, ManyTaxa, NamesUnread, NameUnknown, NotAsked
from doubtwort.fetching.politeness import Clock
from doubtwort.fetching.retrieve import WebFetcher
from doubtwort.model import Fetched, UnreadReason
from doubtwort.settings import Settings
from doubtwort.taxa.lexicon import key as spelled
from doubtwort.taxa.usages import (
    LookedUp,
    Match,
    Unreadable,
    Usage,
    VernacularName,
    read_match,
    read_page,
    read_usage,
    usage_of,
    vernacular_names,
)
from doubtwort.text import one_line

# The key of the backbone, in which the other calls look too (Constants.NUB_DATASET_KEY of the Java API).
BACKBONE: Final = "d7dddbf4-2cf0-4f39-9b2a-bb099caae36c"
PAGE: Final = 100  # entries asked for at once
_MOST_BYTES: Final = 2_000_000  # of one answer
_SECONDS: Final = 30.0  # for one answer
_ALL_SECONDS: Final = 120.0  # after which no further page is asked for
_MOST_STEPS: Final = 3  # from a synonym to its accepted name
_MOST_TOLD: Final = 6  # of several taxa to choose from
_WHERE: Final = "Check the address of the names service (--service)."
_NOT_KEPT: Final = "offline, and not kept"
T = TypeVar("T")


class NamesService:
    """A names service, for use in a ``with`` block. Unless ``ask`` is set, only kept answers are given."""

    def __init__(
        self, settings: Settings, cache: Path, *, ask: bool, refresh: bool = False, clock: Clock | None = None
    ) -> None:
        address = web_address(settings.names_service)
        if not address or split_reference(address).query is not None:
            raise CallError(
                f"{one_line(settings.names_service, 200)} is no address of a names service. Give an http or https one "
                "without a query."
            )
        self.address, self._clock, self._refresh = address.rstrip("/"), clock or Clock(), refresh and ask
        self._settings = replace(
            settings, names_service=address, accept="application/json", max_body=min(settings.max_body, _MOST_BYTES),
            total_timeout=min(settings.total_timeout, _SECONDS), memento_gate="", offline=not ask, revalidate=ask,
        )  # fmt: skip
        self._cache, self._ask = cache, ask
        self._stack = ExitStack()
        self._oldest, self._from_cache = "", True
        self._until = time.monotonic() + _ALL_SECONDS

    def __enter__(self) -> Self:
        kept = replace(self._settings, offline=True)
        self._kept = self._stack.enter_context(WebFetcher(kept, self._cache, self._clock))
        self._live = self._stack.enter_context(WebFetcher(self._settings, self._cache, self._clock))
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stack.close()

    def look_up(self, name: str, *, key: int = 0, kingdom: str = "") -> LookedUp:
        """All that the service says of a scientific name without its author, or of the taxon with this key.

        ``ManyTaxa`` when several taxa bear the name, ``NameUnknown`` when none does.
        """
        match = None if key else self.match(name, kingdom)
        usage = self.usage(key) if match is None else self._in_full(_meant(name, match))
        accepted = self._accepted(usage)
        synonyms, more_synonyms = self._listed(f"/species/{accepted.key}/synonyms", _usages)
        common, more_common = self._listed(f"/species/{accepted.key}/vernacularNames", vernacular_names)
        left_off = [name for name, more in (("synonyms", more_synonyms), ("vernacular names", more_common)) if more]
        return LookedUp(
            name, match, usage, accepted, _once(synonyms, accepted), _each_once(common),
            f"{self.address}/species/{accepted.key}", self._oldest, self._from_cache, tuple(left_off),
        )  # fmt: skip

    def match(self, name: str, kingdom: str = "") -> Match:
        """/species/match: never a taxon of a higher rank, with the alternatives that were considered."""
        asked = {"name": name, "strict": "true", "verbose": "true"} | ({"kingdom": kingdom} if kingdom else {})
        return self._answer("/species/match", asked, read_match)

    def usage(self, key: int) -> Usage:
        """/species/{key}"""
        return self._answer(f"/species/{key}", {}, lambda body: read_usage(body, key))

    def bearers(self, common_name: str) -> tuple[Usage, ...]:
        """The taxa that bear a common name, one usage each: /species/search among the vernacular names."""
        asked = {"q": common_name, "qField": "VERNACULAR", "datasetKey": BACKBONE, "limit": str(PAGE)}
        page = self._answer("/species/search", asked, read_page)
        wanted, found = spelled(common_name), dict[int, Usage]()
        for each in _usages(list(page.items)):
            if any(spelled(said.name) == wanted for said in each.vernacular_names):
                found.setdefault(each.concept, each)
        return tuple(found.values())

    # ----------------------------------------------------------------------- one question

    def _answer(self, path: str, asked: dict[str, str], read: Callable[[bytes], T]) -> T:
        url = f"{self.address}{path}" + (f"?{urlencode(asked, quote_via=quote)}" if asked else "")
        if not self._refresh:
            kept = self._kept.fetch(url)
            if isinstance(kept, Fetched) and (not self._ask or self._is_recent(kept.fetched_at)):
                try:
                    return self._noted(kept, read, from_cache=True)
                except Unreadable as error:
                    if not self._ask:
                        raise _not_understood(url, error) from error
        got = self._live.fetch(url)
        if not isinstance(got, Fetched):
            if not self._ask and got.detail == _NOT_KEPT:
                raise NotAsked(
                    f"Nothing is kept of this question, and {self.address} was not asked. To ask it: --ask, or "
                    "--service with its address."
                )
            advice = _WHERE if got.reason in (UnreadReason.NOT_FOUND, UnreadReason.GONE) else _advice(got.reason)
            raise NamesUnread(url, got.reason.value, got.detail, advice)
        try:
            return self._noted(got, read, from_cache=False)
        except Unreadable as error:
            raise _not_understood(url, error) from error

    def _noted(self, got: Fetched, read: Callable[[bytes], T], *, from_cache: bool) -> T:
        value = read(got.body)
        self._oldest = min(self._oldest or got.fetched_at, got.fetched_at)
        self._from_cache = self._from_cache and from_cache
        return value

    def _is_recent(self, moment: str) -> bool:
        age = self._clock.now() - datetime.fromisoformat(moment).astimezone(UTC)
        return timedelta(0) <= age + timedelta(minutes=5) and age <= timedelta(days=self._settings.names_days)

    # ----------------------------------------------------------------------- several questions

    def _in_full(self, usage: Usage) -> Usage:
        """A match calls every kind of synonym SYNONYM; only the usage itself tells a misapplied name."""
        return self.usage(usage.key) if usage.is_synonym else usage

    def _accepted(self, usage: Usage) -> Usage:
        """The accepted name of a usage, in at most three steps."""
        key, seen = usage.concept, set[int]()
        while key not in seen and len(seen) < _MOST_STEPS:
            seen.add(key)
            found = self.usage(key)
            if not found.is_synonym:
                return found
            key = found.accepted_key
            if not key:
                break
        raise NameUnknown(
            f"The names service calls {one_line(usage.scientific_name, 80)} a synonym and leads to no accepted name."
        )

    def _listed(self, path: str, read: Callable[[list[dict[str, Any]]], tuple[T, ...]]) -> tuple[tuple[T, ...], bool]:
        """The entries of a paged list, and whether it goes on. A page without anything new ends it."""
        found: dict[T, None] = {}
        offset = 0
        for number in range(self._settings.names_pages):
            if number and time.monotonic() > self._until:
                break
            page = self._answer(path, {"limit": str(PAGE), "offset": str(offset)}, read_page)
            before = len(found)
            found.update(dict.fromkeys(read(list(page.items))))
            offset += page.received
            said_last = page.received < PAGE if page.last is None else page.last
            if said_last or not page.received:
                return tuple(found), False
            if len(found) == before:
                return tuple(found), True
        return tuple(found), True


def _meant(name: str, match: Match) -> Usage:
    """The usage that a match is about; the user has to say which where several taxa bear the name."""
    if match.found and match.usage is not None:
        return match.usage
    same = {each.concept: each for each in match.alternatives if each.name == name}
    if same:
        raise many(name, tuple(same.values()))
    near = ", ".join(dict.fromkeys(one_line(each.scientific_name, 60) for each in match.alternatives[:3]))
    advice = f"It considered: {near}." if near else "Check the spelling; a common name is written with small letters."
    raise NameUnknown(f"The names service knows no {one_line(name, 80)} ({match.match_type}). {advice}")


def many(name: str, usages: tuple[Usage, ...]) -> ManyTaxa:
    """The user has to say which of these a name means; of a long list, the first are told."""
    first = usages[:_MOST_TOLD]
    more = f"{len(usages) - len(first)} more bear it. " if len(usages) > len(first) else ""
    keys = tuple(each.key for each in first)
    return ManyTaxa(
        one_line(name, 60), tuple(told(each) for each in first), f"{more}Say which: --key with its number.", keys
    )


def told(usage: Usage) -> str:
    """A usage as one of several to choose from.

    >>> told(Usage(7, "Fictaria silvana L.", kingdom="Plantae", family="Fictariaceae", taxonomic_status="ACCEPTED"))
    'Fictaria silvana L. (accepted, Fictariaceae, Plantae, key 7)'
    """
    status = usage.taxonomic_status.replace("_", " ").lower()
    facts = (status, one_line(usage.family, 20), one_line(usage.kingdom, 20), f"key {usage.key}")
    return f"{one_line(usage.scientific_name, 50)} ({', '.join(each for each in facts if each)})"


def _usages(items: list[dict[str, Any]]) -> tuple[Usage, ...]:
    return tuple(each for each in map(usage_of, items) if each is not None)


def _once(synonyms: tuple[Usage, ...], accepted: Usage) -> tuple[Usage, ...]:
    found = {each.key: each for each in synonyms if each.key != accepted.key}
    return tuple(found.values())


def _each_once(names: tuple[VernacularName, ...]) -> tuple[VernacularName, ...]:
    return tuple({(each.name.casefold(), each.language): each for each in reversed(names)}.values())[::-1]


def _not_understood(url: str, error: Unreadable) -> NamesUnread:
    return NamesUnread(url, "not understood", str(error), _WHERE)


def _advice(reason: UnreadReason) -> str:
    if reason is UnreadReason.ADDRESS_NOT_ALLOWED:
        return "Private addresses need --allow-private."
    return "Try again later."
