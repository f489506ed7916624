"""By hand: what the main job makes of saved pages that nobody here wrote.

``DOUBTWORT_REAL_PAGES=folder PYTHONPATH=tests python tests/bench/show_real_pages.py [--table FILE] [FILE …]``

Prints for every page the claim with its rating and sources, and every statement that was read with its place and rules,
to be compared with the page by eye. ``--taxon NAME`` asks all files about that one; ``--about taxon,genus`` shows only
statements given to these (all but "other" when left out).
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from doubtwort.model import About, Statement, Taxon
from doubtwort.text import one_line
from real_pages import Answer, NoPages, Question, answer, folder, questions, saved, served


def show(found: Answer, about: frozenset[str]) -> None:
    question, audit, reading = found.question, found.audit, found.reading
    print(f"\n=== {question.file.name}: {question.taxon.scientific_name}, {question.wording}?")
    if audit is None:
        print(f"no audit: {found.why}")
    else:
        claim, outcomes = audit.claim, Counter(str(each.outcome) for each in audit.sources)
        shown = ", ".join(f"{count} {outcome}" for outcome, count in outcomes.items())
        print(f"claim: {one_line(claim.quote, 300)} {list(claim.parts)} {list(claim.preparations)}")
        print(f"rating: {audit.rating}; cited: {len(claim.citations)}; sources: {shown or 'none'}")
        for each in claim.citations:
            print(f"  cites {each.key}: {one_line(each.text, 140)} {' '.join(each.urls[:2])}")
        for note in audit.notes:
            print(f"  note: {note}")
    if reading is None or found.document is None:
        return
    print(f"title: {found.document.title!r}; subject: {reading.main_subject!r}; named: {reading.named}")
    shown_ones = [each for each in reading.statements if each.about in about]
    print(f"statements: {len(reading.statements)}, of which of other taxa: {_others(reading.statements)}")
    for each in shown_ones:
        _show(each)
    for notice in reading.notices:
        print(f"  - notice {notice.code} {notice.about}: {one_line(notice.quote, 300)}")


def _others(statements: tuple[Statement, ...]) -> int:
    return sum(each.about is About.OTHER for each in statements)


def _show(each: Statement) -> None:
    where = " > ".join(each.place.headings) if each.place else ""
    details = [*each.parts, *each.preparations, *each.stages, *([each.amount] if each.amount else [])]
    whose = f"{each.about} ({each.subject})" if each.subject else str(each.about)
    print(f"  - {each.wording} | {whose} | {each.eater} | {each.certainty} | {' '.join(details) or '-'} | {where}")
    print(f"      {one_line(each.quote, 400)}\n      rules: {' '.join(each.rules)}")


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("files", nargs="*")
    asked.add_argument("--taxon", default="")
    asked.add_argument("--common-name", action="append", default=[])
    asked.add_argument("--table", type=Path)
    asked.add_argument("--about", default="taxon,genus,family,unclear")
    given = asked.parse_args()
    try:
        where = folder()
        if given.taxon:
            taxon = Taxon(given.taxon, (), tuple(given.common_name))
            files = [where / each for each in given.files] or saved(where)
            wanted = [Question(each, taxon) for each in files]
        else:
            wanted = [
                each for each in questions(where, given.table) if not given.files or each.file.name in given.files
            ]
    except NoPages as why:
        raise SystemExit(str(why)) from None
    with served(where) as (fetcher, settings):
        for question in wanted:
            show(answer(question, fetcher, settings), frozenset(given.about.split(",")))


if __name__ == "__main__":
    main()
