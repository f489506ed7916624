"""Copies of whole pages, on a table labelled by hand before the cut-off was set. All text is invented here."""

from __future__ import annotations

import pytest

from doubtwort.support.copies import PAGE_SHARE, copied_pages, runs, same_runs, sketch_of, words

SENTENCES = [
    "Fictaria silvana grows in the damp woods of the Low Hills and along the banks of the imaginary river Alpha.",
    "It reaches the height of a grown child and bears rough leaves that turn red before the first frost.",
    "The flowers open in May, smell of wet cardboard and are visited by small brown moths at dusk.",
    "Its young leaves were boiled in two changes of water and eaten like spinach by the charcoal burners.",
    "The roots were roasted, ground and brewed as a bitter drink in times of need.",
    "Nobody has recorded how the fruits taste, for birds take them while they are still green.",
    "Several old gardeners of the district grow it along ditches, where it keeps the soil from washing away.",
    "It is easily taken for the vaguewort, which has three ribs on its stem and a smell of mice.",
    "The wood is soft and burns badly, and children make whistles from the hollow stalks.",
    "In the register of the parish it is called hedge cabbage, a name that other plants bear as well.",
    "Seeds keep for nine years when dry, and come up within a week after rain.",
    "The museum of the Low Hills shows a pressed plant that was collected on a walk before the great flood.",
]
OTHERS = [
    "A plant of wet woodland, as tall as a ten-year-old, with leaves that colour early in autumn.",
    "Moths come to its musty flowers in the evenings of late spring.",
    "Charcoal burners are said to have cooked the tender leaves, pouring off the water once or twice.",
    "A coffee of sorts was made from its roots when there was nothing better.",
    "What the berries are like is unknown, since birds are quicker than people.",
    "Gardeners near ditches like it for holding the banks together.",
    "Its double is the vaguewort; look for the ribs of the stem, and smell it.",
    "Whistles are cut from its stalks, and little else, for the wood is no good.",
    "Parish books call it hedge cabbage, which is also said of half a dozen other herbs.",
    "The seed stays good for most of a decade.",
    "One dried specimen lies in the local museum.",
    "It was first drawn by a travelling painter who took it for a dock.",
]
PAGE = " ".join(SENTENCES)


def filler(sentence: str, count: int) -> str:
    return " ".join(sentence.format(number) for number in range(count))


MENU = "Home Plants Walks About us Contact. "
FOOT = " Share this page. Sign up for our letter. All rights reserved by nobody in particular, since long ago."

COPIES = {
    "the same": PAGE,
    "capitals and quotes": PAGE.upper().replace("HEDGE CABBAGE", "“hedge cabbage”"),
    "with menu and foot": MENU + PAGE + FOOT,
    "one sentence left out": " ".join(SENTENCES[:5] + SENTENCES[6:]),
    "two sentences left out": " ".join(SENTENCES[:10]),
    "paragraphs in another order": " ".join(SENTENCES[6:] + SENTENCES[:6]),
    "another name for the plant": PAGE.replace("Fictaria silvana", "The fictwort"),
    "a word changed here and there": PAGE.replace("damp woods", "wet woods").replace("rough leaves", "coarse leaves")
    .replace("bitter drink", "bitter brew").replace("burns badly", "burns poorly"),
    "with a comment below": PAGE + " A reader writes that it grew behind her school and that nobody ever ate it there.",
}  # fmt: skip
INDEPENDENT = {
    "another author on the same plant": " ".join(OTHERS),
    "quotes two sentences": " ".join(OTHERS[:6] + SENTENCES[3:5] + OTHERS[6:]),
    "quotes a third of it": " ".join(SENTENCES[2:6] + OTHERS),
    "half of each": " ".join(SENTENCES[:6] + OTHERS[6:]),
    "a long page that holds it all": PAGE + filler("Plant w{0}x stands in bed v{0}y of the nursery.", 80),
    "the site's frame alone": MENU + " ".join(OTHERS) + FOOT,
    "a chapter of which it is an extract": " ".join([PAGE, *OTHERS, filler("Leaf w{0}x is torn at edge v{0}y.", 9)]),
}  # fmt: skip


def share(one: str, other: str) -> float:
    first, second = runs(words(one)), runs(words(other))
    return len(first & second) / len(first | second)


@pytest.mark.parametrize("name", COPIES)
def test_copies_are_known(name: str) -> None:
    assert same_runs(runs(words(PAGE)), runs(words(COPIES[name])))
    assert list(copied_pages([sketch_of(PAGE), sketch_of(COPIES[name])])) == [(0, 1)]


@pytest.mark.parametrize("name", INDEPENDENT)
def test_other_pages_are_not_taken_for_copies(name: str) -> None:
    assert not same_runs(runs(words(PAGE)), runs(words(INDEPENDENT[name])))
    assert list(copied_pages([sketch_of(PAGE), sketch_of(INDEPENDENT[name])])) == []


def test_the_cut_off_lies_between_the_two_labels() -> None:
    least = min(share(PAGE, each) for each in COPIES.values())
    most = max(share(PAGE, each) for each in INDEPENDENT.values())
    assert most + 0.05 < PAGE_SHARE < least - 0.05, (most, least)


def test_a_page_of_a_few_words_is_no_copy_of_another() -> None:
    assert not same_runs(runs(words("It is edible.")), runs(words("It is edible.")))
    assert list(copied_pages([sketch_of("It is edible."), sketch_of("It is edible.")])) == []


def test_a_sketch_of_a_long_text_finds_the_same_copies() -> None:
    long = " ".join(f"Sentence {n} tells of herb w{n} and of hill v{n} in the land of nothing." for n in range(1_000))
    nearly = " ".join(long.split()[: int(len(long.split()) * 0.85)])
    half = " ".join(long.split()[: len(long.split()) // 2])
    assert len(sketch_of(long).lowest) == 400
    assert list(copied_pages([sketch_of(long), sketch_of(half), sketch_of(nearly)])) == [(0, 2)]


def test_many_copies_are_all_tied_and_pages_without_a_sketch_are_left_alone() -> None:
    pages = [sketch_of(f"{PAGE} Copied on day {n}.") for n in range(300)]
    tied = list(copied_pages([None, *pages, None]))
    assert [other for _, other in tied] == list(range(2, 301))
    assert {one for one, _ in tied} == {1}
