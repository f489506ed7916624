"""The main job on saved pages that nobody here wrote; skipped where there are none (see tests/real_pages.py)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from doubtwort.model import Fetcher, Outcome
from doubtwort.settings import Settings
from real_pages import Answer, NoPages, Question, answer, folder, questions, served

try:
    QUESTIONS, WHY = questions(folder()), ""
except NoPages as why:
    QUESTIONS, WHY = [], str(why)


@pytest.fixture(scope="module")
def web() -> Iterator[tuple[Fetcher, Settings]]:
    with served(folder()) as opened:
        yield opened


@pytest.mark.skipif(not QUESTIONS, reason=WHY or "the table names no page")
@pytest.mark.parametrize(
    "question", QUESTIONS, ids=[f"{each.file.name}-{each.taxon.scientific_name}" for each in QUESTIONS]
)
def test_a_real_page_is_taken_in_read_and_rated(question: Question, web: tuple[Fetcher, Settings]) -> None:
    found: Answer = answer(question, *web)
    assert found.document is not None, found.why
    assert found.reading is not None
    assert found.document.passages
    text = found.document.text
    for each in found.reading.statements:
        assert each.place is not None
        assert text[each.place.start : each.place.end] == each.quote
        assert each.rules
    if found.audit is None:
        # No such claim: one line says what the page does say of it, if it names it at all.
        assert question.taxon.scientific_name in found.why
        assert "\n" not in found.why
        return
    assert found.audit.claim.quote in text
    assert found.audit.claim.wording is question.wording
    # What the page cites is nowhere on loopback: no source can have been read, and none may count as support.
    assert {each.outcome for each in found.audit.sources} <= {Outcome.UNREAD, Outcome.CIRCULAR}
    assert found.audit.cautions
