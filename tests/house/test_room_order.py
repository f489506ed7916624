"""Reads the imports of every file and holds them to the order of the rooms: a room imports only from those below it."""

from __future__ import annotations

import ast
from pathlib import Path

import networkx
import pytest

SOURCE = Path(__file__).parents[2] / "src"
PACKAGE = SOURCE / "doubtwort"
GROUND = ("errors", "model", "settings", "shipped", "text")
ROOMS = (
    "taxa", "citing", "fetching", "reading", "mentions", "wording", "support", "audit", "notebook", "recheck",
    "reporting", "sharing", "demo", "cli",
)  # fmt: skip
# Rooms that may use nothing but the ground, whatever stands below them.
GROUND_ONLY = ("notebook", "demo")
# The view and its writers show values; they never open the notebook, and neither does the audit.
NEVER = {"reporting": ("notebook", "fetching", "audit"), "audit": ("notebook",)}
# Readers and classifiers touch no network.
SILENT = ("taxa", "citing", "reading", "mentions", "wording", "support", "reporting")
NETWORK = ("requests", "requests_cache", "urllib3", "urllib.request", "http.client", "http.server", "socket", "sqlite3")
MOST_LINES = 400
FILES = sorted(PACKAGE.rglob("*.py"))


def module_of(file: Path) -> str:
    """Such as "doubtwort.reading.html"; a package is named after its folder."""
    parts = file.relative_to(SOURCE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(code: str, module: str, *, is_package: bool = False) -> list[tuple[str, bool]]:
    """Every module that the code imports, and whether at its top level. Relative imports are made absolute."""
    tree = ast.parse(code)
    top = {id(node) for node in tree.body}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, id(node) in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parent = module.split(".")
                parent = parent[: len(parent) - node.level + (1 if is_package else 0)]
                base = ".".join([*parent, base] if base else parent)
            found.append((base, id(node) in top))
            found += [(f"{base}.{alias.name}", id(node) in top) for alias in node.names]
    return found


def room_of(module: str) -> str:
    """The room of a module of the package; "ground" for the files at its bottom."""
    parts = module.split(".")
    if len(parts) < 2 or parts[1] in GROUND:
        return "ground"
    return parts[1]


def breaches(code: str, module: str, *, is_package: bool = False) -> list[str]:
    """What the code imports against the house's order."""
    room = room_of(module)
    told = []
    for name, _ in imports_of(code, module, is_package=is_package):
        if room in SILENT and any(name == each or name.startswith(f"{each}.") for each in NETWORK):
            told.append(f"{module} imports {name}: {room} touches no network and no database")
        if name.split(".")[0] != "doubtwort":
            continue
        other = room_of(name)
        if other in (room, "ground") or other not in ROOMS:
            continue
        if room == "ground" or ROOMS.index(other) > ROOMS.index(room):
            told.append(f"{module} imports {name}: {other} lies above {room}")
        elif room in GROUND_ONLY or other in NEVER.get(room, ()):
            told.append(f"{module} imports {name}: {room} may not use {other}")
    return told


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_imports_lead_downwards(file: Path):
    module = module_of(file)
    assert breaches(file.read_text(encoding="utf-8"), module, is_package=file.name == "__init__.py") == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_files_are_small(file: Path):
    assert len(file.read_text(encoding="utf-8").splitlines()) < MOST_LINES


def test_every_room_is_known():
    rooms = {room_of(module_of(file)) for file in FILES}
    assert rooms <= {"ground", *ROOMS}, "a new room needs its place in ROOMS"


def test_no_module_imports_itself_in_a_circle():
    graph = networkx.DiGraph()
    modules = {module_of(file): file for file in FILES}
    for module, file in modules.items():
        for name, top in imports_of(file.read_text(encoding="utf-8"), module, is_package=file.name == "__init__.py"):
            # "from doubtwort.text import fold" names doubtwort.text; the package's own file is no part of a circle.
            if top and name in modules and name != module and not module.startswith(f"{name}."):
                graph.add_edge(module, name)
    assert [sorted(circle) for circle in networkx.strongly_connected_components(graph) if len(circle) > 1] == []


@pytest.mark.parametrize(
    ("module", "code", "told"),
    [
        ("doubtwort.text", "from doubtwort.taxa import names", "taxa lies above ground"),
        ("doubtwort.wording.rules", "from doubtwort.support.rate import rate", "support lies above wording"),
        ("doubtwort.notebook.write", "from doubtwort.taxa.names import parse", "notebook may not use taxa"),
        ("doubtwort.reporting.view", "def f():\n    import doubtwort.notebook", "reporting may not use notebook"),
        ("doubtwort.reading.html", "from ..fetching import session\nfrom ..support import x", "support lies above"),
        ("doubtwort.reading.html", "import urllib.request", "reading touches no network"),
    ],
)
def test_a_breach_is_found(module, code, told):
    assert any(told in each for each in breaches(code, module))


def test_imports_downwards_are_no_breach():
    code = "import re\nfrom doubtwort.model import Taxon\nfrom doubtwort.taxa.names import parse\nfrom . import rules"
    assert breaches(code, "doubtwort.wording.classify") == []
