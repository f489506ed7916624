"""Where names occur and whose they are. Taxa are invented; real names stand as names of others only."""

import pytest

from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames, page_names
from doubtwort.model import About, Taxon
from doubtwort.text import fold

FICT = Taxon("Fictaria silvana", ("Mockera silvana",), ("fictwort", "silver moonleaf"))
NETTLE = Taxon("Urtica exempla", (), ("nettle",), "Urticaceae")


def seen(taxon: Taxon, text: str, context: PageNames | None = None) -> list[tuple[str, str]]:
    """(name, whose) of all mentions that are not comparisons."""
    return [(each.name, each.whose.value) for each in found(taxon, text, context) if not each.comparison]


def found(taxon: Taxon, text: str, context: PageNames | None = None) -> list[Mention]:
    return Finder(taxon).find(fold(text).text, context)


OWN = [
    ("Fictaria silvana is tall.", "Fictaria silvana", "scientific name"),
    ("FICTARIA SILVANA IS TALL.", "FICTARIA SILVANA", "scientific name"),
    ("we ate fictaria silvana today", "fictaria silvana", "scientific name"),
    ("Mockera silvana is tall.", "Mockera silvana", "synonym"),
    ("F. silvana is tall.", "F. silvana", "abbreviated genus"),
    ("F.silvana is tall.", "F.silvana", "abbreviated genus"),
    ("M. silvana is tall.", "M. silvana", "abbreviated genus"),
    ("We saw F. silvana.", "F. silvana", "abbreviated genus"),
    ("Fictaria silvana var. alba is tall.", "Fictaria silvana var. alba", "scientific name"),
    ("Fictaria silvana L. subsp. minor (Birk) Alder is tall.", "Fictaria silvana L. subsp. minor", "scientific name"),
    ("Fictwort is tall.", "Fictwort", "common name"),
    ("FICTWORTS are tall.", "FICTWORTS", "common name"),
    ("The fictwort's root is long.", "fictwort", "common name"),
    ("The fict-wort is tall.", "fict-wort", "common name"),
    ("The fict wort is tall.", "fict wort", "common name"),
    ("Silver-moonleaf is tall.", "Silver-moonleaf", "common name"),
    ("Silver moonleaves are tall.", "Silver moonleaves", "common name"),
    ("Silvermoonleaf is tall.", "Silvermoonleaf", "common name"),
    ("Common fictwort is tall.", "fictwort", "common name"),
    ("Fictaria sllvana is tall.", "Fictaria sllvana", "spelling"),
    ("Fictaria si1vana is tall.", "Fictaria si1vana", "spelling"),
    ("Fictaria silvana (L.) Alder is tall.", "Fictaria silvana", "scientific name"),
    ("C. S. Alder drew fictwort.", "fictwort", "common name"),
    ("Silver moonlaef is tall.", "Silver moonlaef", "spelling"),
]


@pytest.mark.parametrize(("text", "name", "rule"), OWN, ids=lambda each: each[:30])
def test_own_names(text: str, name: str, rule: str) -> None:
    (mention,) = found(FICT, text)
    assert (mention.name, mention.whose, mention.rule, mention.comparison) == (name, About.TAXON, rule, False)
    assert fold(text).text[mention.start : mention.end] == name


