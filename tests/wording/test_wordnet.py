"""WordNet 3.0's glosses of plants and fungi, which nobody here wrote, against labels made by hand, gloss by gloss.

``pytest -s tests/wording/test_wordnet.py`` prints precision, recall and every gloss that is misread.
"""

from __future__ import annotations

import pytest

from wording.gold import below, floors
from wording.wordnet import NoWordNet, find_data_noun, labelled_synsets
from wording.wordnet_scores import GlossScores, gloss_scores, gloss_table, labels_sha256


@pytest.fixture(scope="module")
def found() -> GlossScores:
    try:
        find_data_noun()
    except NoWordNet as why:
        pytest.skip(f"WordNet 3.0 is not here: {why}")
    return gloss_scores()


def test_the_floors_are_of_these_labels() -> None:
    """Changed labels need their floors looked at again: wordnet_scores.py, run by hand, prints hash and floors."""
    assert floors()["wordnet"]["sha256"] == labels_sha256()


def test_every_selected_gloss_is_labelled(found: GlossScores) -> None:
    assert found.glosses == len(labelled_synsets()) == 501


def test_no_figure_is_below_its_floor(found: GlossScores) -> None:
    print("\n" + gloss_table(found))
    failed = below(found.rates, found.counts, floors()["wordnet"])
    assert not failed, "\n".join([*failed, gloss_table(found)])
