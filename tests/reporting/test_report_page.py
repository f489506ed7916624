"""The report and the list as files: order, policy, every quote with its place, hostile text, size."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256

import pytest
from bs4 import BeautifulSoup
from large_audits import HARD, HOSTILE, hostile, many
from sample_audits import ALL, CONTRADICTED, CORROBORATED, STRETCHED, WEAKER

from doubtwort.model import Citation, Rating
from doubtwort.reporting.html import MOST_QUOTES, quotes_each, report_page
from doubtwort.reporting.listing import card_of, list_page, report_file
from doubtwort.reporting.view import ClaimLine, view_audit

SHOWN = {**{audit.rating.value: audit for audit in ALL}, **HARD}


def soup(audit, home=""):
    return BeautifulSoup(report_page(view_audit(audit), home), "html.parser")


def said(tag) -> str:
    return " ".join(tag.get_text(" ").split())


def test_what_could_hurt_comes_first_and_then_the_named_order():
    page = soup(CONTRADICTED)
    headings = [said(each) for each in page.find_all("h2")]
    assert headings == [
        "What could hurt", "Always", "The trail", "The claim", "What its sources say", "Why this rating",
        "What was not read", "What would settle the question",
    ]  # fmt: skip


def test_a_trail_without_warnings_says_that_this_shows_nothing():
    assert "That shows nothing" in said(soup(STRETCHED).find(class_="danger"))


def test_danger_is_told_by_words_and_by_a_sign():
    danger = soup(CONTRADICTED).find(class_="danger")
    assert danger.find("svg", class_="sign") is not None
    assert "Poisonous (root, raw), says s3 of this taxon." in said(danger)


@pytest.mark.parametrize("name", ["stretched", "contradicted", "corroborated"])
def test_every_statement_is_quoted_with_place_part_certainty_rules_and_whose_it_is(name):
    audit = SHOWN[name]
    page = soup(audit)
    for source in audit.sources:
        article = page.find("article", id=source.id)
        assert (article is None) == (source.outcome.value == "unread")
        for number, statement in enumerate(source.statements):
            shown = article.find_all(class_="statement")[number]
            text = said(shown).replace(" .", ".")
            assert statement.quote.split()[0] in text
            facts = {dt.get_text(): said(dt.find_next("dd")) for dt in shown.find_all("dt")}
            assert facts["says"].endswith(statement.wording.value)
            assert {"of", "part", "preparation", "certainty", "eaten by"} <= set(facts)
            assert all(rule in facts["rules"] for rule in statement.rules)


def test_address_archive_hash_time_and_who_cites_it_stand_with_each_source():
    source = replace(WEAKER, citation=Citation("n1", "Mirage (1979)", archived_url="http://archive.example/1979/x"))
    article = soup(replace(STRETCHED, sources=(source,))).find("article", id="s1")
    record = said(article.find(class_="record"))
    for part in (
        source.url,
        "2026-11-25T09:30:00Z",
        "ab" * 32,
        "claim",
        "Mirage (1979)",
        "http://archive.example/1979/x",
    ):
        assert part in record
    assert article.find("a", href="http://archive.example/1979/x")


def test_links_lead_to_the_sentence_itself():
    page = soup(STRETCHED)
    links = [each["href"] for each in page.find("article", id="s1").find_all("a", href=True)]
    assert f"{WEAKER.final_url}#:~:text=Fictwort%20is%20harmless." in links
    assert f"{STRETCHED.claim.url}#:~:text=Fictwort%20is%20edible." in [each["href"] for each in page.find_all("a")]


@pytest.mark.parametrize("name", SHOWN)
def test_the_policy_forbids_every_request_and_names_the_only_style(name):
    page = report_page(view_audit(SHOWN[name]))
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)[1].replace("&#39;", "'")
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert "<script" not in page
    assert " style=" not in re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)
    asking = {"src", "srcset", "data", "poster", "action", "background", "xlink:href", "ping"}
    assert not [tag for tag in BeautifulSoup(page, "html.parser").find_all(True) if asking.intersection(tag.attrs)]
    assert "@import" not in style
    assert "url(" not in style


def test_hostile_text_is_text():
    page = report_page(view_audit(hostile()), home="index.html")
    parsed = BeautifulSoup(page, "html.parser")
    assert parsed.find_all(["script", "img", "iframe", "object", "form"]) == []
    assert not [name for tag in parsed.find_all(True) for name in tag.attrs if name.startswith("on")]
    for link in parsed.find_all("a"):
        assert re.fullmatch(r"#[A-Za-z0-9_-]+|index\.html", link["href"])
    assert "<script>alert(1)</script>" in parsed.get_text()
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff]", page)
    page.encode("utf-8")
    ids = [tag["id"] for tag in parsed.find_all(id=True)]
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+", each) for each in ids)
    assert len(page.encode("utf-8")) < 120_000


@pytest.mark.parametrize("name", SHOWN)
def test_no_id_stands_twice(name):
    ids = [tag["id"] for tag in soup(SHOWN[name]).find_all(id=True)]
    assert len(ids) == len(set(ids))


def test_two_hundred_sources_stay_below_one_megabyte_and_every_one_is_there():
    audit = many(200, statements=8)
    page = report_page(view_audit(audit))
    assert len(page.encode("utf-8")) < 1_000_000
    ids = {tag["id"] for tag in BeautifulSoup(page, "html.parser").find_all(id=True)}
    assert {each.id for each in audit.sources} <= ids


def test_statements_left_out_are_counted_and_warnings_are_not_left_out():
    source = replace(WEAKER, statements=WEAKER.statements * 40 + CONTRADICTED.sources[2].statements)
    text = said(soup(replace(STRETCHED, sources=(source,))).find("article", id="s1"))
    assert f"And {41 - MOST_QUOTES} more statements" in text
    assert "poisonous" in text
    assert quotes_each(1) == MOST_QUOTES


def test_nothing_in_the_page_calls_anything_safe():
    for audit in ALL:
        for sentence in re.split(r"(?<=[.!?]) ", said(soup(audit))):
            if re.search(r"\bsafe\b", sentence):
                assert re.search(r"\b(no|never|not|nothing)\b", sentence, re.IGNORECASE), sentence


# --------------------------------------------------------------------------- the list


def line_of(audit):
    claim = audit.claim
    return ClaimLine(
        claim.id, f"{claim.taxon.scientific_name}: edible", audit.rating.value, "2026-11-25", claim.quote, claim.url
    )


def test_the_list_names_every_claim_with_rating_report_and_warnings():
    cards = [card_of(line_of(each), view_audit(each)) for each in (CONTRADICTED, CORROBORATED)]
    cards.append(card_of(replace(line_of(STRETCHED), id="c9", rating="not audited"), None))
    page = BeautifulSoup(list_page(cards), "html.parser")
    shown = page.find_all("li", class_="card")
    assert [said(each.find(class_="stamp")) for each in shown] == ["contradicted", "corroborated", "not audited"]
    assert [each.find("a")["href"] if each.find("a") else None for each in shown] == ["claim-c1f2.html"] * 2 + [None]
    assert "2 warnings" in said(shown[0])
    boxes = [each["value"] for each in page.find_all("input", attrs={"name": "rating"})]
    assert boxes == ["contradicted", "corroborated", "not audited"]


def test_ratings_to_filter_by_come_in_the_order_of_the_table():
    cards = [card_of(replace(line_of(STRETCHED), rating=each.value), None) for each in reversed(Rating)]
    page = BeautifulSoup(list_page(cards), "html.parser")
    assert [each["value"] for each in page.find_all("input", attrs={"name": "rating"})] == [
        each.value for each in Rating
    ]


def test_the_list_s_only_script_is_the_one_that_its_policy_names():
    page = list_page([card_of(line_of(CONTRADICTED), view_audit(CONTRADICTED))])
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    digest = b64encode(sha256(scripts[0].encode()).digest()).decode()
    assert len(scripts) == 1
    assert f"script-src 'sha256-{digest}'" in page.replace("&#39;", "'")


def test_hostile_text_in_the_list_is_text():
    audit = hostile()
    line = ClaimLine(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE * 50, HOSTILE)
    parsed = BeautifulSoup(list_page([card_of(line, view_audit(audit))]), "html.parser")
    assert len(parsed.find_all("script")) == 1
    assert parsed.find_all("img") == []
    assert [re.fullmatch(r"claim-x[0-9a-f]{11}\.html", each["href"]) is not None for each in parsed.find_all("a")] == [
        True
    ]


@pytest.mark.parametrize("claim_id", ["../../etc/passwd", "a/b", "", "c\x00", "a" * 300, "."])
def test_no_claim_id_leaves_the_folder(claim_id):
    assert re.fullmatch(r"claim-x[0-9a-f]{11}\.html", report_file(claim_id))


def test_hostile_words_around_a_quote_are_text():
    view = view_audit(
        STRETCHED, {("claim", ""): (HOSTILE, HOSTILE), ("s1", WEAKER.statements[0].quote): (HOSTILE, HOSTILE)}
    )
    page = report_page(view)
    assert BeautifulSoup(page, "html.parser").find_all(["script", "img"]) == []
    assert page.count("&lt;script&gt;alert(1)") == 4
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff]", page)
