"""The notebook and other processes: killed at any moment, two at once, without the right to write, without room."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from notebook_values import an_audit, page_of

from doubtwort.errors import DoubtwortError, NotebookReadOnly
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.notebook.schema import migrate, shipped_migrations

posix = pytest.mark.skipif(os.name != "posix", reason="fork, SIGKILL and permission bits are POSIX")
AUDIT = an_audit(sources=6)


def keep_it_all(notebook) -> list[str]:
    """An audit of six sources; gives the addresses that had to be fetched. What was kept is taken from the notebook."""
    keeper = NotebookKeeper(notebook)
    keeper.start(AUDIT.claim)
    asked = []
    for source in AUDIT.sources:
        if keeper.kept(source.url) is None:
            asked.append(source.url)
            keeper.keep_fetch(page_of(source.url))
        assert keeper.kept(source.url) == page_of(source.url)
        keeper.keep_source(source)
    keeper.finish(AUDIT)
    return asked


def child(work) -> int:
    """Runs in a process of its own that shares nothing but the file; gives the process id."""
    process = os.fork()
    if process:
        return process
    status = 1
    try:
        work()
        status = 0
    finally:
        os._exit(status)


def killed_at_statement(path: Path, number: int) -> bool:
    """A process that dies as it begins its ``number``-th SQL statement. False when it came to its end before."""

    def work() -> None:
        seen = iter(range(1, 1_000_000))

        def count(_: str) -> None:
            if next(seen) == number:
                os.kill(os.getpid(), signal.SIGKILL)

        with open_notebook(path) as notebook:
            notebook.db.conn.set_trace_callback(count)
            keep_it_all(notebook)

    return os.WIFSIGNALED(os.waitpid(child(work), 0)[1])


def killed_after(path: Path, seconds: float) -> bool:
    """A process that is killed from outside, wherever it is: in a commit, in a write, while it opens the file."""

    def work() -> None:
        with open_notebook(path) as notebook:
            keep_it_all(notebook)

    process = child(work)
    time.sleep(seconds)
    os.kill(process, signal.SIGKILL)
    return os.WIFSIGNALED(os.waitpid(process, 0)[1])


def statements_of_a_whole_audit(path: Path) -> int:
    with open_notebook(path) as notebook:
        seen: list[str] = []
        notebook.db.conn.set_trace_callback(seen.append)
        assert keep_it_all(notebook) == [source.url for source in AUDIT.sources]
        notebook.db.conn.set_trace_callback(None)
    return len(seen)


@posix
def test_killed_at_any_moment_the_notebook_is_sound_and_the_audit_goes_on(tmp_path):
    dice = random.Random(20261125)
    began = time.monotonic()
    whole = statements_of_a_whole_audit(tmp_path / "whole.sqlite")
    lasted = time.monotonic() - began
    saved = []
    for number in range(26):
        path = tmp_path / f"{number}.sqlite"
        if number % 2:
            killed_after(path, dice.uniform(0, lasted))
        else:
            assert killed_at_statement(path, dice.randint(1, whole)), "the process came to its end unharmed"
        with open_notebook(path) as notebook:
            notebook.check()  # integrity_check and foreign_key_check
            runs = notebook.history("c1") if notebook.claims() else ()
            done = [row.state for row in runs] == ["done"]
            there = {row["url"] for row in notebook.db.query("SELECT url FROM fetches")}
            asked = keep_it_all(notebook)
            assert notebook.audit("c1") == AUDIT
            assert [row.state for row in notebook.history("c1")] == (["done", "done"] if done else ["done"])
            if not done:
                assert set(asked) == {source.url for source in AUDIT.sources} - there
                saved.append(len(there))
            notebook.check()
        assert not list(tmp_path.glob("*.partial"))
    assert any(0 < each < 6 for each in saved), "no kill fell in the middle of an audit"


@posix
def test_killed_while_migrating_it_is_migrated_the_next_time(tmp_path):
    with sqlite3.connect(tmp_path / "whole.sqlite", isolation_level=None) as whole:
        seen: list[str] = []
        whole.set_trace_callback(seen.append)
        migrate(whole, tmp_path / "whole.sqlite", shipped_migrations())
    whole.close()
    for number in range(1, len(seen) + 1, len(seen) // 10):
        path = tmp_path / f"{number}.sqlite"

        def work(path=path, number=number) -> None:
            connection = sqlite3.connect(path, isolation_level=None)
            number_of = iter(range(1, 1_000_000))
            connection.set_trace_callback(lambda _: next(number_of) == number and os.kill(os.getpid(), signal.SIGKILL))
            migrate(connection, path, shipped_migrations())

        assert os.WIFSIGNALED(os.waitpid(child(work), 0)[1])
        with open_notebook(path) as notebook:
            keep_it_all(notebook)
            notebook.check()


@posix
def test_two_processes_make_and_fill_one_notebook(tmp_path):
    path = tmp_path / "n.sqlite"

    def work(name: str):
        def keep() -> None:
            with open_notebook(path) as notebook:
                for number in range(15):
                    notebook.keep_audit(an_audit(f"{name}{number}"))

        return keep

    processes = [child(work(name)) for name in "ab"]
    assert [os.waitpid(each, 0)[1] for each in processes] == [0, 0]
    with open_notebook(path) as notebook:
        assert {row.id for row in notebook.claims()} == {f"{name}{number}" for name in "ab" for number in range(15)}
        assert notebook.audit("a7") == an_audit("a7")
        notebook.check()


@posix
def test_a_living_process_keeps_its_audit(tmp_path):
    """Two processes at one claim: the second finds the first alive and makes an audit of its own."""
    path = tmp_path / "n.sqlite"
    ready, tell = os.pipe()
    wait, go = os.pipe()

    def first() -> None:
        with open_notebook(path) as notebook:
            keeper = NotebookKeeper(notebook)
            keeper.start(AUDIT.claim)
            os.write(tell, b"1")
            os.read(wait, 1)
            keeper.finish(AUDIT)

    process = child(first)
    os.read(ready, 1)
    with open_notebook(path) as notebook:
        keep_it_all(notebook)
        assert [row.state for row in notebook.history("c1")] == ["done", "running"]
        os.write(go, b"1")
        assert os.waitpid(process, 0)[1] == 0
        assert [row.state for row in notebook.history("c1")] == ["done", "done"]
    for end in (ready, tell, wait, go):
        os.close(end)


# ------------------------------------------------------------------------------------ rights and room


def as_nobody(path: Path) -> str:
    """What an unprivileged user is told: root may write anywhere, so a run as root gives up its rights first."""
    ear, mouth = os.pipe()

    def work() -> None:
        if os.getuid() == 0:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        try:
            with open_notebook(path) as notebook:
                told = f"opened {len(notebook.claims())}"
        except DoubtwortError as error:
            told = f"{type(error).__name__} {error}"
        os.write(mouth, told.encode())

    assert os.waitpid(child(work), 0)[1] == 0
    os.close(mouth)
    with os.fdopen(ear, "rb") as heard:
        return heard.read().decode()


@contextmanager
def open_folder():
    """A folder that everybody may enter and write to, which pytest's own are not."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o777)
        yield Path(name)
        Path(name).chmod(0o777)


