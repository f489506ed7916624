"""Reference lists of other programs in and out: BibTeX, RIS, CSL-JSON. One work reads the same from all three."""

from __future__ import annotations

import io
import json
import subprocess
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from doubtwort.errors import CallError
from doubtwort.notebook import open_notebook
from doubtwort.sharing import extras
from doubtwort.sharing.bibliography import works, write_bibtex, write_csl_json
from doubtwort.sharing.references import from_bibtex, from_csl_json, from_ris, references_of
from sharing.sharing_samples import SECRETS, everything

# An invented book in three formats. Their forms: BibTeX by O. Patashnik, BibTeXing (1988), sections 2 and 4: accents in
# braces, " and " between names, "Last, First" or "First Last", "von" parts, a name in braces as it stands. RIS by the
# tag list of the format (TY first, ER last, SN an ISBN or ISSN). CSL-JSON by csl-data.json of CSL 1.0.2.
BIBTEX = r"""
@string{press = "Low Hills Press"}
@comment{not a work}
@book{alder1998,
  author    = {Alder, B. and Cæcilie van der Birch and {Society of Herbs}},
  title     = "Inv{\'e}nted {Herbs} \& Roots of the L{\"o}w Hills",
  publisher = press,
  year      = 1998,
  pages     = {12--14},
  isbn      = {0-306-40615-2},
  doi       = {10.1000/182},
  url       = {http://a.example/x_y?z=%7E1&b=2},
}
"""
RIS = """TY  - BOOK
AU  - Alder, B.
AU  - van der Birch, Cæcilie
AU  - Society of Herbs
TI  - Invénted Herbs & Roots of the Löw Hills
PY  - 1998/05/01/
SP  - 12
EP  - 14
SN  - 0-306-40615-2
DO  - 10.1000/182
UR  - http://a.example/x_y?z=%7E1&b=2
ER  -
"""
CSL = json.dumps(
    [
        {
            "id": "alder", "type": "book", "title": "Invénted Herbs & Roots of the Löw Hills",
            "author": [
                {"family": "Alder", "given": "B."},
                {"family": "Birch", "non-dropping-particle": "van der", "given": "Cæcilie"},
                {"literal": "Society of Herbs"},
            ],
            "issued": {"date-parts": [[1998, 5, 1]]}, "page": "12-14", "ISBN": "0-306-40615-2", "DOI": "10.1000/182",
            "URL": "http://a.example/x_y?z=%7E1&b=2",
        }
    ]
)  # fmt: skip


@pytest.mark.parametrize(
    ("reader", "text"), [(from_bibtex, BIBTEX), (from_ris, RIS), (from_csl_json, CSL)], ids=["bibtex", "ris", "csl"]
)
def test_one_work_reads_the_same_from_each_format(reader, text):
    (work,) = reader(text)
    assert work.authors == ("Alder", "van der Birch", "Society of Herbs")
    assert (work.title, work.year) == ("Invénted Herbs & Roots of the Löw Hills", "1998")
    assert (work.pages, work.doi, work.isbn) == ("12-14", "10.1000/182", "9780306406157")
    assert work.urls == ("http://a.example/x_y?z=%7E1&b=2", "https://doi.org/10.1000/182")
    assert work.text == (
        "Alder, van der Birch, Society of Herbs. 1998. Invénted Herbs & Roots of the Löw Hills. pp. 12-14. "
        "doi:10.1000/182. ISBN 9780306406157"
    )
    assert (work.key, work.further_reading) == ("1", False)


def test_several_works_are_numbered_in_order():
    found = from_bibtex("@misc{a, title={One}}\n@misc{b, title={Two}}")
    assert [(each.key, each.title) for each in found] == [("1", "One"), ("2", "Two")]
    found = from_ris("TY  - GEN\nTI  - One\nER  - \n\nTY  - GEN\nT1  - Two\nER  - \n")
    assert [each.title for each in found] == ["One", "Two"]


@pytest.mark.parametrize("number", ["1234-5678", "0-306-40615-3", "none"])
def test_a_number_that_is_no_isbn_is_none(number):
    """ISO 2108: the check digit of an ISBN; a RIS record's SN may be an ISSN."""
    (work,) = from_ris(f"TY  - JOUR\nTI  - One\nSN  - {number}\nER  - \n")
    assert work.isbn == ""


def test_the_first_of_several_isbns_is_taken():
    (work,) = from_csl_json('{"title": "One", "ISBN": "978-0-306-40615-7 978-3-16-148410-0"}')
    assert work.isbn == "9780306406157"


