"""From errors of the network and from HTTP statuses to the typed reasons, with one short clause each."""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPException, IncompleteRead

import requests
from urllib3.exceptions import (
    ConnectTimeoutError,
    DecodeError,
    HTTPError,
    NewConnectionError,
    ProtocolError,
    ProxySchemeUnknown,
    ReadTimeoutError,
)

from doubtwort.fetching.addresses import AddressNotAllowed
from doubtwort.fetching.wire import BodyTooLarge, UnknownCoding
from doubtwort.model import UnreadReason
from doubtwort.text import one_line

# All that getting one address can raise. ValueError and OverflowError: malformed answers that a parser chokes on.
FETCH_ERRORS = (
    AddressNotAllowed,
    BodyTooLarge,
    UnknownCoding,
    HTTPError,
    HTTPException,
    OSError,  # with requests' own errors, and timeouts
    ValueError,
    OverflowError,
)


@dataclass(frozen=True, slots=True)
class Failure:
    """Why an address gave nothing. ``whole_host``: any other address of the host would have failed too. ``status``
    is that of an HTTP answer, 0 when there was none."""

    reason: UnreadReason
    detail: str
    whole_host: bool = False
    status: int = 0


_BY_STATUS = {
    401: UnreadReason.REFUSED,
    404: UnreadReason.NOT_FOUND,
    408: UnreadReason.TIMEOUT,
    410: UnreadReason.GONE,
}


def failure_of_status(status: int, detail: str = "") -> Failure | None:
    """None for a status that comes with the page; else the reason (RFC 9110 §15).

    206 is a failure too: no range was asked for, and a part of a page is not the page.

    >>> failure_of_status(451).reason.value, failure_of_status(503).reason.value, failure_of_status(200)
    ('refused', 'unreachable', None)
    """
    if 200 <= status < 300 and status != 206:
        return None
    other = UnreadReason.REFUSED if 400 <= status < 500 else UnreadReason.UNREACHABLE
    return Failure(_BY_STATUS.get(status, other), detail or f"HTTP {status}", status=status)


def failure_of_error(error: BaseException, most_bytes: int) -> Failure:
    """The reason behind an error of requests, urllib3, http.client, ssl or the socket."""
    chain = list(_causes(error))

    def has(*kinds: type[BaseException]) -> bool:
        return any(isinstance(each, kinds) for each in chain)

    if has(AddressNotAllowed):
        said = next(str(each) for each in chain if isinstance(each, AddressNotAllowed))
        return Failure(UnreadReason.ADDRESS_NOT_ALLOWED, said, whole_host=True)
    if has(BodyTooLarge):
        return Failure(UnreadReason.TOO_LARGE, f"more than {most_bytes} bytes")
    if has(UnknownCoding):
        said = next(str(each) for each in chain if isinstance(each, UnknownCoding))
        return Failure(UnreadReason.UNSUPPORTED_TYPE, one_line(f"content coding {said}", 80))
    if has(requests.exceptions.ProxyError):
        return Failure(UnreadReason.UNREACHABLE, "the proxy did not pass the request on", whole_host=True)
    if has(requests.exceptions.InvalidSchema, requests.exceptions.InvalidProxyURL, ProxySchemeUnknown):
        return Failure(UnreadReason.UNREACHABLE, "this kind of proxy address is not supported", whole_host=True)
    if has(ssl.SSLCertVerificationError, ssl.CertificateError):
        return Failure(UnreadReason.UNREACHABLE, "certificate not trusted", whole_host=True)
    if has(socket.gaierror):
        return Failure(UnreadReason.UNREACHABLE, "host name not found", whole_host=True)
    if has(ConnectTimeoutError, requests.ConnectTimeout) and not has(NewConnectionError):
        return Failure(UnreadReason.TIMEOUT, "connecting timed out", whole_host=True)
    if has(TimeoutError, ReadTimeoutError, requests.Timeout):
        return Failure(UnreadReason.TIMEOUT, "no whole answer in time")
    if has(ConnectionRefusedError):
        return Failure(UnreadReason.UNREACHABLE, "connection refused", whole_host=True)
    if has(NewConnectionError):
        return Failure(UnreadReason.UNREACHABLE, "host not reachable", whole_host=True)
    if has(ssl.SSLError, requests.exceptions.SSLError):
        return Failure(UnreadReason.UNREACHABLE, "secure connection failed", whole_host=True)
    if cut_off(error) or has(IncompleteRead):
        return Failure(UnreadReason.UNREACHABLE, "connection cut")
    if has(DecodeError):
        return Failure(UnreadReason.UNREACHABLE, "damaged content coding")
    if has(HTTPException):
        return Failure(UnreadReason.UNREACHABLE, "not an HTTP answer")
    if has(ProtocolError):
        return Failure(UnreadReason.UNREACHABLE, "connection cut")
    return Failure(UnreadReason.UNREACHABLE, "connection failed")


def cut_off(error: BaseException) -> bool:
    """Whether the other side closed the connection."""
    return any(isinstance(each, (ConnectionResetError, BrokenPipeError)) for each in _causes(error))


def _causes(error: BaseException) -> Iterator[BaseException]:
    """The error and everything it was made from: arguments, ``reason``, cause, context."""
    waiting, seen = [error], set[int]()
    while waiting:
        each = waiting.pop()
        if id(each) in seen:
            continue
        seen.add(id(each))
        yield each
        linked = [*each.args, getattr(each, "reason", None), each.__cause__, each.__context__]
        waiting.extend(link for link in linked if isinstance(link, BaseException))