@posix
def test_file_or_folder_without_the_right_to_write_is_one_line_and_unchanged():
    with open_folder() as folder:
        path = folder / "n.sqlite"
        with open_notebook(path) as notebook:
            notebook.keep_audit(AUDIT)
        before = path.read_bytes()
        path.chmod(0o444)
        told = as_nobody(path)
        assert told.startswith("NotebookReadOnly")
        assert "read-only" in told
        assert "\n" not in told
        path.chmod(0o666)
        assert as_nobody(path) == "opened 1"
        folder.chmod(0o555)
        told = as_nobody(path)
        assert told.startswith("NotebookReadOnly")
        assert "its folder is read-only" in told
        assert as_nobody(folder / "other.sqlite").startswith("NotebookReadOnly")
        assert as_nobody(folder / "new" / "other.sqlite").startswith("NotebookReadOnly")
        path.chmod(0)
        assert as_nobody(path).startswith("NotebookReadOnly")
        assert path.read_bytes() == before


@posix
def test_a_limit_on_the_size_of_files_stops_a_step_and_spoils_nothing(tmp_path):
    """The system itself refuses to write on (EFBIG), as it does on a full disk (ENOSPC)."""
    import resource

    path = tmp_path / "n.sqlite"
    report = tmp_path / "report"

    def work() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        with open_notebook(path) as notebook:
            resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, resource.RLIM_INFINITY))
            try:
                for number in range(100):
                    notebook.keep_audit(an_audit(f"c{number}", sources=9))
            except NotebookReadOnly as error:
                report.write_text(f"{number}\n{error}")

    assert os.waitpid(child(work), 0)[1] == 0
    kept, told = report.read_text().split("\n")
    assert int(kept) > 0
    assert told.endswith(".")
    with open_notebook(path) as notebook:
        notebook.check()
        assert len(notebook.claims()) == int(kept)
        assert notebook.audit("c0") == an_audit("c0", sources=9)
