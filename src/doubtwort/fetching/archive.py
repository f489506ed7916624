"""Kept copies of pages that are gone, through the Memento protocol (RFC 7089).

A TimeGate is asked for the copy nearest to a moment; where it gives none that can be read, the TimeMap that it names
tells of others. Words of the RFC: original resource, TimeGate, memento, TimeMap.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import format_datetime
from urllib.parse import quote

from doubtwort.citing.urls import canonical_url, resolve, web_address
from doubtwort.fetching.freshness import http_date
from doubtwort.fetching.links import Link, links
from doubtwort.model import Fetched, NotFetched

MOST_TRIED = 3  # copies of one page
_MOST_MAPS = 3  # pages of one TimeMap
_LINK_FORMAT = "application/link-format"


@dataclass(frozen=True, slots=True)
class Memento:
    """A kept copy: its address, and the moment whose state of the original it holds."""

    url: str
    moment: datetime


@dataclass(frozen=True, slots=True)
class TimeMap:
    """``mementos`` in the order of the list; ``more`` are further TimeMaps with the span that each covers."""

    mementos: tuple[Memento, ...]
    more: tuple[tuple[str, datetime | None, datetime | None], ...] = ()


@dataclass(frozen=True, slots=True)
class Landed:
    """The last answer on a way: a page, or why there is none. ``headers`` are those of the answer, whatever its
    status, and ``url`` is where it came from."""

    result: Fetched | NotFetched
    url: str
    headers: Mapping[str, str]


# Follows all redirects from an address; the text is the Accept-Datetime field, "" for none.
Follow = Callable[[str, str], Landed]


def gate_address(gate: str, url: str) -> str:
    """The address to ask a gate for the copies of a page: appended as it is, as archives expect it, or in the place of
    "{uri}", percent-encoded when that stands in a query.

    >>> gate_address("http://gate.example/timegate/", "http://herb.example/a?b=1")
    'http://gate.example/timegate/http://herb.example/a?b=1'
    >>> gate_address("http://gate.example/?of={uri}", "http://herb.example/a?b=1")
    'http://gate.example/?of=http%3A%2F%2Fherb.example%2Fa%3Fb%3D1'
    """
    before, place, after = gate.partition("{uri}")
    if not place:
        return gate + url
    return before + (quote(url, safe="") if "?" in before else url) + after


def accept_datetime(moment: datetime) -> str:
    """The field's value (RFC 7089 §2.1.1): RFC 1123 form, always GMT.

    >>> accept_datetime(datetime(2001, 9, 11, 20, 35, tzinfo=UTC))
    'Tue, 11 Sep 2001 20:35:00 GMT'
    """
    return format_datetime(moment.astimezone(UTC), usegmt=True)


def memento_moment(headers: Mapping[str, str]) -> datetime | None:
    """Which moment's state an answer holds; None when it is no memento (RFC 7089 §2.1.1)."""
    return http_date(headers["memento-datetime"]) if "memento-datetime" in headers else None


def linked(headers: Mapping[str, str], at: str, relation: str) -> tuple[str, ...]:
    """Addresses that an answer at ``at`` links to by a relation, such as "timegate" or "timemap" (RFC 7089 §2.2)."""
    found = (each for each in links(headers.get("link", "")) if relation in each.relations and each.anchor is None)
    return tuple(url for each in found if (url := web_address(resolve(at, each.target))))


def parse_timemap(text: str, at: str) -> TimeMap:
    """A TimeMap in link format (RFC 7089 §5) at the address ``at``.

    >>> told = '</1>; rel="first memento"; datetime="Tue, 20 Jun 2000 18:02:59 GMT"'
    >>> parse_timemap(told, "http://kept.example/map").mementos[0].url
    'http://kept.example/1'
    """
    mementos, more = [], []
    for each in links(text):
        target = web_address(resolve(at, each.target))
        if not target:
            continue
        if "memento" in each.relations and (moment := http_date(each.get("datetime"))):
            mementos.append(Memento(target, moment))
        elif "timemap" in each.relations and canonical_url(target) != canonical_url(at) and _is_link_format(each):
            more.append((target, http_date(each.get("from")), http_date(each.get("until"))))
    return TimeMap(tuple(mementos), tuple(more))


def _is_link_format(link: Link) -> bool:
    return link.get("type").partition(";")[0].strip().lower() in ("", _LINK_FORMAT)


def nearest(mementos: Iterable[Memento], moment: datetime, but: Iterable[str] = ()) -> tuple[Memento, ...]:
    """The mementos by their distance from a moment; of two as near, the earlier first."""
    passed = {canonical_url(each) for each in but}
    left = {each.url: each for each in mementos if canonical_url(each.url) not in passed}
    return tuple(sorted(left.values(), key=lambda each: (abs(each.moment - moment), each.moment)))


def kept_copy(gates: Iterable[str], moment: datetime, follow: Follow) -> Fetched | None:
    """The copy nearest to a moment that can be read, from the first gate that has one."""
    for gate in dict.fromkeys(gates):
        landed = follow(gate, accept_datetime(moment))
        if _is_copy(landed):
            assert isinstance(landed.result, Fetched)
            return landed.result
        found = _from_list(landed, moment, follow)
        if found is not None:
            return found
    return None


def _is_copy(landed: Landed) -> bool:
    return isinstance(landed.result, Fetched) and memento_moment(landed.headers) is not None


def _from_list(landed: Landed, moment: datetime, follow: Follow) -> Fetched | None:
    """A copy that the gate's answer or its TimeMap names. One that failed already is not asked for again."""
    known = list(parse_timemap(landed.headers.get("link", ""), landed.url).mementos)
    known += _listed(linked(landed.headers, landed.url, "timemap")[:1], moment, follow)
    for each in nearest(known, moment, but=(landed.url,))[: MOST_TRIED - 1]:
        copy = follow(each.url, "")
        if _is_copy(copy) and isinstance(copy.result, Fetched):
            return copy.result
    return None


def _listed(maps: Iterable[str], moment: datetime, follow: Follow) -> list[Memento]:
    found: list[Memento] = []
    waiting, seen = list(maps), set[str]()
    while waiting and len(seen) < _MOST_MAPS:
        url = waiting.pop(0)
        if url in seen:
            continue
        seen.add(url)
        landed = follow(url, "")
        if not isinstance(landed.result, Fetched):
            continue
        read = parse_timemap(landed.result.body.decode("utf-8", "replace"), landed.url)
        found += read.mementos
        # A long list comes in pages; the one that covers the moment comes first.
        waiting += [each[0] for each in sorted(read.more, key=lambda each: _distance(each[1], each[2], moment))]
    return found


def _distance(start: datetime | None, end: datetime | None, moment: datetime) -> float:
    if start is not None and moment < start:
        return (start - moment).total_seconds()
    if end is not None and moment > end:
        return (moment - end).total_seconds()
    return 0.0
