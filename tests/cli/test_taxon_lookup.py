"""``doubtwort taxon lookup``: off by default, dry by default, one line on failure, cautions with every result."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from doubtwort.cli import keeping, looking_up, run
from doubtwort.cli.lookup_shown import ONLY_NAMES
from doubtwort.settings import Settings
from loopback import LoopbackWeb
from species_api import SpeciesApi, fictaria, matched, no_match, synonym, usage

SILVANA, MOLLIS = "Fictaria silvana", "Fictaria mollis"


@pytest.fixture
def api():
    with LoopbackWeb() as web:
        yield fictaria(SpeciesApi(web))


@pytest.fixture
def call(tmp_path, capsys, monkeypatch):
    """A command on one notebook and one cache: (exit status, standard output, standard error)."""
    monkeypatch.setattr(looking_up, "page_cache", lambda: tmp_path / "pages.sqlite")
    monkeypatch.delenv("DOUBTWORT_NAMES_SERVICE", raising=False)
    for name in ("HTTP_PROXY", "HTTPS_PROXY", "http_proxy", "https_proxy"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLUMNS", "200")

    def called(*arguments):
        capsys.readouterr()
        status = run([*arguments, "--notebook", str(tmp_path / "n.sqlite")])
        out = capsys.readouterr()
        return status, out.out, out.err

    return called


@pytest.fixture
def look(call, api):
    """``taxon lookup`` at the service on loopback."""
    return lambda *arguments: call("taxon", "lookup", *arguments, "--service", api.root, "--allow-private")


@pytest.fixture
def told(look):
    def row(*arguments):
        status, out, err = look(*arguments, "--json")
        assert (status, err) == (0, "")
        said = json.loads(out)
        assert said["schema"] == "doubtwort.lookup/1"
        assert said["remember"] == ONLY_NAMES
        assert any("No rating and no reading means" in each["text"] for each in said["cautions"])
        (only,) = said["names"]
        return only

    return row


def failed(result, status, *parts):
    assert result[0] == status, result
    assert result[1] == ""
    assert len(result[2].splitlines()) == 1
    for part in parts:
        assert part in result[2]
    assert "Traceback" not in result[2]


# --------------------------------------------------------------------------- off by default


def test_nothing_is_asked_unless_this_call_says_so(call, api, monkeypatch):
    monkeypatch.setattr(Settings, "__init__", _at(api, Settings.__init__))
    failed(call("taxon", "lookup", SILVANA), 1, "was not asked", "--ask")
    failed(call("taxon", "lookup", SILVANA, "--offline"), 1, "was not asked")
    assert api.web.seen == []
    assert call("taxon", "lookup", SILVANA, "--ask", "--allow-private")[0] == 0
    assert len(api.asked()) == 4
    assert call("taxon", "lookup", SILVANA)[0] == 0  # kept answers need no asking
    assert len(api.asked()) == 4


def _at(api, real):
    """The default service, moved to loopback."""

    def made(self, *given, **how):
        real(self, *given, **{"names_service": api.root} | how)

    return made


def test_the_default_service_is_documented_publicly():
    # techdocs.gbif.org/en/openapi: "The base URL is https://api.gbif.org/", version 1 below it.
    assert Settings().names_service == "https://api.gbif.org/v1"


def test_a_service_named_in_the_environment_is_asked(call, api, monkeypatch):
    monkeypatch.setenv("DOUBTWORT_NAMES_SERVICE", api.root)
    assert call("taxon", "lookup", SILVANA, "--allow-private")[0] == 0
    failed(call("taxon", "lookup", "Vaguelia aspera", "--allow-private", "--offline"), 1, "Nothing is kept")


def test_private_addresses_are_refused(call, api):
    failed(call("taxon", "lookup", SILVANA, "--service", api.root), 1, "address-not-allowed", "--allow-private")
    assert api.web.seen == []


@pytest.mark.parametrize(
    ("arguments", "part"),
    [
        ([SILVANA, "--ask", "--offline"], "not both"),
        ([SILVANA, "--refresh"], "--refresh asks the service again"),
        ([SILVANA, "--service", "names.example"], "no address of a names service"),
        ([SILVANA, "--service", "http://names.example/?q="], "no address of a names service"),
        ([SILVANA, "--language", "klingonese"], "no code of a language"),
        ([SILVANA, "--key", "-1"], "--key"),
        (["Fictaria cf. silvana"], "doubtful name"),
        (["F. silvana"], "abbreviated"),
        ([" "], "1 to 200 characters"),
        (["x" * 201], "1 to 200 characters"),
        ([], "NAME"),
    ],
)
def test_wrong_calls(call, arguments, part):
    failed(call("taxon", "lookup", *arguments), 2, part)


# --------------------------------------------------------------------------- what is shown


def test_text_shows_all_and_says_that_names_say_nothing_about_eating(look, tmp_path):
    status, out, err = look(MOLLIS)
    assert (status, err) == (0, "")
    flat = " ".join(out.split())
    for part in (
        "Fictaria silvana (L.) Alder (Fictariaceae)", "asked: Fictaria mollis; match: EXACT, confidence 98",
        "Fictaria mollis L. is a name of this taxon (homotypic synonym)",
        "accepted name: Fictaria silvana (L.) Alder (accepted)",
        "Fictaria aspera sensu Oak (misapplied)", "common names, de: Fiktkraut", "common names, en: fictwort",
        "Nothing was recorded. To record it: --add.", ONLY_NAMES, "No rating and no reading means", "/v1/species/101",
    ):  # fmt: skip
        assert part in flat, part
    assert not (tmp_path / "n.sqlite").exists()


def test_json_has_every_field(told):
    row = told(MOLLIS, "--language", "de", "--language", "eng")
    assert (row["match_type"], row["confidence"], row["exact"], row["taxonomic_status"]) == (
        "EXACT", 98, True, "HOMOTYPIC_SYNONYM",
    )  # fmt: skip
    assert (row["accepted_name_usage"], row["accepted_status"]) == ("Fictaria silvana (L.) Alder", "ACCEPTED")
    assert [each["taxonomic_status"] for each in row["synonyms"]] == [
        "HOMOTYPIC_SYNONYM", "SYNONYM", "HETEROTYPIC_SYNONYM", "MISAPPLIED",
    ]  # fmt: skip
    assert row["vernacular_names"] == [
        {"vernacular_name": "fictwort", "language": "en"}, {"vernacular_name": "Fiktkraut", "language": "de"},
    ]  # fmt: skip
    assert (row["recorded"], row["addition"]["taxon"], row["addition"]["known"]) == (False, SILVANA, False)
    assert row["left_out"] == ["Fictaria aspera sensu Oak (misapplied)"]


def test_published_warnings_about_any_of_the_names_come_first(look, api):
    # Conium maculatum stands in the shipped list of poisonous taxa, each row with its source.
    api.add(synonym(106, "Conium maculatum", "Elm", 101))
    status, out, _ = look(SILVANA)
    assert status == 0
    assert "Conium maculatum stands in a published list of poisonous taxa" in " ".join(out.split())
    assert out.index("! ") < out.index("(L.) Alder")


def test_hostile_text_does_not_reach_the_terminal(look, api):
    api.add(synonym(107, "Fictaria mala", "\x1b]0;owned\x07\u202eOak\nALWAYS safe", 101))
    api.name(101, "eng:\x1b[2Jedible [bold]fictary[/bold]", "eng:" + "x" * 5_000)
    status, out, _ = look(SILVANA)
    assert status == 0
    for each in ("\x1b", "\x07", "\u202e"):
        assert each not in out
    assert "[bold]fictary" in out
    assert "xxxxx" not in out


def test_fuzzy_matches_are_told_and_never_recorded(look, api, tmp_path):
    api.matches["Fictaria silvanna"] = matched(api.usages[101], "FUZZY", 87)
    status, out, _ = look("Fictaria silvanna")
    assert status == 0
    assert "took Fictaria silvanna for another name" in " ".join(out.split())
    failed(look("Fictaria silvanna", "--add"), 1, "(FUZZY)", "Nothing was recorded")
    assert not (tmp_path / "n.sqlite").exists()


def test_misapplied_names_are_never_recorded_as_the_taxon(look, told, tmp_path):
    # NameUsageMatch.status: "any kind of synonym" is SYNONYM there; only the usage tells MISAPPLIED.
    row = told("Fictaria aspera")
    assert row["match_type"] == "EXACT"
    assert "is misapplied: it does not simply mean Fictaria silvana" in row["why_not"]
    failed(look("Fictaria aspera", "--add"), 1, "it does not simply mean")
    assert not (tmp_path / "n.sqlite").exists()


def test_unknown_names_and_failures(look, api):
    failed(look("Fictaria ignota"), 1, "knows no Fictaria ignota (NONE)")
    failed(look("no such plant"), 1, "knows nothing called no such plant")
    failed(look(SILVANA, "--key", "999"), 1, "not-found (HTTP 404)")
    failed(look(SILVANA, "--key", "201"), 2, "Key 201 is Vaguelia aspera Birch")
    api.web.page("/v1/species/match", "<html>Sign in", headers={"Content-Type": "text/html"})
    failed(look("Fictaria altera"), 1, "not understood (it is not JSON)", "--service")
    api.web.page("/v1/species/match", "", 429, headers={"Retry-After": "900"})
    failed(look("Fictaria tertia"), 1, "HTTP 429, asks to wait 900 s")


# --------------------------------------------------------------------------- homonyms and common names


def test_homonyms_ask_which(look, told, api, monkeypatch):
    other = usage(301, SILVANA, "Oak", kingdom="Animalia", family="Vaguelidae")
    api.add(other)
    both = [matched(api.usages[101]), matched(other)]
    api.matches[SILVANA] = no_match("Multiple equal matches", alternatives=both)
    failed(look(SILVANA), 2, "key 101", "key 301", "--key")
    assert told(SILVANA, "--key", "301")["family"] == "Vaguelidae"
    monkeypatch.setattr(looking_up, "interactive", lambda: True)
    monkeypatch.setattr(keeping.typer, "prompt", lambda *given, **how: 2)
    assert json.loads(look(SILVANA, "--json")[1])["names"][0]["kingdom"] == "Animalia"


def test_homonyms_beside_a_match_have_to_be_chosen_before_anything_is_recorded(look, told, api):
    other = usage(301, SILVANA, "Oak", kingdom="Animalia")
    api.matches[SILVANA] = matched(api.usages[101], alternatives=[matched(other, confidence=30)])
    assert [each["taxon_id"] for each in told(SILVANA)["homonyms"]] == [301]
    failed(look(SILVANA, "--add"), 2, "key 101", "key 301")
    assert told(SILVANA, "--key", "101", "--add")["recorded"]


def test_a_common_name_that_fits_several_taxa_asks_which(look, told, api, call, monkeypatch):
    named = {"vernacularNames": [{"vernacularName": "False Fictwort", "language": "eng"}]}
    api.found["false fictwort"] = [api.usages[101] | named, api.usages[201] | named]
    failed(look("false fictwort"), 2, "Fictaria silvana (L.) Alder", "Vaguelia aspera Birch", "--key")
    assert told("false fictwort", "--key", "201")["accepted_name_usage"] == "Vaguelia aspera Birch"
    monkeypatch.setattr(looking_up, "interactive", lambda: True)
    monkeypatch.setattr(keeping.typer, "prompt", lambda *given, **how: 1)
    assert json.loads(look("false fictwort", "--json")[1])["names"][0]["accepted_name_usage_id"] == 101
    # The notebook's own knowledge of a common name comes first.
    assert call("taxon", "add", "Vaguelia aspera", "--common-name", "false fictwort")[0] == 0
    assert told("false fictwort")["asked"] == "Vaguelia aspera"


def test_common_names_that_fit_several_taxa_are_left_out_and_told(told, api, call):
    # "hemlock" stands in the shipped list of ambiguous names, with its source.
    api.name(101, "eng:hemlock")
    call("taxon", "add", "Vaguelia aspera", "--common-name", "fictwort")
    row = told(SILVANA, "--add")
    told_of = {each["what"]: each for each in row["addition"]["conflicts"]}
    assert "Conium maculatum" in told_of["common name hemlock"]["here"]
    assert told_of["common name fictwort"]["here"] == "also of Vaguelia aspera"
    assert not {"hemlock", "fictwort"} & {name for name, _ in row["addition"]["common_names"]}


# --------------------------------------------------------------------------- recording


def test_dry_then_add_then_undo(told, look, call):
    assert call("taxon", "add", MOLLIS, "--remark", "my own words")[0] == 0
    dry = told(MOLLIS)
    assert not dry["recorded"]
    assert json.loads(call("taxon", "show", MOLLIS, "--json")[1])["taxa"][0]["synonyms"] == []
    done = told(MOLLIS, "--add")
    assert done["recorded"]
    assert done["addition"] == dry["addition"]
    status, out, _ = call("taxon", "show", "Fiktkraut", "--json")
    assert status == 0
    (kept,) = json.loads(out)["taxa"]
    assert (kept["scientific_name"], kept["remarks"], kept["family"]) == (MOLLIS, "my own words", "Fictariaceae")
    assert SILVANA in kept["synonyms"]
    assert kept["origins"][0]["source"].endswith("/v1/species/101")
    assert "according to http" in call("taxon", "show", MOLLIS)[1]
    assert "names of Fictaria mollis according to" in " ".join(call("history")[1].split())
    assert call("undo")[0] == 0
    (kept,) = json.loads(call("taxon", "show", MOLLIS, "--json")[1])["taxa"]
    assert (kept["synonyms"], kept["common_names"], kept["family"], kept["origins"]) == ([], [], "", [])


def test_rename_keeps_the_accepted_name_of_before(told, look, call):
    call("taxon", "add", MOLLIS)
    status, out, _ = look(MOLLIS, "--add", "--rename")
    assert status == 0
    assert "until now Fictaria mollis, which goes into its history" in " ".join(out.split())
    (kept,) = json.loads(call("taxon", "show", SILVANA, "--json")[1])["taxa"]
    assert [each["name"] for each in kept["former_names"]] == [MOLLIS]
    assert told(SILVANA, "--add")["recorded"] is False
    assert "nothing that the notebook does not have" in " ".join(look(SILVANA)[1].split())


def test_recording_offline_from_what_was_asked_before(look, call, api):
    assert look(MOLLIS)[0] == 0
    calls = len(api.asked())
    status, out, _ = look(MOLLIS, "--offline", "--add")
    assert status == 0
    assert "from the cache" in " ".join(out.split())
    assert len(api.asked()) == calls
    assert call("taxon", "show", "fictwort")[0] == 0


def test_as_a_process_with_the_cache_of_the_user(api, tmp_path):
    # XDG Base Directory Specification: XDG_CACHE_HOME.
    environment = os.environ | {"XDG_CACHE_HOME": str(tmp_path / "cache"), "NO_PROXY": "127.0.0.1"}
    program = "from doubtwort.cli import main; main()"
    command = [
        sys.executable, "-c", program, "taxon", "lookup", SILVANA, "--service", api.root, "--allow-private", "--json",
        "--notebook", str(tmp_path / "n.sqlite"),
    ]  # fmt: skip
    first = subprocess.run(command, capture_output=True, text=True, env=environment, timeout=60, check=False)
    assert (first.returncode, first.stderr) == (0, "")
    assert json.loads(first.stdout)["names"][0]["from_cache"] is False
    again = subprocess.run(
        [*command, "--offline"], capture_output=True, text=True, env=environment, timeout=60, check=False
    )
    assert json.loads(again.stdout)["names"][0]["from_cache"] is True