OTHERS = [
    ("Fictaria mollis is tall.", "Fictaria mollis", "other binomial"),
    ("F. mollis is tall.", "F. mollis", "other abbreviated genus"),
    ("It crosses with F. mollis.", "F. mollis", "other abbreviated genus"),
    ("Novaria silvana is tall.", "Novaria silvana", "other binomial"),
    ("Conium maculatum is tall.", "Conium maculatum", "other binomial"),
    ("conium maculatum is tall.", "conium maculatum", "other binomial"),
    ("CONIUM MACULATUM IS TALL.", "CONIUM MACULATUM", "other binomial"),
    ("Foeniculum vulgare is tall.", "Foeniculum vulgare", "other binomial"),
    ("Allium spp. are tall.", "Allium spp.", "other genus"),
    ("Conium is tall.", "Conium", "other genus"),
    ("Fictaria × dubia is tall.", "Fictaria × dubia", "hybrid"),
    ("Fictaria silvana × F. mollis is tall.", "Fictaria silvana × F. mollis", "hybrid"),
    ("Fictaria aff. silvana is tall.", "Fictaria aff. silvana", "doubtful name"),
    ("Dead-fictwort is tall.", "Dead-fictwort", "other common name"),
    ("Dead fictwort is tall.", "Dead fictwort", "other common name"),
    ("White dead fictwort is tall.", "White dead fictwort", "other common name"),
    ("Horse fictworts are tall.", "Horse fictworts", "other common name"),
    ("Mock fictwort is tall.", "Mock fictwort", "other common name"),
    ("Golden moonleaf is tall.", "Golden moonleaf", "other common name"),
    ("Fictwort fern is tall.", "Fictwort fern", "other common name"),
    ("Doubtweed is tall.", "Doubtweed", "other common name"),
    ("Dusk-bane is tall.", "Dusk-bane", "other common name"),
    ("Hemlock is tall.", "Hemlock", "other common name"),
    ("Lily-of-the-valley is tall.", "Lily-of-the-valley", "other common name"),
    ("Lilies of the valley are tall.", "Lilies of the valley", "other common name"),
    ("Death caps are tall.", "Death caps", "other common name"),
    ("The St. John's wort is tall.", "St. John's wort", "other common name"),
    ("Apple trees are tall.", "Apple", "other common name"),
    ("The Asteraceae are many.", "Asteraceae", "family name"),
    ("The Compositae are many.", "Compositae", "family name"),
]


@pytest.mark.parametrize(("text", "name", "rule"), OTHERS, ids=lambda each: each[:30])
def test_names_of_others(text: str, name: str, rule: str) -> None:
    (mention,) = found(FICT, text)
    assert (mention.name, mention.whose, mention.rule) == (name, About.OTHER, rule)


NONE = [
    "The leaves are tall.",
    "Young shoots are picked.",
    "Poison control was called.",
    "Several species are poisonous.",
    "Various poisonous plants grow there.",
    "America is large, Florida is warm, Paris is old.",
    "The orange fruit rose to 3 m.",
    "It is rich in vitamin C. A. and B. are vitamins.",
    "This thistle is edible and these ferns are not.",
    "See Figs. 2 and 3, ca. 5 cm.",
    "Does a virus harm us?",
    "Alpha bravo charlie delta.",
]


@pytest.mark.parametrize("text", NONE)
def test_plain_english_holds_no_name(text: str) -> None:
    assert found(FICT, text) == []


@pytest.mark.parametrize(
    ("text", "whose"),
    [
        ("Fictaria is widespread.", About.GENUS),
        ("Fictaria spp. are many.", About.GENUS),
        ("Species of Fictaria are many.", About.GENUS),
        ("Members of the genus Fictaria are many.", About.GENUS),
        ("Fictaria species are many.", About.GENUS),
        ("Fictaria cf. silvana was found.", About.GENUS),
        ("All moonleaves are tall.", About.GENUS),
        ("The fictwort family is large.", About.FAMILY),
    ],
)
def test_genus_and_family(text: str, whose: About) -> None:
    (mention,) = found(FICT, text)
    assert mention.whose is whose


def test_family_is_the_own_one_when_given_or_typical() -> None:
    assert seen(NETTLE, "The Urticaceae are many.") == [("Urticaceae", "family")]
    assert seen(Taxon("Urtica exempla"), "URTICACEAE") == [("URTICACEAE", "family")]
    assert seen(Taxon("Fictaria silvana", family="Apiaceae"), "The Umbelliferae are many.") == [
        ("Umbelliferae", "family")
    ]
    assert seen(Taxon("Fictaria silvana", family="Apiaceae"), "The Labiatae are many.") == [("Labiatae", "other")]


# A stated rule: words of ``plain`` part no taxon, words of ``modifiers`` and anything joined by a hyphen do.
@pytest.mark.parametrize(
    ("text", "mentions"),
    [
        ("Nettles sting.", [("Nettles", "taxon")]),
        ("Stinging nettles hurt.", [("nettles", "taxon")]),
        ("The common nettle hurts.", [("nettle", "taxon")]),
        ("Dead-nettles do not.", [("Dead-nettles", "other")]),
        ("Deadnettles do not.", [("Deadnettles", "other")]),
        ("White dead nettle does not.", [("White dead nettle", "other")]),
        ("Hedge nettle does not.", [("Hedge nettle", "other")]),
        ("A nettle tree does not.", [("nettle tree", "other")]),
        ("Nettle leaves hurt.", [("Nettle", "taxon")]),
        ("Nettle-leaf tea hurts.", [("Nettle-leaf", "taxon")]),
        ("The deadly nettle hurts.", [("nettle", "taxon")]),
    ],
)
def test_the_longest_name_wins(text: str, mentions: list[tuple[str, str]]) -> None:
    assert seen(NETTLE, text) == mentions


