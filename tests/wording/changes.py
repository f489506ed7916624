"""Changes to a text that must leave what it says as it is, and the gold sentences for which they need not.

Each change is a function of the text. ``fixtures/gold/unsteady.toml`` lists, change by change, the open sentences that
may be read otherwise after it, each with the reason.

By hand: ``PYTHONPATH=tests python tests/wording/changes.py`` tries every change on every open sentence. It prints those
that are read otherwise and are not listed, and those that are listed and read alike.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from functools import cache

from doubtwort.model import Reading
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording.gold import FOLDER, Row, rows

# Sentences that say nothing about eating a plant. Some hold words that negate, hedge, ask or name an animal.
UNRELATED = (
    "The museum opens on Tuesdays.",
    "The village lies two hours north of the railway.",
    "Two of the photographs were taken in the rain.",
    "The river was high that year, and the bridge was closed for a week.",
    "A map of the county hangs in the hall.",
    "Visitors eat their sandwiches by the river.",
    "She may return in the spring, or she may not.",
    "According to the guide, the inn was once famous.",
    "The dog chased a horse across the yard.",
    "Do not park in front of the gate.",
    "It rained, and nobody could find the path.",
    "Is the museum open on Mondays? Nobody knows.",
)
_QUOTES = {'"': "“”", "'": "‘’"}


def before(text: str, unrelated: str = UNRELATED[0]) -> str:
    return f"{unrelated}\n\n{text}"


def after(text: str, unrelated: str = UNRELATED[1]) -> str:
    return f"{text}\n\n{unrelated}"


def before_in_one_paragraph(text: str, unrelated: str = UNRELATED[2]) -> str:
    return f"{unrelated} {text}" if is_prose(text) else text


def after_in_one_paragraph(text: str, unrelated: str = UNRELATED[3]) -> str:
    return f"{text} {unrelated}" if is_prose(text) else text


def is_prose(text: str) -> bool:
    """Whole sentences: "Edible: no" and "tawncap, a deadly toadstool" would run into what stands beside them."""
    return bool(re.fullmatch(r"[\"“'‘(]?[A-Z0-9][^\n|]*[.!?][\"”'’)]?", text)) and "  " not in text


def dashes(text: str) -> str:
    """Every dash between spaces becomes another dash: hyphen, double hyphen, en dash and em dash read alike."""
    turned = {"—": " – ", "–": " — ", "--": " — ", "-": " — "}
    return re.sub(r"(?<=\S) ?(—|--) ?(?=\S)| ([–-]) ", lambda found: turned[found[1] or found[2]], text)


def typographic_quotes(text: str) -> str:
    """Straight quotes become curled ones."""
    text = re.sub(r"(?<![^\s(\[])([\"'])", lambda found: _QUOTES[found[1]][0], text)
    return re.sub(r"[\"']", lambda found: _QUOTES[found[0]][1], text)


def straight_quotes(text: str) -> str:
    return text.translate(str.maketrans("“”‘’", "\"\"''"))


def line_breaks(text: str, width: int = 30) -> str:
    """Lines of a little over ``width`` characters, as in a letter; a text with lines or columns of its own is left."""
    if "\n" in text or "  " in text or "\t" in text or "|" in text:
        return text
    return re.sub(rf"(.{{{width},}}?) (?=[^\s–—-])", r"\1\n", text)


def no_break_spaces(text: str) -> str:
    """A no-break space (U+00A0) between every second pair of words."""
    return re.sub(r"(\S+ \S+) (?=\S)", "\\1\u00a0", text) if "  " not in text else text


def soft_hyphens(text: str) -> str:
    """A soft hyphen (U+00AD) within every word of seven letters and more; words parted already are left alone."""
    return text if "-\n" in text else re.sub(r"(?<![^\W\d_])([^\W\d_]{4})(?=[^\W\d_]{3})", "\\1\u00ad", text)


def capitals(text: str) -> str:
    return text.upper()


WITH_UNRELATED = ("before", "after", "before_in_one_paragraph", "after_in_one_paragraph")
CHANGES: dict[str, Callable[..., str]] = {
    change.__name__: change
    for change in (
        before,
        after,
        before_in_one_paragraph,
        after_in_one_paragraph,
        dashes,
        typographic_quotes,
        straight_quotes,
        line_breaks,
        no_break_spaces,
        soft_hyphens,
        capitals,
    )
}


def reading_of(row: Row, text: str) -> Reading:
    return read_document(read_text(text, title=row.title), row.taxon)


def said(row: Row, text: str, *, whose: bool = True) -> frozenset[tuple[str, ...]]:
    """``{("edible", "people", "taxon"), …}``; without the last when ``whose`` is False."""
    found = reading_of(row, text).statements
    return frozenset((str(each.wording), str(each.eater), *((str(each.about),) if whose else ())) for each in found)


def kept(change: str, row: Row, changed: str) -> bool:
    """Capitals hide which words are names, so only the wordings have to stay; the others leave all as it is."""
    whose = change != "capitals"
    return said(row, changed, whose=whose) == said(row, row.text, whose=whose)


@cache
def unsteady(change: str) -> dict[str, str]:
    """``{"o123": "why it may be read otherwise"}``"""
    listed = tomllib.loads((FOLDER / "unsteady.toml").read_text(encoding="utf-8"))
    return dict(listed.get(change, {}))


def readings(name: str, row: Row) -> list[str]:
    """The changed texts: one for each unrelated sentence, or one."""
    change = CHANGES[name]
    if name in WITH_UNRELATED:
        return [change(row.text, unrelated) for unrelated in UNRELATED]
    return [change(row.text)]


def main() -> None:
    for name in CHANGES:
        odd = {row.id: (row, text) for row in rows("open") for text in readings(name, row) if not kept(name, row, text)}
        print(f"[{name}]  # {len(odd)} read otherwise")
        for row, text in odd.values():
            if row.id not in unsteady(name):
                was, now = (sorted(" ".join(each) for each in said(row, each)) for each in (row.text, text))
                print(f"{row.id}: {row.group} [{row.taxon.scientific_name} | {row.title}] {text!r}")
                print(f"    was {was}\n    now {now}")
        print(f"# listed, but read alike: {sorted(unsteady(name).keys() - odd.keys())}\n")


if __name__ == "__main__":
    main()
