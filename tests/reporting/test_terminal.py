"""The terminal: plain and within 80 columns in a pipe, no control character of the web, danger at the top."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from large_audits import hostile, other_scripts
from rich.cells import cell_len
from rich.console import Console
from sample_audits import ALL, CLAIM, CONTRADICTED, HARMLESS, STRETCHED, TAXON, WEAKER

from doubtwort.model import About as Of
from doubtwort.model import Notice, Reading, Step, Taxon
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import open_console, print_audit, print_claims, print_reading
from doubtwort.reporting.view import view_audit, view_claim


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def _piped(audit) -> str:
    out = io.StringIO()
    print_audit(view_audit(audit), open_console(out))
    return out.getvalue()


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch):
    for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


@pytest.mark.parametrize("audit", ALL, ids=lambda audit: audit.rating.value)
def test_a_pipe_gets_plain_lines_of_at_most_80_columns(audit):
    said = _piped(audit)
    assert "\x1b" not in said
    for line in said.splitlines():
        assert cell_len(line) <= 80, line
        assert line == line.rstrip()


@pytest.mark.parametrize("audit", ALL, ids=lambda audit: audit.rating.value)
def test_standing_cautions_end_every_audit(audit):
    flowing = " ".join(_piped(audit).split("ALWAYS")[1].split())
    for caution in standing_cautions(audit.claim.wording):
        assert caution.text in flowing


def test_danger_is_the_first_thing_said():
    said = _piped(CONTRADICTED)
    assert said.startswith("DANGER")
    assert said.index("The root of fictwort is poisonous raw.") < said.index("CLAIM") < said.index("RATING")


def test_what_a_reader_needs_is_there():
    said = " ".join(_piped(STRETCHED).split())
    for part in (
        "“Fictwort is edible.”",
        "Fictaria silvana (fictwort): edible [leaf]",
        "stretched",
        "s1 says less than the claim.",
        "“Fictwort is harmless.”",
        "non-toxic, this taxon",
        "at: under “Similar plants”, characters 310–331",
        "rules: harmless",
        "the page's own subject: Vaguelia aspera",
        "strengthened: cited for more than it says",
        "independent roots: 1 (s1)",
        "offline-work: it is a book or paper without a link",
        "E. Mirage (1979): Almanac of Nowhere",
    ):
        assert part in said, part


def test_text_of_the_web_cannot_drive_the_terminal():
    nasty = "\x1b]0;owned\x07\x1b[2J\u202e\x9b31m[bold red]not markup[/] :skull:"
    hostile = replace(
        STRETCHED,
        claim=replace(CLAIM, quote=nasty, url=nasty, taxon=Taxon(nasty, common_names=(nasty,))),
        reasons=(nasty,),
        notes=(nasty,),
        sources=(replace(WEAKER, title=nasty, main_subject=nasty, statements=(replace(HARMLESS, quote=nasty),)),),
    )
    said = _piped(hostile)
    assert not [c for c in said if c in "\x1b\x07\x9b\u202e"]
    assert "[bold red]not markup[/] :skull:" in said


def test_wide_glyphs_and_long_titles_stay_in_their_column():
    title = "森の植物" * 60
    said = _piped(replace(STRETCHED, sources=(replace(WEAKER, title=title),)))
    heads = [line for line in said.splitlines() if "森" in line]
    assert heads
    assert all(cell_len(line) <= 80 and line.endswith("…") for line in heads)


def test_endless_lists_are_cut_and_the_rest_is_counted():
    many = tuple(replace(HARMLESS, quote=f"Fictwort is harmless, {n}.") for n in range(300))
    said = _piped(replace(STRETCHED, sources=(replace(WEAKER, statements=many),)))
    assert "and 294 more statements: see --json" in said


def test_a_trail_deeper_than_the_page_is_wide_is_shown_to_its_end():
    steps = (Step("claim", "s1"), *(Step(f"s{n}", f"s{n + 1}") for n in range(1, 60)))
    lines = _piped(replace(STRETCHED, trail=steps)).splitlines()
    assert [line for line in lines if "(depth 60) s60" in line]
    assert all(cell_len(line) <= 80 for line in lines)


def _to_terminal(audit, width: int = 100) -> str:
    out = _Terminal()
    console = open_console(out)
    console.width = width
    print_audit(view_audit(audit), console)
    return out.getvalue()


def test_a_terminal_gets_colour():
    assert "\x1b[1;31m" in _to_terminal(CONTRADICTED)


def test_no_color_is_honoured(monkeypatch):
    # no-color.org: set and not empty, no ANSI colour; bold is allowed.
    monkeypatch.setenv("NO_COLOR", "1")
    said = _to_terminal(CONTRADICTED)
    assert "31m" not in said
    assert "41m" not in said


def test_a_dumb_terminal_gets_no_escape_sequence(monkeypatch):
    monkeypatch.setenv("TERM", "dumb")
    assert "\x1b" not in _to_terminal(CONTRADICTED)


def test_a_wide_terminal_is_used_up_to_100_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert open_console(_Terminal()).width == 100


def test_a_narrow_terminal_still_gets_everything():
    out = io.StringIO()
    print_audit(view_audit(CONTRADICTED), Console(file=out, width=40, highlight=False, markup=False))
    flowing = "".join(out.getvalue().split())
    assert "“Therootoffictwortispoisonousraw.”" in flowing


def test_a_reading_shows_statements_rules_and_notices():
    out = io.StringIO()
    notice = Notice("contact-irritant", "The sap blisters the skin.", Of.TAXON)
    print_reading(Reading((HARMLESS,), (notice,), named=True), TAXON, open_console(out))
    said = " ".join(out.getvalue().split())
    assert "non-toxic, this taxon" in said
    assert "rules: harmless" in said
    assert "contact-irritant: “The sap blisters the skin.”" in said
    assert "means that anything is safe to eat" in said


def test_an_empty_reading_says_so():
    out = io.StringIO()
    print_reading(Reading(()), TAXON, open_console(out))
    said = " ".join(out.getvalue().split())
    assert "No statement about people eating it was found. The text does not name Fictaria silvana." in said


def test_a_list_shows_each_claim_and_an_empty_one_says_how_to_begin():
    out = io.StringIO()
    row = view_claim("c1f2", "Fictaria silvana", CLAIM.wording, None, "", CLAIM.quote, CLAIM.url)
    print_claims([row], open_console(out))
    said = " ".join(out.getvalue().split())
    assert "not audited Fictaria silvana: edible" in said
    assert "claim c1f2" in said
    empty = io.StringIO()
    print_claims([], open_console(empty))
    assert "The notebook holds no claim yet." in empty.getvalue()


def test_ten_thousand_letters_in_every_field_do_not_flood_the_terminal():
    out = io.StringIO()
    print_audit(view_audit(hostile()), open_console(out))
    lines = out.getvalue().split("\n")
    assert len(lines) < 300
    assert max(map(cell_len, lines)) <= 80
    assert "\x1b" not in out.getvalue()


def test_other_scripts_keep_to_the_columns():
    out = io.StringIO()
    print_audit(view_audit(other_scripts()), open_console(out))
    assert max(map(cell_len, out.getvalue().split("\n"))) <= 80
