"""CSV out and in: no formula gets into a spreadsheet, every fault is told by its row, and nothing is taken in half."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from doubtwort.errors import CallError
from doubtwort.model import Rating, Taxon
from doubtwort.notebook import open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, claim_and_origin, record_claim
from doubtwort.notebook.history import events, undo
from doubtwort.notebook.taxa import add_taxon, taxa
from doubtwort.sharing.csv_in import import_claims, read_sheet
from doubtwort.sharing.csv_out import CLAIM_COLUMNS, LIST_COLUMNS, write_claims_csv, write_list_csv
from doubtwort.sharing.files import text_of
from doubtwort.sharing.guard import guarded, unguarded
from doubtwort.sharing.typed import citation_from_user
from notebook.notebook_values import TAXON, a_claim, an_audit
from sharing.sharing_samples import SECRETS, SILVANA, everything, rows

# OWASP, "CSV Injection" (owasp.org/www-community/attacks/CSV_Injection): cells beginning with equals, plus, minus, at,
# tab, carriage return, line feed, and the full-width forms of the first four. OWASP ASVS 5.0, 1.2.10 adds NUL.
FORMULAS = "= + - @ \t \r \n \0 ＝ ＋ － ＠".split(" ")


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        yield opened


def written(path, write) -> list[dict[str, str]]:
    out = io.StringIO(newline="")
    with open_notebook(path, create=False) as notebook:
        write(notebook, out)
    text = out.getvalue()
    assert text.startswith("\ufeff")
    assert text.count("\r\n") > 1  # RFC 4180, section 2.1
    return list(csv.DictReader(io.StringIO(text[1:], newline="")))


@pytest.mark.parametrize("mark", FORMULAS, ids=ascii)
def test_no_cell_begins_as_a_formula(mark):
    for cell in (f"{mark}cmd|' /C calc'!A0", mark, f"  {mark}1"):
        shown = guarded(cell)
        assert shown == f"'{cell}"
        assert unguarded(shown) == cell


@given(st.text(st.sampled_from("=+-@'\t\r\n \0ab＝") | st.characters()))
@example("''=")
def test_guarding_is_undone_exactly(cell):
    assert unguarded(guarded(cell)) == cell
    assert guarded(cell)[:1] not in set("=+-@\t\r\n\0＝＋－＠")


def test_cells_that_are_harmless_stay_as_they_are():
    for cell in ("leaf", "", "1-2", "a=b", "it's", "30 % =", "e@mail"):
        assert guarded(cell) == cell
    assert unguarded("'tis the season") == "'tis the season"  # typed by a person in a sheet of her own


def test_a_sheet_of_claims_carries_dangers_and_cautions_in_its_rows(tmp_path):
    found = written(everything(tmp_path / "n.sqlite"), write_claims_csv)
    cautions = [row for row in found if row["record"] == "caution"]
    claims = {row["claim"]: row for row in found if row["record"] == "claim"}
    assert any("No rating and no reading means" in row["dangers"] for row in cautions)
    assert len(cautions) > 5
    assert set(claims) == {"c1", "h1"}
    for row in claims.values():
        assert "[toxic-stated]" in row["dangers"]
        assert "[own-reaction] Own reaction" in row["dangers"]
        assert "safe to eat" in row["remember"]
    assert (claims["c1"]["rating"], claims["h1"]["rating"]) == ("supported", "")
    assert claims["h1"]["quote"].startswith("'=cmd|")
    assert claims["h1"]["work"] == "'@Invented herbs"
    assert claims["h1"]["remarks"] == "'+ a remark"
    assert not any(secret in repr(found) for secret in SECRETS)


def test_a_sheet_of_the_list_says_what_stands_against_each_entry(tmp_path):
    found = written(everything(tmp_path / "n.sqlite"), write_list_csv)
    assert tuple(found[0]) == LIST_COLUMNS
    entries = {row["entry"]: row for row in found if row["record"] == "entry"}
    assert entries["v1"]["status"] == "accepted"
    assert entries["v1"]["rests_on"] == "c1: supported"
    assert entries["v2"]["reason"] == "'-poisonous"
    assert all("[toxic-stated]" in row["dangers"] for row in entries.values())


def test_claims_written_by_hand_come_back_from_the_sheet_that_was_exported(tmp_path):
    path = everything(tmp_path / "n.sqlite")
    out = io.StringIO(newline="")
    with open_notebook(path) as notebook:
        write_claims_csv(notebook, out)
        first, origin = claim_and_origin(notebook, "h1")
        assert [claim for _, claim in import_claims(notebook, out.getvalue()).held] == ["c1", "h1"]
    with open_notebook(tmp_path / "new.sqlite") as notebook:
        taken = {each.claim.quote: each.claim for each in import_claims(notebook, out.getvalue()).claims}
        again = taken[first.quote]
        assert claim_and_origin(notebook, again.id)[1] == origin
    same = ("wording", "certainty", "quote", "url", "parts", "preparations", "stages")
    assert [getattr(again, each) for each in same] == [getattr(first, each) for each in same]
    identified = [(each.doi, each.isbn) for each in first.citations]
    assert (
        [(each.doi, each.isbn) for each in again.citations]
        == identified
        == [("", "9780306406157"), ("10.1000/182", "")]
    )
    assert again.citations[0].text.startswith("Alder, B. 1998. Invented herbs.")


# ------------------------------------------------------------------------------------------------ a sheet of one's own

SHEET = """taxon;Quote;Parts;preparations;wording;medium;Heard on;sources;stages
Fictaria silvana;Boiled leaves are good.;Leaves;boiled;;talk;1998;0-306-40615-2 | http://a.example/x;young
;;;;;;;;
Vaguelia aspera;"Berries, raw.
Eaten by all.";berries, seeds;uncooked;Edible;book;2026-05-01;"10.1000/182
Alder, B. 1998. Herbs.";
"""


SOURCES = ["Alder 1998", "Herbs | A site", "a | b | c", "=1+1", "- x", "http://a.example/x", "doi:10.1000/182"]


@given(st.text().filter(str.strip), st.text(max_size=40), st.lists(st.sampled_from(SOURCES), max_size=3, unique=True))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_claim_written_by_hand_comes_back_from_a_sheet(tmp_path_factory, quote, remark, cited):
    folder = tmp_path_factory.mktemp("sheet")
    citations = tuple(citation_from_user(str(number), each) for number, each in enumerate(cited, start=1))
    claim = replace(a_claim("h1", 0), quote=quote.strip(), url="", citations=citations, taxon=Taxon(SILVANA))
    out = io.StringIO(newline="")
    with open_notebook(folder / "a.sqlite") as notebook:
        record_claim(notebook, claim, Origin(Medium.TALK, "A walk", remarks=remark))
        write_claims_csv(notebook, out)
    with open_notebook(folder / "b.sqlite") as notebook:
        (taken,) = import_claims(notebook, out.getvalue()).claims
        back, heard = claim_and_origin(notebook, taken.claim.id)
    assert (back.quote, heard.remarks) == (claim.quote, remark.strip())
    assert [each.text for each in back.citations] == [each.text for each in citations]


@pytest.mark.parametrize("divider", [";", ",", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_sheet_as_spreadsheets_write_it(notebook, tmp_path, divider, encoding):
    text = SHEET.replace("berries, seeds", "berries; seeds").replace("Berries, raw.", "Berries raw.")
    rows_ = list(csv.reader(io.StringIO(text.replace("berries; seeds", '"berries; seeds"')), delimiter=";"))
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=divider).writerows(rows_)
    file = tmp_path / "claims.csv"
    file.write_bytes(out.getvalue().encode(encoding))
    one, two = (each.claim for each in import_claims(notebook, text_of(file)).claims)
    assert (one.taxon.scientific_name, one.parts, one.preparations, one.stages) == (
        SILVANA,
        ("leaf",),
        ("boiled",),
        ("young",),
    )
    assert [(each.isbn, each.urls) for each in one.citations] == [("9780306406157", ()), ("", ("http://a.example/x",))]
    assert (two.parts, two.preparations, len(two.citations)) == (("fruit", "seed"), ("raw",), 2)
    assert claim_and_origin(notebook, one.id)[1].heard_on == "1998"
    # One event: all of the sheet is undone at once.
    undo(notebook)
    assert notebook.claims() == ()


FAULTS = {
    ("taxon", ""): "The taxon is empty",
    ("taxon", "stinging weed"): "no scientific name",
    ("quote", " "): "The quote is empty",
    ("parts", "elbow"): "'elbow' is no part",
    ("preparations", "wished"): "is no preparation",
    ("stages", "ancient"): "is no stage",
    ("wording", "safe"): "'safe' is no wording",
    ("certainty", "sure"): "is no certainty",
    ("medium", "dream"): "is no medium",
    ("medium", "page"): "A page has an address",
    ("url", "herb.example"): "is not a web address",
    ("heard_on", "1.5.2026"): "is no date",
    ("role", "x" * 201): "longer than 200",
}  # fmt: skip


@pytest.mark.parametrize("column", FAULTS, ids=lambda each: "=".join(each)[:30])
def test_a_fault_is_told_by_its_row_and_nothing_is_taken_in(notebook, column):
    name, value = column
    good = {"taxon": SILVANA, "quote": "Leaves are eaten."}
    table = [good, good | {"quote": "Roots are eaten."} | {name: value}, good | {"quote": "Stems are eaten."}]
    columns = sorted({each for row in table for each in row})
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns, restval="")
    writer.writeheader()
    writer.writerows(table)
    with pytest.raises(CallError, match="row 3: ") as caught:
        import_claims(notebook, out.getvalue(), said="claims.csv")
    assert FAULTS[column] in str(caught.value)
    assert "Nothing was taken in." in str(caught.value)
    assert "\n" not in str(caught.value)
    assert (notebook.claims(), taxa(notebook), events(notebook)) == ((), (), ())


def test_several_faults_are_told_together_and_many_are_counted(notebook):
    lines = ["taxon,quote", *(["nonsense name,x"] * 14), f"{SILVANA},good"]
    with pytest.raises(CallError, match=r"row 2: .* row 11: .*and 4 more"):
        import_claims(notebook, "\n".join(lines))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "names no column 'taxon'"),
        ("taxon,words\n", "'words' is no column"),
        ("taxon\nx", "no column 'quote'"),
        ("taxon,quote,quote\n", "there twice"),
        ("taxon,quote\n", "holds no claims"),
        ('taxon,quote\nx,"open', "not CSV"),
        ("taxon,quote\na,b,c\n", "row 2: 3 cells under 2 names"),
        ("taxon,quote\n" + "x" * 200_000, "not CSV"),
    ],
)
def test_what_is_no_sheet_of_claims(notebook, text, said):
    with pytest.raises(CallError, match=said) as caught:
        import_claims(notebook, text)
    assert "\n" not in str(caught.value)


def test_files_that_cannot_be_read_are_told(tmp_path):
    file = tmp_path / "x.csv"
    file.write_bytes(b"taxon,quote\nok,ok\nx,\xe4\n")
    with pytest.raises(CallError, match="line 3: not UTF-8"):
        text_of(file)
    with pytest.raises(CallError, match="larger than 5 bytes"):
        text_of(file, 5)
    with pytest.raises(CallError, match="could not be read"):
        text_of(tmp_path)


def test_what_the_notebook_holds_already_is_told_and_the_rest_is_taken_in(notebook):
    sheet = f"taxon,quote,medium,work\n{SILVANA},Leaves are eaten.,talk,A walk\n"
    (first,) = import_claims(notebook, sheet).claims
    more = sheet + f"{SILVANA},LEAVES are eaten!,talk,A walk\n{SILVANA},Roots kill.,talk,A walk\n"
    done = import_claims(notebook, more)
    assert done.held == ((2, first.claim.id), (3, first.claim.id))
    assert [each.claim.quote for each in done.claims] == ["Roots kill."]
    count = len(events(notebook))
    assert import_claims(notebook, sheet).claims == ()
    assert len(events(notebook)) == count


def test_a_common_name_finds_its_taxon_and_one_of_several_has_to_be_told(notebook):
    add_taxon(notebook, replace(TAXON, common_names=("fictwort",)))
    (one,) = import_claims(notebook, "taxon,quote\nFictwort,Leaves are eaten.\n").claims
    assert one.claim.taxon.scientific_name == SILVANA
    add_taxon(notebook, Taxon("Vaguelia aspera", (), ("fictwort",)))
    with pytest.raises(CallError, match="row 2: 'fictwort' may be Fictaria silvana or Vaguelia aspera"):
        import_claims(notebook, "taxon,quote\nfictwort,Stems are eaten.\n")


def test_a_sheet_never_brings_a_rating_with_it(notebook):
    notebook.keep_audit(an_audit("c1", rating=Rating.DISPUTED))
    columns = ",".join(CLAIM_COLUMNS)
    cells = {"record": "claim", "claim": "c9", "taxon": SILVANA, "quote": "Eat it.", "rating": "corroborated"}
    line = ",".join(cells.get(each, "") for each in CLAIM_COLUMNS)
    (taken,) = import_claims(notebook, f"{columns}\n{line}\n").claims
    assert taken.claim.id != "c9"
    assert {row.id: row.rating for row in notebook.claims()} == {"c1": Rating.DISPUTED, taken.claim.id: None}


def test_a_row_is_counted_as_the_spreadsheet_counts_it():
    """A line feed inside a cell begins no row, and empty rows have their number."""
    found = read_sheet('taxon,quote\n"a\nb",c\n,\nd,e\n', "x")
    assert [(each.number, each.cells["taxon"]) for each in found] == [(2, "a\nb"), (4, "d")]


def test_the_sheet_holds_each_claim_of_the_notebook_once(tmp_path):
    path = everything(tmp_path / "n.sqlite")
    assert len([row for row in written(path, write_claims_csv) if row["record"] == "claim"]) == len(
        {row[1] for row in rows(path)["claims"]}
    )
