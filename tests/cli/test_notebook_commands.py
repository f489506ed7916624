"""The notebook's commands, called in this process or as processes: danger first, standing cautions, never "safe"."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace

import pytest

from doubtwort.cli import keeping, run
from doubtwort.cli.claiming import citation_from_user
from doubtwort.errors import CallError
from doubtwort.model import About, Audit, Caution, Claim, Outcome, Rating, Source, Statement, Taxon, Wording
from doubtwort.notebook import open_notebook

SILVANA = "Fictaria silvana"
QUOTE = "The young leaves are eaten boiled."
GROUPS = {
    "claim": ["add", "take", "show", "list", "delete"],
    "taxon": ["add", "show", "list", "lookup", "rename", "join", "unname"],
    "vet": ["accept", "wait", "reject", "list", "show", "delete"],
    "note": ["add", "list", "delete"],
    "place": ["add", "list", "delete"],
}
COMMANDS = [[group, each] for group, names in GROUPS.items() for each in names]
COMMANDS += [[each] for each in ("find", "season", "due", "recheck", "history", "undo")]


@pytest.fixture
def call(tmp_path, capsys):
    """A command on one notebook: (exit status, standard output, standard error)."""

    def called(*arguments):
        capsys.readouterr()
        status = run([*arguments, "--notebook", str(tmp_path / "n.sqlite")])
        out = capsys.readouterr()
        return status, out.out, out.err

    return called


@pytest.fixture
def told(call):
    """The JSON object of a command that succeeds."""

    def objects(*arguments):
        status, out, err = call(*arguments, "--json")
        assert (status, err) == (0, "")
        (line,) = out.splitlines()
        said = json.loads(line)
        assert re.fullmatch(r"doubtwort\.[a-z]+/1", said["schema"])
        assert any("No rating and no reading means" in each["text"] for each in said["cautions"])
        return said

    return objects


def audited(tmp_path, label="c1", rating=Rating.SUPPORTED, name=SILVANA):
    said = Statement(QUOTE, Wording.EDIBLE, About.TAXON, parts=("leaf",))
    warning = Caution("toxic-stated", "s1 states that the taxon is toxic (root).", "s1")
    source = Source("s1", "http://a.example/", "A", 1, ("claim",), Outcome.SUPPORTS, statements=(said,))
    claim = Claim(label, Taxon(name), Wording.EDIBLE, f"Eat it, says {label}.", f"http://{label}.example/")
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        notebook.keep_audit(Audit(claim, rating, (), (warning,), (source,), ()))


def one_line(err: str) -> str:
    assert len(err.splitlines()) == 1, err
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize("command", [*([each] for each in GROUPS), *COMMANDS], ids=" ".join)
def test_help_fits_and_every_command_takes_a_notebook(command, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert run([*command, "--help"]) == 0
    said = capsys.readouterr().out
    assert all(len(line) <= 80 for line in said.splitlines())
    assert ("--notebook" in said) is (command[0] not in GROUPS or len(command) == 2)


def test_help_loads_nothing_heavy():
    code = "import sys; from doubtwort.cli import run; run(['vet', '--help']); print('sqlite_utils' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.stdout.splitlines()[-1] == "False"


@pytest.mark.parametrize(
    "arguments",
    [
        ["list"],
        ["claim", "list"], ["claim", "show", "c1"], ["taxon", "list"], ["taxon", "show", SILVANA], ["vet", "list"],
        ["vet", "show", "v1"], ["note", "list"], ["place", "list"], ["find", "leaves"], ["season", "5"], ["due"],
        ["history"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_every_listing_has_both_forms_and_the_standing_cautions(call, told, tmp_path, arguments):
    audited(tmp_path)
    told("vet", "accept", SILVANA, "--part", "leaf", "--claim", "c1", "--month", "4-6", "--review", "2026-01-01")
    told("note", "add", SILVANA, "--reaction", "itching")
    told("place", "add", SILVANA, "--region", "Low Hills", "--caution", "sprayed")
    told(*arguments)
    status, out, err = call(*arguments)
    assert (status, err) == (0, "")
    assert "ALWAYS" in out
    assert "No rating and no reading means that anything is safe to eat" in " ".join(out.split())
    body = out.partition("ALWAYS")[0]
    assert not re.search(r"\bsafe(ly)?\b", body)
    assert "\x1b" not in out
    assert all(len(line) <= 80 for line in out.splitlines())


@pytest.mark.parametrize(
    "arguments", [["claim", "list"], ["vet", "list"], ["find", "x"], ["due"], ["undo"], ["season"]]
)
def test_reading_makes_no_notebook(call, tmp_path, arguments):
    status, out, err = call(*arguments)
    assert (status, out) == (1, "")
    assert "no notebook" in one_line(err)
    assert list(tmp_path.iterdir()) == []


def test_a_claim_from_a_book(told, call):
    said = told(
        "claim", "add", "--taxon", SILVANA, "--quote", QUOTE, "--part", "Leaves", "--preparation", "boiled", "--stage",
        "young", "--medium", "book", "--work", "Invented herbs", "--at", "p. 12", "--role", "author", "--region",
        "Low Hills", "--on", "1998", "--source", "0-306-40615-2", "--source", "http://a.example/x",
        "--source", "Alder, B. 1998. Herbs.",
    )  # fmt: skip
    (claim,) = said["claim"]
    assert (claim["parts"], claim["preparations"], claim["stages"]) == (["leaf"], ["boiled"], ["young"])
    assert claim["origin"] == {
        "medium": "book", "work": "Invented herbs", "locator": "p. 12", "role": "author", "region": "Low Hills",
        "heard_on": "1998", "remarks": "",
    }  # fmt: skip
    assert [each["isbn"] for each in claim["citations"]] == ["9780306406157", "", ""]
    assert told("claim", "show", claim["id"])["claim"] == [claim]
    again = [
        "claim",
        "add",
        "--taxon",
        SILVANA,
        "--quote",
        QUOTE.upper(),
        "--medium",
        "book",
        "--work",
        "Invented herbs",
    ]
    status, out, err = call(*again)
    assert (status, out) == (1, "")
    assert claim["id"] in one_line(err)
    assert "--anyway" in err
    assert told(*again, "--anyway")["alike"] == [claim["id"]]
    assert told("claim", "list")["count"] == 2
    status, out, _ = call("claim", "list", "--limit", "1")
    assert "More: --after 1" in out


# ISBN check digits: ISO 2108 and the example of the ISBN Users' Manual; DOI of the DOI Handbook itself.
@pytest.mark.parametrize(
    ("typed", "isbn", "doi", "urls"),
    [
        ("978-0-306-40615-7", "9780306406157", "", ()),
        ("doi:10.1000/182", "", "10.1000/182", ("https://doi.org/10.1000/182",)),
        ("http://herb.example/a b", "", "", ("http://herb.example/a",)),
        ("Alder, B. 1998. Herbs. ISBN 0-306-40615-2", "9780306406157", "", ()),
        ("0-306-40615-3", "", "", ()),
    ],
)
def test_sources_as_a_person_gives_them(typed, isbn, doi, urls):
    citation = citation_from_user("1", typed)
    assert (citation.isbn, citation.doi, citation.urls) == (isbn, doi, urls)
    assert citation.text


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["claim", "add", "--taxon", SILVANA, "--quote", " "], "quote is empty"),
        (["claim", "add", "--taxon", SILVANA, "--quote", "x", "--medium", "page"], "--url"),
        (["claim", "add", "--taxon", SILVANA, "--quote", "x", "--medium", "dream"], "Known: page, book"),
        (["claim", "add", "--taxon", SILVANA, "--quote", "x", "--url", "herb.example"], "http://"),
        (["claim", "add", "--taxon", SILVANA, "--quote", "x", "--source", " "], "source is empty"),
        (["claim", "add", "--taxon", SILVANA, "--quote", "x", "--stage", "root"], "Known: "),
        (["claim", "add", "--taxon", "some green weed", "--quote", "x"], "scientific name"),
        (["claim", "add", "--quote", "x"], "--taxon"),
        (["taxon", "add", "fictwort"], "scientific name"),
        (["vet", "accept", SILVANA, "--month", "13"], "1 to 12"),
        (["vet", "list", "--status", "eaten"], "Known: accepted"),
        (["vet", "accept", "v1", "--part", "leaf"], "part and preparation already"),
        (["place", "add", SILVANA, "--latitude", "51"], "longitude"),
        (["place", "add", SILVANA, "--region", "x", "--caution", "wolves"], "Known: sprayed"),
        (["place", "add", SILVANA, "--region", "x", "--precision", "1mm"], "Known: exact"),
        (["note", "add", SILVANA], "says nothing"),
        (["find", "***"], "at least one word"),
        (["season", "13"], "less than or equal to 12"),
        (["undo", "--event", "99"], "no event 99"),
        (["due", "--on", "soon"], "no date"),
        (["claim", "lose"], "lose"),
    ],
)
def test_a_wrong_call_is_one_line_and_status_2(call, tmp_path, arguments, says):
    audited(tmp_path)
    status, out, err = call(*arguments)
    assert (status, out) == (2, ""), err
    assert says in one_line(err)


def test_the_rule_refuses_in_one_line_and_a_written_reason_is_always_shown(call, told, tmp_path):
    audited(tmp_path, rating=Rating.DISPUTED)
    status, out, err = call("vet", "accept", SILVANA, "--part", "leaf", "--claim", "c1")
    assert (status, out) == (1, "")
    assert "claim c1 is disputed" in one_line(err)
    assert "--despite" in err
    despite = "My grandmother ate it."
    told(
        "vet",
        "accept",
        SILVANA,
        "--part",
        "leaf",
        "--claim",
        "c1",
        "--despite",
        despite,
        "--month",
        "5",
        "--review",
        "2026-01-01",
    )
    for arguments in (["vet", "list"], ["vet", "show", "v1"], ["season", "5"], ["due"]):
        out = call(*arguments)[1]
        assert f"ACCEPTED AGAINST THE RULE, because: {despite}" in " ".join(out.split())
        assert out.startswith("accepted         ! The claim that it is edible is disputed.")
        assert told(*arguments)["entries"][0]["despite"] == despite


def test_dangers_stand_before_everything(call, told, tmp_path):
    audited(tmp_path)
    audited(tmp_path, "c2", name="Vaguelia aspera")
    told("vet", "accept", SILVANA, "--claim", "c1")
    told("vet", "wait", "Vaguelia aspera")
    told("note", "add", "Vaguelia aspera", "--reaction", "cramps")
    row = told("vet", "list")["entries"][0]
    assert next(iter(row)) == "dangers"
    assert [each["code"] for each in row["dangers"]] == ["toxic-stated"]
    out = call("vet", "list")[1]
    assert out.index("is toxic (root)") < out.index(SILVANA)
    assert call("note", "list")[1].startswith("note             ! Own reaction: cramps")


def test_a_published_warning_is_shown_though_nothing_was_audited(call, told):
    """Conium maculatum stands in the published lists of claims_db/hazards, each row with its source."""
    told("taxon", "add", "Conium maculatum")
    told("vet", "wait", "Conium maculatum", "--part", "leaf")
    for arguments in (["vet", "list"], ["taxon", "show", "Conium maculatum"]):
        out = call(*arguments)[1]
        assert "! Conium maculatum stands in a published list of poisonous taxa" in " ".join(out.split())
        assert out.index("! ") < out.index("\n                 Conium maculatum")
    (row,) = told("vet", "list")["entries"]
    assert row["published_warnings"][0]["source"]


def test_a_common_name_of_several_taxa_asks_which(call, told, monkeypatch, tmp_path):
    told("taxon", "add", SILVANA, "--common-name", "fictwort")
    told("taxon", "add", "Vaguelia aspera", "--common-name", "Fictwort")
    status, out, err = call("vet", "wait", "fictwort")
    assert (status, out) == (2, "")
    assert "Fictaria silvana or Vaguelia aspera" in one_line(err)
    monkeypatch.setattr(keeping, "interactive", lambda: True)
    monkeypatch.setattr("typer.prompt", lambda *_, **__: 2)
    assert told_entry(call("vet", "wait", "fictwort", "--json")[1])["taxon"] == "Vaguelia aspera"
    monkeypatch.setattr("typer.prompt", lambda *_, **__: 3)
    assert call("vet", "wait", "fictwort")[0] == 2


def told_entry(out: str):
    return json.loads(out)["entries"][0]


@pytest.mark.parametrize(
    ("arguments", "gone"),
    [
        (["claim", "delete", "c1"], ["claim", "show", "c1"]),
        (["vet", "delete", "v1"], ["vet", "show", "v1"]),
        (["note", "delete", "n1"], ["note", "delete", "n1", "--yes"]),
        (["place", "delete", "p1"], ["place", "delete", "p1", "--yes"]),
    ],
)
def test_delete_asks_and_undo_brings_it_back(call, told, tmp_path, monkeypatch, arguments, gone):
    audited(tmp_path)
    told("vet", "wait", SILVANA, "--claim", "c1")
    told("note", "add", SILVANA, "--taste", "paper")
    told("place", "add", SILVANA, "--region", "Low Hills")
    before = [told(each, "list") for each in ("claim", "vet", "note", "place")]
    status, out, err = call(*arguments)
    assert (status, out) == (2, "")
    assert "--yes" in one_line(err)
    monkeypatch.setattr(keeping, "interactive", lambda: True)
    monkeypatch.setattr("typer.confirm", lambda *_, **__: False)
    assert call(*arguments)[0] == 2
    assert [told(each, "list") for each in ("claim", "vet", "note", "place")] == before
    monkeypatch.setattr("typer.confirm", lambda *_, **__: True)
    status, out, _ = call(*arguments)
    assert status == 0
    assert "doubtwort undo" in out
    assert call(*gone)[0] == 1
    told("undo")
    assert [told(each, "list") for each in ("claim", "vet", "note", "place")] == before
    assert told("history")["events"][0]["what"].startswith("undone: ")


def test_the_very_place_leaves_only_with_exact(call, told):
    told("taxon", "add", SILVANA)
    place = ["--latitude", "51.123456", "--longitude", "-1.987654", "--precision", "exact", "--spot", "third oak"]
    outs = [call("place", "add", SILVANA, *place, "--caution", "protected", *form)[1] for form in ([], ["--json"])]
    outs += [call(*arguments)[1] for arguments in (
        ["place", "list"], ["place", "list", "--json"], ["history"], ["history", "--json"], ["find", "oak"],
        ["vet", "list"],
    )]  # fmt: skip
    for out in outs:
        assert "51.12" not in out
        assert "third oak" not in out
    assert "More is kept: --exact" in outs[2]
    assert outs[2].startswith("place            ! The site or the taxon is protected: do not pick.")
    exact = told("place", "list", "--exact")["places"][0]["place"]
    assert (exact["latitude"], exact["spot"]) == (51.123456, "third oak")


def test_taxa_are_renamed_and_joined(call, told):
    told("taxon", "add", SILVANA, "--common-name", "Waldling", "--language", "de", "--family", "Fictariaceae")
    (renamed,) = told("taxon", "rename", "waldling", "Fictaria nova", "--reason", "split", "--on", "2027-01-01")["taxa"]
    assert renamed["former_names"] == [{"name": SILVANA, "until": "2027-01-01", "reason": "split"}]
    assert "until 2027-01-01: Fictaria silvana (split)" in call("taxon", "show", SILVANA)[1]
    told("taxon", "add", "Vaguelia aspera")
    assert call("taxon", "join", "Vaguelia aspera", SILVANA)[0] == 2
    (joined,) = told("taxon", "join", "Vaguelia aspera", SILVANA, "--yes")["taxa"]
    assert joined["scientific_name"] == "Fictaria nova"
    assert told("taxon", "unname", SILVANA, "Waldling", "--yes")["taxa"][0]["common_names"] == []
    assert len(told("taxon", "list")["taxa"]) == 1


def test_months_go_over_the_end_of_the_year():
    assert keeping.months_from_user(["11-2", "6"]) == (1, 2, 6, 11, 12)
    for wrong in ("0", "13", "4-", "-4", "4-5-6", "x", "³"):
        with pytest.raises(CallError):
            keeping.months_from_user([wrong])


def test_text_of_the_web_reaches_no_terminal_raw(call, tmp_path):
    audited(tmp_path)
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        claim = replace(
            notebook.claim("c1"), id="evil", quote="\x1b[31mEat\x07 \u202eit", url="http://e.example/\x1b]0;x"
        )
        notebook.keep_claim(claim)
    for arguments in (["claim", "list"], ["claim", "show", "evil"], ["find", "Eat"]):
        out = call(*arguments)[1]
        assert not re.search("[\x00-\x09\x0b-\x1f\u202e]", out)
