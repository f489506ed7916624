"""The invented pages say that they are invented, are listed with origin, date and licence, and are ours to rebuild."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pypdf
import pytest

from doubtwort.demo import demo_claims
from doubtwort.errors import TableError
from doubtwort.shipped import shipped

FIXTURES = shipped("fixtures")
SITES = FIXTURES / "demo_web"
PAGES = sorted(p for p in SITES.rglob("*") if p.is_file() and p.parent != SITES and not p.name.startswith("_"))


def test_there_are_enough_pages_on_enough_hosts():
    hosts = {page.relative_to(SITES).parts[0] for page in PAGES}
    assert len(PAGES) >= 16
    assert len(hosts) >= 6
    assert all(host.endswith(".example") for host in hosts)  # RFC 2606, section 3: reserved for documentation


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(SITES)))
def test_every_page_says_that_it_is_invented(page: Path):
    if page.suffix == ".pdf":
        said = "".join(each.extract_text() for each in pypdf.PdfReader(page).pages)
    else:
        said = page.read_text(encoding="utf-8")
    assert "nvented for the doubtwort demonstration" in said


@pytest.mark.parametrize("page", [p for p in PAGES if p.suffix in (".html", ".txt")], ids=lambda page: page.name)
def test_links_lead_to_invented_hosts_only(page: Path):
    said = page.read_text(encoding="utf-8")
    for piece in said.split("http://")[1:] + said.split("https://")[1:]:
        host = piece.split("/")[0].split('"')[0]
        assert host.endswith(".example"), f"{page.name} links to {host}"


def test_the_leaflet_is_what_its_script_writes():
    spec = importlib.util.spec_from_file_location("make_leaflet", FIXTURES / "make_leaflet.py")
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    assert script.LEAFLET.read_bytes() == script.leaflet()
    assert len(pypdf.PdfReader(script.LEAFLET, strict=True).pages) == 2


def test_the_catalogue_lists_every_site_and_file():
    catalogue = (FIXTURES / "CATALOGUE.md").read_text(encoding="utf-8")
    for host in {page.relative_to(SITES).parts[0] for page in PAGES}:
        assert f"demo_web/{host}/" in catalogue, f"{host} is missing from fixtures/CATALOGUE.md"
    for file in sorted(FIXTURES.rglob("*")):
        name = str(file.relative_to(FIXTURES))
        if file.is_file() and "__pycache__" not in name and not (name.startswith("demo_web/") and name.count("/") > 1):
            assert name == "CATALOGUE.md" or f"`{name}`" in catalogue, f"{name} is missing from fixtures/CATALOGUE.md"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "names no claim"),
        ("[[claim]]\nurl = 'http://a.example/'\n", "lacks taxon"),
        ("[[claim]]\nurl = 'u'\ntaxon = 't'\nrating = 'stretched'\n", "unknown keys: rating"),
        ("[[claim]]\nurl = 'u'\ntaxon = 't'\nwording = 'tasty'\n", "unknown wording 'tasty'"),
        ("[[claim]\n", "cannot be read"),
    ],
)
def test_a_broken_claims_file_stops_the_demo(tmp_path, text, says):
    broken = tmp_path / "claims.toml"
    broken.write_text(text)
    with pytest.raises(TableError, match=says):
        demo_claims(broken)