def test_a_compound_that_is_a_name_of_the_taxon_is_the_taxon() -> None:
    taxon = Taxon("Lamium exemplum", (), ("dead nettle",))
    assert seen(taxon, "Dead-nettle, deadnettles and white dead nettle; nettles too.") == [
        ("Dead-nettle", "taxon"),
        ("deadnettles", "taxon"),
        ("white dead nettle", "other"),
        ("nettles", "other"),
    ]


def test_a_head_behind_a_plain_word_is_the_name() -> None:
    assert seen(Taxon("Urtica exempla", (), ("stinging nettle",)), "Nettles, dead nettles.") == [
        ("Nettles", "taxon"),
        ("dead nettles", "other"),
    ]


def test_a_head_of_a_compound_needs_the_page() -> None:
    taxon = Taxon("Fictaria toxica", (), ("poison fictwort",))
    text = "Fictwort is tall."
    assert seen(taxon, text) == [("Fictwort", "other")]
    alone = page_names(["Poison fictwort is rare.", text], taxon.common_names)
    assert seen(taxon, text, alone) == [("Fictwort", "taxon")]
    assert seen(taxon, "Tawny fictwort is tall.", alone) == [("Tawny fictwort", "other")]
    both = page_names(["Poison fictwort and water fictwort are rare.", text], taxon.common_names)
    assert seen(taxon, text, both) == [("Fictwort", "other")]


def test_parts_close_up_with_a_name_but_false_friends_stay_others() -> None:
    taxon = Taxon("Fictaria exempla", (), ("elder",))
    assert seen(taxon, "Elderberries, elder-flower, ground elder, dwarf elder.") == [
        ("Elderberries", "taxon"),
        ("elder-flower", "taxon"),
        ("ground elder", "other"),
        ("dwarf elder", "other"),
    ]
    assert seen(Taxon("Fictaria exempla", (), ("elderberry",)), "Elder leaves.") == [("Elder", "taxon")]
    assert seen(Taxon("Fictaria exempla", (), ("bay",)), "Bayberry.") == [("Bayberry", "other")]


def test_a_verb_that_is_a_name_counts_before_a_part_only() -> None:
    taxon = Taxon("Fictaria exempla", (), ("may",))
    assert seen(taxon, "It may be eaten; may blossom is white.") == [("may blossom", "taxon")]


# --------------------------------------------------------------------------- abbreviated genera


def test_the_same_binomial_in_full_decides() -> None:
    texts = ["Fumaria silvana is tall.", "Fictaria silvana is tall.", "F. silvana is tall."]
    page = page_names(texts)
    assert seen(FICT, texts[2], page.before(2)) == [("F. silvana", "taxon")]
    assert seen(FICT, texts[2], page.before(1)) == [("F. silvana", "other")]
    assert seen(FICT, texts[2], page_names([texts[0], texts[2]]).before(1)) == [("F. silvana", "other")]


def test_within_one_text_the_last_full_name_decides() -> None:
    assert seen(FICT, "Fictaria silvana and Fumaria silvana: F. silvana.")[-1] == ("F. silvana", "other")
    assert seen(FICT, "Fumaria silvana and Fictaria silvana: F. silvana.")[-1] == ("F. silvana", "taxon")


def test_another_genus_with_that_letter_alone_takes_the_name() -> None:
    page = page_names(["Fumaria mollis is tall.", "F. silvana is tall."])
    assert seen(FICT, "F. silvana is tall.", page.before(1)) == [("F. silvana", "other")]
    own = page_names(["Fumaria mollis is tall.", "Fictaria is tall.", "F. silvana is tall."], genera=["Fictaria"])
    assert seen(FICT, "F. silvana is tall.", own.before(2)) == [("F. silvana", "taxon")]


