"""With which two words a pattern can begin: what lets the spotter pass over most patterns unseen."""

from __future__ import annotations

import re
from functools import lru_cache

from doubtwort.errors import TableError
from doubtwort.wording.patterns import Node, parse_pattern

# A second word that may be any, or the end of the pattern.
ANY = ""
_MOST = 6_000
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]*)*")
_OPENING = re.compile(r"([^\W_]+(?:'[^\W_]+)*)(?: ([^\W_]+(?:'[^\W_]+)*)(?=\W))?")


@lru_cache(maxsize=4096)
def openings(pattern: str) -> dict[str, frozenset[str]]:
    """First words of an expanded pattern, each with the words that can follow it; ``ANY`` among them: whatever follows.

    >>> openings("(not |never )(a )?(herb|pot herb)")["not"] == {"a", "herb", "pot"}
    True
    >>> openings("used ~3 food")
    {'used': frozenset({''})}
    """
    found: dict[str, set[str]] = {}
    for text in _texts(parse_pattern(pattern), {""}):
        match = _OPENING.match(text + " " if text[-1:] != "~" else text)
        if match is None:
            raise TableError(f"The pattern {pattern!r} can begin with something that is no word.")
        rest = text[match.end(1) :]
        second = match.group(2) if rest[:1] == " " and match.group(2) else ANY
        found.setdefault(match.group(1), set()).add(second or ANY)
    return {first: frozenset(seconds) for first, seconds in found.items()}


def _texts(nodes: list[Node], begun: set[str]) -> set[str]:
    """Beginnings of what the nodes match, each two words long, or up to a gap ("~")."""
    done: set[str] = set()
    for node in nodes:
        if isinstance(node, str):
            longer = {text + node for text in begun}
        else:
            alternatives, mark = node
            longer = set()
            for alternative in alternatives:
                longer |= _texts(alternative, begun)
            if mark in ("?", "*"):
                longer |= begun
            if mark in ("*", "+"):
                longer |= {text + "~" for text in longer if text not in begun}
        full = {text for text in longer if _is_full(text)}
        done |= full
        begun = longer - full
        if len(done) + len(begun) > _MOST:
            raise TableError("A pattern has too many beginnings; begin it with fewer optional words.")
        if not begun:
            break
    return done | begun


def _is_full(text: str) -> bool:
    return "~" in text or "\\" in text or "*" in text or "[" in text or text.count(" ") >= 2
