"""Parsing of scientific names. Real names stand here as names only; forms follow the Code (ICN, Shenzhen 2018)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.errors import CallError
from doubtwort.taxa.names import parse_name, same_family, taxon_from_user

CANONICAL = [
    ("Fictaria silvana", "Fictaria silvana"),
    ("FICTARIA SILVANA", "Fictaria silvana"),
    ("Fictaria_silvana", "Fictaria silvana"),
    ("Fictaria", "Fictaria"),
    ("Fictaria spp.", "Fictaria"),
    ("Fictaria Alder", "Fictaria"),
    ("F. silvana", "F. silvana"),
    ("Fictaria silvana (L.) Alder, 1801", "Fictaria silvana"),
    ("Amanita phalloides (Vaill. ex Fr.) Link", "Amanita phalloides"),
    ("U. dioica L. subsp. galeopsifolia (Wierzb. ex Opiz) Chrtek", "U. dioica subsp. galeopsifolia"),
    ("Fictaria silvana ssp. minor", "Fictaria silvana subsp. minor"),
    ("Brassica oleracea L. var. acephala DC. f. crispa", "Brassica oleracea var. acephala f. crispa"),
    ("Fictaria silvana forma alba", "Fictaria silvana f. alba"),
    ("Fictaria silvana convar. hortensis", "Fictaria silvana convar. hortensis"),
    ("Mentha × piperita L.", "Mentha × piperita"),  # Art. H.3.1 has this form of sign
    ("Mentha x piperita", "Mentha × piperita"),
    ("×Fictaria dubia", "× Fictaria dubia"),
    ("Fictaria silvana s.l.", "Fictaria silvana"),
    ("Fictaria silvana s.str.", "Fictaria silvana"),
    ("Fictaria silvana agg.", "Fictaria silvana"),
    ("Fictaria silvana 'Red King'", "Fictaria silvana"),
    ("Capsella bursa-pastoris", "Capsella bursa-pastoris"),
    ("Strychnos nux-vomica", "Strychnos nux-vomica"),
    ("Isoëtes lacustris", "Isoëtes lacustris"),
]


@pytest.mark.parametrize(("printed", "canonical"), CANONICAL)
def test_reads(printed: str, canonical: str) -> None:
    assert parse_name(printed).canonical == canonical


def test_keeps_doubt_width_and_cultivar_apart() -> None:
    assert parse_name("Fictaria cf. silvana").doubt == "cf."
    assert parse_name("Fictaria aff. silvana").doubt == "aff."
    assert parse_name("Fictaria spp.").genus_wide
    assert parse_name("F. silvana").abbreviated
    assert parse_name("Fictaria silvana 'Red King'").cultivar == "Red King"
    assert parse_name("Mentha × piperita").hybrid


@pytest.mark.parametrize(
    ("printed", "says"),
    [
        ("", "empty"),
        ("  ", "empty"),
        ("stinging nettle", "genus comes first"),
        ("12 kinds", "no genus"),
        ("Fictaria 12", "no species"),
        ("Fictaria x", "no species"),
        ("F.", "needs its species"),
        ("Fictaria silvana × rubra", "hybrid formula"),
        ("x" * 300, "too long"),
        ("<b>", "no genus"),
    ],
)
def test_nonsense_gets_one_clear_line(printed: str, says: str) -> None:
    with pytest.raises(CallError, match=says) as caught:
        parse_name(printed)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("printed", "says"),
    [
        ("F. silvana", "write the genus in full"),
        ("Fictaria cf. silvana", "doubtful"),
        ("Stinging nettle", "common name"),
        ("Poison hemlock", "common name"),
        ("Fictaria Silvana", "small letter"),
    ],
)
def test_a_users_taxon_must_be_plain(printed: str, says: str) -> None:
    with pytest.raises(CallError, match=says):
        taxon_from_user(printed)


def test_a_users_taxon_is_cleaned() -> None:
    taxon = taxon_from_user(
        "Fictaria silvana L.", ["Mockera silvana (L.) Alder", "Fictaria silvana"], [" Fictwort ", "fictwort"]
    )
    assert (taxon.scientific_name, taxon.synonyms, taxon.common_names) == (
        "Fictaria silvana",
        ("Mockera silvana",),
        ("Fictwort",),
    )
    assert taxon_from_user("Fictaria").genus == "Fictaria"


@pytest.mark.parametrize("name", ["", "  ", "a", "12", "x" * 90])
def test_a_common_name_needs_letters(name: str) -> None:
    with pytest.raises(CallError, match="common name"):
        taxon_from_user("Fictaria silvana", (), [name])


def test_too_many_names_are_refused() -> None:
    with pytest.raises(CallError, match="Too many"):
        taxon_from_user("Fictaria silvana", (), [f"name {each}" for each in range(500)])


# Epithets with endings that English shares must stay scientific names.
@pytest.mark.parametrize(
    "name",
    ["Ginkgo biloba", "Allium cepa", "Zea mays", "Prunus mume", "Quercus robur", "Acer campestre", "Coix lacryma-jobi"],
)
def test_odd_epithets_are_no_common_names(name: str) -> None:
    assert taxon_from_user(name).scientific_name == name


@given(st.text(max_size=60))
def test_any_text_gives_a_name_or_one_line(text: str) -> None:
    line, parsed = "", None
    try:
        parsed = parse_name(text)
    except CallError as error:
        line = str(error)
    assert "\n" not in line
    if parsed is None:
        assert line
    else:
        assert parsed.genus[0].isupper()
        assert parse_name(parsed.canonical).canonical == parsed.canonical


# Conserved alternative family names: ICN (Shenzhen 2018), Art. 18.5.
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Umbelliferae", "Apiaceae"),
        ("Compositae", "Asteraceae"),
        ("Leguminosae", "Fabaceae"),
        ("Gramineae", "Poaceae"),
        ("Cruciferae", "Brassicaceae"),
        ("Labiatae", "Lamiaceae"),
        ("Guttiferae", "Clusiaceae"),
        ("Palmae", "Arecaceae"),
    ],
)
def test_old_family_names(old: str, new: str) -> None:
    assert same_family(old, new)
    assert same_family(new.upper(), old)
    assert not same_family(old, "Rosaceae")
    assert not same_family("", "")
