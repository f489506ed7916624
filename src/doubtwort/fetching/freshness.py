"""How long an answer may be served from the cache (RFC 9111 §4.2), from headers that may say anything.

The cache is a private one, so ``s-maxage`` is not for it. What it is given is one plain Cache-Control value: servers'
own values can be numbers of any size, dates of any year, or no dates at all.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

UNSTATED = 3_600  # seconds for a page that says nothing and has no date of change: a heuristic (RFC 9111 §4.2.2)
_LONGEST_GUESS = 86_400  # one day; RFC 9111 §4.2.2 asks for a warning-worthy limit on guesses
_LONGEST = 31_536_000  # one year
_MAX_AGE = re.compile(r'(?:^|[,\s])max-age\s*=\s*"?([^,"]*)', re.IGNORECASE)


def http_date(value: str) -> datetime | None:
    """A moment from an HTTP-date in any of its three forms (RFC 9110 §5.6.7), None when it is none.

    >>> http_date("Sunday, 06-Nov-94 08:49:37 GMT") == http_date("Sun Nov  6 08:49:37 1994")
    True
    """
    try:
        moment = parsedate_to_datetime(value.strip())
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, TypeError, IndexError, OverflowError):
        return None


def cache_control(headers: Mapping[str, str], now: datetime) -> str:
    """The one directive to keep to: "no-store", "no-cache" or "max-age=SECONDS". ``headers`` have lower-case names.

    >>> cache_control({"cache-control": "public, max-age=99999999999999999999"}, datetime.now(UTC))
    'max-age=31536000'
    """
    stated = headers.get("cache-control", "").lower()
    names = {each.partition("=")[0].strip() for each in stated.split(",")}
    if "no-store" in names:
        return "no-store"
    if "no-cache" in names or headers.get("vary", "").strip() == "*":
        return "no-cache"
    return f"max-age={max(0, min(_lifetime(headers, stated, now) - _age(headers), _LONGEST))}"


def _lifetime(headers: Mapping[str, str], stated: str, now: datetime) -> int:
    """Seconds of freshness from the moment the origin sent the answer (RFC 9111 §4.2.1, in its order)."""
    max_age = _MAX_AGE.search(stated)
    if max_age:
        # Not a whole number, or given twice: to be taken as stale.
        number = max_age[1].strip()
        single = len(_MAX_AGE.findall(stated)) == 1
        return int(number[:12]) if single and re.fullmatch(r"[0-9]+", number) else 0
    sent = http_date(headers.get("date", "")) or now
    if "expires" in headers:
        expires = http_date(headers["expires"])
        return 0 if expires is None else int((expires - sent).total_seconds())
    changed = http_date(headers.get("last-modified", ""))
    if changed is not None and changed < sent:
        return min(int((sent - changed).total_seconds() / 10), _LONGEST_GUESS)
    return UNSTATED


def _age(headers: Mapping[str, str]) -> int:
    """Seconds that the answer already spent in other caches (RFC 9111 §5.1)."""
    value = headers.get("age", "").strip()
    return int(value[:12]) if re.fullmatch(r"[0-9]+", value) else 0
