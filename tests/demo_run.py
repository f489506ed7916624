"""Runs the demo once, as a process, for all tests that look at what it leaves."""

from __future__ import annotations

import atexit
import os
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()"]
NOTEBOOK = "doubtwort-demo.sqlite"


@dataclass(frozen=True)
class DemoRun:
    """The folder that the demo ran in, and what it wrote."""

    folder: Path
    status: int
    out: str
    err: str

    def call(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Another command in the demo's folder."""
        return call(self.folder, *arguments)


def call(folder: Path, *arguments: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    """A command whose home is ``folder`` and whose environment asks for nothing special."""
    environment = {
        "PATH": os.environ.get("PATH", ""),
        "HOME": str(folder),
        "PYTHONUTF8": "1",
        # The demo web must be reached whatever proxy the machine is told to use or not to use.
        "HTTP_PROXY": "http://127.0.0.1:9",
        "NO_PROXY": "*",
    }
    return subprocess.run(
        [*COMMAND, *arguments],
        cwd=folder,
        env=environment,
        input=stdin,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@cache
def run_demo() -> DemoRun:
    """One run for the whole test session."""
    folder = Path(mkdtemp(prefix="doubtwort-test-demo-"))
    atexit.register(rmtree, folder, ignore_errors=True)
    done = call(folder, "demo")
    return DemoRun(folder, done.returncode, done.stdout, done.stderr)
