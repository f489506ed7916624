"""A WARC file (ISO 28500:2017, WARC/1.1) of what was read, for general-purpose tools of web archives.

One warcinfo record, then for each page that came a response record with its bytes, and a metadata record that says
how it was come by; for each address that gave nothing a metadata record with the reason. There are no request records.
The same fetches give the same file, byte for byte.
"""

from __future__ import annotations

import os
from base64 import b32encode
from collections.abc import Iterable
from hashlib import sha256
from http import HTTPStatus
from io import BytesIO
from pathlib import Path
from typing import IO, Any
from uuid import NAMESPACE_URL, uuid5

from warcio.statusandheaders import StatusAndHeaders  # type: ignore[import-untyped]  # no types are published
from warcio.warcwriter import WARCWriter  # type: ignore[import-untyped]

from doubtwort import __version__
from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Fetched, NotFetched
from doubtwort.text import one_line

_FIELDS = "application/warc-fields"
_ABOUT_BODIES = (
    "Response payloads are the bytes as received, after chunking and content coding were undone; "
    "headers that described these, and cookies, are left out."
)


def write_warc(
    path: Path, fetches: Iterable[Fetched | NotFetched], about: dict[str, str], date: str
) -> tuple[int, int]:
    """Writes the file and gives how many pages and how many failures it holds. ``about`` are further fields of the
    warcinfo record, ``date`` its moment ("2026-11-25T09:30:00Z"). A name that ends in ".gz" is packed record by
    record. The file appears whole or not at all; one that exists is left alone."""
    if path.exists():
        raise CallError(f"{one_line(str(path))} exists already. Name another file, or move it away.")
    partial = path.with_name(f".{path.name}.{os.getpid()}.partial")
    try:
        with partial.open("xb") as out:
            counted = _write(out, path, fetches, about, date)
            os.fsync(out.fileno())
        partial.rename(path)
    except OSError as error:
        said = error.strerror or str(error)
        raise DoubtwortError(f"{one_line(str(path))} cannot be written: {said}. Name another place.") from error
    finally:
        partial.unlink(missing_ok=True)
    return counted


def _write(
    out: IO[bytes], path: Path, fetches: Iterable[Fetched | NotFetched], about: dict[str, str], date: str
) -> tuple[int, int]:
    file = _File(WARCWriter(out, gzip=path.name.endswith(".gz"), warc_version="1.1"))
    info = {
        "software": f"doubtwort/{__version__}",
        "format": "WARC File Format 1.1",
        "conformsTo": "http://iipc.github.io/warc-specifications/specifications/warc-format/warc-1.1/",
        **about,
        "description": _ABOUT_BODIES,
    }
    file.fields("warcinfo", "", info, date, {"WARC-Filename": path.name})
    pages = failures = 0
    for fetch in fetches:
        if isinstance(fetch, Fetched):
            pages += 1
            file.page(fetch)
        else:
            failures += 1
            said = {"reason": fetch.reason.value, "detail": fetch.detail, "finalUri": fetch.final_url}
            file.fields("metadata", fetch.url, said, fetch.fetched_at or date)
    return pages, failures


class _File:
    """Writes records. Their ids are made from their place and content."""

    def __init__(self, writer: Any) -> None:
        self._writer = writer
        self._written = 0
        self._warcinfo = ""

    def page(self, fetch: Fetched) -> None:
        status = f"{fetch.status} {_phrase(fetch.status)}".rstrip()
        lines = [(_name(name), one_line(value)) for name, value in fetch.headers.items()]
        http = StatusAndHeaders(status, [*lines, ("Content-Length", str(len(fetch.body)))], protocol="HTTP/1.1")
        http.compute_headers_buffer()
        digests = {
            "WARC-Payload-Digest": _digest(fetch.body),
            "WARC-Block-Digest": _digest(http.headers_buff, fetch.body),
        }
        url = fetch.final_url or fetch.url
        record_id = self._write("response", url, fetch.body, fetch.fetched_at, digests, http=http)
        come_by = {
            "via": fetch.url if fetch.url != url else "",
            "sha256": fetch.sha256,
            "archivedCopy": "yes" if fetch.archived else "",
        }
        self.fields("metadata", url, come_by, fetch.fetched_at, {"WARC-Concurrent-To": record_id})

    def fields(
        self, kind: str, url: str, fields: dict[str, str], date: str, more: dict[str, str] | None = None
    ) -> None:
        """A record of named fields; empty ones are left out."""
        body = "".join(f"{name}: {one_line(value)}\r\n" for name, value in fields.items() if value).encode()
        record_id = self._write(kind, url, body, date, {**(more or {}), "WARC-Block-Digest": _digest(body)}, _FIELDS)
        if kind == "warcinfo":
            self._warcinfo = record_id

    def _write(
        self,
        kind: str,
        url: str,
        body: bytes,
        date: str,
        headers: dict[str, str],
        content_type: str = "",
        http: Any = None,
    ) -> str:
        name = f"{self._written} {kind} {url} {date} {headers.get('WARC-Block-Digest')}"
        record_id = f"<urn:uuid:{uuid5(NAMESPACE_URL, name)}>"
        self._written += 1
        headers = {"WARC-Record-ID": record_id, "WARC-Date": date, **headers}
        if self._warcinfo:
            headers["WARC-Warcinfo-ID"] = self._warcinfo
        record = self._writer.create_warc_record(
            url, kind, payload=BytesIO(body), length=len(body), warc_content_type=content_type,
            warc_headers_dict=headers, http_headers=http,
        )  # fmt: skip
        self._writer.write_record(record)
        return record_id


def _digest(*pieces: bytes) -> str:
    """A labelled digest (ISO 28500 §5.8) in the base 32 that tools expect.

    >>> _digest(b"")
    'sha256:4OYMIQUY7QOBJGX36TEJS35ZEQT24QPEMSNZGTFESWMRW6CSXBKQ===='
    """
    digest = sha256()
    for piece in pieces:
        digest.update(piece)
    return f"sha256:{b32encode(digest.digest()).decode()}"


def _phrase(status: int) -> str:
    try:
        return HTTPStatus(status).phrase
    except ValueError:
        return ""


def _name(name: str) -> str:
    """A field's name as it is usually written: "content-type" was "Content-Type"."""
    return "-".join(word.capitalize() for word in one_line(name).split("-"))
