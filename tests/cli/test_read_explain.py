"""``doubtwort read --explain``: to a pipe, as a page, as JSON, and one line where the call is wrong."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()", "read"]
TAXON = ["--taxon", "Fictaria silvana", "--common-name", "fictwort"]
TEXT = "The seeds of fictwort are not edible. Is it harmless? No."


@pytest.fixture
def text_file(tmp_path):
    made = tmp_path / "fictwort.txt"
    made.write_text(TEXT, encoding="utf-8")
    return made


def call(*arguments: str, given: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *arguments], input=given, capture_output=True, text=True, encoding="utf-8", timeout=60, check=False
    )


def test_a_pipe_gets_the_picture(text_file):
    done = call(str(text_file), *TAXON, "--explain")
    assert (done.returncode, done.stderr) == (0, "")
    assert "turns it round (1): not" in done.stdout
    assert "answers: no" in done.stdout
    assert "ALWAYS" in done.stdout
    assert "\x1b" not in done.stdout
    assert call("-", *TAXON, "--explain", given=TEXT).stdout == done.stdout


def test_a_page_is_written_whole_and_its_name_goes_to_standard_error(text_file, tmp_path):
    target = tmp_path / "new" / "seen.html"
    done = call(str(text_file), *TAXON, "--explain", "--html", str(target))
    assert (done.returncode, done.stdout, done.stderr) == (0, "", f"{target}\n")
    page = target.read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert page.rstrip().endswith("</html>")
    assert call(str(text_file), *TAXON, "--explain", "--html", "-").stdout == page


def test_json_is_one_object_on_standard_output_alone(text_file):
    done = call(str(text_file), *TAXON, "--explain", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    said = json.loads(done.stdout)
    assert said["id"] == str(text_file)
    assert [each["decisions"][0]["wording"] for each in said["sentences"]] == ["inedible", "toxic"]


def test_lines_are_answered_in_order_and_a_bad_one_stops_nothing():
    line = json.dumps({"id": 1, "text": TEXT, "taxon": "Fictaria silvana", "common_names": ["fictwort"]})
    done = call("--jsonl", "--explain", given=f"{line}\nnot json\n{line.replace('1', '3', 1)}\n")
    assert (done.returncode, done.stderr) == (0, "")
    first, bad, last = (json.loads(each) for each in done.stdout.splitlines())
    assert (first["id"], bad["id"], last["id"]) == (1, None, 3)
    assert "not JSON" in bad["error"]
    assert first["sentences"] == last["sentences"]
    assert first["sentences"][0]["marks"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--explain"], "Give a FILE"),
        (["-", "--explain"], "Give the taxon"),
        (["-", *TAXON, "--html", "x.html"], "--html goes with --explain"),
        (["--jsonl", "--explain", "--html", "x.html"], "--html goes with --explain"),
        (["-", *TAXON, "--explain", "--json", "--html", "x.html"], "not both"),
        (["no-such-file.txt", *TAXON, "--explain"], "cannot be read"),
    ],
)
def test_a_wrong_call_gets_one_line(arguments, says, tmp_path):
    done = call(*arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.stderr
