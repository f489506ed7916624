"""README.md and DEVELOPERS.md say what is so: commands, output, ratings, files."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer
from readme_output import example, readme_parts

from doubtwort.cli.app import app
from doubtwort.model import Rating

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_example_is_what_the_program_prints():
    assert readme_parts()[1] == example(), "write it anew: .venv/bin/python tests/house/readme_output.py"


def test_the_example_shows_a_claim_that_fails_with_quote_place_and_rule():
    between = readme_parts()[1]
    for part in ("stretched", "“Fictwort is harmless.”", "at: ", "rules: ", "(says-less)"):
        assert part in between, part


def test_every_rating_has_its_line_in_the_order_of_the_table():
    listed = re.findall(r"^\| `([a-z-]+)` \|", README.split("## Ratings")[1].split("##")[0], re.MULTILINE)
    assert listed == [rating.value for rating in Rating]


def test_every_command_is_named():
    names = set(typer.main.get_command(app).commands)
    named = set(re.findall(r"^\| `doubtwort ([a-z]+)", README, re.MULTILINE))
    assert names == named


def test_it_says_in_bold_what_it_does_not_do():
    assert re.search(
        r"\*\*It checks what sources say\. It does not tell whether anything is safe to eat[^*]*\*\*", README
    )


def test_the_two_commands_are_complete_in_themselves():
    assert "python3 -m venv .venv && .venv/bin/pip install -q . && .venv/bin/doubtwort demo\n" in README
    command = "python3 -m venv .venv && .venv/bin/pip install -q -e '.[test]' && .venv/bin/pytest\n"
    assert command in README
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


@pytest.mark.parametrize(("name", "text"), [("README.md", README), ("DEVELOPERS.md", DEVELOPERS)])
def test_files_that_are_named_exist(name, text):
    for path in re.findall(r"`((?:src|tests|fixtures|claims_db|\.ci)/[^`<>* ]*)`", text):
        assert (ROOT / path).exists(), f"{name} names {path}"


def test_every_room_is_described():
    rooms = {folder.name for folder in (ROOT / "src" / "doubtwort").iterdir() if (folder / "__init__.py").is_file()}
    for room in rooms:
        assert re.search(rf"`{room}(/|`)", DEVELOPERS), f"DEVELOPERS.md does not describe {room}"
