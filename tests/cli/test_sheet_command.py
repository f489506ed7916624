"""``doubtwort sheet`` on real notebooks: who stands where, what warns, what never appears."""

from __future__ import annotations

import sqlite3

import pytest
from bs4 import BeautifulSoup

from demo_run import NOTEBOOK, run_demo
from doubtwort.cli import run
from doubtwort.cli.sheet_made import sheet_of
from doubtwort.model import About, Audit, Caution, Claim, Outcome, Rating, Source, Statement, Taxon, Wording
from doubtwort.notebook import open_notebook
from doubtwort.notebook.notes import Tasting, add_tasting
from doubtwort.notebook.places import Place, Precision, SiteCaution, add_place
from doubtwort.notebook.taxa import add_taxon
from doubtwort.notebook.vetted import Decision, Status, decide

SILVANA = Taxon("Fictaria silvana", ("Fictaria ficta",), ("fictwort",))
SPOT = "behind the third oak at the mill"


def audited(notebook, label="c1", rating=Rating.SUPPORTED, taxon=SILVANA, cautions=(), **claimed):
    said = Statement("The young leaves are eaten boiled.", Wording.EDIBLE, About.TAXON, parts=("leaf",))
    source = Source("s1", "http://a.example/", "A", 1, ("claim",), Outcome.SUPPORTS, statements=(said,))
    claim = Claim(label, taxon, Wording.EDIBLE, f"Eat it, says {label}.", f"http://{label}.example/", **claimed)
    notebook.keep_audit(Audit(claim, rating, (), cautions, (source,), ()))


def decided(notebook, status, part="", preparation="", taxon="Fictaria silvana", **decision):
    return decide(notebook, taxon, part, preparation, Decision(status, **decision))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "n.sqlite"


@pytest.fixture
def notebook(path):
    with open_notebook(path) as opened:
        audited(opened)
        yield opened


@pytest.fixture
def page(path, tmp_path, capsys):
    """The page that the command writes."""

    def written(*options):
        target = tmp_path / "sheet.html"
        capsys.readouterr()
        assert run(["sheet", str(target), *options, "--notebook", str(path)]) == 0
        out = capsys.readouterr()
        assert (out.out, out.err.strip()) == ("", str(target))
        return BeautifulSoup(target.read_text(encoding="utf-8"), "html.parser")

    return written


def usable(page) -> list[str]:
    return [each["data-entry"] for each in page.find_all("article", class_="entry")]


def apart(page) -> dict[str, str]:
    return {each["data-entry"]: " ".join(each.get_text(" ").split()) for each in page.find_all("li", class_="not")}


def test_only_accepted_entries_are_usable(notebook, page):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",), months=(4, 5))
    decided(notebook, Status.WAITING, "root", reason="Nobody has answered yet.")
    decided(notebook, Status.REJECTED, "seed", reason="Bitter, and a flora warns.")
    made = page()
    assert usable(made) == ["v1"]
    others = apart(made)
    assert others.keys() == {"v2", "v3"}
    assert "not to be eaten: waiting Fictaria silvana : root" in others["v2"]
    assert "Nobody has answered yet." in others["v2"]
    assert "not to be eaten: rejected" in others["v3"]
    assert "a flora warns" in others["v3"]
    text = made.find("article").get_text(" ", strip=True)
    assert "seed, any preparation: rejected; root, any preparation: waiting." in text


@pytest.mark.parametrize("rating", [Rating.CONTRADICTED, Rating.DISPUTED, Rating.STRETCHED])
def test_an_entry_that_fell_back_to_waiting_is_apart_with_the_change_that_did_it(notebook, page, rating):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    assert usable(page()) == ["v1"]
    audited(notebook, rating=rating)
    made = page()
    assert usable(made) == []
    assert "claim c1 was supported when this was accepted on" in apart(made)["v1"]
    assert f"is {rating.value}" in apart(made)["v1"]


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE claim_ratings SET rating = 'stretched'",
        "UPDATE claim_ratings SET rating = 'disputed', alarm = 1",
        "DELETE FROM entry_claims",
        "UPDATE claims SET wording = 'non-toxic'",
    ],
)
def test_what_another_tool_has_changed_is_found_and_the_entry_is_set_apart(notebook, path, page, change):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    with sqlite3.connect(path) as raw:
        raw.execute(change)
    made = page()
    assert usable(made) == []
    assert apart(made)["v1"].startswith("not to be eaten: grounds have changed Fictaria silvana : leaf")
    assert "since then: " in apart(made)["v1"]


