"""Files that are written whole: never over a notebook, never half, with the rights that the user gives."""

from __future__ import annotations

import os
import stat

import pytest

from doubtwort.cli import run
from doubtwort.errors import CallError, DoubtwortError
from doubtwort.sharing.files import whole_file
from sharing.sharing_samples import everything


@pytest.fixture(scope="module")
def full(tmp_path_factory):
    return everything(tmp_path_factory.mktemp("full") / "n.sqlite")


COMMANDS = {
    "export": ["export", "--format", "csv", "TARGET"],
    "sheet": ["sheet", "TARGET"],
    "report": ["report", "c1", "--html", "TARGET"],
    "picture": ["report", "c1", "--svg", "TARGET"],
    "evidence": ["evidence", "c1", "--warc", "TARGET"],
    "lesson": ["lesson", "--html", "TARGET"],
}


@pytest.mark.parametrize("link", [False, True], ids=["itself", "by a link"])
@pytest.mark.parametrize("name", COMMANDS)
def test_no_command_writes_over_the_notebook(full, tmp_path, capsys, name, link):
    target = full
    if link:
        target = tmp_path / "link"
        target.symlink_to(full)
    before = full.read_bytes()
    arguments = [str(target) if each == "TARGET" else each for each in COMMANDS[name]]
    assert run([*arguments, "--notebook", str(full)]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert full.read_bytes() == before


@pytest.mark.parametrize("begins", [b"SQLite format 3\x00", b"\x37\x7f\x06\x82", b"\x37\x7f\x06\x83"])
def test_no_other_notebook_and_no_log_of_one_is_written_over(tmp_path, begins):
    target = tmp_path / "other"
    target.write_bytes(begins + bytes(100))
    with pytest.raises(CallError, match="left as it was"), whole_file(target) as out:
        out.write("x")
    assert target.read_bytes() == begins + bytes(100)


def test_a_link_stays_and_its_file_is_written(tmp_path):
    real, link = tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_text("old")
    link.symlink_to(real)
    with whole_file(link) as out:
        out.write("new\r\n")
    assert (link.is_symlink(), real.read_bytes()) == (True, b"new\r\n")


def test_a_link_that_leads_back_to_itself_is_told(tmp_path):
    link = tmp_path / "link.csv"
    link.symlink_to(link)
    with pytest.raises(DoubtwortError, match="could not be written") as caught, whole_file(link):
        pass
    assert "\n" not in str(caught.value)
    assert link.is_symlink()


@pytest.mark.parametrize(("umask", "mode"), [(0o022, 0o644), (0o077, 0o600)])
def test_the_users_umask_holds_and_a_file_keeps_its_rights(tmp_path, umask, mode):
    before = os.umask(umask)
    try:
        with whole_file(tmp_path / "new.csv") as out:
            out.write("x")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "new.csv").stat().st_mode) == mode
    (tmp_path / "new.csv").chmod(0o640)
    with whole_file(tmp_path / "new.csv") as out:
        out.write("y")
    assert stat.S_IMODE((tmp_path / "new.csv").stat().st_mode) == 0o640


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_written_to_and_stays_one(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDWR | os.O_NONBLOCK)
    with whole_file(pipe) as out:
        out.write("x")
    assert os.read(reader, 10) == b"x"
    os.close(reader)
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_what_breaks_off_leaves_what_was_there(tmp_path):
    target = tmp_path / "a.csv"
    target.write_text("old")
    with pytest.raises(TypeError), whole_file(target) as out:
        out.writelines(["new", b"wrong"])
    assert (target.read_text(), list(tmp_path.iterdir())) == ("old", [target])
