"""The cue categories of published negation algorithms, each with sentences about plants.

Sources of the categories and of the cues that are named here:

- NegEx: W. W. Chapman et al., "A simple algorithm for identifying negated findings and diseases in discharge
  summaries", Journal of Biomedical Informatics 34(5), 2001, 301-310; categories and examples as in its authors' trigger
  file of 2009 (github.com/chapmanbe/negex, negex.python/negex_triggers.txt), which has PREN 125, PREP 21, POST 7,
  POSP 14, PSEU 16, CONJ 89.
- ConText: H. Harkema et al., "ConText: an algorithm for determining negation, experiencer, and temporal status from
  clinical reports", Journal of Biomedical Informatics 42(5), 2009, 839-851; files in the same place, genConText/.

The pre-negation cues and those of ConText are examples from memory. The sentences are our own; what each has to be read
as follows from what it says: a pseudo-negation (PSEU) leaves a statement, a possible one (POSP) asserts none.
"""

from __future__ import annotations

import pytest

from doubtwort.model import About, Eater, Taxon
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording.owed import debt

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))


def read(sentence: str) -> str:
    """``"edible leaf raw; toxic root"``, in order of the alphabet; statements about animals end in "(animals)"."""
    found = set()
    for each in read_document(read_text(sentence, title="Fictaria silvana"), TAXON).statements:
        assert each.about is About.TAXON
        words = [str(each.wording), *each.parts, *each.preparations, *each.stages]
        found.add(" ".join([*words, "(animals)"] if each.eater is Eater.ANIMALS else words))
    return "; ".join(sorted(found))


PRE_NEGATION = [  # PREN: what follows is denied
    ("no", "There is no evidence of poison in the leaves.", "non-toxic leaf"),
    ("not", "The leaves are not edible.", "inedible leaf"),
    ("never", "The root was never eaten.", "inedible root"),
    ("without", "The young leaves are without poison.", "non-toxic leaf young"),
    ("absence of", "The absence of poison in the root was shown by two chemists.", "non-toxic root"),
    ("lack", "The leaves lack any poison.", "non-toxic leaf"),
]

POST_NEGATION = [  # POST: what stands before is denied
    ("unlikely", "Poisoning by the leaves is unlikely.", "non-toxic leaf"),
    ("unlikely", "That the berries are edible is unlikely.", "inedible fruit"),
    ("free", "The young leaves are poison-free.", "non-toxic leaf young"),
    debt(
        "was ruled out",
        "Poisoning by the berries was ruled out.",
        "non-toxic fruit",
        why="the second reader withholds what clears a plant in few words",
    ),
    ("was ruled out", "That the root is edible was ruled out.", "inedible root"),
]

PSEUDO = [  # PSEU: looks like a negation and denies nothing of the statement
    debt(
        "no increase",
        "Boiling brings no increase in the bitterness of the edible leaves.",
        "edible leaf",
        why="a negation reaches over 'of the' to an adjective before another noun",
    ),
    debt(
        "no change",
        "Drying brings no change in the poisonous root.",
        "toxic dried root",
        why="a negation reaches over 'in the' to an adjective before another noun",
    ),
    ("not cause", "The poisonous berries do not cause a rash.", "toxic fruit"),
    ("not certain whether", "It is not certain whether the leaves are edible.", ""),
    debt(
        "not certain if",
        "It is not certain if the root is poisonous.",
        "",
        why="'not certain if' asserts nothing, as 'not certain whether' does",
    ),
    ("not necessarily", "The poisonous root is not necessarily bitter.", "toxic root"),
    ("not necessarily", "The fruit is not necessarily edible.", ""),
    ("not only", "The leaves are not only edible but delicious.", "edible leaf"),
    ("without difficulty", "The edible roots are dug without difficulty.", "edible root"),
    ("gram negative", "Gram-negative bacteria grow on the edible leaves.", "edible leaf"),
]