def test_a_reason_against_the_rule_covers_no_rating_but_that_of_its_day(notebook, path, page):
    audited(notebook, rating=Rating.STRETCHED)
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",), despite="Eaten here for ages.")
    assert usable(page()) == ["v1"]
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE claim_ratings SET rating = 'contradicted', alarm = 1")
    made = page()
    assert usable(made) == []
    assert "since then: claim c1 is contradicted" in apart(made)["v1"]


def test_an_entry_against_the_rule_bears_its_note_and_comes_first(notebook, page):
    audited(notebook, "c2", Rating.STRETCHED, Taxon("Vaguelia aspera"))
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    decided(notebook, Status.ACCEPTED, "leaf", taxon="Vaguelia aspera", claims=("c2",), despite="Eaten here for ages.")
    made = page()
    assert usable(made) == ["v2", "v1"]
    text = made.find("article").get_text(" ", strip=True)
    assert "Accepted against the rule because: Eaten here for ages." in text
    assert "Against it: no claim that it rests on" in text


def test_dangers_of_audits_and_own_reactions_stand_above_the_facts_whatever_part_they_are_about(notebook, page):
    warnings = (
        Caution("toxic-stated", "s1 says that this taxon is toxic (root): “Deadly.”", "s1"),
        Caution("look-alike", "It has been confused with Apocrypharia nigra.", "an invented list"),
    )
    audited(notebook, cautions=warnings)
    add_tasting(notebook, "fictwort", Tasting(reaction="cramps", part="root", tasted_on="2026-05-01"))
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    article = page().find("article")
    alike, hurts = article.find_all(class_="hurts")
    assert "Apocrypharia nigra" in alike.get_text()
    assert "Deadly" in hurts.get_text()
    assert "cramps" in hurts.get_text()
    text = article.get_text()
    assert text.index("Apocrypharia") < text.index("Deadly") < text.index("season")


def test_published_lists_warn_although_no_audit_did(notebook, page):
    # "Daucus carota" and "Conium maculatum" are a pair of claims_db/hazards/lookalikes.csv, which names its source.
    audited(notebook, "c2", taxon=Taxon("Daucus carota"))
    decided(notebook, Status.ACCEPTED, "root", taxon="Daucus carota", claims=("c2",))
    alike = page().find("article").find(class_="alike").get_text()
    assert "Daucus carota has been confused with Conium maculatum, which is dangerous" in alike


def test_a_name_that_cannot_be_looked_up_says_so(notebook, path, page):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE taxa SET scientific_name = '??'")
    assert "could not be looked up in the published lists" in page().find("article").get_text()


def test_season_conditions_dates_and_notes(notebook, page):
    audited(notebook, "c2", stages=("young",), parts=("leaf",), preparations=("boiled",))
    add_tasting(notebook, "fictwort", Tasting(taste="mild", part="leaf", tasted_on="2026-05-01"))
    add_tasting(notebook, "fictwort", Tasting(taste="like soap", part="flower"))
    decided(notebook, Status.ACCEPTED, "leaf", "boiled", claims=("c2",), months=(4, 5, 6), review_on="2030-01-02")
    article = page().find("article")
    text = " ".join(article.get_text(" ").split())
    for said in ("season April to June", "conditions young", "next review 2030-01-02", "taste: mild"):
        assert said in text
    assert "claim c2: supported" in text
    assert "soap" not in text
    assert article["data-months"] == "4 5 6"
    assert "taste: mild" not in page("--no-notes").find("article").get_text()


def test_a_condition_that_the_claim_leaves_out_is_never_called_none(notebook, page):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    assert "conditions none in its claims" in " ".join(page().find("article").get_text(" ").split())
    audited(
        notebook, cautions=(Caution("condition-dropped", "s1 says 'edible' only under a condition: boiled.", "s1"),)
    )
    text = " ".join(page().find("article").get_text(" ").split())
    assert "only under a condition: boiled." in text
    assert "conditions see the warnings" in text