@pytest.mark.parametrize("address", ["javascript:alert(1)", "http://ann:pw@a.example/", "file:///etc/passwd", "x y"])
def test_only_web_addresses_are_taken(address):
    (work,) = from_csl_json(json.dumps({"title": "One", "URL": address}))
    assert work.urls == ()


@pytest.mark.parametrize(
    ("reader", "text", "said"),
    [
        (from_bibtex, "@misc{a, title={One}}\n@book{b, title={Two\n@misc{c, title={Three}}", "line 2: an entry"),
        (from_bibtex, "no entries at all", "holds no reference"),
        (from_bibtex, "@misc{a, note={x}}", "reference 1 names no title"),
        (from_bibtex, "@misc{a, title={One}}" * 3, "cannot be read .Duplicate entry key 'a'"),
        (from_bibtex, "@misc{a, title={One}, title={Two}}", "Duplicate field keys on entry: 'title'"),
        (from_ris, "TY  - BOOK\nTI  - One\nTY  - BOOK\nTI  - Two\nER  - \n", "2 records begin .TY. and 1 end"),
        (from_ris, "TY  - BOOK\r\nTI  - One\r\n", "1 records begin .TY. and 0 end"),
        (from_ris, "garbage", "holds no reference"),
        (from_ris, "", "holds no reference"),
        (from_csl_json, "{", "not JSON"),
        (from_csl_json, "[" * 100_000, "not JSON"),
        (from_csl_json, "[1]", "array of objects"),
        (from_csl_json, "[]", "holds no reference"),
        (from_csl_json, '[{"title": ["a"], "author": 7, "issued": []}]', "names no title"),
        (from_csl_json, json.dumps([{"title": "x"}] * 201), "more than 200"),
    ],
)
def test_what_cannot_be_read_is_told_in_one_line(reader, text, said, capsys):
    with pytest.raises(CallError, match=said) as caught:
        reader(text, "list.x")
    assert capsys.readouterr() == ("", "")  # nor does a library tell of it
    assert str(caught.value).startswith("list.x")
    assert "\n" not in str(caught.value)


@given(st.text(max_size=200) | st.text('@{}"=,\\%\n abTYER-0', max_size=200))
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_text_gives_works_or_one_clear_line(text):
    for reader in (from_bibtex, from_ris, from_csl_json):
        try:
            assert all(each.text for each in reader(text))
        except CallError as error:
            said = str(error)
        else:
            said = ""
        assert "\n" not in said


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_ris_of_any_system(end):
    lines = ("TY  - BOOK", "TI  - One", "ER  - ", "", "TY  - BOOK", "TI  - Two", "ER  - ", "")
    assert [each.title for each in from_ris(end.join(lines))] == ["One", "Two"]


DEEP = "{" * 5_000 + "}" * 5_000
HURTING = ["{" * 50_000, "@misc{a, title={" + DEEP + "}}", "@misc{a, title={" + "\\'" * 20_000 + "}}"]


@pytest.mark.parametrize("text", HURTING, ids=["open", "deep", "accents"])
def test_text_made_to_hurt_ends_in_time(text):
    try:
        said = from_bibtex(text)[0].text
    except CallError as error:
        said = str(error)
    assert "\n" not in said


def test_a_file_is_told_apart_by_its_ending(tmp_path):
    for name, text in (("a.bib", BIBTEX), ("a.RIS", RIS), ("a.json", CSL)):
        (tmp_path / name).write_text(text, "utf-8")
        assert references_of(tmp_path / name)[0].year == "1998"
    with pytest.raises(CallError, match=r"ends in \.bib, \.ris or \.json"):
        references_of(tmp_path / "a.txt")


