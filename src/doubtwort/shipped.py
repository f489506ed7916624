"""Files that ship with the program: migrations, hazard tables, the invented demo web."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from doubtwort.errors import TableError


def shipped(folder: str) -> Path:
    """The folder ``claims_db`` or ``fixtures``: inside the installed package, else at the top of the source tree."""
    inside = Path(str(files("doubtwort"))) / "shipped" / folder
    if inside.is_dir():
        return inside
    beside = Path(__file__).resolve().parents[2] / folder
    if beside.is_dir():
        return beside
    raise TableError(f"The folder {folder} is missing from the installation. Install doubtwort anew.")
