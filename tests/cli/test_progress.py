"""Progress appears on a terminal after a while, leaves it again, and never in a pipe."""

from __future__ import annotations

import io
import time

import pytest

from doubtwort.cli.progress import Progress


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


def _wait_for(condition) -> bool:
    until = time.monotonic() + 5
    while time.monotonic() < until:
        if condition():
            return True
        time.sleep(0.01)
    return False


def test_a_short_chase_shows_nothing():
    out = _Terminal()
    with Progress(out, patience=60) as tell:
        tell("fetching http://herb.example/x")
    assert out.getvalue() == ""


def test_a_longer_chase_shows_the_latest_and_cleans_up():
    out = _Terminal()
    with Progress(out, patience=0) as tell:
        tell("fetching http://herb.example/\x1b[2Jx?a[/red]=1")
        assert _wait_for(lambda: "fetching http://herb.example/[2Jx?a[/red]=1" in out.getvalue())
        tell("reading")
        assert _wait_for(lambda: "reading" in out.getvalue())
    assert "\x1b[2J" not in out.getvalue()
    assert "\x1b[2K" in out.getvalue()  # the line is erased (EL, ECMA-48)


def test_a_pipe_gets_nothing():
    out = io.StringIO()
    with Progress(out, patience=0) as tell:
        tell("fetching")
        time.sleep(0.05)
    assert out.getvalue() == ""


def test_an_error_in_the_block_still_cleans_up():
    out = _Terminal()

    def breaks() -> None:
        with Progress(out, patience=0):
            assert _wait_for(lambda: "starting" in out.getvalue())
            raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        breaks()
    assert "\x1b[?25h" in out.getvalue()  # the cursor is shown again (DECTCEM)