TERMINATION = [  # CONJ: where a negation ends
    ("but", "The leaves are not edible, but the fruits are edible.", "edible fruit; inedible leaf"),
    ("however", "The leaves are not edible; however, the fruits are edible.", "edible fruit; inedible leaf"),
    (
        "nevertheless",
        "The leaves are not poisonous; nevertheless the roots are poisonous.",
        "non-toxic leaf; toxic root",
    ),
    ("yet", "The leaves are not poisonous, yet the roots are poisonous.", "non-toxic leaf; toxic root"),
    ("though", "The leaves are not poisonous, though the roots are poisonous.", "non-toxic leaf; toxic root"),
    ("although", "The leaves are not edible, although the fruits are edible.", "edible fruit; inedible leaf"),
    ("still", "The leaves are not poisonous, still the roots are poisonous.", "non-toxic leaf; toxic root"),
    ("aside from", "No part is poisonous aside from the seeds.", "non-toxic whole plant; toxic seed"),
    debt(
        "except",
        "All parts except the ripe fruit are poisonous.",
        "non-toxic fruit ripe; toxic whole plant",
        why="what is excepted without a verb of its own is not read, and its stage is given to the rest",
    ),
    debt(
        "apart from",
        "All parts are edible apart from the seeds.",
        "edible whole plant; inedible seed",
        why="what is excepted without a verb of its own is not read",
    ),
]

# Cues that leave a thing open. What must not be read is named: "unlikely to be edible" is no "edible".
POSSIBLE = [  # PREP and POSP
    ("may be ruled out", "That the root is edible may be ruled out.", "edible"),
    ("should be ruled out", "Poisoning by the root should be ruled out.", "non-toxic"),
    ("did not rule out", "The inquiry did not rule out poisoning by the berries.", "non-toxic"),
    ("unlikely", "It is unlikely that the berries are edible.", "edible"),
]

OTHER_THAN_THE_PATIENT = [  # ConText, experiencer: said of somebody else; here, of animals
    ("horses", "Horses that ate the leaves were poisoned.", "toxic leaf (animals)"),
    ("dog", "My dog ate the leaves and was poisoned.", "toxic leaf (animals)"),
]

HYPOTHETICAL = [  # ConText, hypothetical: nothing is asserted. What must not be read is named.
    ("if", "If the leaves were edible, they would be sold.", "edible"),
    ("should", "Should the root prove edible, it would be sold.", "edible"),
]


@pytest.mark.parametrize(
    ("cue", "sentence", "wanted"), [*PRE_NEGATION, *POST_NEGATION, *PSEUDO, *TERMINATION, *OTHER_THAN_THE_PATIENT]
)
def test_what_a_cue_does_to_a_statement(cue: str, sentence: str, wanted: str) -> None:
    assert cue.split()[0].lower() in sentence.lower()
    assert read(sentence) == wanted


@pytest.mark.parametrize(("cue", "sentence", "never"), [*POSSIBLE, *HYPOTHETICAL])
def test_what_is_left_open_is_not_asserted(cue: str, sentence: str, never: str) -> None:
    assert never not in [each.split()[0] for each in read(sentence).split("; ") if each]


@pytest.mark.parametrize(
    ("sentence", "certainty"),
    [
        # ConText, historical: what was so once is told from what is so.
        ("Formerly the roots were eaten.", "hearsay"),
        ("The roots were once eaten by shepherds.", "hearsay"),
        ("The roots are eaten.", "stated"),
        # PREP, possible: "suspected", "may".
        ("The roots may be poisonous.", "hedged"),
        ("The roots are suspected of being poisonous.", "hedged"),
    ],
)
def test_what_a_cue_does_to_certainty(sentence: str, certainty: str) -> None:
    found = read_document(read_text(sentence, title="Fictaria silvana"), TAXON).statements
    assert [str(each.certainty) for each in found] == [certainty]
