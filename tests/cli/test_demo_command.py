"""``doubtwort demo`` as a process, what it prints, and the commands that open what it leaves."""

from __future__ import annotations

import json
import re
import shlex

import pytest
from rich.cells import cell_len

from demo_run import NOTEBOOK, call, run_demo
from doubtwort.demo import demo_claims
from doubtwort.notebook import open_notebook

# By the decision table of the ratings, from what the invented pages say.
EXPECTED = {
    "http://commonlore.example/wiki/Fictaria_silvana": "stretched",  # its source: harmless, not worth eating
    "http://commonlore.example/wiki/Vaguelia_aspera": "disputed",  # flora: edible; leaflet: poisonous
    "http://hedgebasket.example/posts/black-apocryph": "contradicted",  # dead link; leaflet: poisonous
    "http://commonlore.example/wiki/Dubiocarpus_amarus": "partly-supported",  # poisonous raw, edible once boiled
    "http://hedgebasket.example/posts/sweet-doubtfruit": "partly-supported",  # the genus, when boiled
    "http://hedgebasket.example/posts/fictwort-pesto": "stretched",  # its source overstates its own source
    "http://hedgebasket.example/posts/hesitant-salad": "corroborated",  # flora and letter
    "http://commonlore.example/wiki/Nusquamia_lenta": "supported",  # two blogs, one copied from the other
    "http://hedgebasket.example/posts/round-nowhereberry": "unsupported",  # cites in a circle
    "http://ramblernotes.example/spring-fabulella": "unverifiable",  # book, robots.txt, dead link
    "http://ramblernotes.example/marsh-hesitant": "uncited",
    "http://heathcounty.example/gardens/soft-vaguewort": "unsupported",  # a warning whose source is silent
}


@pytest.fixture(scope="module")
def demo():
    return run_demo()


def test_it_works_and_says_nothing_on_standard_error(demo):
    assert (demo.status, demo.err) == (0, "")


def test_output_in_a_pipe_is_plain_and_at_most_80_columns_wide(demo):
    assert "\x1b" not in demo.out
    for line in demo.out.splitlines():
        assert cell_len(line) <= 80 or line.startswith(("  doubtwort ", "  echo ", "The demo's notebook")), line


def test_every_claim_is_rated_as_the_tables_say(demo):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        rated = {row.url: row.rating.value for row in notebook.claims()}
    assert rated == EXPECTED
    assert len(set(EXPECTED.values())) == 9  # every rating of the table
    assert [claim.url for claim in demo_claims()] == list(EXPECTED)


def test_what_the_pages_show_is_found(demo):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        audits = {row.url: notebook.audit(row.id) for row in notebook.claims()}
    stretched = audits["http://commonlore.example/wiki/Fictaria_silvana"]
    read = {source.url: source for source in stretched.sources}["http://imaginarybotany.example/4/vaguelia-aspera.html"]
    assert read.main_subject == "Vaguelia aspera"
    assert {each.wording.value for each in read.statements if each.about == "taxon"} == {"non-toxic", "unpalatable"}
    assert stretched.trail[0].shift == "strengthened"

    leaflet = {s.url: s for s in audits["http://commonlore.example/wiki/Vaguelia_aspera"].sources}
    quotes = [each for source in leaflet.values() for each in source.statements if each.wording == "toxic"]
    assert any(each.place.page == 2 for each in quotes)

    chain = audits["http://hedgebasket.example/posts/fictwort-pesto"]
    assert [(each.depth, each.outcome.value) for each in chain.sources][:2] == [(1, "overstates"), (2, "weaker")]

    raw = audits["http://commonlore.example/wiki/Dubiocarpus_amarus"]
    assert "condition-dropped" in {each.code for each in raw.cautions}

    copied = audits["http://commonlore.example/wiki/Nusquamia_lenta"]
    assert [len(group) for group in copied.root_groups] == [2]

    circle = audits["http://hedgebasket.example/posts/round-nowhereberry"]
    assert circle.sources[0].outcome == "circular"

    unread = audits["http://ramblernotes.example/spring-fabulella"]
    assert {source.reason.value for source in unread.sources} == {"offline-work", "robots", "not-found"}

    moved = audits["http://hedgebasket.example/posts/hesitant-salad"]
    assert any(source.final_url.endswith("hesitanthus-pratensis.html") for source in moved.sources)


def test_danger_comes_first_in_a_disputed_audit(demo):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        disputed = next(row.id for row in notebook.claims() if row.rating == "disputed")
    said = demo.call("show", disputed, "--notebook", NOTEBOOK).stdout
    assert said.startswith("DANGER")
    assert "The root of rough vaguewort is poisonous." in said


def test_the_next_commands_work_as_printed(demo):
    printed = [line.strip() for line in demo.out.splitlines() if re.match(r"  (doubtwort|echo) ", line)]
    assert len(printed) == 4
    for line in printed:
        stdin = ""
        if line.startswith("echo "):
            echo, line = line.split(" | ")
            stdin = shlex.split(echo)[1] + "\n"
        done = call(demo.folder, *shlex.split(line)[1:], stdin=stdin)
        assert (done.returncode, done.stderr) == (0, ""), line
        assert done.stdout


def test_list_shows_every_claim_alarming_ones_first(demo):
    said = demo.call("list", "--notebook", NOTEBOOK).stdout
    for url in EXPECTED:
        assert url in said
    ratings = re.findall(r"^([a-z-]+) ", said, re.MULTILINE)
    assert set(ratings[:2]) == {"disputed", "contradicted"}


def test_shown_and_audited_json_agree(demo):
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        row = next(row for row in notebook.claims() if row.rating == "stretched" and "commonlore" in row.url)
    shown = json.loads(demo.call("show", row.id, "--json", "--notebook", NOTEBOOK).stdout)
    call_again = ["audit", row.url, "--taxon", row.taxon, "--common-name", "fictwort", "--offline", "--json"]
    again = demo.call(*call_again, "--notebook", NOTEBOOK)
    assert again.stderr == ""
    assert json.loads(again.stdout) == shown
    assert shown["rating"] == "stretched"
    assert shown["claim"]["quote"] == "Fictwort is edible."


def test_offline_without_a_kept_page_is_status_1(demo):
    done = demo.call(
        "audit", "http://other.example/", "--taxon", "Fictaria silvana", "--offline", "--notebook", NOTEBOOK
    )
    assert done.returncode == 1
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert "http://other.example/" in done.stderr


def test_a_page_without_the_claim_is_status_1(demo):
    done = demo.call(
        "audit", "http://commonlore.example/wiki/Fictaria_silvana", "--taxon", "Hesitanthus palustris", "--offline",
        "--notebook", NOTEBOOK,
    )  # fmt: skip
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1


def test_a_second_run_goes_into_the_same_notebook(demo):
    again = demo.call("demo")
    assert (again.returncode, again.stderr) == (0, "")
    with open_notebook(demo.folder / NOTEBOOK, create=False) as notebook:
        assert len(notebook.claims()) == len(EXPECTED)
