"""Text of the web on its way into a page or a picture."""

from __future__ import annotations

import re

from doubtwort.text import printable

# Lone surrogates and what no XML document may hold (XML 1.0, section 2.2), line feeds apart.
_NOT_TEXT = re.compile("[\ud800-\udfff\ufffe\uffff]")
_NOT_IN_ID = re.compile(r"[^A-Za-z0-9_-]")


def clean(text: str) -> str:
    """Without control characters and direction overrides; what has no UTF-8 becomes a replacement character.

    >>> clean("a\\x00\\ud800b\\u202e")
    'a\ufffdb'
    """
    return _NOT_TEXT.sub("\ufffd", printable(text))


def anchor(name: str) -> str:
    """The id of a part of a page, from a source's id: letters, digits, hyphens and underlines only.

    >>> anchor("s12"), anchor('"><b>')
    ('s12', 'x-b')
    """
    kept = _NOT_IN_ID.sub("", name)[:40]
    return kept if kept == name else f"x-{kept}"