def test_without_the_libraries_it_says_what_to_install():
    code = (
        "import sys\n"
        "for name in ('bibtexparser', 'bibtexparser.entrypoint', 'rispy'): sys.modules[name] = None\n"
        "from doubtwort.sharing import extras\n"
        "for call in (lambda: extras.read_bibtex('', ''), lambda: extras.read_ris('', ''), extras.bibtex_writer):\n"
        "    try: call()\n"
        "    except Exception as error: print(type(error).__name__, error)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    lines = done.stdout.splitlines()
    assert len(lines) == 3
    assert all("DoubtwortError" in each and "pip install bibtexparser" in each for each in lines)


# ------------------------------------------------------------------------------------------------ out


@pytest.fixture
def full(tmp_path):
    with open_notebook(everything(tmp_path / "n.sqlite")) as notebook:
        yield notebook


def text_from(write, notebook) -> str:
    out = io.StringIO()
    write(notebook, out)
    return out.getvalue()


@pytest.mark.parametrize("write", [write_bibtex, write_csl_json])
def test_what_warns_of_the_taxa_is_told_first(full, write):
    """A list of references may be all that somebody sees of a notebook."""
    text = text_from(write, full)
    for said in ("Own reaction (2026-05-01): itching", "calls the raw roots poisonous"):
        assert said in text
        assert text.index(said) < text.index("No rating and no decision in this file") or write is write_csl_json
    entries = [each["note"] for each in extras.read_bibtex(text, "x")] if write is write_bibtex else [
        each["note"] for each in json.loads(text)
    ]  # fmt: skip
    assert all(each.startswith("DANGER Fictaria nova: ") for each in entries)


def test_every_cited_work_stands_there_once_with_what_it_was_worth(full):
    found = works(full)
    assert [each.id for each in found] == ["s1", "s2", "s3", "s4", "s5"]
    assert [each.citation.isbn for each in found if each.citation.isbn] == ["9780306406157"]
    assert found[0].note == (
        "DANGER Fictaria nova: toxic-stated, own-reaction; "
        "cited by claim c1 (Fictaria silvana, edible); narrower for claim c1 (Fictaria silvana, edible)"
    )
    assert "toxic" in next(each.note for each in found if each.citation.isbn)


@pytest.mark.parametrize(("write", "reader"), [(write_bibtex, from_bibtex), (write_csl_json, from_csl_json)])
def test_what_goes_out_comes_back_in(full, write, reader):
    back = reader(text_from(write, full))
    for mine, theirs in zip(works(full), back, strict=True):
        for name in ("authors", "year", "pages", "doi", "isbn"):
            assert getattr(theirs, name) == getattr(mine.citation, name), name
        assert theirs.title == (mine.citation.title or mine.citation.text)
        assert set(theirs.urls) >= set(mine.citation.urls)


AWKWARD = st.text(st.sampled_from("{}\\%$&#_~^\"'@,=é 🌿aB1\n") | st.characters(exclude_categories=["C"]), min_size=1)


@given(AWKWARD, st.text(st.sampled_from("abc%{}_~&?=\\"), max_size=8))
@settings(max_examples=150, deadline=None)
def test_no_text_of_a_work_breaks_out_of_its_field(title, path):
    """A title may hold whatever a page says; the file stays one entry, and a reader of BibTeX finds it whole."""
    written = extras.bibtex_writer()(
        [
            ("misc", "s1", {"title": f"x {title} x", "url": f"http://a.example/{path}"}),
            ("misc", "s2", {"title": "Next"}),
        ],
        ["A caution} @misc{evil, title={none}}"],
    )
    found = extras.read_bibtex(written, "x")
    assert [each["kind"] for each in found] == ["misc", "misc"]
    assert found[1]["title"] == "Next"
    assert found[0]["title"].startswith("x ")
    assert found[0]["title"].endswith(" x")


@pytest.mark.parametrize("title", ["50 % of {all} \\herbs & roots_1 # ~ ^ $5", "Æther–food “quoted” naïve 🌿"])
def test_signs_of_latex_are_read_as_they_were(title):
    written = extras.bibtex_writer()([("misc", "s1", {"title": title})], [])
    assert extras.read_bibtex(written, "x")[0]["title"] == title


def test_csl_items_have_the_fields_and_types_of_its_schema(full):
    """csl-data.json (github.com/citation-style-language/schema, 1.0.2): id and type are required, ``custom`` is an
    object, names have ``literal`` or ``family``, ``issued`` has ``date-parts``; no others than listed there."""
    items = json.loads(text_from(write_csl_json, full))
    known = {"id", "type", "title", "author", "issued", "page", "DOI", "ISBN", "URL", "note", "custom"}
    for each in items:
        assert set(each) <= known
        assert each["type"] in {"book", "webpage", "document"}
        assert all(set(name) == {"literal"} for name in each.get("author", []))
        assert all(isinstance(part, int) for part in each.get("issued", {"date-parts": [[]]})["date-parts"][0])


def test_cautions_travel_with_both(full):
    items = json.loads(text_from(write_csl_json, full))
    bibtex = text_from(write_bibtex, full)
    assert all(any("No rating and no reading" in caution for caution in each["custom"]["cautions"]) for each in items)
    assert all("safe to eat" in each["note"] for each in items)
    assert "@comment{No rating" in bibtex[: bibtex.index("@misc")]
    assert not any(secret in bibtex or secret in json.dumps(items) for secret in SECRETS)
