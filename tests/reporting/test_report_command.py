"""``doubtwort report`` as a process: files, standard output, a folder, and one line when it cannot."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from demo_run import NOTEBOOK, run_demo

CLAIM = "cdd002eb3e78a"  # the encyclopaedia's claim about Fictaria silvana


def report(*arguments):
    return run_demo().call("report", *arguments, "--notebook", NOTEBOOK)


def test_one_report_with_quotes_in_context(tmp_path):
    file = tmp_path / "new" / "report.html"
    done = report(CLAIM, "--html", str(file))
    assert (done.returncode, done.stdout, done.stderr.strip()) == (0, "", str(file))
    page = file.read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert 'class="around"' in page
    assert "stretched" in page
    assert [each.name for each in file.parent.iterdir()] == ["report.html"]


def test_without_a_file_it_is_named_after_the_claim():
    done = report(CLAIM)
    assert (done.returncode, done.stderr.strip()) == (0, f"doubtwort-{CLAIM}.html")
    assert (run_demo().folder / f"doubtwort-{CLAIM}.html").stat().st_size > 10_000


def test_standard_output_holds_the_page_and_nothing_else():
    done = report(CLAIM, "-")
    assert done.stdout.startswith("<!DOCTYPE html>")
    assert done.stdout.rstrip().endswith("</html>")
    assert done.stderr == ""


def test_the_picture_alone(tmp_path):
    file = tmp_path / "trail.svg"
    assert report(CLAIM, "--svg", str(file)).returncode == 0
    assert ElementTree.parse(file).getroot().tag == "{http://www.w3.org/2000/svg}svg"


def test_a_folder_of_all_leaves_other_files_alone(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    for _ in range(2):
        done = report("--all", str(tmp_path))
        assert done.returncode == 0
        assert done.stderr.startswith("12 reports and their list: ")
    names = {each.name for each in tmp_path.iterdir()}
    assert {"mine.txt", "index.html", f"claim-{CLAIM}.html"} <= names
    assert len(names) == 14


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        ((), 2, "Say which claim"),
        ((CLAIM, "--html", "--svg"), 2, "not both"),
        ((CLAIM, "--all", "x"), 2, "--all writes every claim"),
        (("cffffffffffff",), 1, "holds no claim"),
        ((CLAIM, "/dev/null/x.html"), 1, "could not be written"),
        (("--all", "/dev/null/x"), 1, "could not be written"),
    ],
)
def test_what_cannot_be_done_is_one_line(arguments, status, told):
    done = report(*arguments)
    assert done.returncode == status
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert done.stdout == ""
