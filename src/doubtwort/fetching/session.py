"""One cached HTTP session over bounded connections. Cookies are neither sent nor kept, credentials never sent."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from http.cookiejar import DefaultCookiePolicy
from io import BytesIO
from logging import NullHandler, getLogger
from pathlib import Path
from types import MappingProxyType
from typing import Any

import requests
import urllib3
from requests.adapters import HTTPAdapter
from requests.utils import get_environ_proxies, select_proxy
from requests_cache import CachedSession
from requests_cache.backends.base import BaseCache
from requests_cache.backends.sqlite import SQLiteCache

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.fetching.freshness import UNSTATED, cache_control
from doubtwort.fetching.wire import BOUNDED_POOLS, LEAST_TIME, Budget, bounded_body, budget_of_request
from doubtwort.settings import Settings

_IN_MEMORY = 2_000_000  # bytes; a cache in memory keeps no longer bodies
_LONGEST_HEADER = 8_192  # characters of one value
_KEPT_STATUS = (200, 203, 301, 308)
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
# Cookies; what the body had on the wire and has no more; hop-by-hop fields (RFC 9110 §7.6.1); freshness, restated.
_DROPPED = frozenset(
    ("set-cookie", "set-cookie2", "content-encoding", "content-length", "transfer-encoding", "connection",
     "keep-alive", "trailer", "upgrade", "proxy-authenticate", "cache-control", "expires", "age", "pragma")
)  # fmt: skip

for _name in ("urllib3", "requests", "requests_cache", "protego"):
    getLogger(_name).addHandler(NullHandler())  # what they complain of is turned into typed reasons


class Offline(Exception):
    """The network was not asked, because the settings say so."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to one request, from the network or kept. ``headers`` have lower-case names."""

    status: int
    headers: Mapping[str, str]
    body: bytes
    at: datetime


class _Adapter(HTTPAdapter):
    """Sends one request within its budget and reads its whole body, decoded."""

    def __init__(
        self,
        settings: Settings,
        turn: Callable[[str], AbstractContextManager[float]],
        peer_seen: Callable[[str, str], None],
    ) -> None:
        self._settings, self._turn, self._peer_seen = settings, turn, peer_seen
        super().__init__(pool_maxsize=16, max_retries=0)

    def init_poolmanager(self, *args: Any, **kwargs: Any) -> None:
        super().init_poolmanager(*args, **kwargs)
        self.poolmanager.pool_classes_by_scheme = BOUNDED_POOLS

    def proxy_manager_for(self, proxy: str, **proxy_kwargs: Any) -> Any:
        manager = super().proxy_manager_for(proxy, **proxy_kwargs)
        if not proxy.lower().startswith("socks"):
            manager.pool_classes_by_scheme = BOUNDED_POOLS
        return manager

    def send(
        self,
        request: requests.PreparedRequest,
        stream: bool = False,
        timeout: Any = None,
        verify: Any = True,
        cert: Any = None,
        proxies: Mapping[str, str] | None = None,
    ) -> requests.Response:
        if self._settings.offline:
            raise Offline
        with self._turn(request.url or "") as waited:
            budget_of_request.get().deadline += waited
            return self._exchange(request, verify, cert, dict(proxies or {}))

    def _exchange(
        self, request: requests.PreparedRequest, verify: Any, cert: Any, chosen: dict[str, str]
    ) -> requests.Response:
        budget, url = budget_of_request.get(), request.url or ""
        # A proxy resolves names itself, and may well be a private host.
        direct = select_proxy(url, chosen) is None
        budget.check_addresses = direct and not self._settings.allow_private
        budget.wire_bytes, budget.peer = 0, ""
        left = budget.seconds_left()
        patience = (_bounded(self._settings.connect_timeout, left), _bounded(self._settings.read_timeout, left))
        response = super().send(request, stream=True, timeout=patience, verify=verify, cert=cert, proxies=chosen)
        try:
            if direct and budget.peer:
                self._peer_seen(url, budget.peer)
            body = bounded_body(response.raw, budget) if 200 <= response.status_code < 300 else b""
            return self.build_response(request, _read_through(response.raw, request, body))
        finally:
            response.raw.close()  # a connection whose body was read to its end is back in its pool by now


def _bounded(seconds: float, left: float) -> float:
    return max(min(seconds, left), LEAST_TIME)


def _read_through(
    raw: urllib3.BaseHTTPResponse, request: requests.PreparedRequest, body: bytes
) -> urllib3.HTTPResponse:
    """The answer as if it had come without content coding, with headers that are safe to keep."""
    stated = {name.lower(): _CONTROL.sub(" ", value)[:_LONGEST_HEADER] for name, value in _merged(raw)}
    headers = {name: value for name, value in stated.items() if name not in _DROPPED}
    headers["cache-control"] = cache_control(stated, datetime.now(UTC))
    return urllib3.HTTPResponse(
        body=BytesIO(body),
        headers=headers,
        status=raw.status,
        reason=raw.reason,
        preload_content=False,
        decode_content=False,
        request_method=request.method,
        request_url=request.url,
    )


