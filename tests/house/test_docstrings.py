"""The sample values in docstrings are what the code gives."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src"
MODULES = sorted(
    ".".join(file.relative_to(SOURCE).with_suffix("").parts).removesuffix(".__init__")
    for file in (SOURCE / "doubtwort").rglob("*.py")
    if ">>>" in file.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_samples_are_true(name):
    module = importlib.import_module(name)
    failed, tried = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE | doctest.IGNORE_EXCEPTION_DETAIL)
    assert tried > 0
    assert failed == 0
