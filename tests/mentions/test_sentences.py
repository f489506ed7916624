"""Sentences of botanical text. The strings are our own; taxa in them are invented or stand as names only."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doubtwort.errors import TableError
from doubtwort.mentions.sentences import LONGEST, read_table, split

# Each row is one text, given as the sentences that it should fall into.
SPLITS = [
    ["U. dioica L. subsp. galeopsifolia (Wierzb. ex Opiz) Chrtek grows here.", "The leaves are hairy."],
    ["Fictaria silvana var. alba and F. silvana cf. rubra ssp. minor are alike.", "Both are tall."],
    ["Fictaria spp. are many; Fictaria agg. is one.", "Most are tall."],
    ["This is Fictaria silvana s.l. in our sense.", "It is common."],
    ["They call it F. silvana s.l.", "The name is old."],
    ["Stems are ca. 15 cm. tall, approx. 3.5 in. wide.", "Leaves are short."],
    ["A plant of 6 ft. 2 in. was seen.", "It fell."],
    ["It grows to 15 cm.", "Leaves are green."],
    ["See p. 14 and pp. 15-16.", "Then see Fig. 2 for no. 3 of the list."],
    ["They said no.", "The rest went home."],
    ["St. John's wort was drawn by C. S. Alder.", "Dr. Alder came later."],
    ["Eat no leaves, stems, etc., of it.", "Leave leaves, stems, etc.", "The rest as well."],
    ["This is Fictaria silvana Mill.", "The leaves are broad."],
    ["Fictaria hooki Hook.f. & Thomson is rare.", "Fictaria candoli DC. var. minor is not."],
    ["Fictaria alba (L.) Chrtek is rare.", "Fictaria rubra (Wierzb.) Alder is not."],
    ["Smith et al. 2010 and Alder et al. (2011) say so.", "Many agree."],
    ["Nobody ate the leaves.", "U. dioica is tall.", "U. urens is short."],
    ['"It is edible."', "The book said so."],
    ["'Is it edible?!'", "No!", "Never..."],
    ["It is eaten (Some say it never is.)", "The leaves are tall."],
    ["It is tall.", "(The fruit is toxic.)", "Do not touch it."],
    ["The leaves are edible.12", "The root is not.3,4", "It stings."],
    ["The leaves are edible.[12][3]", "The root is not. [4]", "It stings. [citation needed]", "It is tall."],
    ["The leaves are edible.", "The root is toxic."],
    ["the leaves are edible.", "the root is toxic."],
    ["Rich in vitamin C.", "The root is poor."],
    ["It was eaten in 1998.", "The root was not."],
    ["1. Leaves are edible.", "2. Roots are toxic."],
    ["It grows in the U.S. Department of Maps.", "It grows in the U.S.", "The root is long."],
    ["Edible, e.g. boiled, i.e. in water, vs. raw."],
    ["It is edible; however, the root is toxic; do not eat it."],
    ["It weighs 3.5 g. 12 were found."],
]


@pytest.mark.parametrize("sentences", SPLITS, ids=lambda each: each[0][:40])
def test_falls_into(sentences: list[str]) -> None:
    text = " ".join(sentences)
    assert [text[start:end] for start, end in split(text)] == sentences


def test_glued_sentences_fall_apart_but_addresses_do_not() -> None:
    text = "The leaf is edible.The root is toxic. It stands at www.Herb.Example for all."
    assert [text[a:b] for a, b in split(text)] == [
        "The leaf is edible.",
        "The root is toxic.",
        "It stands at www.Herb.Example for all.",
    ]


def test_bullets_within_a_line_part_it() -> None:
    text = "Parts • Leaf: edible • Root: toxic"
    assert [text[a:b] for a, b in split(text)] == ["Parts", "• Leaf: edible", "• Root: toxic"]


@pytest.mark.parametrize("text", ["", " ", "   "])
def test_nothing_gives_nothing(text: str) -> None:
    assert split(text) == []


@given(st.text(alphabet="ab. AB.?!()[]12\"'•L,;-é", max_size=200))
def test_spans_cover_all_but_space_in_order(text: str) -> None:
    spans = split(text)
    at = 0
    for start, end in spans:
        assert at <= start < end <= len(text)
        assert not text[at:start].strip()
        assert text[start:end] == text[start:end].strip()
        at = end
    assert not text[at:].strip()


def test_text_without_a_stop_is_cut_at_spaces() -> None:
    text = "word " * 5_000
    spans = split(text)
    assert all(end - start <= LONGEST for start, end in spans)
    assert "".join(text[a:b] for a, b in spans).count("word") == 5_000
    assert all(text[start:end].startswith("word") and text[start:end].endswith("word") for start, end in spans)


def test_a_run_without_spaces_is_cut_too() -> None:
    text = "é" * (3 * LONGEST)
    assert "".join(text[a:b] for a, b in split(text)) == text


@pytest.mark.parametrize(
    ("toml", "says"),
    [
        ("", "empty"),
        ('starters = ["the"]', "empty"),
        ('starters = ["the"]\nother = 1\n[[group]]\nends="never"\nreason="r"\nwords=["a"]', "unknown key: other"),
        ('starters = ["the"]\n[[group]]\nends="sometimes"\nreason="r"\nwords=["a"]', "unknown end"),
        ('starters = ["the"]\n[[group]]\nends="never"\nreason="r"\nwords=[]', "empty"),
        ('starters = ["the"]\n[[group]]\nends="never"\nwords=["a"]', "needs ends"),
        ("starters = [", "no TOML"),
    ],
)
def test_a_broken_table_stops_the_program(toml: str, says: str) -> None:
    with pytest.raises(TableError, match=says):
        read_table(toml)
