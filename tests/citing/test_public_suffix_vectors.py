"""Registrable domains by the public suffix list's own test vectors (publicsuffix.org, test_psl.txt, dedicated to the
public domain), read from the package of the list."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from doubtwort.citing.urls import registrable_domain

_LINE = re.compile(r"checkPublicSuffix\('([^']+)', (?:'([^']+)'|null)\);")
VECTORS = [
    (found[1], found[2])
    for line in files("publicsuffixlist").joinpath("test_psl.txt").read_text(encoding="utf-8").splitlines()
    if (found := _LINE.fullmatch(line.strip()))
]


def test_there_are_vectors():
    assert len(VECTORS) > 60
    assert sum(expected is None for _, expected in VECTORS) > 15


@pytest.mark.parametrize(("host", "expected"), VECTORS)
def test_registrable_domain(host, expected):
    if host.startswith("."):  # no host name: RFC 1123 §2.1 has no empty label
        assert registrable_domain(f"http://{host}/") == ""
        return
    ascii_form = [each.encode("idna").decode() if each else "" for each in (host.lower(), expected or "")]
    # A public suffix alone has no registrable domain; it stands for itself, so that no two sites are mixed up.
    assert registrable_domain(host) == (ascii_form[1] or ascii_form[0])
    assert registrable_domain(f"https://{host}:8443/a?b#c") == (ascii_form[1] or ascii_form[0])
