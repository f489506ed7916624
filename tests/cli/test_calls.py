"""Calls as processes: exit status, one clear line on standard error, nothing but the result on standard output."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import doubtwort
from doubtwort.cli import run
from doubtwort.cli.options import parts_from_user, preparations_from_user

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()"]


def call(
    *arguments: str, stdin: bytes = b"", cwd: Path | None = None, **environment: str
) -> subprocess.CompletedProcess:
    # As bytes: what the program writes is what is judged.
    return subprocess.run(
        [*COMMAND, *arguments], input=stdin, capture_output=True, cwd=cwd, env=os.environ | environment, timeout=60
    )


def one_line(done: subprocess.CompletedProcess) -> str:
    """The only line on standard error."""
    said = done.stderr.decode()
    assert "Traceback" not in said
    lines = said.splitlines()
    assert len(lines) == 1, said
    assert lines[0].startswith("doubtwort: ")
    return lines[0]


def test_version():
    done = call("--version")
    assert (done.returncode, done.stdout.decode(), done.stderr) == (0, f"doubtwort {doubtwort.__version__}\n", b"")


@pytest.mark.parametrize("command", [[], ["demo"], ["audit"], ["read"], ["list"], ["show"]])
def test_help_is_plain_and_true_to_80_columns(command):
    done = call(*command, "--help", COLUMNS="80")
    said = done.stdout.decode()
    assert done.returncode == 0
    assert done.stderr == b""
    assert "\x1b" not in said
    assert all(len(line) <= 80 for line in said.splitlines())
    if command:
        assert "--notebook" in said  # every command takes it


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "Missing command"),
        (["nonsense"], "nonsense"),
        (["audit"], "Missing argument 'URL'"),
        (["audit", "http://herb.example/"], "--taxon"),
        (["audit", "http://herb.example/", "--taxon", "Fictaria silvana", "--wording", "tasty"], "tasty"),
        (["audit", "http://herb.example/", "--taxon", "Fictaria silvana", "--depth", "-1"], "'--depth'"),
        (
            ["audit", "http://herb.example/", "--taxon", "Fictaria silvana", "--depth", "many"],
            "See: doubtwort audit --help",
        ),
        (["audit", "http://herb.example/", "--taxon", "fictwort"], "fictwort"),
        (["audit", "herb.example", "--taxon", "Fictaria silvana"], "http://"),
        (["audit", "file:///etc/passwd", "--taxon", "Fictaria silvana"], "http://"),
        (["audit", "http://[::1", "--taxon", "Fictaria silvana"], "http://"),
        (["audit", "http://herb.example/", "--taxon", "Fictaria silvana", "--part", "leafs and"], "Known: "),
        (["audit", "http://herb.example/", "--taxon", "Fictaria silvana", "--preparation", "root"], "Known: "),
        (["read"], "--jsonl"),
        (["read", "--jsonl", "file.txt"], "standard input"),
        (["read", "--jsonl", "--taxon", "Fictaria silvana"], "--taxon"),
        (["read", "-"], "--taxon"),
        (["read", "no-such-file.txt", "--taxon", "Fictaria silvana"], "no-such-file.txt"),
        (["read", "/", "--taxon", "Fictaria silvana"], "/"),
        (["show"], "CLAIM_ID"),
    ],
)
def test_a_wrong_call_gets_one_line_and_status_2(arguments, says, tmp_path):
    done = call(*arguments, cwd=tmp_path)
    assert done.returncode == 2, done.stderr
    assert says in one_line(done)
    assert done.stdout == b""


@pytest.mark.parametrize("arguments", [["list"], ["show", "c1"], ["show", "c1", "--json"]])
def test_a_missing_notebook_is_status_1_and_is_not_made(arguments, tmp_path):
    done = call(*arguments, "--notebook", "none.sqlite", cwd=tmp_path)
    assert done.returncode == 1
    assert "none.sqlite" in one_line(done)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_no_notebook_is_status_1_and_left_alone(tmp_path):
    file = tmp_path / "shopping.txt"
    file.write_text("leeks")
    done = call("list", "--notebook", str(file))
    assert done.returncode == 1
    assert "shopping.txt" in one_line(done)
    assert file.read_text() == "leeks"


def test_an_unknown_claim_is_status_1(tmp_path):
    from doubtwort.notebook import open_notebook

    open_notebook(tmp_path / "empty.sqlite").close()
    assert call("list", "--notebook", str(tmp_path / "empty.sqlite")).returncode == 0
    done = call("show", "c\x1b[31m1", "--notebook", str(tmp_path / "empty.sqlite"))
    assert done.returncode == 1
    assert "\x1b" not in one_line(done)


@pytest.mark.parametrize(
    ("error", "status", "says"),
    [
        (KeyboardInterrupt(), 130, "stopped; nothing is lost; run the same command again to go on"),
        (ZeroDivisionError("by zero"), 1, "a fault of the program: ZeroDivisionError: by zero (test_calls.py, line"),
        (RecursionError("deep"), 1, "RecursionError"),
        (PermissionError(13, "Permission denied", "/x"), 1, "Permission denied (/x)."),
    ],
)
def test_whatever_breaks_is_one_line(monkeypatch, capsys, error, status, says):
    def breaks(*_arguments, **_options):
        raise error

    monkeypatch.setattr("doubtwort.cli.kept.list_command", breaks)
    assert run(["list"]) == status
    said = capsys.readouterr().err.strip()
    assert says in said
    assert len(said.splitlines()) == 1


def test_a_closed_pipe_is_quiet():
    # The reader leaves before anything is written, as `| head -0` does.
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.Popen([*COMMAND, "--help"], stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    _, said = done.communicate(timeout=60)
    assert said == b""
    assert done.returncode == 1


# What each command has no use for and must not load: start-up time is what is saved.
@pytest.mark.parametrize(
    ("arguments", "heavy"),
    [
        (
            ["--help"],
            ["requests", "bs4", "lxml", "sqlite_utils", "rapidfuzz", "networkx", "pypdfium2", "rich", "sqlite3"],
        ),
        (["--version"], ["requests", "bs4", "lxml", "sqlite_utils", "rapidfuzz", "networkx", "pypdfium2", "rich"]),
        (["read", "--jsonl"], ["requests", "sqlite_utils", "sqlite3", "networkx", "pypdfium2", "pypdf", "rich"]),
    ],
)
def test_a_command_loads_only_what_it_needs(arguments, heavy):
    code = (
        "import sys; from doubtwort.cli import run; run(sys.argv[2:]); "
        "print([m for m in sys.argv[1].split(',') if m in sys.modules], file=sys.stderr)"
    )
    line = b'{"id": 1, "text": "Fictwort is edible.", "taxon": "Fictaria silvana", "common_names": ["fictwort"]}\n'
    done = subprocess.run(
        [sys.executable, "-c", code, ",".join(heavy), *arguments], input=line, capture_output=True, timeout=60
    )
    assert done.stderr.decode().strip() == "[]"


@pytest.mark.parametrize(
    ("typed", "parts"), [(["Leaves"], ("leaf",)), (["root", "BERRIES", "roots"], ("fruit", "root")), ([], ())]
)
def test_parts_are_understood_as_the_tables_have_them(typed, parts):
    assert parts_from_user(typed) == parts


@pytest.mark.parametrize(
    ("typed", "preparations"),
    [(["uncooked"], ("raw",)), (["ground"], ("ground",)), (["with alcohol"], ("with alcohol",))],
)
def test_preparations_are_understood_as_the_tables_have_them(typed, preparations):
    assert preparations_from_user(typed) == preparations
