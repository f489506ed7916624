"""The drawn sentence: within its width, labels at the end of their stems, plain and clean in a pipe."""

from __future__ import annotations

import io
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

from doubtwort.model import Taxon
from doubtwort.reading import read_text
from doubtwort.reporting.brackets import draw, row_text, wrap
from doubtwort.reporting.explain import explained_views
from doubtwort.reporting.explain_terminal import print_explained
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import open_console
from wording.gold import rows

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
LONG = (
    "The young leaves of fictwort may be eaten raw, but the seeds are reportedly poisonous to sheep and are not edible "
    "for people, although the roots are said to be harmless when boiled in two changes of water."
)


def drawn(text: str, width: int = 78) -> list[str]:
    (view,) = explained_views(read_text(text, "Fictaria silvana"), TAXON)
    return [row_text(row) for row in draw(view, width)]


def printed(text: str, taxon: Taxon = TAXON, title: str = "Fictaria silvana") -> str:
    out = io.StringIO()
    print_explained(explained_views(read_text(text, title), taxon), taxon, open_console(out))
    return out.getvalue()


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


def test_a_short_sentence_as_a_teacher_would_draw_it():
    assert drawn("The seeds are not edible.") == [
        "              ╭─ not ──╮",
        "The seeds are not edible.",
        "    ┬────     ┬── ┬─────",
        "    │         │   says edible (1)",
        "    │         turns it round (1): not",
        "    part: seed",
    ]


def test_wide_characters_take_two_cells():
    above, words, brackets, *_ = drawn("食用菌 fictwort is not edible.")
    assert cell_len(words[: words.index("not")]) == above.index("╭")
    assert cell_len(words[: words.index("fictwort")]) == brackets.index("┬")


def test_combining_marks_take_none():
    _, words, brackets, *_ = drawn("Be\u0301rrie\u0301s: fictwort is not edible.")
    assert cell_len(words[: words.index("fictwort")]) == brackets.index("┬")
    assert words.index("fictwort") == brackets.index("┬") + 2


def test_a_line_that_runs_on_is_open_at_its_end_and_named_again():
    rows_ = drawn(LONG, 40)
    assert any(row.endswith("╌") for row in rows_)
    assert any("… reportedly" in row for row in rows_)


def stems_lead_to_labels(lines: list[str]) -> None:
    """Every stem goes on from a bracket or stem above, and ends in a label below."""
    for above, line in pairwise(lines):
        for column, each in enumerate(line):
            if each == "│":
                assert above[column : column + 1] in ("┬", "│"), (above, line)
    for line, below in zip(lines, [*lines[1:], ""], strict=True):
        for column, each in enumerate(line):
            if each in "┬│":
                assert below[column : column + 1].strip(), (line, below)


def one_cell_each(text: str) -> bool:
    return all(cell_len(each) == 1 for each in text)


@pytest.mark.parametrize("width", [24, 40, 78, 98])
def test_every_gold_sentence_fits_and_every_stem_leads_to_a_label(width):
    for row in rows("open")[:: 1 if width == 78 else 5]:
        for view in explained_views(read_text(row.text, row.title), row.taxon):
            lines = [row_text(each) for each in draw(view, width)]
            assert all(cell_len(line) <= width for line in lines), row.id
            if one_cell_each(view.text) and not set(view.text) & set("│┬"):
                stems_lead_to_labels(lines)
            wrapped = "".join(view.text[slice(*each)] for each in wrap(view.text, max(4, width - 10)))
            assert "".join(wrapped.split()) == "".join(view.text.split())


@pytest.mark.parametrize("width", [60, 78])
def test_every_label_of_every_gold_sentence_is_drawn_whole(width):
    for row in rows("open"):
        for view in explained_views(read_text(row.text, row.title), row.taxon):
            picture = "\n".join(row_text(each) for each in draw(view, width))
            for mark in view.marks:
                if len(mark.label) <= width // 2:
                    assert mark.label in picture, (row.id, mark.label)


@settings(max_examples=150, deadline=None)
@given(st.text(st.sampled_from("ab 食\u0301.🍄"), max_size=60), st.integers(4, 20))
def test_wrapped_lines_fit_and_lose_only_spaces(text, width):
    lines = [text[start:end] for start, end in wrap(text, width)]
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(cell_len(line) <= width for line in lines)


def test_a_pipe_gets_plain_lines_of_at_most_80_columns_and_the_standing_cautions_at_the_end():
    said = printed(f"{LONG}\n\nIs fictwort edible?\n\nEdibility: not edible")
    assert "\x1b" not in said
    for line in said.splitlines():
        assert cell_len(line) <= 80, line
        assert line == line.rstrip()
    flowing = " ".join(said.split("ALWAYS")[1].split())
    for caution in standing_cautions(None):
        assert caution.text in flowing


def test_decisions_are_told_with_taxon_reason_limits_and_rules():
    flowing = " ".join(printed(LONG).split())
    for part in (
        "(1) comes to “eaten”: edible",
        "certainty hedged: not said for certain",
        "given to this taxon (“fictwort”)",
        "because named as the subject",
        "for whom animals",
        "stage young",
        "rules edible-eaten, possibly",
    ):
        assert part in flowing, part


def test_what_states_nothing_says_why():
    said = " ".join(printed("Is fictwort edible?").split())
    assert "silent “edible”: states nothing why It is a question, and a question states nothing." in said


def test_poison_is_marked_without_colour():
    assert "“deadly”: ! toxic" in printed("Fictwort is deadly.")


def test_a_text_without_any_phrase_says_that_this_shows_nothing():
    said = " ".join(printed("Fictwort grows by the river.").split())
    assert "That shows nothing." in said
    assert "ALWAYS" in said


def test_no_control_character_of_the_text_or_a_name_gets_through():
    said = printed(
        "\x1b[31mFictwort\x07 is \x9bnot\u202e edible.",
        Taxon("Fictaria silvana", common_names=("fict\x1bwort", "fictwort")),
        "Fictaria\x1b silvana",
    )
    for bad in "\x1b\x07\x9b\u202e":
        assert bad not in said
    assert "turns it round (1): not" in said


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("no_color", ["", "1"])
def test_colour_only_adds_to_what_is_there(monkeypatch, no_color):
    if no_color:
        monkeypatch.setenv("NO_COLOR", no_color)
    monkeypatch.setenv("COLUMNS", "80")
    out = _Terminal()
    console = open_console(out)
    print_explained(explained_views(read_text(LONG, "Fictaria silvana"), TAXON), TAXON, console)
    assert ("\x1b[36m" in out.getvalue()) is not bool(no_color)
    plain = io.StringIO()
    print_explained(explained_views(read_text(LONG, "Fictaria silvana"), TAXON), TAXON, open_console(plain))
    shown = [line.rstrip() for line in Text.from_ansi(out.getvalue()).plain.splitlines()]
    assert shown == plain.getvalue().splitlines()


def test_a_terminal_without_line_drawing_gets_ascii():
    raw = io.BytesIO()
    console = Console(file=io.TextIOWrapper(raw, encoding="ascii", errors="backslashreplace"), width=80, markup=False)
    print_explained(explained_views(read_text("The seeds are not edible.", "Fictaria silvana"), TAXON), TAXON, console)
    console.file.flush()
    assert b"The seeds are not edible." in raw.getvalue()
    assert b",- not --." in raw.getvalue()