def _merged(raw: urllib3.BaseHTTPResponse) -> list[tuple[str, str]]:
    """Header fields with repeated ones joined by commas (RFC 9110 §5.3)."""
    return [(name, raw.headers[name]) for name in raw.headers]


class _Session(CachedSession):
    def get_redirect_target(self, resp: requests.Response) -> None:
        """None: redirects are followed, checked and counted by the caller, one request each."""


class Session:
    """Gets one address, once, without following redirects. Safe to use from several threads."""

    def __init__(
        self,
        settings: Settings,
        cache: Path | None,
        turn: Callable[[str], AbstractContextManager[float]],
        peer_seen: Callable[[str, str], None],
    ) -> None:
        self._settings = settings
        self._cached = _Session(
            backend=_backend(cache),
            cache_control=True,
            expire_after=UNSTATED,
            allowable_codes=_KEPT_STATUS,
            filter_fn=(lambda response: True) if cache else (lambda response: len(response.content) <= _IN_MEMORY),
        )
        self._plain = requests.Session()  # for when the cache's file fails: full disk, damaged, locked for long
        adapter = _Adapter(settings, turn, peer_seen)
        for session in (self._cached, self._plain):
            session.mount("http://", adapter)
            session.mount("https://", adapter)
            session.trust_env = False  # no netrc; proxies and certificates are read below
            session.cookies.set_policy(DefaultCookiePolicy(allowed_domains=()))
            session.verify = _certificates()
            session.headers.clear()
            session.headers.update(
                {
                    "User-Agent": settings.user_agent,
                    "Accept": settings.accept,
                    "Accept-Encoding": "gzip, deflate",
                    "Accept-Language": "en, *;q=0.5",
                }
            )

    def get(
        self, url: str, budget: Budget, no_older_than: timedelta | None = None, accept_datetime: str = ""
    ) -> Answer:
        """The answer to GET, whatever its status. Raises the errors of requests, urllib3 and ``wire``.

        What was negotiated by ``accept_datetime`` (RFC 7089 §2.1.1) is not cached: the next one may ask for another.
        """
        proxies = self._settings.proxies
        chosen = get_environ_proxies(url) if proxies is None else dict(proxies)
        token = budget_of_request.set(budget)
        response: Any
        try:
            if accept_datetime:
                dated = {"Accept-Datetime": accept_datetime}
                response = self._plain.get(url, allow_redirects=False, proxies=chosen, headers=dated)
                return _answer(response, datetime.now(UTC))
            # However fresh the kept copy is, the site is asked whether it has changed (RFC 9111, section 4.3).
            again = self._settings.revalidate and no_older_than is None
            response = self._cached.get(url, allow_redirects=False, proxies=chosen, refresh=again)
            kept_since = datetime.now(UTC) - response.created_at if response.from_cache else timedelta(0)
            unasked = again and response.from_cache and not getattr(response, "revalidated", False)
            if unasked or (no_older_than is not None and kept_since > no_older_than):  # unasked: it has no validator
                response = self._cached.get(url, allow_redirects=False, proxies=chosen, force_refresh=True)
        except sqlite3.Error:
            response = self._plain.get(url, allow_redirects=False, proxies=chosen)
        finally:
            budget_of_request.reset(token)
        kept = getattr(response, "from_cache", False) and not getattr(response, "revalidated", False)
        return _answer(response, response.created_at if kept else datetime.now(UTC))

    def kept(self, url: str) -> Answer | None:
        """What the cache holds for an address, however old; never asks the network."""
        request = requests.Request("GET", url, headers=dict(self._cached.headers))
        try:
            response = self._cached.cache.get_response(self._cached.cache.create_key(request.prepare()))
        except sqlite3.Error:
            return None
        if response is None:
            return None
        return _answer(response, response.created_at)

    def close(self) -> None:
        self._plain.close()
        self._cached.close()  # type: ignore[no-untyped-call]  # the library leaves it untyped


def _answer(response: Any, at: datetime) -> Answer:
    headers = MappingProxyType({name.lower(): value for name, value in response.headers.items()})
    return Answer(response.status_code, headers, response.content or b"", at)


def _backend(cache: Path | None) -> BaseCache | str:
    if cache is None:
        return "memory"
    try:
        cache.parent.mkdir(parents=True, exist_ok=True)
        # JSON, not pickle: a file that someone else gave must not be able to run code.
        return SQLiteCache(str(cache.absolute()), serializer="json", wal=True, busy_timeout=10_000)
    except (sqlite3.Error, OSError) as error:
        raise DoubtwortError(
            f"The cache of fetched pages {cache} cannot be used ({error}). Give another place, or remove that file."
        ) from error


def _certificates() -> bool | str:
    """The certificates to trust: REQUESTS_CA_BUNDLE or CURL_CA_BUNDLE as requests reads them, else the usual ones."""
    for name in ("REQUESTS_CA_BUNDLE", "CURL_CA_BUNDLE"):
        path = os.environ.get(name)
        if path:
            if not os.path.exists(path):
                raise CallError(f"{name} names {path}, which does not exist. Correct it, or unset it.")
            return path
    return True
