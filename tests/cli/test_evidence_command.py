"""``doubtwort evidence`` on the demo's notebook: what was read, listed and exported, or clear words why not."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3

import pytest
from warcio.archiveiterator import ArchiveIterator

from demo_run import NOTEBOOK, call, run_demo
from doubtwort.notebook import open_notebook
from doubtwort.notebook.evidence import evidence_of, fetches_of_evidence
from doubtwort.shipped import shipped

PAGE = "http://commonlore.example/wiki/Fictaria_silvana"


@pytest.fixture(scope="module")
def demo():
    return run_demo()


@pytest.fixture(scope="module")
def claim(demo):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        return next(row.id for row in notebook.claims() if row.url == PAGE)


def test_what_was_read_is_exported_byte_for_byte(demo, claim, tmp_path):
    path = tmp_path / "evidence.warc.gz"
    done = demo.call("evidence", claim, "--warc", str(path), "--notebook", NOTEBOOK)
    assert (done.returncode, done.stdout) == (0, "")
    assert done.stderr.startswith("2 pages and 0 failures written to ")
    with path.open("rb") as file:
        found = {
            record.rec_headers.get_header("WARC-Target-URI"): record.content_stream().read()
            for record in ArchiveIterator(file, check_digests="raise")
            if record.rec_type == "response"
        }
    web = shipped("fixtures") / "demo_web"
    assert found == {
        PAGE: (web / "commonlore.example/wiki/Fictaria_silvana.html").read_bytes(),
        "http://imaginarybotany.example/4/vaguelia-aspera.html": (
            web / "imaginarybotany.example/4/vaguelia-aspera.html"
        ).read_bytes(),
    }


def test_without_a_file_it_is_listed(demo, claim):
    done = demo.call("evidence", claim, "--notebook", NOTEBOOK)
    assert (done.returncode, done.stderr) == (0, "")
    page = (shipped("fixtures") / "demo_web/commonlore.example/wiki/Fictaria_silvana.html").read_bytes()
    lines = done.stdout.splitlines()
    assert len(lines) == 2
    assert f"{len(page)} bytes sha256:{hashlib.sha256(page).hexdigest()} {PAGE}" in lines[0]


def test_failures_are_part_of_it(demo, tmp_path):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        row = next(row for row in notebook.claims() if row.url == "http://hedgebasket.example/posts/black-apocryph")
        evidence = evidence_of(notebook, row.id)
        reasons = [getattr(each, "reason", None) for each in fetches_of_evidence(notebook, evidence)]
    assert "not-found" in reasons
    done = demo.call("evidence", row.id, "--warc", str(tmp_path / "e.warc"), "--notebook", NOTEBOOK)
    assert " and 1 failures written" in done.stderr
    assert b"reason: not-found\r\n" in (tmp_path / "e.warc").read_bytes()


def test_the_notebook_is_left_as_it_was(demo, claim, tmp_path):
    copy = tmp_path / "n.sqlite"
    shutil.copy(demo.folder / NOTEBOOK, copy)
    with sqlite3.connect(copy) as db:
        before = list(db.iterdump())
    call(tmp_path, "evidence", claim, "--notebook", "n.sqlite")
    with sqlite3.connect(copy) as db:
        assert list(db.iterdump()) == before


def test_clear_words(demo, claim, tmp_path):
    exists = tmp_path / "e.warc"
    exists.write_text("mine")
    copy = tmp_path / "n.sqlite"
    shutil.copy(demo.folder / NOTEBOOK, copy)
    with sqlite3.connect(copy) as db:
        db.execute("UPDATE bodies SET zlib = x'789c030000000001'")
    for arguments, status, said in [
        (("evidence", "nonesuch", "--notebook", NOTEBOOK), 1, "no finished audit"),
        (("evidence", claim, "--notebook", "nonesuch.sqlite"), 1, "There is no notebook"),
        (("evidence", claim, "--warc", str(exists), "--notebook", NOTEBOOK), 2, "exists already"),
        (
            ("evidence", claim, "--warc", str(tmp_path / "no" / "e.warc"), "--notebook", NOTEBOOK),
            1,
            "cannot be written",
        ),
        (("evidence", claim, "--warc", str(tmp_path / "d.warc"), "--notebook", str(copy)), 1, "no longer fits"),
        (("evidence",), 2, "CLAIM_ID"),
    ]:
        done = demo.call(*arguments)
        assert done.returncode == status, done.stderr
        assert said in done.stderr
        assert done.stderr.count("\n") == 1
        assert "Traceback" not in done.stderr
    assert exists.read_text() == "mine"
    assert not (tmp_path / "d.warc").exists()


def test_a_gate_is_named_by_option_or_environment(demo):
    for arguments in (("--memento-gate", "no-address"), ("--memento-gate=ftp://gate.example/",)):
        done = demo.call("audit", PAGE, "--taxon", "Fictaria silvana", "--notebook", "other.sqlite", *arguments)
        assert done.returncode == 2, done.stderr
        assert "is no address of a gate" in done.stderr
        assert done.stderr.count("\n") == 1
