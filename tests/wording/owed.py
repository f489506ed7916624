"""Marks for what the reader still owes."""

from __future__ import annotations

import pytest


def debt(*values: object, why: str) -> object:
    """Parameters that are still read wrongly. Once they are read rightly this mark fails the test, and is taken out."""
    return pytest.param(*values, marks=pytest.mark.xfail(strict=True, raises=AssertionError, reason=f"a debt: {why}"))
