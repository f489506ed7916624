"""The field sheet as a page: what could hurt first, only accepted entries as usable, hostile text as text."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256

import pytest
from bs4 import BeautifulSoup
from hypothesis import given
from hypothesis import strategies as st
from sheet_samples import AGAINST_THE_RULE, FEW, LEAF, NOTHING, PLAIN, SCRIPTS, TOXIC, hostile, large

from doubtwort.reporting.sheet import MONTHS, FieldSheet, field_sheet, in_order, season_said, warnings_each
from doubtwort.taxa.hazards import load_hazards

SHEETS = {"few": FEW, "other scripts": SCRIPTS, "nothing": NOTHING, "hostile": hostile()}


def soup(view):
    return BeautifulSoup(field_sheet(view), "html.parser")


def said(tag) -> str:
    return " ".join(tag.get_text(" ").split()).replace(" :", ":").replace(" ,", ",")


def only(**changes) -> FieldSheet:
    return FieldSheet((replace(LEAF, **changes),), (), "2026-11-25")


def test_an_entry_tells_everything_that_is_needed_outdoors():
    text = said(soup(FEW).find("article", {"data-entry": "v1"}))
    for part in (
        "Fictaria silvana: leaf, boiled", "fictwort", "Fictaria ficta", "Not to be confused", "Apocrypharia nigra",
        "The raw roots are poisonous", "mouth burned", "Not by this list: root, raw: rejected", "season April to June",
        "part leaf", "preparation boiled", "conditions young", "Two floras", "Own notes, no evidence", "wet paper",
        "claim cdd002eb3e78a: corroborated", "reviewed 2026-06-01", "next review 2031-06-01",
    ):  # fmt: skip
        assert part in text, part


def test_look_alikes_come_first_then_warnings_then_all_else():
    text = said(soup(FEW).find("article", {"data-entry": "v1"}))
    order = ["Not to be confused", "The raw roots", "Not by this list", "season", "Reason:", "Own notes", "reviewed"]
    places = [text.index(each) for each in order]
    assert places == sorted(places)


def test_no_look_alike_on_record_is_said_to_show_nothing():
    page = soup(FEW)
    assert "That shows nothing." in said(page.find("article", {"data-entry": "v3"}))
    assert "No look-alike" not in said(page.find("article", {"data-entry": "v1"}))


def test_an_entry_against_the_rule_says_so_with_reason_and_what_is_against_it():
    text = said(soup(FEW).find("article", {"data-entry": "v2"}))
    assert "Accepted against the rule" in text
    assert "because: Eaten in my family" in text
    assert "Against it: claim c7 is disputed." in text
    assert "against the rule" not in said(soup(FEW).find("article", {"data-entry": "v1"}))


def test_what_names_no_part_or_preparation_says_so():
    assert "no part named, no preparation named" in said(soup(FEW).find("article", {"data-entry": "v3"}))


def test_a_review_that_is_due_is_told_without_a_script():
    late = {each["data-entry"]: each.find(class_="late") for each in soup(FEW).find_all("article")}
    assert "REVIEW OVERDUE" in said(late.pop("v2"))
    assert late == {"v1": None, "v3": None}


def test_what_is_not_accepted_stands_apart_with_its_reason_and_nowhere_else():
    page = soup(FEW)
    assert {each["data-entry"] for each in page.find(id="usable").find_all("article")} == {"v1", "v2", "v3"}
    never = page.find(id="never")
    assert "Not to be eaten by this list" in said(never.h2)
    rows = {each["data-entry"]: said(each) for each in never.find_all("li")}
    assert rows.keys() == {"v4", "v5"}
    assert rows["v4"].startswith("not to be eaten: rejected Fictaria silvana: root, raw")
    assert "Two sources call it poisonous." in rows["v4"]
    assert rows["v5"].startswith("not to be eaten: waiting Apocrypharia nigra: shoot, any preparation")
    assert "is contradicted since" in rows["v5"]
    never.decompose()
    assert "Apocrypharia nigra: shoot" not in said(page)


@pytest.mark.parametrize("name", SHEETS)
def test_the_standing_cautions_stand_above_the_list_and_on_the_printed_sheet(name):
    page = soup(SHEETS[name])
    text = said(page)
    panels = said(page.find(class_="pocket"))
    for each in load_hazards().standing:
        assert text.index(each.text) < text.index("Accepted by the list")
        assert each.text in panels


def test_a_sheet_with_nothing_on_it_says_that_this_says_nothing():
    page = soup(NOTHING)
    assert not page.find(id="nothing").has_attr("hidden")
    assert "Nothing is on the list. That says nothing of any plant." in said(page)
    assert "No entry waits" in said(page)
    assert soup(FEW).find(id="nothing").has_attr("hidden")


@pytest.mark.parametrize("name", SHEETS)
def test_the_policy_allows_the_one_style_and_the_one_script_and_no_request(name):
    page = field_sheet(SHEETS[name])
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)[1].replace("&#39;", "'")
    hashed = {}
    for tag in ("style", "script"):
        (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        hashed[tag] = b64encode(sha256(inside.encode()).digest()).decode()
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{hashed['style']}'; base-uri 'none'; form-action 'none'; "
        f"script-src 'sha256-{hashed['script']}'"
    )
    bare = re.sub(r"<(style|script)>.*?</\1>", "", page, flags=re.DOTALL)
    assert " style=" not in bare
    asking = {"src", "srcset", "data", "poster", "action", "background", "xlink:href", "ping", "href"}
    assert not [tag for tag in BeautifulSoup(bare, "html.parser").find_all(True) if asking.intersection(tag.attrs)]
    assert "@import" not in page
    assert "url(" not in page


def test_hostile_text_is_text():
    page = field_sheet(hostile())
    parsed = BeautifulSoup(page, "html.parser")
    assert len(parsed.find_all("script")) == 1
    assert parsed.find_all(["img", "iframe", "object", "a"]) == []
    assert not [name for tag in parsed.find_all(True) for name in tag.attrs if name.startswith("on")]
    assert parsed.get_text().count("<script>alert(1)</script>") > 100
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff]", page)
    page.encode("utf-8")
    # The ids by which the script finds its way are none that an entry could take.
    assert [tag["id"] for tag in parsed.find_all(id=True)] == [tag["id"] for tag in soup(FEW).find_all(id=True)]
    # 2 × 3 entries of 10,000 characters in every field, 40 warnings of each kind in three of them.
    assert len(page.encode("utf-8")) < 250_000


def test_warnings_that_are_left_out_are_counted():
    page = soup(only(dangers=(TOXIC,) * 30))
    assert len(page.find("article").find_all(string=re.compile("raw roots"))) == 12
    assert "And 18 more: doubtwort vet show v1" in said(page)
    assert "more: doubtwort" not in said(soup(only(dangers=(TOXIC,) * 12)))


def test_five_hundred_entries_stay_below_two_megabytes_and_every_one_is_there():
    view = large(500)
    text = field_sheet(view)
    assert len(text.encode("utf-8")) < 2_000_000
    page = BeautifulSoup(text, "html.parser")
    assert [each["data-entry"] for each in page.find_all("article")] == [each.id for each in view.entries]
    assert len(page.find_all(class_="not")) == 100


def test_five_hundred_entries_full_of_warnings_stay_below_two_megabytes_too():
    most = warnings_each(500)
    assert most < 6
    view = large(500)
    full = tuple(
        replace(each, look_alikes=(TOXIC,), dangers=(TOXIC,) * 40, notes=LEAF.notes * 40) for each in view.entries
    )
    assert len(field_sheet(replace(view, entries=full)).encode("utf-8")) < 2_000_000


def test_entries_against_the_rule_come_first_the_others_by_name():
    assert in_order((PLAIN, LEAF, AGAINST_THE_RULE)) == (AGAINST_THE_RULE, LEAF, PLAIN)


@given(st.sets(st.integers(1, 12)))
def test_a_season_names_its_months_and_no_others(months):
    text = season_said(sorted(months))
    if not months:
        assert text == "not noted"
        return
    named = set()
    for span in [] if text == "all year" else text.split(", "):
        first, _, last = span.partition(" to ")
        start, end = MONTHS.index(first), MONTHS.index(last or first)
        named |= {(start + step) % 12 + 1 for step in range((end - start) % 12 + 1)}
    assert (named or set(range(1, 13))) == months
    assert (text == "all year") == (len(months) == 12)


def test_nothing_on_the_sheet_calls_anything_safe():
    for sentence in re.split(r"(?<=[.!?]) ", said(soup(FEW))):
        if re.search(r"\bsafe\b", sentence):
            assert re.search(r"\b(no|never|not|nothing)\b", sentence, re.IGNORECASE), sentence