def test_an_older_genus_counts_as_genus_only_where_the_page_uses_it() -> None:
    assert seen(FICT, "Mockera is large.") == [("Mockera", "other")]
    page = page_names(["Mockera silvana is tall.", "Mockera is large."])
    assert seen(FICT, "Mockera is large.", page) == [("Mockera", "genus")]


def test_genera_named_on_the_page_are_known_standing_alone() -> None:
    page = page_names(["Novaria mollis is tall."])
    assert seen(FICT, "Novaria is tall.") == []
    assert seen(FICT, "Novaria is tall.", page) == [("Novaria", "other")]


def test_spelling_never_joins_two_names_of_one_page() -> None:
    taxon = Taxon("Fictaria silvestris")
    assert seen(taxon, "Fictaria silvostris is tall.") == [("Fictaria silvostris", "taxon")]
    page = page_names(["Fictaria silvestris is tall.", "Fictaria silvostris is small."])
    assert seen(taxon, "Fictaria silvostris is tall.", page) == [("Fictaria silvostris", "other")]


# --------------------------------------------------------------------------- taxa of other ranks


def test_a_variety_is_not_its_species() -> None:
    taxon = Taxon("Fictaria silvana var. crispa")
    assert seen(taxon, "Fictaria silvana var. crispa is tall.") == [("Fictaria silvana var. crispa", "taxon")]
    assert seen(taxon, "fictaria silvana crispa is tall.") == [("fictaria silvana crispa", "taxon")]
    assert seen(taxon, "Fictaria silvana var. alba is tall.") == [("Fictaria silvana var. alba", "other")]
    assert seen(taxon, "Fictaria silvana is tall.") == [("Fictaria silvana", "genus")]


def test_a_genus_is_not_its_species() -> None:
    taxon = Taxon("Fictaria")
    assert seen(taxon, "Fictaria is tall, FICTARIA too.") == [("Fictaria", "taxon"), ("FICTARIA", "taxon")]
    assert seen(taxon, "Fictaria mollis is tall.") == [("Fictaria mollis", "genus")]


def test_a_hybrid_may_lose_its_sign() -> None:
    taxon = Taxon("Fictaria × dubia")
    for text in ("Fictaria × dubia.", "Fictaria x dubia.", "Fictaria ×dubia.", "Fictaria dubia."):
        assert [whose for _, whose in seen(taxon, text)] == ["taxon"], text


# --------------------------------------------------------------------------- comparisons

MEASURES = [
    "Cooked like spinach.",
    "Used as asparagus.",
    "Use it instead of cabbage.",
    "A substitute for hemlock.",
    "Similar to hemlock.",
    "It resembles wild parsnip.",
    "Easily confused with deadly hemlock.",
    "It was mistaken for wild garlic.",
    "Smaller than Conium maculatum.",
    "Unlike the hemlock, it is small.",
    "A relative of the carrot.",
    "Carrot-like roots.",
    "Eaten with rice.",
    "Good in potato soup.",
    "It grows among nettles.",
]


@pytest.mark.parametrize("text", MEASURES)
def test_measures_are_marked(text: str) -> None:
    mentions = found(FICT, text)
    assert mentions
    assert all(each.comparison for each in mentions)


SUBJECTS = [
    "Hemlock is poisonous.",
    "Plants such as hemlock are poisonous.",
    "It is also known as hemlock.",
    "Roots of carrot are eaten.",
    "As hemlock is deadly, leave it.",
    "Spinach is grown here.",
]


@pytest.mark.parametrize("text", SUBJECTS)
def test_subjects_are_not_marked(text: str) -> None:
    (mention,) = found(FICT, text)
    assert not mention.comparison


def test_a_list_after_a_measure_is_marked_whole() -> None:
    mentions = found(FICT, "Fictwort is confused with hemlock, wild parsnip and carrot.")
    assert [each.comparison for each in mentions] == [False, True, True, True]


def test_the_taxon_itself_can_be_the_measure() -> None:
    mentions = found(FICT, "Lamium album is mistaken for fictwort; fictwort-like leaves.")
    assert [(each.whose.value, each.comparison) for each in mentions] == [
        ("other", False),
        ("taxon", True),
        ("taxon", True),
    ]
