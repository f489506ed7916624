"""What comes off the wire, bounded: connections to checked addresses, reads within a budget, bodies of bounded size.

Three bounds, all below the cache, which reads whole bodies: seconds (for connecting, for each read, for all), bytes
on the wire, bytes after content decoding.
"""

from __future__ import annotations

import io
import socket
import time
import zlib
from collections.abc import Iterable, Iterator
from contextvars import ContextVar
from dataclasses import dataclass
from http.client import HTTPResponse as WireResponse
from typing import Any, cast

import urllib3
from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.connectionpool import HTTPConnectionPool, HTTPSConnectionPool
from urllib3.exceptions import ConnectTimeoutError, DecodeError, NameResolutionError, NewConnectionError, ProtocolError
from urllib3.util.connection import create_connection

from doubtwort.fetching.addresses import addresses_of_host

CHUNK = 65_536  # bytes decoded at a time
LEAST_TIME = 0.01  # seconds; a socket takes a timeout of 0 as "do not wait at all"
_FRAMING = 1_048_576  # bytes of headers, chunk sizes and trailers allowed beside the body


class BodyTooLarge(Exception):
    """More bytes than allowed, on the wire or after content decoding."""


class UnknownCoding(Exception):
    """A content coding that was not asked for. ``str()`` names it."""


@dataclass(slots=True)
class Budget:
    """What one request may cost. ``deadline`` is in seconds of ``time.monotonic``. ``truncate``: cut the body at
    ``most_bytes`` instead of refusing it. ``grace``: seconds by which asking for robots.txt on the way may put the
    deadline off. ``peer`` is the IP address that was connected to, "" on a kept connection."""

    deadline: float
    most_bytes: int
    read_timeout: float
    truncate: bool = False
    grace: float = 0.0
    check_addresses: bool = True
    wire_bytes: int = 0
    peer: str = ""

    def seconds_left(self) -> float:
        left = self.deadline - time.monotonic()
        if left <= 0:
            raise TimeoutError("out of time")
        return max(left, LEAST_TIME)


# Set around each request; a request is sent and read in one thread.
budget_of_request: ContextVar[Budget] = ContextVar("budget_of_request")


class _BoundedReader(io.RawIOBase):
    """A socket's bytes within the budget: bytes that drip in keep a read alive, but not the request."""

    def __init__(self, raw: io.RawIOBase, sock: socket.socket, budget: Budget) -> None:
        self._source, self._sock, self._budget = raw, sock, budget

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int | None:
        self._sock.settimeout(min(max(self._budget.read_timeout, LEAST_TIME), self._budget.seconds_left()))
        count = cast("int | None", self._source.readinto(buffer))
        self._budget.wire_bytes += count or 0
        if self._budget.wire_bytes > self._budget.most_bytes + _FRAMING:
            raise BodyTooLarge
        return count

    def close(self) -> None:
        self._source.close()
        super().close()


class _BoundedResponse(WireResponse):
    def __init__(self, sock: socket.socket, *args: Any, **kwargs: Any) -> None:
        super().__init__(sock, *args, **kwargs)
        raw = self.fp.detach()
        self.fp = io.BufferedReader(_BoundedReader(raw, sock, budget_of_request.get()))


def _connected(connection: HTTPConnection) -> socket.socket:
    """A socket to the first address that answers. All addresses are checked before any is connected to."""
    budget = budget_of_request.get()
    name = connection._dns_host
    try:
        addresses = addresses_of_host(name, connection.port, allow_private=not budget.check_addresses)
    except socket.gaierror as error:
        raise NameResolutionError(name, connection, error) from error
    except UnicodeError as error:
        raise NameResolutionError(name, connection, socket.gaierror("not a host name")) from error
    failure: OSError = OSError("no address")
    for address in addresses:
        patience = min(float(connection.timeout or budget.read_timeout), budget.seconds_left())
        try:
            sock = create_connection((address, connection.port), patience, socket_options=connection.socket_options)
        except OSError as error:
            failure = error
        else:
            budget.peer = address
            return sock
    if isinstance(failure, TimeoutError):
        raise ConnectTimeoutError(connection, "connecting timed out") from failure
    raise NewConnectionError(connection, str(failure)) from failure


class _Http(HTTPConnection):
    response_class = _BoundedResponse

    def _new_conn(self) -> socket.socket:
        return _connected(self)


class _Https(HTTPSConnection):
    response_class = _BoundedResponse

    def _new_conn(self) -> socket.socket:
        return _connected(self)


class _HttpPool(HTTPConnectionPool):
    ConnectionCls = _Http


class _HttpsPool(HTTPSConnectionPool):
    ConnectionCls = _Https


BOUNDED_POOLS: dict[str, type[HTTPConnectionPool]] = {"http": _HttpPool, "https": _HttpsPool}


def bounded_body(raw: urllib3.BaseHTTPResponse, budget: Budget) -> bytes:
    """The whole body after content decoding. Raises ``BodyTooLarge``, ``UnknownCoding``, urllib3's errors."""
    declared = raw.headers.get("content-length", "")
    if declared.isascii() and declared.isdigit() and int(declared[:20]) > budget.most_bytes and not budget.truncate:
        raise BodyTooLarge
    coding = raw.headers.get("content-encoding", "").strip().lower()
    chunks: Iterable[bytes] = raw.stream(CHUNK, decode_content=False)
    if coding in ("gzip", "x-gzip", "deflate"):
        chunks = inflated(chunks)
    elif coding not in ("", "identity"):
        raise UnknownCoding(coding[:40])
    body = bytearray()
    for chunk in chunks:
        body += chunk
        if len(body) > budget.most_bytes:
            if not budget.truncate:
                raise BodyTooLarge
            return bytes(body[: budget.most_bytes])
    return bytes(body)


def inflated(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """gzip and deflate (RFC 9110 §8.4.1) undone in pieces of at most ``CHUNK`` bytes, so that a few bytes that stand
    for gigabytes are stopped in time. A stream without its end is an error: half a page is not the page."""
    decoder: Any = None
    ended = True
    members = 0
    for chunk in chunks:
        data = chunk
        while data:
            if ended:
                decoder, ended = _decoder(data), False
                members += 1
            try:
                piece = decoder.decompress(data, CHUNK)
            except zlib.error as error:
                if members > 1:
                    return  # padding after the last member, as gzip readers allow
                raise DecodeError("damaged content coding") from error
            yield piece
            ended = decoder.eof
            data = decoder.unused_data if ended else decoder.unconsumed_tail
    if not ended:
        raise ProtocolError("content coding cut short")


def _decoder(data: bytes) -> Any:
    """For gzip, zlib, and the bare deflate streams that some servers send as "deflate"."""
    gzip = data[0] == 0x1F
    zlib_header = data[0] & 0x0F == 8 and (len(data) < 2 or (data[0] * 256 + data[1]) % 31 == 0)
    return zlib.decompressobj(47 if gzip or zlib_header else -15)
