"""``export``, ``import``, ``merge``, ``rescue`` and ``backups``, called in this process or as processes."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from doubtwort.cli import run
from doubtwort.cli.sharing_app import Format
from doubtwort.model import Rating
from doubtwort.notebook import open_notebook
from notebook.notebook_values import an_audit
from sharing.sharing_samples import SECRETS, SILVANA, everything, rows

FORMATS = [each.value for each in Format]


@pytest.fixture
def full(tmp_path):
    return everything(tmp_path / "n.sqlite")


@pytest.fixture
def call(capsys):
    """(exit status, standard output, standard error)."""

    def called(*arguments):
        capsys.readouterr()
        status = run([str(each) for each in arguments])
        out = capsys.readouterr()
        return status, out.out, out.err

    return called


@pytest.fixture
def told(call):
    """The JSON object of a command that succeeds."""

    def objects(*arguments):
        status, out, err = call(*arguments, "--json")
        assert (status, err) == (0, "")
        said = json.loads(out)
        assert any("No rating and no reading means" in each["text"] for each in said["cautions"])
        return said

    return objects


def one_line(err: str) -> str:
    assert len(err.splitlines()) == 1, err
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize("command", ["export", "import", "merge", "rescue", "backups"])
def test_help_fits(call, monkeypatch, command):
    monkeypatch.setenv("COLUMNS", "80")
    status, out, _ = call(command, "--help")
    assert (status, all(len(line) <= 80 for line in out.splitlines())) == (0, True)


@pytest.mark.parametrize("form", FORMATS)
def test_each_format_goes_into_a_file_and_to_standard_output_alike(full, tmp_path, form):
    """As a process, whose standard output is bytes; what was made when differs between two."""
    command = [sys.executable, "-m", "doubtwort", "export", "--format", form, "--notebook", str(full)]
    if not (Path(sys.executable).parent / "doubtwort").exists():
        pytest.skip("the command is not installed")
    command[:3] = [str(Path(sys.executable).parent / "doubtwort")]
    done = subprocess.run([*command, str(tmp_path / "out")], capture_output=True, timeout=60)
    assert (done.returncode, done.stdout) == (0, b"")
    assert b" written to " in done.stderr
    piped = subprocess.run(command, capture_output=True, timeout=60, env=os.environ | {"LC_ALL": "C"})
    assert (piped.returncode, piped.stderr) == (0, b"")
    written = (tmp_path / "out").read_bytes()
    if form == "jsonl":
        assert piped.stdout.splitlines()[1:] == written.splitlines()[1:]
    else:
        assert piped.stdout == written
    assert not any(secret.encode() in written for secret in SECRETS)


@pytest.mark.parametrize(
    ("name", "begins"), [("a.jsonl", '{"schema"'), ("a.CSV", '\ufeff"record"'), ("a.md", "# "), ("a.bib", "@comment")]
)
def test_the_ending_says_the_format(full, call, tmp_path, name, begins):
    status, _, err = call("export", tmp_path / name, "--notebook", full)
    assert (status, len(err.splitlines())) == (0, 1)
    assert (tmp_path / name).read_text("utf-8").startswith(begins)


def test_what_stays_here_is_said_and_goes_when_asked_for(full, call, tmp_path):
    _, _, err = call("export", tmp_path / "a.jsonl", "--notebook", full)
    assert "Exact places and history stay here" in err
    wanted = ["--with-places", "--with-history", "--with-pages"]
    assert call("export", tmp_path / "b.jsonl", *wanted, "--notebook", full)[0] == 0
    text = (tmp_path / "b.jsonl").read_text("utf-8")
    assert [secret for secret in SECRETS if secret not in text] == []
    assert call("import", tmp_path / "b.jsonl", "--notebook", tmp_path / "new.sqlite")[0] == 0
    assert rows(tmp_path / "new.sqlite") == rows(full)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["out.txt"], "Say in which format"),
        ([], "Say in which format"),
        (["--format", "xml"], "xml"),
        (["--format", "csv", "--with-places"], "--with-places goes with"),
        (["--format", "markdown", "--with-history"], "go with --format jsonl"),
        (["--format", "jsonl", "--with-history"], "--with-places"),
        (["--format", "csv", "--author", "Ann"], "go with --format claimreview"),
        (["--format", "bibtex", "--sheet", "list"], "--sheet goes with"),
        (["--format", "claimreview", "--base-url", "ftp://x"], "not a web address"),
    ],
)
def test_wrong_calls_of_export(full, call, arguments, said):
    status, out, err = call("export", *arguments, "--notebook", full)
    assert (status, out) == (2, "")
    assert said in one_line(err)


def test_export_makes_no_notebook(call, tmp_path):
    status, out, err = call("export", "--format", "csv", "--notebook", tmp_path / "none.sqlite")
    assert (status, out) == (1, "")
    assert "no notebook" in one_line(err)
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_told_in_one_line(full):
    """/dev/full (Linux, full(4)) answers every write with ENOSPC."""
    with open("/dev/full", "wb") as disk:
        command = [sys.executable, "-c", "from doubtwort.cli import main; main()"]
        arguments = ["export", "--format", "csv", "--notebook", str(full)]
        done = subprocess.run([*command, *arguments], stdout=disk, stderr=subprocess.PIPE, text=True, timeout=60)
    assert done.returncode == 1
    assert "No space left on device" in one_line(done.stderr)


def test_a_notebook_goes_out_and_comes_in(full, told, call, tmp_path):
    call("export", tmp_path / "a.jsonl", "--notebook", full)
    said = told("import", tmp_path / "a.jsonl", "--notebook", tmp_path / "new.sqlite")
    assert (said["schema"], said["rows"][0]["claims"], said["back_to_waiting"]) == ("doubtwort.import/1", 2, [])
    again = told("import", tmp_path / "a.jsonl", "--notebook", tmp_path / "new.sqlite")
    assert (again["schema"], again["added"], again["conflicts"]) == ("doubtwort.merge/1", {}, [])
    status, out, _ = call("import", tmp_path / "a.jsonl", "--notebook", tmp_path / "third.sqlite")
    assert (status, "Taken in: 1 taxa" in out, "ALWAYS" in out) == (0, True, True)


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.txt", "x", "ends in .jsonl"),
        ("a.jsonl", "x", "line 1: not JSON"),
        ("a.csv", "x", "no column"),
        ("none.csv", None, "could not be read"),
        ("none.jsonl", None, "could not be read"),
    ],
)
def test_what_cannot_be_taken_in(call, tmp_path, name, content, said):
    if content is not None:
        (tmp_path / name).write_text(content)
    status, out, err = call("import", tmp_path / name, "--notebook", tmp_path / "n.sqlite")
    assert (status, out) == (2, "")
    assert said in one_line(err)
    assert not list(tmp_path.glob("*n.sqlite*"))


def test_a_sheet_goes_whole_into_a_new_notebook_or_makes_none(call, tmp_path):
    sheet = tmp_path / "claims.csv"
    sheet.write_text(f"taxon,quote,parts\n{SILVANA},Leaves are eaten.,elbow\n")
    status, _, err = call("import", sheet, "--notebook", tmp_path / "new" / "n.sqlite")
    assert (status, "row 2: 'elbow' is no part" in one_line(err)) == (2, True)
    assert list((tmp_path / "new").iterdir()) == []
    sheet.write_text(f"taxon,quote,parts\n{SILVANA},Leaves are eaten.,leaf\n")
    status, out, err = call("import", sheet, "--notebook", tmp_path / "new" / "n.sqlite")
    assert (status, "1 claim taken in." in out, err) == (0, True, "")
    assert [each.name for each in (tmp_path / "new").iterdir()] == ["n.sqlite"]
    assert call("undo", "--notebook", tmp_path / "new" / "n.sqlite")[0] == 0


def test_claims_from_a_spreadsheet(told, call, tmp_path):
    sheet = tmp_path / "claims.csv"
    sheet.write_text(f"taxon,quote,parts\n{SILVANA},Leaves are eaten.,leaf\n{SILVANA},Roots kill.,root\n")
    said = told("import", sheet, "--notebook", tmp_path / "n.sqlite")
    assert (len(said["claims"]), said["held_already"]) == (2, [])
    status, out, _ = call("import", sheet, "--notebook", tmp_path / "n.sqlite")
    assert (status, "Row 2: held already" in out) == (0, True)
    sheet.write_text(f"taxon,quote,parts\n{SILVANA},Stems are eaten.,leaf\n{SILVANA},Roots kill.,elbow\n")
    status, out, err = call("import", sheet, "--notebook", tmp_path / "n.sqlite")
    assert (status, out) == (2, "")
    assert "claims.csv: row 3: 'elbow' is no part" in one_line(err)
    assert len(told("claim", "list", "--notebook", tmp_path / "n.sqlite")["claims"]) == 2


def test_sources_of_a_claim_from_reference_lists(told, call, tmp_path):
    (tmp_path / "a.bib").write_text(
        "@book{a, title={Herbs}, isbn={0-306-40615-2}}\n@misc{b, title={Roots}, doi={10.1000/182}}"
    )
    (tmp_path / "a.ris").write_text("TY  - BOOK\nTI  - Herbs again\nSN  - 978-0-306-40615-7\nER  - \n")
    said = told(
        "claim", "add", "--taxon", SILVANA, "--quote", "Eat it.", "--medium", "talk", "--source", "http://a.example/x",
        "--references", tmp_path / "a.bib", "--references", tmp_path / "a.ris", "--notebook", tmp_path / "n.sqlite",
    )  # fmt: skip
    cited = said["claim"][0]["citations"]
    # The same ISBN twice is one work.
    assert [(each["title"], each["isbn"], each["doi"]) for each in cited] == [
        ("", "", ""), ("Herbs", "9780306406157", ""), ("Roots", "", "10.1000/182"),
    ]  # fmt: skip
    status, _, err = call(
        "claim", "add", "--taxon", SILVANA, "--quote", "Eat it all.", "--medium", "talk", "--references",
        tmp_path / "none.bib", "--notebook", tmp_path / "n.sqlite",
    )  # fmt: skip
    assert (status, "could not be read" in one_line(err)) == (2, True)


def test_merge_shows_where_two_differ(told, call, tmp_path):
    mine, theirs = tmp_path / "mine.sqlite", tmp_path / "theirs.sqlite"
    for path, rating in ((mine, Rating.SUPPORTED), (theirs, Rating.DISPUTED)):
        with open_notebook(path) as notebook:
            notebook.keep_audit(an_audit("c1", rating=rating))
    call("vet", "accept", SILVANA, "--part", "leaf", "--claim", "c1", "--notebook", mine)
    status, out, err = call("merge", theirs, "--notebook", mine)
    assert (status, err) == (0, "")
    for said in (
        "rating of claim c1",
        "here: supported",
        "there: disputed",
        "Back to waiting: v1",
        "As it was before:",
    ):
        assert said in " ".join(out.split()), said
    status, out, _ = call("history", "--notebook", mine)
    assert (status, "the way back is its backup" in " ".join(out.split())) == (0, True)
    status, out, err = call("undo", "--notebook", mine)
    assert (status, out, "doubtwort backups" in one_line(err)) == (2, "", True)
    again = told("merge", theirs, "--notebook", mine)
    assert (again["added"], again["back_to_waiting"], again["backup"]) == ({}, [], "")
    shown = told("backups", "--notebook", mine)["backups"]
    assert [(each["claims"], each["sound"]) for each in shown] == [(1, True)]
    status, out, _ = call("backups", "--notebook", mine)
    assert (status, "sound" in out) == (0, True)


@pytest.mark.parametrize("other", ["none.sqlite", "mine.sqlite", "text.sqlite"])
def test_what_cannot_be_merged(call, tmp_path, other):
    with open_notebook(tmp_path / "mine.sqlite"):
        pass
    (tmp_path / "text.sqlite").write_text("text")
    status, out, err = call("merge", tmp_path / other, "--notebook", tmp_path / "mine.sqlite")
    assert (status in (1, 2), out) == (True, "")
    assert other in one_line(err)


def test_an_export_that_is_merged_is_told_to_be_imported(full, call, tmp_path):
    for name in ("a.jsonl", "a.csv"):
        call("export", tmp_path / name, "--notebook", full)
        status, out, err = call("merge", tmp_path / name, "--notebook", full)
        assert (status, out, "doubtwort import FILE" in one_line(err)) == (2, "", True)


def test_a_damaged_notebook_names_the_way_and_the_way_works(full, call, told, tmp_path):
    damaged = tmp_path / "damaged.sqlite"
    shutil.copyfile(full, damaged)
    damaged.write_bytes(b"\x00" * 100 + damaged.read_bytes()[100:])
    status, _, err = call("list", "--notebook", damaged)
    assert (status, "doubtwort rescue FILE --into NEW" in one_line(err)) == (1, True)
    said = told("rescue", damaged, "--into", tmp_path / "new.sqlite")
    assert (said["whole"], said["lost"], said["unplaced"]) == (True, [], 0)
    assert len(told("claim", "list", "--notebook", tmp_path / "new.sqlite")["claims"]) == 2
    status, out, _ = call("rescue", damaged, "--into", tmp_path / "other.sqlite")
    assert (status, "Nothing seems to be missing." in " ".join(out.split())) == (0, True)
    status, out, err = call("rescue", damaged, "--into", tmp_path / "new.sqlite")
    assert (status, out, "there already" in one_line(err)) == (2, "", True)
