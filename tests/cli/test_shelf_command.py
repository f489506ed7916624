"""Slips for works without a link: listed, printed, filled by hand, read by the next audit. Page and book are "
"invented."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from doubtwort.audit import audit_page, slip_of
from doubtwort.model import Citation, Claim, Fetched, NotFetched, Taxon, UnreadReason, Wording
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.settings import Settings

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()"]
URL = "http://lore.example/fictwort"
TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
PAGE = (
    "<h1>Fictaria silvana</h1><p>The leaf of fictwort is eaten raw.<sup><a "
    "href='#n1'>[1]</a></sup></p><h2>Notes</h2><ol>"
    "<li id=n1>Alder 1998, p. 112.</ol><h2>Bibliography</h2><ul><li>Alder, B. (1998). Herbs of nowhere. Demo Press. "
    "ISBN 0-306-40615-2.</ul>"
)


class OnePage:
    def fetch(self, url: str) -> Fetched | NotFetched:
        if url != URL:
            return NotFetched(url, UnreadReason.NOT_FOUND, "HTTP 404")
        return Fetched(url, url, 200, {"content-type": "text/html"}, PAGE.encode(), "2026-11-25T09:00:00Z", "ab" * 32)


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """A notebook with one audited claim that cites a book."""
    file = tmp_path / "n.sqlite"
    with open_notebook(file) as kept:
        audit_page(URL, TAXON, settings=Settings(), fetcher=OnePage(), keeper=NotebookKeeper(kept))
    return file


def again(file: Path):
    with open_notebook(file) as kept:
        return audit_page(URL, TAXON, settings=Settings(), fetcher=OnePage(), keeper=NotebookKeeper(kept))


def call(file: Path, *arguments: str, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*COMMAND, "shelf", *arguments, "--notebook", str(file)], input=stdin, capture_output=True, timeout=60,
        env=os.environ | {"COLUMNS": "80"},
    )  # fmt: skip


def slips(file: Path) -> list[dict[str, object]]:
    done = call(file, "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["schema"] == "doubtwort.shelf/1"
    assert found["cautions"]
    return found["slips"]


def test_a_book_without_a_link_becomes_a_slip(notebook: Path) -> None:
    (slip,) = slips(notebook)
    assert slip["look_for"] == "Does p. 112 say that the leaf of Fictaria silvana (fictwort) is eaten raw?"
    assert slip["citation"]["isbn"] == "9780306406157"  # type: ignore[index]
    assert (slip["source"], slip["reason"], slip["filled_at"]) == ("s1", "offline-work", "")
    printed = call(notebook, "print").stdout.decode()
    for words in (slip["id"], "Alder", "Herbs of nowhere", "1998", "112", "9780306406157", "Does p. 112 say"):
        assert str(words) in printed
    assert all(len(line) <= 80 for line in printed.splitlines())
    listed = " ".join(call(notebook).stdout.decode().split())
    assert "Does p. 112 say that the leaf" in listed
    assert "safe to eat" in listed


def test_a_filled_slip_is_read_by_the_next_audit_and_says_that_it_was_transcribed(notebook: Path) -> None:
    (slip,) = slips(notebook)
    passage = b"Fictaria silvana. The leaf is eaten raw in salads."
    done = call(notebook, "fill", str(slip["id"]), "--text", "-", "--page", "112", stdin=passage)
    assert done.returncode == 0, done.stderr
    assert b"9 words of p. 112" in done.stdout
    assert slips(notebook)[0]["filled_at"] != ""
    audit = again(notebook)
    (source,) = audit.sources
    assert (source.outcome.value, source.reason, source.grounds and source.grounds.value) == (
        "supports",
        None,
        "own-word",
    )
    assert source.detail.startswith("transcribed by hand on 20")
    assert source.detail.endswith(", p. 112")
    assert any("(by-hand)" in each and "p. 112" in each for each in audit.reasons)
    assert source.statements[0].place is not None
    assert source.statements[0].place.page == 112
    assert source.title == "Herbs of nowhere"
    assert slips(notebook) == []
    with open_notebook(notebook) as kept:
        assert kept.audit(audit.claim.id).sources == audit.sources


def test_what_the_book_really_says_decides(notebook: Path) -> None:
    (slip,) = slips(notebook)
    call(notebook, "fill", str(slip["id"]), "--text", "-", stdin=b"Fictaria silvana: the raw leaf is poisonous.")
    assert again(notebook).rating.value == "contradicted"
    call(notebook, "fill", str(slip["id"]), "--text", "-", stdin=b"Fictaria silvana grows in woods.")  # a correction
    assert again(notebook).rating.value == "unsupported"


def test_a_pdf_is_read_as_one(notebook: Path, tmp_path: Path) -> None:
    sys.path.insert(0, str(Path(__file__).parents[1] / "reading"))
    from small_pdf import column, pdf

    file = tmp_path / "pages.pdf"
    file.write_bytes(pdf([column(50, 700, ["Fictaria silvana.", "The leaf of Fictaria silvana is eaten raw."])]))
    (slip,) = slips(notebook)
    assert call(notebook, "fill", str(slip["id"]), "--pdf", str(file)).returncode == 0
    assert again(notebook).sources[0].outcome.value == "supports"


@pytest.mark.parametrize(
    ("arguments", "stdin", "status", "says"),
    [
        (["fill", "b0000000000", "--text", "-"], b"Words.", 1, "There is no slip b0000000000"),
        (["fill", "SLIP"], b"", 2, "--text FILE"),
        (["fill", "SLIP", "--text", "-", "--pdf", "x.pdf"], b"", 2, "--text FILE"),
        (["fill", "SLIP", "--text", "-"], b" \n ", 2, "empty"),
        (["fill", "SLIP", "--text", "none.txt"], b"", 2, "none.txt"),
        (["fill", "SLIP", "--pdf", "."], b"", 2, "cannot be read"),
        (["fill", "SLIP", "--pdf", "/dev/null"], b"", 2, "empty"),
        (["fill", "SLIP", "--pdf", __file__], b"", 2, "no PDF"),
        (["fill", "SLIP", "--pdf", __file__, "--page", "3"], b"", 2, "leave --page out"),
        (["fill", "SLIP", "--text", "-", "--page", "0"], b"Words.", 2, "--page"),
        (["print", "b1"], b"", 1, "There is no slip b1"),
    ],
)
def test_wrong_calls_get_one_line(notebook: Path, arguments: list[str], stdin: bytes, status: int, says: str) -> None:
    name = str(slips(notebook)[0]["id"])
    done = call(notebook, *(name if each == "SLIP" else each for each in arguments), stdin=stdin)
    said = done.stderr.decode()
    assert done.returncode == status, said
    assert says in said
    assert len(said.splitlines()) == 1
    assert len(slips(notebook)) == 1


@pytest.mark.parametrize(
    ("claimed", "cited", "question"),
    [
        ({}, {}, "Does it say that Fictaria silvana (fictwort) is eaten? No page is cited: look in its index under "
                 "Fictaria silvana, fictwort."),
        ({"parts": ("leaf", "root"), "preparations": ("boiled",)}, {"pages": "4-5"},
         "Do pp. 4–5 say that the leaf and the root of Fictaria silvana (fictwort) are eaten boiled?"),
        ({"wording": Wording.TOXIC, "parts": ("seed",)}, {"pages": "9"},
         "Does p. 9 say that the seed of Fictaria silvana (fictwort) is poisonous?"),
        ({"parts": ("shoot",), "stages": ("young",)}, {"pages": "9"},
         "Does p. 9 say that the young shoot of Fictaria silvana (fictwort) is eaten?"),
    ],
)  # fmt: skip
def test_the_question_is_about_what_is_claimed(
    claimed: dict[str, object], cited: dict[str, str], question: str
) -> None:
    claim = Claim(**({"id": "c1", "taxon": TAXON, "wording": Wording.EDIBLE, "quote": "", "url": URL} | claimed))  # type: ignore[arg-type]
    slip = slip_of(claim, "s1", Citation("r1", "Alder 1998.", **cited), UnreadReason.OFFLINE_WORK)  # type: ignore[arg-type]
    assert slip.look_for == question


def test_filling_can_be_undone(notebook: Path) -> None:
    (slip,) = slips(notebook)
    call(notebook, "fill", str(slip["id"]), "--text", "-", stdin=b"Fictaria silvana: the leaf is eaten raw.")
    done = subprocess.run([*COMMAND, "undo", "--notebook", str(notebook)], capture_output=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert slips(notebook)[0]["filled_at"] == ""
    assert again(notebook).rating.value == "unverifiable"
