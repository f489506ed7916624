"""``doubtwort read``: one answer a line, in order, as the lines come; a bad line stops nothing."""

from __future__ import annotations

import io
import json
import subprocess
import sys

import pytest

from doubtwort.cli.reading import answer_lines
from doubtwort.model import Reading, Statement, Wording

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()"]
KEYS = ["quote", "wording", "about", "eater", "certainty", "parts", "preparations", "stages", "rules"]
GOOD = {
    "id": "g1",
    "text": "Fictwort is harmless. It is not worth eating.",
    "taxon": "Fictaria silvana",
    "common_names": ["fictwort"],
    "synonyms": [],
    "title": "",
}


def answers(lines: bytes, longest: int = 1_000_000) -> list[dict]:
    out = io.StringIO()
    answer_lines(io.BytesIO(lines), out, longest)
    return [json.loads(line) for line in out.getvalue().splitlines()]


def good(**changed: object) -> bytes:
    return json.dumps(GOOD | changed).encode() + b"\n"


def test_shape_of_an_answer():
    (said,) = answers(good())
    assert list(said) == ["id", "statements"]
    assert said["id"] == "g1"
    assert [each["wording"] for each in said["statements"]] == ["non-toxic", "unpalatable"]
    for each in said["statements"]:
        assert list(each) == KEYS
        assert each["quote"] in GOOD["text"]
        assert each["rules"]


@pytest.mark.parametrize(
    ("line", "line_id", "says"),
    [
        (b"not json\n", None, "not JSON"),
        (b"[1]\n", None, "not a JSON object"),
        (b"\xff\xfe\n", None, "not UTF-8"),
        (b"[" * 200_000 + b"\n", None, "not JSON"),
        (b'{"id": NaN, "text": "", "taxon": "Fictaria silvana"}\n', None, '"id"'),
        (b'{"id": 1e999, "text": "", "taxon": "Fictaria silvana"}\n', None, '"id"'),
        (b'{"id": {}, "text": "", "taxon": "Fictaria silvana"}\n', None, '"id"'),
        (good(text=None), "g1", '"text" is missing'),
        (good(text=3), "g1", '"text" is not text'),
        (good(taxon=None), "g1", '"taxon" is missing'),
        (good(taxon=""), "g1", ""),
        (good(common_names="fictwort"), "g1", '"common_names" is not a list of texts'),
        (good(synonyms=[1]), "g1", '"synonyms" is not a list of texts'),
        (good(title=[]), "g1", '"title" is not text'),
        (good(text="x" * 2_000_000), None, "longer than 1000000 bytes"),
    ],
)
def test_a_bad_line_is_answered_and_the_rest_goes_on(line, line_id, says):
    before, bad, after = answers(good(id=1) + line + good(id=2))
    assert (before["id"], after["id"]) == (1, 2)
    assert before["statements"] == after["statements"]
    assert list(bad) == ["id", "error"]
    assert bad["id"] == line_id
    assert says in bad["error"]
    assert "fault" not in bad["error"]


def test_optional_keys_may_be_left_out_and_unknown_ones_are_passed_over():
    (said,) = answers(b'{"id": 7, "text": "Fictaria silvana is edible.", "taxon": "Fictaria silvana", "more": 1}\n')
    assert said["id"] == 7
    assert said["statements"][0]["wording"] == "edible"


def test_empty_lines_between_are_bad_and_at_the_end_are_none():
    said = answers(b"\n" + good() + b"\n\n" + good() + b"\n  \n")
    assert [each.get("error") for each in said] == ["an empty line", None, "an empty line", "an empty line", None]


def test_a_last_line_without_a_line_feed_and_a_byte_order_mark_are_read():
    said = answers(b"\xef\xbb\xbf" + good() + good(id="last").rstrip())
    assert [each["id"] for each in said] == ["g1", "last"]


def test_half_a_surrogate_pair_is_no_trouble():
    (said,) = answers(good(text="Fictwort is edible.\ud800"))
    assert said["statements"][0]["wording"] == "edible"


def test_a_fault_in_one_text_does_not_stop_the_others(monkeypatch):
    def fragile(text: str, title: str, taxon: object) -> Reading:
        if text == "break":
            raise ZeroDivisionError("by zero")
        return Reading((Statement(text, Wording.EDIBLE),))

    monkeypatch.setattr("doubtwort.cli.reading._reading", fragile)
    bad, fine = answers(good(text="break") + good())
    assert bad == {"id": "g1", "error": "a fault of the program: ZeroDivisionError: by zero"}
    assert fine["statements"]


def test_each_answer_comes_before_the_next_line_is_sent():
    with subprocess.Popen([*COMMAND, "read", "--jsonl"], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as running:
        for number in range(3):
            running.stdin.write(good(id=number))
            running.stdin.flush()
            assert json.loads(running.stdout.readline())["id"] == number
        running.stdin.close()
        assert running.stdout.read() == b""
        assert running.wait(timeout=30) == 0


def test_a_bad_line_leaves_the_exit_status_alone():
    done = subprocess.run([*COMMAND, "read", "--jsonl"], input=b"?\n", capture_output=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, b"")


def test_nothing_in_nothing_out():
    done = subprocess.run([*COMMAND, "read", "--jsonl"], input=b"", capture_output=True, timeout=60)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")


NAMED = ["--taxon", "Fictaria silvana", "--common-name", "fictwort"]


def test_one_text_from_a_file_and_from_standard_input(tmp_path):
    file = tmp_path / "note.txt"
    file.write_text(GOOD["text"], encoding="utf-8")
    from_file = subprocess.run([*COMMAND, "read", str(file), *NAMED], capture_output=True, timeout=60)
    from_input = subprocess.run(
        [*COMMAND, "read", "-", *NAMED], input=GOOD["text"].encode(), capture_output=True, timeout=60
    )
    assert from_file.stdout == from_input.stdout
    said = " ".join(from_file.stdout.decode().split())
    assert "non-toxic, this taxon" in said
    assert "unpalatable, this taxon" in said
    assert "means that anything is safe to eat" in said


def test_one_text_as_json():
    done = subprocess.run(
        [*COMMAND, "read", "-", "--json", *NAMED], input=GOOD["text"].encode(), capture_output=True, timeout=60
    )
    said = json.loads(done.stdout)
    assert said["id"] is None
    assert [each["wording"] for each in said["statements"]] == ["non-toxic", "unpalatable"]


def test_the_title_says_whom_the_text_is_about():
    call = [*COMMAND, "read", "-", "--json", "--taxon", "Fictaria silvana"]
    text = b"The leaves are edible."
    titled = subprocess.run([*call, "--title", "Fictaria silvana"], input=text, capture_output=True, timeout=60)
    untitled = subprocess.run(call, input=text, capture_output=True, timeout=60)
    assert json.loads(titled.stdout)["statements"][0]["about"] == "taxon"
    assert json.loads(untitled.stdout)["statements"][0]["about"] != "taxon"


def test_a_file_that_is_not_text_is_a_wrong_call(tmp_path):
    file = tmp_path / "note.txt"
    file.write_bytes(b"\xff\xfe\x00")
    done = subprocess.run([*COMMAND, "read", str(file), *NAMED], capture_output=True, timeout=60)
    assert done.returncode == 2
    assert b"not UTF-8" in done.stderr
