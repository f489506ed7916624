"""Darwin Core, Markdown, files written whole or not at all; and that no format gives an exact place away."""

from __future__ import annotations

import csv
import errno
import io
import os
from dataclasses import replace

import pytest
from markdown_it import MarkdownIt

from doubtwort.errors import DoubtwortError
from doubtwort.model import Caution, Rating, Taxon
from doubtwort.notebook import open_notebook
from doubtwort.notebook.outgoing import Scope
from doubtwort.notebook.taxa import add_taxon, rename_taxon
from doubtwort.sharing.annotation import write_annotations
from doubtwort.sharing.bibliography import write_bibtex, write_csl_json
from doubtwort.sharing.claim_review import write_claim_reviews
from doubtwort.sharing.csv_out import write_claims_csv, write_list_csv
from doubtwort.sharing.darwin_core import TERMS, write_darwin_core
from doubtwort.sharing.files import whole_file
from doubtwort.sharing.jsonl import write_jsonl
from doubtwort.sharing.markdown_out import escaped, write_markdown
from notebook.notebook_values import TAXON, an_audit
from sharing.sharing_samples import SECRETS, SILVANA, everything

WRITERS = {
    "jsonl": lambda notebook, out: write_jsonl(notebook, out, Scope(pages=True)),
    "csv": write_claims_csv, "list": write_list_csv, "markdown": write_markdown, "reviews": write_claim_reviews,
    "annotations": write_annotations, "names": write_darwin_core, "bibtex": write_bibtex, "csl": write_csl_json,
}  # fmt: skip
# Terms of class Taxon and record-level terms, from TDWG's own list (github.com/tdwg/dwc,
# dist/dwc_taxon_core_vertical.csv).
TDWG_TAXON_TERMS = set(
    """modified language license rightsHolder accessRights bibliographicCitation references institutionID datasetID
    institutionCode datasetName informationWithheld taxonID scientificNameID acceptedNameUsageID parentNameUsageID
    originalNameUsageID nameAccordingToID namePublishedInID taxonConceptID scientificName acceptedNameUsage
    parentNameUsage originalNameUsage nameAccordingTo namePublishedIn namePublishedInYear higherClassification kingdom
    phylum class order superfamily family subfamily tribe subtribe genus genericName subgenus infragenericEpithet
    specificEpithet infraspecificEpithet cultivarEpithet taxonRank verbatimTaxonRank scientificNameAuthorship
    vernacularName nomenclaturalCode taxonomicStatus nomenclaturalStatus taxonRemarks""".split()
)


def written(path, write, **options) -> str:
    out = io.StringIO(newline="")
    with open_notebook(path, create=False) as notebook:
        write(notebook, out, **options)
    return out.getvalue()


@pytest.fixture
def full(tmp_path):
    return everything(tmp_path / "n.sqlite")


@pytest.mark.parametrize("name", WRITERS)
def test_no_format_gives_an_exact_place_away(full, name):
    text = written(full, WRITERS[name])
    assert [secret for secret in SECRETS if secret in text.replace("\\", "")] == []


@pytest.mark.parametrize("name", WRITERS)
def test_every_format_carries_dangers_and_the_standing_cautions(full, name):
    text = written(full, WRITERS[name]).replace("\\", "")
    assert "that anything is safe to eat" in text
    assert "call your poison centre" in text
    if name not in ("bibtex", "csl"):  # lists of works name no taxon of their own; each work says what it was worth
        assert "calls the raw roots poisonous" in text


@pytest.mark.parametrize("name", WRITERS)
def test_an_empty_notebook_goes_out_too(tmp_path, name):
    with open_notebook(tmp_path / "empty.sqlite"):
        pass
    assert written(tmp_path / "empty.sqlite", WRITERS[name])


# ------------------------------------------------------------------------------------------------ Darwin Core


def names(path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(written(path, write_darwin_core), newline="")))


def test_every_column_is_a_term_of_the_standard():
    assert set(TERMS) <= TDWG_TAXON_TERMS


def test_a_row_for_each_name(tmp_path):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        add_taxon(notebook, TAXON, language="en", remarks="Grows in the Low Hills.")
        rename_taxon(notebook, SILVANA, "Fictaria nova subsp. minor")
    found = names(path)
    told = [(row["scientificName"], row["taxonomicStatus"], row["vernacularName"], row["language"]) for row in found]
    assert told == [
        ("Fictaria nova subsp. minor", "accepted", "", ""),
        ("Fictaria ficta", "synonym", "", ""),
        ("Fictaria silvana", "synonym", "", ""),
        ("Fictaria nova subsp. minor", "accepted", "mock fictary", "en"),
        ("Fictaria nova subsp. minor", "accepted", "wood fictary", "en"),
    ]
    accepted, synonym = found[0], found[1]
    assert {row["acceptedNameUsage"] for row in found} == {"Fictaria nova subsp. minor"}
    assert {row["acceptedNameUsageID"] for row in found} == {accepted["taxonID"]}
    assert synonym["taxonID"] != accepted["taxonID"]
    ranks = ("taxonRank", "genus", "specificEpithet", "infraspecificEpithet", "family")
    assert [accepted[each] for each in ranks] == ["subspecies", "Fictaria", "nova", "minor", "Fictariaceae"]
    assert [synonym[each] for each in ranks] == ["species", "Fictaria", "ficta", "", "Fictariaceae"]
    assert "Grows in the Low Hills." in accepted["taxonRemarks"]


