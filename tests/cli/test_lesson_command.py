"""``doubtwort lesson`` as a process: exercise in a pipe, files, JSON, a class's answers, errors in one line."""

from __future__ import annotations

import json
import os
import pty
import re
import sys

import pytest

from demo_run import COMMAND, NOTEBOOK, call, run_demo

CLAIM = "cdd002eb3e78a"  # the encyclopaedia's claim about Fictaria silvana


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("lesson")


@pytest.fixture(scope="module")
def made(folder):
    done = call(folder, "lesson", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    return json.loads(done.stdout)


def kept(*arguments, stdin=""):
    """From the demo's notebook: nothing is audited anew."""
    return call(run_demo().folder, "lesson", *arguments, "--notebook", NOTEBOOK, stdin=stdin)


def test_without_a_notebook_it_teaches_every_kind_of_error_on_invented_plants(made):
    assert made["schema"] == "doubtwort.lesson/1"
    assert made["invented"] is True
    assert len({each["kind"] for each in made["exercises"]}) == len(made["exercises"]) == 10
    assert made["lacking"] == ""
    assert made["dangers"]
    assert any("safe to eat" in each["text"] for each in made["cautions"])
    assert all(re.search(r"^http://[a-z-]+\.example/", each["claim_url"]) for each in made["exercises"])


def test_it_leaves_no_file_behind(folder, made):
    assert not [each for each in folder.rglob("*") if each.is_file()]


def test_the_same_call_gives_the_same_lesson_and_its_text_says_how(folder, made):
    again = call(folder, "lesson", "--only", "key", "--count", "10", "--seed", "0")
    assert again.returncode == 0
    named = re.findall(r"^Exercise [0-9]+ \((x[0-9a-f]{7})\)", again.stdout, re.MULTILINE)
    assert named == [each["id"] for each in made["exercises"]]
    assert made["made_by"] == "doubtwort lesson --count 10 --seed 0"
    assert f"Made by: {made['made_by']}" in again.stdout


def test_an_exercise_in_a_pipe(folder, made):
    lines = [";".join(right) for each in made["exercises"] for right in each["answer"].values()]
    lines[0] = "unpalatable"
    done = call(folder, "lesson", stdin="\n".join(lines) + "\n")
    told = " ".join(done.stdout.split())
    assert (done.returncode, done.stderr) == (0, "")
    assert told.count("as it was read:") == 29
    assert "you say unpalatable; the reading is" in told
    assert "Where you erred" in told
    assert "wording: 9 of 10 right" in told
    assert done.stdout.index("DANGER") < done.stdout.index("ALWAYS") < done.stdout.index("Exercise 1 of 10")
    assert "\x1b" not in done.stdout


def test_a_pipe_that_ends_early_ends_the_lesson():
    done = kept(stdin="toxic\n")
    assert done.returncode == 0
    assert "No more answers" in done.stdout
    assert done.stderr == "All exercises at once: doubtwort lesson --only handout\n"


def test_a_line_of_a_million_letters_is_one_bad_answer():
    done = kept("--count", "1", stdin="edible " * 150_000 + "x\ntaxon\n1\n")
    assert done.returncode == 0
    assert "No more answers" not in done.stdout


def test_on_a_terminal_it_asks_again():
    ours, theirs = pty.openpty()
    child = os.fork()
    if child == 0:
        os.setsid()
        os.chdir(run_demo().folder)
        for stream in (0, 1, 2):
            os.dup2(theirs, stream)
        environment = {**os.environ, "TERM": "dumb", "NO_COLOR": "1", "COLUMNS": "80"}
        os.execve(sys.executable, [*COMMAND, "lesson", "--count", "1", "--notebook", NOTEBOOK], environment)
    os.close(theirs)
    os.write(ours, b"tasty\n5\n1\n6\n")
    seen = b""
    try:
        while piece := os.read(ours, 65_536):
            seen += piece
    except OSError:
        pass  # Linux tells the end of a terminal's other side so (EIO)
    finally:
        os.close(ours)
    _, status = os.waitpid(child, 0)
    told = " ".join(seen.decode().split())
    assert os.waitstatus_to_exitcode(status) == 0
    assert "'tasty' is no answer" in told
    assert "counts as left open" not in told
    assert "Where you erred" in told


def test_a_notebook_is_the_source_when_it_is_named():
    done = kept("--json")
    found = json.loads(done.stdout)
    assert found["invented"] is False
    assert "hearsay" in found["lacking"]
    assert found["made_by"].endswith(f"--notebook {NOTEBOOK}")
    around = [each for each in found["exercises"] if each["before"] or each["after"]]
    assert around  # the pages as kept give the words around a sentence


def test_one_claim_alone():
    found = json.loads(kept(CLAIM, "--json").stdout)
    assert {each["taxon"] for each in found["exercises"]} == {"Fictaria silvana"}
    assert found["made_by"].startswith(f"doubtwort lesson {CLAIM} --count")


def test_the_handout_as_json_has_no_answers():
    exercises = json.loads(kept("--json", "--only", "handout").stdout)["exercises"]
    assert all("answer" not in each and "reasons" not in each and "kind" not in each for each in exercises)


def test_a_file_is_written_whole_and_named(tmp_path):
    file = tmp_path / "new" / "lesson.html"
    done = kept("--html", str(file))
    assert (done.returncode, done.stdout, done.stderr.strip()) == (0, "", str(file))
    assert file.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert [each.name for each in file.parent.iterdir()] == ["lesson.html"]


@pytest.mark.parametrize("only", [(), ("--only", "handout"), ("--only", "key")])
def test_standard_output_holds_the_page_and_nothing_else(only):
    done = kept("--html", "-", *only)
    assert done.stdout.startswith("<!DOCTYPE html>")
    assert done.stdout.rstrip().endswith("</html>")
    assert done.stderr == ""


def test_a_class_is_summed_up(tmp_path):
    exercise = json.loads(kept(CLAIM, "--json").stdout)["exercises"][0]
    answers = tmp_path / "class.csv"
    answers.write_text(
        "learner,exercise,wording,whose,support\n"
        f"Ada Unreal,{exercise['id']},edible,taxon,supports\n"
        f"Bo Unreal,1,{';'.join(exercise['answer']['wording'])},taxon,weaker\n",
        encoding="utf-8-sig",
    )
    done = kept(CLAIM, "--answers", str(answers))
    assert (done.returncode, done.stderr) == (0, "")
    told = " ".join(done.stdout.split())
    assert "Where the class erred (2 learners)" in told
    assert "taken to: 1 of 2 answers" in told
    assert "Unreal" not in told
    assert told.index("DANGER") < told.index("ALWAYS") < told.index("Where the class erred")

    piped = kept(CLAIM, "--answers", "-", "--json", stdin=answers.read_text(encoding="utf-8-sig"))
    found = json.loads(piped.stdout)
    assert found["schema"] == "doubtwort.lesson-summary/1"
    assert found["learners"] == 2
    assert found["overtrusted"] == {"label": "taken to bear the claim out", "right": 1, "answered": 2}
    assert found["cautions"]
    assert "Unreal" not in piped.stdout


@pytest.mark.parametrize(
    ("arguments", "status", "told"),
    [
        (("--count", "0"), 2, "1 to 60 exercises"),
        (("--count", "many"), 2, "--count"),
        (("--only", "answers"), 2, "--only is handout or key"),
        (("--html", "-", "--json"), 2, "not both"),
        (("--answers", "x.csv", "--html", "y"), 2, "no --html and no --only"),
        (("--answers", "missing.csv"), 2, "missing.csv cannot be read"),
        (("--answers", "/dev/zero"), 2, "larger than"),
        (("--html", "/dev/null/x.html"), 1, "could not be written"),
        (("cffffffffffff",), 1, "holds no claim"),
        (("cdb29c033a523",), 1, "sentence to ask about"),  # cites nothing
    ],
)
def test_what_cannot_be_done_is_one_line(arguments, status, told):
    done = kept(*arguments)
    assert (done.returncode, done.stdout) == (status, "")
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_notebook_that_is_not_there_is_not_made(tmp_path):
    done = call(tmp_path, "lesson", "--notebook", "none.sqlite")
    assert done.returncode == 1
    assert len(done.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())
