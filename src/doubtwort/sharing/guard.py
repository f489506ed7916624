"""Cells of a CSV file that a spreadsheet would take for a formula, and back.

A cell that begins with = + - @, a tab, a carriage return or a line feed gets an apostrophe before it (OWASP, "CSV
Injection"; OWASP ASVS 5.0, 1.2.10, which names NUL too); so do their full-width forms, and a cell whose first
mark after white space is one of them. A cell that begins with an apostrophe gets one more, so that the way back is
exact.
"""

from __future__ import annotations

import re
from typing import Final

_FORMULA: Final = re.compile(r"'| *[\t\r\n\x00]|\s*[=+\-@＝＋－＠]")


def guarded(cell: str) -> str:
    """The cell as it may stand in a sheet.

    >>> guarded("=1+1"), guarded("leaf"), guarded("'tis")
    ("'=1+1", 'leaf', "''tis")
    """
    return f"'{cell}" if _FORMULA.match(cell) else cell


def unguarded(cell: str) -> str:
    """What ``guarded`` was given. A cell that a person typed with an apostrophe of its own stays as it is.

    >>> unguarded("'=1+1"), unguarded("''tis"), unguarded("'tis")
    ('=1+1', "'tis", "'tis")
    """
    return cell[1:] if cell[:1] == "'" and _FORMULA.match(cell[1:]) else cell