def test_a_review_that_is_due_is_told(notebook, page):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",), review_on="2020-01-01")
    decided(notebook, Status.ACCEPTED, "shoot", claims=("c1",), review_on="2090-01-01")
    late = {each["data-entry"]: each.find(class_="late") is not None for each in page().find_all("article")}
    assert late == {"v1": True, "v2": False}


def test_one_month_leaves_out_other_seasons_but_nothing_that_is_not_to_be_eaten(notebook, page):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",), months=(4,))
    decided(notebook, Status.ACCEPTED, "fruit", claims=("c1",), months=(9,))
    decided(notebook, Status.REJECTED, "root", months=(9,))
    made = page("--month", "4")
    assert usable(made) == ["v1"]
    assert apart(made).keys() == {"v3"}
    assert "only what is in season in April" in made.get_text()


def test_exact_places_never_appear(notebook, path, page):
    add_place(
        notebook,
        "fictwort",
        Place(Precision.EXACT, 51.123456, -0.987654, "Low Hills", SPOT, (SiteCaution.SPRAYED,), "key under the stone"),
    )
    where = f"Many at 51.123456, -0.987654, {SPOT}."
    add_tasting(notebook, "fictwort", Tasting(taste="mild", remarks=where, reaction=f"cramps; {where}"))
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",), reason=where)
    decided(notebook, Status.ACCEPTED, "fruit", claims=(), reason=where, despite=where)
    decided(notebook, Status.REJECTED, "root", reason=where)
    text = str(page())
    assert text.count("[place left out]") > 8
    for secret in ("51.12", "0.98", "third oak", "Low Hills", "under the stone"):
        assert secret not in text


def test_every_field_that_a_keeper_or_a_page_can_fill_may_be_hostile(notebook, page):
    evil = "\"><script>alert(1)</script><img src=x onerror=alert(2)>\x1b[31m\u202e'</style>"
    audited(notebook, cautions=(Caution("toxic-stated", evil, evil), Caution("look-alike", evil + "2", evil)))
    add_taxon(notebook, Taxon("Fictaria silvana", (), (evil,)))
    fields = ("prepared", "amount", "taste", "texture", "reaction", "remarks")
    add_tasting(notebook, "Fictaria silvana", Tasting(**dict.fromkeys(fields, evil)))
    decided(notebook, Status.ACCEPTED, evil, evil, reason=evil, despite=evil, decided_by=evil, claims=("c1",))
    decided(notebook, Status.REJECTED, evil, "raw", reason=evil)
    made = page()
    assert len(made.find_all("script")) == 1
    assert made.find_all(["img", "a"]) == []
    assert made.get_text().count("<script>alert(1)</script>") > 15
    assert "\x1b" not in str(made)
    assert "\u202e" not in str(made)


def test_writing_the_sheet_changes_nothing_in_the_notebook(notebook, path):
    decided(notebook, Status.ACCEPTED, "leaf", claims=("c1",))
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE claim_ratings SET rating = 'stretched'")
        before = list(raw.iterdump())
    sheet_of(notebook)
    with sqlite3.connect(path) as raw:
        assert list(raw.iterdump()) == before


def test_standard_output_holds_the_page_and_nothing_else():
    demo = run_demo()
    done = demo.call("sheet", "-", "--notebook", NOTEBOOK)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("<!DOCTYPE html>")
    assert done.stdout.rstrip().endswith("</html>")
    assert "Nothing is on the list. That says nothing of any plant." in done.stdout


def test_without_a_name_it_is_called_after_what_it_is():
    demo = run_demo()
    done = demo.call("sheet", "--notebook", NOTEBOOK)
    assert (done.returncode, done.stderr.strip()) == (0, "doubtwort-sheet.html")
    assert (demo.folder / "doubtwort-sheet.html").stat().st_size > 5_000


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (["sheet", "no/such\nfolder/x.html", "--notebook", "absent.sqlite"], 1, "absent.sqlite"),
        (["sheet", "--month", "13"], 2, "--month"),
        (["sheet", "/proc/no/sheet.html", "--notebook", NOTEBOOK], 1, "could not be written"),
    ],
)
def test_a_call_that_cannot_be_done_gives_one_line(arguments, status, said):
    done = run_demo().call(*arguments)
    assert (done.returncode, done.stdout) == (status, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
