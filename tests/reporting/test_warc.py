"""The WARC file, read back by the library that wrote it, by a second reader without code of the first, and by gzip."""

from __future__ import annotations

import base64
import gzip
import hashlib
import shutil
import subprocess
from io import BytesIO
from itertools import pairwise

import pytest
from fastwarc.warc import ArchiveIterator as SecondReader
from warcio.archiveiterator import ArchiveIterator

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.model import Fetched, NotFetched, UnreadReason
from doubtwort.reporting.warc import write_warc

DATE = "2026-11-25T10:00:00Z"
BODIES = {
    "http://a.example/": "<p>The leaves are eaten – raw.</p>".encode("utf-16"),
    "http://b.example/x?y=1": bytes(range(256)) * 300,
    "http://c.example/": b"",
    "http://kept.example/20190503120000/http://d.example/": b"WARC/1.1\r\nWARC-Type: response\r\n\r\n\x1f\x8b" * 3,
}


def fetched(url: str, body: bytes) -> Fetched:
    archived = "kept." in url
    headers = {"content-type": "text/html", "etag": '"x"', "x-odd": "söup \u2603\r\nInjected: yes"}
    headers |= {"memento-datetime": "Fri, 03 May 2019 12:00:00 GMT"} if archived else {}
    asked = "http://d.example/" if archived else url
    return Fetched(asked, url, 200, headers, body, "2026-11-24T09:30:00Z", hashlib.sha256(body).hexdigest(), archived)


FETCHES = [
    *(fetched(url, body) for url, body in BODIES.items()),
    NotFetched("http://gone.example/", UnreadReason.GONE, "HTTP 410", "http://gone.example/", "2026-11-24T09:31:00Z"),
]
ABOUT = {"isPartOf": "claim c1", "taxon": "Fictaria silvana\r\nforged: line"}


def written(tmp_path, name: str):
    path = tmp_path / name
    assert write_warc(path, iter(FETCHES), ABOUT, DATE) == (4, 1)
    return path


def base32(data: bytes) -> str:
    return base64.b32encode(hashlib.sha256(data).digest()).decode()


@pytest.mark.parametrize("name", ["evidence.warc", "evidence.warc.gz"])
def test_read_back_by_the_library(tmp_path, name):
    path = written(tmp_path, name)
    pages, kinds = {}, []
    with path.open("rb") as file:
        for record in ArchiveIterator(file, check_digests="raise"):
            kinds.append(record.rec_type)
            assert record.rec_headers.protocol == "WARC/1.1"
            content = record.content_stream().read()
            if record.rec_type == "response":
                url = record.rec_headers.get_header("WARC-Target-URI")
                pages[url] = content
                assert record.rec_headers.get_header("WARC-Date") == "2026-11-24T09:30:00Z"
                assert record.rec_headers.get_header("WARC-Payload-Digest") == f"sha256:{base32(content)}"
                assert record.http_headers.get_statuscode() == "200"
                assert record.http_headers.get_header("Content-Type") == "text/html"
                assert record.http_headers.get_header("Content-Length") == str(len(content))
                assert record.http_headers.get_header("Injected") is None
    assert pages == BODIES
    assert kinds == ["warcinfo", *["response", "metadata"] * 4, "metadata"]


@pytest.mark.parametrize("name", ["evidence.warc", "evidence.warc.gz"])
def test_read_back_by_a_second_reader(tmp_path, name):
    pages, told = {}, {}
    with written(tmp_path, name).open("rb") as file:
        for record in SecondReader(file, parse_http=False):
            if record.headers.get("WARC-Type") == "response":
                assert record.verify_block_digest()  # of the whole record, so before its head is parsed
                record.parse_http()
                assert record.verify_payload_digest()
                assert record.http_headers.status_code == 200
                pages[record.headers["WARC-Target-URI"]] = record.reader.read()
            else:
                told.setdefault(record.headers.get("WARC-Target-URI"), []).append(record.reader.read().decode())
    assert pages == BODIES
    info = told[None][0]
    assert "isPartOf: claim c1\r\n" in info
    assert "\nforged:" not in info
    assert told["http://gone.example/"] == ["reason: gone\r\ndetail: HTTP 410\r\nfinalUri: http://gone.example/\r\n"]
    (kept,) = told["http://kept.example/20190503120000/http://d.example/"]
    assert kept.startswith("via: http://d.example/\r\nsha256: ")
    assert kept.endswith("archivedCopy: yes\r\n")
    assert told["http://a.example/"] == [f"sha256: {FETCHES[0].sha256}\r\n"]


def test_ids_are_unique_and_refer_to_each_other(tmp_path):
    with written(tmp_path, "e.warc").open("rb") as file:
        found = []
        for record in ArchiveIterator(file):
            found.append(dict(record.rec_headers.headers))
            record.content_stream().read()
    ids = [each["WARC-Record-ID"] for each in found]
    assert len(set(ids)) == len(ids) == 10
    assert all(each["WARC-Warcinfo-ID"] == ids[0] for each in found[1:])
    for before, each in pairwise(found):
        if "WARC-Concurrent-To" in each:
            assert each["WARC-Concurrent-To"] == before["WARC-Record-ID"]
    assert found[0]["WARC-Filename"] == "e.warc"


def test_gzip_finds_it_sound_and_each_record_is_a_member_of_its_own(tmp_path):
    path = written(tmp_path, "evidence.warc.gz")
    program = shutil.which("gzip")
    if program:
        assert subprocess.run([program, "-t", str(path)], check=False, timeout=30).returncode == 0
    packed = path.read_bytes()
    plain = written(tmp_path, "again.warc").read_bytes()
    assert gzip.decompress(packed).replace(b"evidence.warc.gz", b"").count(b"WARC/1.1\r\n") == plain.count(
        b"WARC/1.1\r\n"
    )
    # ISO 28500 annex A: record at a time. A member starts where a record starts.
    starts = []
    with path.open("rb") as file:
        reader = ArchiveIterator(file)
        for record in reader:
            record.content_stream().read()
            starts.append(reader.get_record_offset())
    for start in starts:
        assert gzip.GzipFile(fileobj=BytesIO(packed[start:])).read(8) == b"WARC/1.1"


def test_the_same_evidence_is_the_same_file(tmp_path):
    (tmp_path / "1").mkdir()
    (tmp_path / "2").mkdir()
    assert written(tmp_path / "1", "e.warc.gz").read_bytes() == written(tmp_path / "2", "e.warc.gz").read_bytes()


def test_a_file_that_exists_is_left_alone(tmp_path):
    (tmp_path / "e.warc").write_text("mine")
    with pytest.raises(CallError, match="exists already"):
        write_warc(tmp_path / "e.warc", FETCHES, {}, DATE)
    assert (tmp_path / "e.warc").read_text() == "mine"


def test_half_a_file_is_never_left(tmp_path):
    def broken():
        yield FETCHES[0]
        raise DoubtwortError("the notebook is damaged")

    with pytest.raises(DoubtwortError, match="damaged"):
        write_warc(tmp_path / "e.warc", broken(), {}, DATE)
    with pytest.raises(DoubtwortError, match="cannot be written"):
        write_warc(tmp_path / "nowhere" / "e.warc", FETCHES, {}, DATE)
    assert list(tmp_path.iterdir()) == []
