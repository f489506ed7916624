"""Plain text → blocks (first form: paragraphs by blank lines)."""

from __future__ import annotations

import re

from doubtwort.reading.blocks import Block


def blocks_of(text: str, headings: tuple[str, ...] = ()) -> list[Block]:
    return [Block(part.strip(), headings=headings) for part in re.split(r"\n\s*\n", text) if part.strip()]
