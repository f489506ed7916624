"""Types, lint and format, as the tools judge them with the settings of pyproject.toml."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "command",
    [
        ["mypy", "src"],
        ["ruff", "check", "--no-cache", "src", "tests", "fixtures"],
        ["ruff", "format", "--check", "src", "tests", "fixtures"],
    ],
    ids=["mypy", "ruff check", "ruff format"],
)
def test_tool_finds_nothing(command):
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stdout + done.stderr