def test_names_that_are_no_scientific_ones_go_out_as_they_are(tmp_path):
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        add_taxon(notebook, Taxon("=weeds (all)"))
        add_taxon(notebook, Taxon("Fictaria"))
    weeds, genus = names(path)
    assert (weeds["scientificName"], weeds["taxonRank"]) == ("'=weeds (all)", "")
    assert (genus["scientificName"], genus["taxonRank"]) == ("Fictaria", "genus")


def test_published_warnings_stand_in_the_remarks(tmp_path):
    """Conium maculatum stands in the shipped list of poisonous plants, with its source."""
    path = tmp_path / "n.sqlite"
    with open_notebook(path) as notebook:
        add_taxon(notebook, Taxon("Conium maculatum"))
    (row,) = names(path)
    assert "[listed-poisonous] Conium maculatum stands in a list of poisonous taxa" in row["taxonRemarks"]


# ------------------------------------------------------------------------------------------------ Markdown

HOSTILE = [
    "<script>alert(1)</script>", "[x](javascript:alert(1))", "![x](http://evil.example/p.png)", "# heading", "`code`",
    "**bold** _it_ ~~no~~", "<http://evil.example>", "&lt;b&gt;", "a\n\n# b", "http://evil.example/x www.evil.example",
    "| a | b |", "[^1]: note", "\\*", "x@evil.example", "---", "1. one", "> quote",
]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_others_makes_no_markup(text):
    """Read by markdown-it with links for bare addresses switched on, as some readers have it."""
    renderer = MarkdownIt("gfm-like", {"html": True, "linkify": False})
    shown = renderer.render(f"- “{escaped(text)}”")
    for tag in ("<a", "<img", "<script", "<h1", "<code", "<strong", "<em", "<s>", "<table", "<b>"):
        assert tag not in shown
    assert escaped(text).count("\n") == 0
    bare = escaped(text)
    assert "://" not in bare.replace("\\://", "")
    assert "www." not in bare


def test_the_document_says_what_warns_before_anything_else(full):
    text = written(full, write_markdown)
    assert text.index("## Always") < text.index("## The vetted list") < text.index("## Claims")
    claims = text[text.index("## Claims") :]
    assert claims.index("**toxic-stated**") < claims.index("Claimed: ")
    assert "Accepted all the same" not in text
    assert "“=cmd|" not in text  # its bar is escaped
    assert "\\<b\\>\\[x\\]" in text
    assert "**Reaction: itching**" in text
    assert "the site lies by a road" in text


def test_the_document_keeps_each_caution_of_an_audit_and_where_a_claim_is_said_to_hold(tmp_path):
    path = everything(tmp_path / "n.sqlite")
    audit = an_audit("c1", rating=Rating.SUPPORTED)
    irritant = Caution("contact-irritant", "s1 says that the sap blisters.", "s1")
    with open_notebook(path) as notebook:
        notebook.keep_audit(replace(audit, cautions=(*audit.cautions, irritant)))
    text = written(path, write_markdown)
    assert "Mind (contact-irritant): s1 says that the sap blisters." in text
    assert text.count("calls the raw roots poisonous") == text.count("**toxic-stated**")  # not told twice over
    assert "Low Hills" in text[text.index("Heard or read") :].splitlines()[0]


def test_exact_places_are_written_when_asked_for(full):
    text = written(full, write_markdown, exact_places=True)
    assert [secret for secret in SECRETS if secret not in text] == []


# ------------------------------------------------------------------------------------------------ files


def test_a_file_is_written_whole(tmp_path):
    target = tmp_path / "new" / "out.csv"
    with whole_file(target) as out:
        out.write("a\r\nbü\ud800")
    assert target.read_bytes() == b"a\r\nb\xc3\xbc\\ud800"
    assert target.stat().st_mode & 0o777 == 0o644
    assert [each.name for each in target.parent.iterdir()] == ["out.csv"]


def test_of_a_full_disk_no_half_file_is_left(tmp_path):
    """/dev/full (Linux, full(4)) answers every write with ENOSPC; here the half-written file is exchanged for it."""
    target = tmp_path / "out.csv"
    target.write_text("before")
    full_disk = os.open("/dev/full", os.O_WRONLY)

    def fill():
        with whole_file(target) as out:
            out.write("x")
            os.dup2(full_disk, out.fileno())
            out.write("x" * 1_000_000)

    with pytest.raises(DoubtwortError, match=os.strerror(errno.ENOSPC)):
        fill()
    os.close(full_disk)
    assert [each.name for each in tmp_path.iterdir()] == ["out.csv"]
    assert target.read_text() == "before"


def test_of_any_other_error_none_either(tmp_path):
    def broken():
        with whole_file(tmp_path / "out.csv") as out:
            out.write("half")
            raise KeyError("x")

    with pytest.raises(KeyError):
        broken()
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_cannot_be_written_to_is_told(tmp_path):
    (tmp_path / "file").write_text("")

    def write(target):
        with whole_file(target):
            pass

    with pytest.raises(DoubtwortError, match="could not be written"):
        write(tmp_path / "file" / "out.csv")
    (tmp_path / "folder").mkdir()
    with pytest.raises(DoubtwortError, match="could not be written"):
        write(tmp_path / "folder")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["file", "folder"]
