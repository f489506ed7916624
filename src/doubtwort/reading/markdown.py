"""Markdown → HTML by markdown-it-py (CommonMark with tables), then the HTML reader.

Footnotes ("[^1]") are no part of CommonMark; they are turned into links with DPUB-ARIA roles beforehand.
"""

from __future__ import annotations

import html
import re

from markdown_it import MarkdownIt

_FOOTNOTE = re.compile(r"^\[\^([^\]\s]{1,60})\]:[ \t]*(.*(?:\n(?:[ \t]+\S.*))*)", re.MULTILINE)
_MARKER = re.compile(r"\[\^([^\]\s]{1,60})\]")
_FRONT_MATTER = re.compile(r"\A---\n(.*?)\n---\n", re.DOTALL)
_TITLE = re.compile(r"^title:\s*[\"']?(.+?)[\"']?\s*$", re.MULTILINE)


def to_html(text: str) -> str:
    """The page that a Markdown text stands for.

    >>> to_html("Eaten.[^1]\\n\\n[^1]: Alder 1998.").count("doc-noteref")
    1
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    title = ""
    front = _FRONT_MATTER.match(text)
    if front:
        named = _TITLE.search(front[1])
        title = named[1] if named else ""
        text = text[front.end() :]
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    notes = {match[1]: match[2] for match in _FOOTNOTE.finditer(text)}
    if notes:
        text = _FOOTNOTE.sub("", text)
        order = {name: at for at, name in enumerate(notes, 1)}
        text = _MARKER.sub(lambda m: _reference(m[1], order.get(m[1])) or m[0], text)
    body = reader.render(text)
    if notes:
        entries = "".join(
            f'<li id="note-{at}">{reader.renderInline(" ".join(note.split()))}</li>'
            for at, note in enumerate(notes.values(), 1)
        )
        body += f'<section role="doc-endnotes"><ol>{entries}</ol></section>'
    return f"<title>{html.escape(title)}</title>{body}" if title else body


def _reference(name: str, number: int | None) -> str:
    del name
    return f'<sup><a role="doc-noteref" href="#note-{number}">{number}</a></sup>' if number else ""
