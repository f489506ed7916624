"""The small language in which wording tables write their phrases, compiled to regular expressions.

=============  ====================================================================================
``a b``        two words, a space or one hyphen between them
``(a|b)``      either; ``(a )?b`` and ``(a |b )*c`` as usual, each optional word with its space inside
``{name}``     a word class of ``macros.toml``
``~3 a``       up to three words of any kind before ``a``; never across a negation, a contrast or a verb "to be"
``word*``      any ending
=============  ====================================================================================
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from doubtwort.errors import TableError

_GAP_STOPS = (
    "but|which|who|whereas|while|although|though|however|is|are|was|were|not|never|no|than|yet|nor|neither|without|"
    "except|cannot|if|when|unless|because|since|don't|doesn't|didn't|won't|can't|isn't|aren't|wasn't|weren't|wouldn't|"
    "shouldn't|couldn't|mustn't|haven't|hasn't|hadn't"
)
_GAP = re.compile(r"~(\d+) ")
_MACRO = re.compile(r"\{(\w+)\}")
_MOST_FIRST_WORDS = 4_000
_LETTERS = re.compile(r"[a-z0-9]+")
_UNFINISHED = re.compile(r"[^\W_]+(?:'[^\W_]*)*")
_PLAIN = re.compile(r"[ -]?[^\W_]+(?:'[^\W_]+)*[ -]?")
_FIRST_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*")


def expand(pattern: str, macros: Mapping[str, str]) -> str:
    """Puts the word classes in; TableError names an unknown one.

    >>> expand("{be} eaten", {"be": "(is|are)"})
    '(is|are) eaten'
    """

    def macro(match: re.Match[str]) -> str:
        name = match.group(1)
        if name not in macros:
            raise TableError(f"The pattern {pattern!r} names an unknown word class {{{name}}}.")
        return expand(macros[name], macros)

    return _MACRO.sub(macro, pattern)


def to_regex(pattern: str) -> str:
    """An expanded pattern as regular-expression text for folded, lower-case text.

    >>> to_regex("(pot|sweet)herb*") == r"(?:pot|sweet)herb[\\w']*\\b"
    True
    """
    gapless = _GAP.sub(lambda m: f"<{m.group(1)}>", pattern)
    text = re.sub(r"\((?!\?)", "(?:", gapless)
    text = re.sub(r"(?<=[a-z])\*", r"[\\w']*", text)
    text = text.replace(" ", """["']?[ -]["']?""")
    text = re.sub(r"<(\d+)>", rf"(?:(?!(?:{_GAP_STOPS})\\b)[\\w'][\\w'-]*,? ){{0,\1}}", text)
    return text + r"\b"


# A parsed pattern is a sequence of nodes: letters or one other sign, or (alternatives, repeat mark).
Node = str | tuple[list[list["Node"]], str]


def parse_pattern(pattern: str) -> list[Node]:
    nodes, rest = _parse_sequence(pattern, 0)
    if rest != len(pattern):
        raise TableError(f"The pattern {pattern!r} has a bracket too many.")
    return nodes[0] if len(nodes) == 1 else [(nodes, "")]


def _parse_sequence(pattern: str, at: int) -> tuple[list[list[Node]], int]:
    alternatives: list[list[Node]] = [[]]
    while at < len(pattern):
        sign = pattern[at]
        if sign == "(":
            if pattern.startswith("(?", at):  # a look-around: no text of its own
                depth, at = 1, at + 1
                while depth:
                    depth += {"(": 1, ")": -1}.get(pattern[at], 0)
                    at += 1
                continue
            inner, at = _parse_sequence(pattern, at + 1)
            if at >= len(pattern):
                raise TableError(f"The pattern {pattern!r} lacks a closing bracket.")
            at += 1
            mark = pattern[at] if at < len(pattern) and pattern[at] in "?*+" else ""
            at += len(mark)
            alternatives[-1].append((inner, mark))
        elif sign == ")":
            break
        elif sign == "|":
            alternatives.append([])
            at += 1
        else:
            text = _LETTERS.match(pattern, at)
            alternatives[-1].append(text[0] if text else sign)
            at += len(text[0]) if text else 1
    return alternatives, at


def without_lookarounds(pattern: str) -> str:
    """The pattern without what must, or must not, stand beside its match: it matches wherever the pattern does.

    >>> without_lookarounds("safe(?! (site|place)) food")
    'safe food'
    """
    while (start := pattern.find("(?")) >= 0:
        depth, end = 1, start + 1
        while depth:
            depth += {"(": 1, ")": -1}.get(pattern[end], 0)
            end += 1
        pattern = pattern[:start] + pattern[end:]
    return pattern.rstrip()


def _begin(nodes: list[Node]) -> set[str]:
    """Every text with which the nodes can begin, each up to its first character that is not of a word."""
    begun = {""}
    done: set[str] = set()
    for node in nodes:
        options: set[str] = set()
        if isinstance(node, str):
            options.add(node)
        else:
            alternatives, mark = node
            for alternative in alternatives:
                options |= _begin(alternative)
            if mark in ("?", "*"):
                options.add("")
        longer = {text + option for text in begun for option in options}
        begun = {text for text in longer if _UNFINISHED.fullmatch(text) or not text}
        done |= longer - begun
        if len(done) + len(begun) > _MOST_FIRST_WORDS:
            raise TableError("A pattern has too many first words; begin it with a word.")
        if not begun:
            break
    return done | begun


# Words too common to tell anything by; a pattern is looked for only where a rarer one of its words stands.
_COMMON = frozenset(
    "a an the its their our this that these those it they he she we you i one is are was were be been being has have "
    "had do does did can may might could will would should must not no never nor or and but as in on of to for from "
    "with by at into over like than then so if when once after before all any some many most more very quite used use "
    "uses good best well made make makes making give gives get got put go goes found known said also only just often "
    "small large great high low young old dry hard fine sweet hot cold without little much such other both too there "
    "add added said called grown taken considered first last has".split()
)


def telling_words(pattern: str) -> frozenset[str]:
    """Words of which every match of an expanded pattern holds at least one: the rarest such set.

    >>> sorted(telling_words("used as (a |an )?(potherb|salad)"))
    ['potherb', 'salad']
    """
    candidates = [words for words, _ in _word_sets(pattern)]
    if not candidates:
        raise TableError(f"The pattern {pattern!r} holds no word that tells anything.")
    return min(candidates, key=_rarity)


def needed_words(pattern: str) -> tuple[frozenset[str], ...]:
    """Sets of words; every match of an expanded pattern holds a word of each. The rarest come first.

    >>> [sorted(words) for words in needed_words("used as (a |an )?(potherb|salad)")]
    [['potherb', 'salad'], ['used'], ['as'], ['a', 'an', 'potherb', 'salad']]
    """
    plain = [words for words, is_plain in _word_sets(pattern) if is_plain]
    return tuple(dict.fromkeys(sorted(plain, key=_rarity))) or (telling_words(pattern),)


def _rarity(words: frozenset[str]) -> tuple[int, int]:
    return len(words & _COMMON), len(words)


@lru_cache(maxsize=4096)
def _word_sets(pattern: str) -> list[tuple[frozenset[str], bool]]:
    """The words with which each segment begins, and those with which it ends; is there surely one of them?"""
    found: list[tuple[frozenset[str], bool]] = []
    for segment in _segments(pattern):
        if segment.startswith("~") or "*" in segment.replace(")*", ")"):
            continue
        nodes = parse_pattern(segment)
        for texts in (_begin(nodes), {text[::-1] for text in _begin(_reversed(nodes))}):
            firsts = [_FIRST_WORD.search(text) for text in texts]
            words = {first[0].strip("'\"") for first in firsts if first is not None}
            if words and "" not in texts:
                found.append((frozenset(words), all(map(_PLAIN.fullmatch, texts))))
    return found


def _segments(pattern: str) -> list[str]:
    """The pattern cut at spaces outside brackets."""
    segments, depth, start = [], 0, 0
    for at, sign in enumerate(pattern):
        depth += {"(": 1, ")": -1}.get(sign, 0)
        if sign == " " and depth == 0:
            segments.append(pattern[start:at])
            start = at + 1
    segments.append(pattern[start:])
    return [segment for segment in segments if segment and not re.search(r"~\d+$", segment)]


def _reversed(nodes: list[Node]) -> list[Node]:
    return [
        node[::-1] if isinstance(node, str) else ([_reversed(alternative) for alternative in node[0]], node[1])
        for node in reversed(nodes)
    ]
