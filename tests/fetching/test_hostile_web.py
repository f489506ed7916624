"""The hostile and broken web ends in named reasons, in bounded work, and in a finished audit."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from fetch_help import fetching, local, why
from hostile_cases import CASES, FACT, LARGE, PAGE, READ, Case, do

from doubtwort.audit import audit_page
from doubtwort.fetching import open_fetcher
from doubtwort.model import Fetched, Outcome, Rating, Taxon
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.reporting.machine import audit_object, dumps
from loopback import Exchange, LoopbackWeb

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
# Heavy ones take seconds each: their size is cut here, and whole in the benchmark.
HEAVY = {"100,000 links"}
LIGHT = [each for each in CASES if each.name not in HEAVY]


@pytest.fixture(autouse=True)
def no_proxies(monkeypatch):
    for name in ("HTTP_PROXY", "HTTPS_PROXY", "NO_PROXY", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
        monkeypatch.delenv(name.lower(), raising=False)


@pytest.mark.parametrize("case", LIGHT, ids=lambda case: case.name)
def test_every_row_has_its_reason(case: Case):
    with LoopbackWeb() as web:
        done = do(case, case.serve(web))
    assert done.reason == case.reason, done.detail
    if case.reason == READ:
        assert case.text in done.text
    else:
        assert done.detail
    shown = f"{done.detail}{done.title}"
    assert not re.search(r"[\x00-\x1f\x7f\u202e]", shown)
    assert "secret" not in shown + done.text


def test_many_links():
    links = "".join(f"<a href=/{n}>link {n}</a> " for n in range(5_000))
    case = Case("", READ, lambda web: (web.page("/a", f"{PAGE}<p>{links}"), web.url("/a"))[1], setting=LARGE)
    with LoopbackWeb() as web:
        assert FACT in do(case, case.serve(web)).text


def test_an_invalid_certificate(tmp_path):
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("there is no openssl program here")
    files = (tmp_path / "certificate.pem", tmp_path / "key.pem")
    command = [openssl, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
               "-days", "2", "-subj", "/CN=127.0.0.1", "-out", str(files[0]), "-keyout", str(files[1])]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True, timeout=60)
    with LoopbackWeb(files) as web, fetching() as fetcher:
        assert why(fetcher.fetch(web.url("/a"))) == ("unreachable", "certificate not trusted")


def test_text_is_the_same_in_every_charset():
    texts = set()
    for case in CASES:
        if "charset" in case.name or "UTF-16" in case.name:
            with LoopbackWeb() as web:
                texts.add(do(case, case.serve(web)).text)
    assert len(texts) == 1
    assert "größer als üblich. — 20 °C" in texts.pop()


def test_memory_is_bounded(tmp_path):
    """The peak of a bomb's and an endless body's process stays far below what they would send: 200 MB and more."""
    if not Path("/proc/self/status").exists():
        pytest.skip("peak memory of a process of its own is read from /proc")
    for name in ("compression bomb", "endless body"):
        case = next(each for each in CASES if each.name == name)
        with LoopbackWeb() as web:
            command = [sys.executable, str(Path(__file__).with_name("hostile_cases.py")), name, case.serve(web)]
            done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
        reason, _, _, peak, idle = json.loads(done.stdout)
        assert reason == "too-large"
        assert peak - idle < 100  # MB; the limit of the body is 20


def test_a_way_over_many_hosts_with_slow_robots_ends():
    """Each robots.txt has time of its own, but not without end: ten hosts of 0.25 s each are cut at twice 0.6 s."""
    with LoopbackWeb() as web:
        for number in range(10):
            host = f"http://h{number}.example"
            web.handle(f"{host}/robots.txt", lambda exchange: (time.sleep(0.25), exchange.answer(404)))
            web.redirect(f"{host}/", f"http://h{number + 1}.example/")
        with fetching(local(proxies=web.proxies, connect_timeout=0.5, read_timeout=0.5, total_timeout=0.6)) as fetcher:
            assert why(fetcher.fetch("http://h0.example/")) == ("timeout", "no whole answer in time")
        assert len({each.target.split("/")[2] for each in web.seen}) < 8


# --------------------------------------------------------------------------- a page that changes


def test_a_page_that_changes_between_fetches_is_kept_as_often(tmp_path):
    turns = iter(("<p>The leaves are eaten.", "<p>The leaves are poisonous.", "<p>The leaves are poisonous."))
    asked = []

    def changing(exchange: Exchange) -> None:
        asked.append(exchange.seen.headers.get("if-none-match"))
        text = next(turns)
        tag = f'"{len(text)}"'
        if exchange.seen.headers.get("if-none-match") == tag:
            exchange.answer(304, b"", {"ETag": tag, "Cache-Control": "no-cache"})
        else:
            exchange.answer(200, text, {"ETag": tag, "Cache-Control": "no-cache"})

    with LoopbackWeb() as web, fetching(cache=tmp_path / "pages.sqlite") as fetcher:
        web.handle("/a", changing)
        first, second, third = (fetcher.fetch(web.url("/a")) for _ in range(3))
    assert asked == [None, '"24"', '"28"']  # rechecks are conditional requests (RFC 9110 §13.1.2)
    assert first.body != second.body == third.body
    assert first.sha256 != second.sha256 == third.sha256


def test_rechecks_by_date_of_change_too(tmp_path):
    # RFC 9110 §13.1.3: the date of change is sent back where there is no tag.
    def dated(exchange: Exchange) -> None:
        since = exchange.seen.headers.get("if-modified-since")
        headers = {"Last-Modified": "Tue, 05 May 2020 10:00:00 GMT", "Cache-Control": "no-cache"}
        exchange.answer(304 if since == "Tue, 05 May 2020 10:00:00 GMT" else 200, b"" if since else b"<p>text", headers)

    with LoopbackWeb() as web:
        web.handle("/a", dated)
        for _ in range(2):
            with fetching(cache=tmp_path / "pages.sqlite") as fetcher:
                assert fetcher.fetch(web.url("/a")).body == b"<p>text"
        assert [each.headers.get("if-modified-since") for each in web.seen if each.target == "/a"] == [
            None, "Tue, 05 May 2020 10:00:00 GMT",
        ]  # fmt: skip


# --------------------------------------------------------------------------- hosts in parallel, one at a time each


def crowd(web: LoopbackWeb, path: str = "/") -> list[int]:
    """Counts how many requests are under way at once, as each one begins."""
    under_way, counted, lock = [0], list[int](), threading.Lock()

    def slow(exchange: Exchange) -> None:
        with lock:
            under_way[0] += 1
            counted.append(under_way[0])
        time.sleep(0.05)
        with lock:
            under_way[0] -= 1
        exchange.answer(200, "<p>text")

    for number in range(6):
        web.handle(f"{path}{number}", slow)
    return counted


def fetch_all(fetcher, urls):
    threads = [threading.Thread(target=fetcher.fetch, args=(url,)) for url in urls]
    for each in threads:
        each.start()
    for each in threads:
        each.join(timeout=20)


@pytest.mark.parametrize(("allowed", "most"), [(1, 1), (2, 2)])
def test_so_many_requests_to_one_host_at_once_and_no_more(allowed, most):
    with LoopbackWeb() as web, fetching(local(host_connections=allowed)) as fetcher:
        counted = crowd(web)
        fetch_all(fetcher, [web.url(f"/{number}") for number in range(6)])
    assert len(counted) == 6
    assert max(counted) == most


def test_hosts_are_asked_in_parallel():
    with LoopbackWeb() as web, fetching(local(proxies=web.proxies)) as fetcher:
        for number in range(6):
            web.page(f"http://h{number}.example/robots.txt", "", 404)
        counted = crowd(web, "http://h")
        for number in range(6):
            web.handlers[f"http://h{number}.example/"] = web.handlers.pop(f"http://h{number}")
        fetch_all(fetcher, [f"http://h{number}.example/" for number in range(6)])
    assert len(counted) == 6
    assert max(counted) > 1


# --------------------------------------------------------------------------- a finished audit


def test_an_audit_of_a_page_that_cites_all_of_it_is_finished(tmp_path):
    """Every row is a cited source of one claim. All are named with their reasons, and two pages that can be read
    decide the rating."""
    skipped = {
        "one line of 8 MB",
        "one word of 8 MB",
        "PDF of 5,000 pages",
        "huge robots.txt",
        "robots.txt answers 500",
    }
    cases = [
        each for each in LIGHT
        if not each.stand_in and each.setting != LARGE and each.name not in skipped
        and not each.name.startswith("reference to")
    ]  # fmt: skip
    webs = [LoopbackWeb() for _ in cases]
    with LoopbackWeb() as main:
        for web in webs:
            web.__enter__()
        urls = [case.serve(web) for case, web in zip(cases, webs, strict=True)]
        listed = "".join(f"<li id=n{at}><a href='{url}'>Work {at}</a></li>" for at, url in enumerate(urls))
        dead = "".join(
            f"<li><a href='{url}'>x</a></li>" for url in ("javascript:alert(1)", "data:text/html,x", "file:///x")
        )
        marks = "".join(f"<sup><a href=#n{at}>[{at}]</a></sup>" for at in range(len(urls)))
        main.page(
            "/claim",
            "<title>Fictaria silvana</title><h1>Fictaria silvana</h1>"
            f"<p>The leaves of fictwort are edible.{marks}</p><h2>References</h2><ol>{listed}{dead}</ol>",
        )
        settings = local(read_timeout=0.5, total_timeout=0.8, retries=0)
        notebook = tmp_path / "n.sqlite"
        with open_notebook(notebook, settings=settings) as opened, open_fetcher(settings) as fetcher:
            audit = audit_page(
                main.url("/claim"), TAXON, settings=settings, fetcher=fetcher, keeper=NotebookKeeper(opened)
            )
        for web in webs:
            web.__exit__()
    found = {each.url: each for each in audit.sources}
    for case, url in zip(cases, urls, strict=True):
        clean = re.sub(r"//[^/@]*@", "//", url)
        source = found[clean]
        if case.reason == READ:
            assert source.outcome is not Outcome.UNREAD, (case.name, source.detail)
        else:
            assert (source.outcome, source.reason) == (Outcome.UNREAD, case.reason), case.name
    assert audit.rating in (Rating.SUPPORTED, Rating.CORROBORATED, Rating.PARTLY_SUPPORTED)
    said = dumps(audit_object(audit))
    assert "secret" not in said
    assert "\x1b" not in said
    with sqlite3.connect(notebook) as kept:
        everything = "\n".join(kept.iterdump())
    assert "secret" not in everything
    assert "reader:" not in everything


def test_ceilings_of_pages_and_of_time_are_said(tmp_path):
    with LoopbackWeb() as web:
        listed = "".join(f"<li id=n{at}><a href='/s{at}'>Work {at}</a></li>" for at in range(8))
        marks = "".join(f"<sup><a href=#n{at}>[{at}]</a></sup>" for at in range(8))
        web.page(
            "/claim",
            f"<title>Fictaria silvana</title><p>The leaves of fictwort are edible.{marks}</p><ol>{listed}</ol>",
        )
        for at in range(8):
            web.page(f"/s{at}", PAGE)
        settings = local(max_sources=3)
        with open_fetcher(settings) as fetcher:
            few = audit_page(web.url("/claim"), TAXON, settings=settings, fetcher=fetcher)
        ticks = iter(range(0, 10_000, 40))
        settings = local(max_seconds=100)
        with open_fetcher(settings) as fetcher:
            short = audit_page(web.url("/claim"), TAXON, settings=settings, fetcher=fetcher, clock=lambda: next(ticks))
    assert len(few.sources) == 3
    assert any("ceiling of 3 sources" in note for note in few.notes)
    assert any("ceiling of 100 seconds" in note for note in short.notes)
    assert [each.reason for each in short.sources].count("timeout") > 0
    assert isinstance(short.sources[0].url, str)


def test_what_is_read_is_what_was_sent():
    with LoopbackWeb() as web, fetching() as fetcher:
        web.page("/a", PAGE)
        got = fetcher.fetch(web.url("/a"))
    assert isinstance(got, Fetched)
    assert got.body == PAGE.encode()
