"""The hazard tables: what they hold, how a taxon meets a row, and that a broken table stops the program.

Rows on real taxa are asked for by name only; what they say is in the tables beside their sources.
"""

import csv
import re
import shutil
from pathlib import Path

import pytest

from doubtwort.errors import TableError
from doubtwort.model import Taxon
from doubtwort.shipped import shipped
from doubtwort.taxa.hazards import UNTRACED, known_names, load_hazards, read_hazards
from doubtwort.taxa.names import parse_name

TABLES = ("sources", "poisonous", "lookalikes", "ambiguous_names", "cautions")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small set of tables on invented taxa."""
    rows = {
        "sources": ["key,citation,address,seen", "A,Alder 1801,http://a.example,original", "B,Birk 1802,,no"],
        "poisonous": [
            "taxon,rank,synonyms,family,common_names,parts,poison,note,sources,traced",
            "Fictaria toxica,species,Mockera toxica,Fictariaceae,death fict,root,,,A,yes",
            "Gravaria,genus,Oldia,,graves,,,,B,no",
        ],
        "lookalikes": [
            "taxon,dangerous,stage,how,sources,traced",
            "Fictaria silvana,Fictaria toxica,leaf,Alike.,A,yes",
            "Mollia,Gravaria,,,B,no",
        ],
        "ambiguous_names": [
            "name,taxa,dangerous,note,sources,traced",
            "fict,Fictaria toxica;Mollia,Fictaria toxica,,A,yes",
        ],
        "cautions": ["code,text,sources", "ask,Ask.,A"],
    }
    for name, lines in rows.items():
        (tmp_path / f"{name}.csv").write_text("\n".join(lines) + "\n", "utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("taxon", "matches"),
    [
        (Taxon("Fictaria toxica"), [("Fictaria toxica", "species")]),
        (Taxon("Fictaria toxica var. minor"), [("Fictaria toxica", "species")]),
        (Taxon("Mockera toxica"), [("Fictaria toxica", "synonym")]),
        (Taxon("Novaria toxica", synonyms=("Fictaria toxica",)), [("Fictaria toxica", "synonym")]),
        (Taxon("Gravaria mollis"), [("Gravaria", "genus")]),
        (Taxon("Oldia mollis"), [("Gravaria", "genus")]),
        (Taxon("Fictaria"), [("Fictaria toxica", "member")]),
        (Taxon("Fictaria silvana"), []),
    ],
)
def test_how_a_taxon_meets_a_row(folder: Path, taxon: Taxon, matches: list[tuple[str, str]]) -> None:
    assert [(row.taxon, row.match) for row in read_hazards(folder).poisonous(taxon)] == matches


def test_look_alikes_are_found_from_either_side(folder: Path) -> None:
    hazards = read_hazards(folder)
    (pair,) = hazards.lookalikes(Taxon("Fictaria silvana"))
    assert (pair.dangerous, pair.match, pair.asked) == ("Fictaria toxica", "species", "taxon")
    (pair,) = hazards.lookalikes(Taxon("Fictaria toxica"))
    assert (pair.taxon, pair.asked) == ("Fictaria silvana", "dangerous")
    (pair,) = hazards.lookalikes(Taxon("Mollia alba"))
    assert (pair.dangerous, pair.match, pair.traced) == ("Gravaria", "genus", False)
    assert hazards.lookalikes(Taxon("Otheria alba")) == ()


def test_ambiguous_names_in_any_spelling(folder: Path) -> None:
    hazards = read_hazards(folder)
    assert [row.name for row in hazards.ambiguous(["Ficts"])] == ["fict"]
    assert hazards.ambiguous(["fictwort"]) == ()


def test_an_untraced_row_says_so(folder: Path) -> None:
    (row,) = read_hazards(folder).poisonous(Taxon("Gravaria mollis"))
    assert row.citation == f"{UNTRACED} (to be checked in: Birk 1802)"
    (row,) = read_hazards(folder).poisonous(Taxon("Fictaria toxica"))
    assert row.citation == "Alder 1801"


@pytest.mark.parametrize("table", TABLES)
def test_an_empty_or_missing_table_stops_the_program(folder: Path, table: str) -> None:
    path = folder / f"{table}.csv"
    header = path.read_text("utf-8").splitlines()[0]
    path.write_text(header + "\n", "utf-8")
    with pytest.raises(TableError, match=f"{table}.csv is empty"):
        read_hazards(folder)
    path.write_text("", "utf-8")
    with pytest.raises(TableError, match=f"{table}.csv has columns other"):
        read_hazards(folder)
    path.unlink()
    with pytest.raises(TableError, match=f"{table}.csv cannot be read"):
        read_hazards(folder)


@pytest.mark.parametrize("table", TABLES)
def test_an_unknown_column_stops_the_program(folder: Path, table: str) -> None:
    path = folder / f"{table}.csv"
    lines = path.read_text("utf-8").splitlines()
    path.write_text("\n".join([lines[0] + ",danger", *(line + ",1" for line in lines[1:])]) + "\n", "utf-8")
    with pytest.raises(TableError, match="unknown column 'danger'"):
        read_hazards(folder)


@pytest.mark.parametrize(
    ("table", "old", "new", "says"),
    [
        ("poisonous", ",A,yes", ",Z,yes", "unknown source: Z"),
        ("lookalikes", ",A,yes", ",Z,yes", "unknown source: Z"),
        ("ambiguous_names", ",A,yes", ",Z,yes", "unknown source: Z"),
        ("cautions", "Ask.,A", "Ask.,Z", "unknown source: Z"),
        ("poisonous", ",A,yes", ",A,maybe", "yes or no"),
        ("poisonous", ",A,yes", ",B,yes", "none of its sources was read"),
        ("poisonous", "toxica,species", "toxica,tribe", "unknown rank"),
        ("poisonous", "Gravaria,genus", "Gravaria alba,genus", "not a name in full"),
        ("poisonous", "Mockera toxica", "mockera", "genus comes first"),
        ("poisonous", "root,,,A,yes", "root,,A,yes", "too many or too few"),
        ("lookalikes", "Fictaria silvana,", "F. silvana,", "not a name in full"),
        ("ambiguous_names", "Mollia,Fictaria", "Mollia,Pictaria", "not among its taxa"),
        ("sources", "original", "glimpsed", "unknown way"),
        ("cautions", "ask,", ",", "code is empty"),
    ],
)
def test_a_broken_row_stops_the_program(folder: Path, table: str, old: str, new: str, says: str) -> None:
    path = folder / f"{table}.csv"
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(TableError, match=says):
        read_hazards(folder)


# --------------------------------------------------------------------------- the shipped tables


def test_the_shipped_tables_load_and_are_read_once() -> None:
    hazards = load_hazards()
    assert hazards is load_hazards()
    assert len(hazards.rows) > 150
    assert len(hazards.pairs) > 60
    assert len(hazards.names) > 30


def test_traced_rows_cite_and_untraced_rows_say_nothing_more_than_the_name() -> None:
    hazards = load_hazards()
    for row in hazards.rows:
        assert row.sources
        assert row.traced or not (row.parts or row.poison), row.taxon
        assert row.traced == (UNTRACED not in row.citation)
    for pair in hazards.pairs:
        assert pair.traced or not pair.how, pair.taxon


def test_no_row_stands_twice_and_every_source_is_used() -> None:
    hazards = load_hazards()
    taxa = [row.taxon for row in hazards.rows]
    assert len(taxa) == len(set(taxa))
    pairs = [(pair.taxon, pair.dangerous) for pair in hazards.pairs]
    assert len(pairs) == len(set(pairs))
    cited = {
        each.key
        for group in (hazards.rows, hazards.pairs, hazards.names, hazards.standing)
        for row in group
        for each in row.sources
    }
    assert cited == set(hazards.sources)


def test_species_rows_are_binomials_and_families_have_their_ending() -> None:
    for row in load_hazards().rows:
        parsed = parse_name(row.taxon)
        assert bool(parsed.epithet) == (row.rank == "species"), row.taxon
        assert re.fullmatch(r"[A-Z][a-z]+aceae", row.family), row.taxon


def test_standing_cautions_cover_what_they_must() -> None:
    said = " ".join(each.text for each in load_hazards().standing).lower()
    for word in (
        "what sources say", "safe", "region", "poison centre", "emergency number", "law", "permission", "sprayed",
        "polluted", "allerg", "pregnan", "children", "medicines",
    ):  # fmt: skip
        assert word in said, word


def test_published_lists_answer_for_well_known_rows() -> None:
    """Listing as in US Army FM 3-05.70, appendix C (public domain)."""
    hazards = load_hazards()
    (row,) = hazards.poisonous(Taxon("Conium maculatum"))
    assert row.traced
    assert "FM 3-05.70" in row.citation
    assert any(pair.dangerous == "Conium maculatum" for pair in hazards.lookalikes(Taxon("Daucus carota")))
    assert "Conium maculatum" in hazards.ambiguous(["hemlocks"])[0].dangerous


def test_known_names_hold_names_of_all_tables() -> None:
    known = known_names()
    assert "Conium" in known.genera
    assert "daucus carota" in known.binomials
    assert all(name == name.lower() for name in known.common | known.binomials)


def test_tables_on_disk_are_plain_csv() -> None:
    for table in TABLES:
        path = shipped("claims_db") / "hazards" / f"{table}.csv"
        lines = list(csv.reader(path.read_text("utf-8").splitlines(), strict=True))
        assert len({len(line) for line in lines}) == 1, table


def test_a_copy_of_the_shipped_tables_reads_the_same(tmp_path: Path) -> None:
    copied = shutil.copytree(shipped("claims_db") / "hazards", tmp_path / "hazards")
    assert read_hazards(copied).rows == load_hazards().rows
