"""The demo web over real sockets: absolute-form targets, moved and missing pages, nothing outside the sites."""

from __future__ import annotations

import http.client
import socket
from urllib.parse import urlsplit

import pytest
import requests

from doubtwort.demo import DemoWeb, demo_claims
from doubtwort.demo.server import find_page
from doubtwort.shipped import shipped

SITES = shipped("fixtures") / "demo_web"


@pytest.fixture(scope="module")
def web():
    with DemoWeb() as running:
        yield running


def _get(web: DemoWeb, url: str, **options: object) -> requests.Response:
    return requests.get(url, proxies=web.proxies, timeout=5, **options)


def test_a_page_comes_through_the_proxy_way_of_asking(web):
    answer = _get(web, "http://commonlore.example/wiki/Fictaria_silvana")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    assert "Fictwort is edible." in answer.text


def test_absolute_form_as_the_standard_writes_it(web):
    # RFC 9112, section 3.2.2: "GET http://www.example.org/pub/WWW/TheProject.html HTTP/1.1" is absolute-form, and
    # the Host field is then to be ignored by the server.
    address = urlsplit(web.address)
    connection = http.client.HTTPConnection(address.hostname, address.port, timeout=5)
    connection.request("GET", "http://oldgardeners.example/letters/17.txt", headers={"Host": "commonlore.example"})
    answer = connection.getresponse()
    assert answer.status == 200
    assert answer.getheader("Content-Type") == "text/plain; charset=utf-8"
    assert b"OLD GARDENERS" in answer.read()
    connection.close()


def test_head_has_the_same_headers_and_no_body(web):
    url = "http://heathcounty.example/leaflets/plants-to-leave-alone.pdf"
    head = requests.head(url, proxies=web.proxies, timeout=5)
    whole = _get(web, url)
    assert head.content == b""
    assert head.headers["Content-Length"] == str(len(whole.content))
    assert whole.content.startswith(b"%PDF-1.4")


def test_moved_page_is_redirected_and_missing_page_is_404(web):
    moved = _get(web, "http://flora-nowhere.example/species/hesitanthus-pratensis")
    assert [each.status_code for each in moved.history] == [301]
    assert moved.url == "http://flora-nowhere.example/species/hesitanthus-pratensis.html"
    assert moved.status_code == 200
    assert _get(web, "http://oldgardeners.example/letters/99.txt").status_code == 404


@pytest.mark.parametrize(
    "url",
    [
        "http://nobody.example/",
        "http://commonlore.example/../claims.toml",
        "http://commonlore.example/%2e%2e/claims.toml",
        "http://commonlore.example/wiki/..%2f..%2fclaims.toml",
        "http://flora-nowhere.example/_moved.txt",
        "http://127.0.0.1/etc/passwd",
        "http://commonlore.example/" + "x" * 3000,
        "http://commonlore.example/%00",
    ],
)
def test_nothing_else_is_answered(web, url):
    assert _get(web, url).status_code == 404


def test_find_page_stays_inside_its_site(tmp_path):
    (tmp_path / "a.example").mkdir()
    (tmp_path / "secret.txt").write_text("secret")
    (tmp_path / "a.example" / "link.txt").symlink_to(tmp_path / "secret.txt")
    (tmp_path / "a.example" / "index.html").write_text("<p>home</p>")
    assert find_page(tmp_path, "a.example", "/link.txt") == (None, "")
    assert find_page(tmp_path, "a.example", "/")[0] == tmp_path / "a.example" / "index.html"
    assert find_page(tmp_path, "..", "/secret.txt") == (None, "")


def test_tunnels_are_refused(web):
    address = urlsplit(web.address)
    with socket.create_connection((address.hostname, address.port), timeout=5) as connection:
        connection.sendall(b"CONNECT commonlore.example:443 HTTP/1.1\r\nHost: commonlore.example:443\r\n\r\n")
        assert connection.recv(100).startswith(b"HTTP/1.1 501 ")


def test_server_is_gone_after_its_block():
    with DemoWeb() as running:
        address = urlsplit(running.address)
    with pytest.raises(OSError, match="refused"):
        socket.create_connection((address.hostname, address.port), timeout=5)


def test_every_claim_stands_on_a_page_that_is_served(web):
    claims = demo_claims()
    assert len(claims) >= 6
    for claim in claims:
        answer = _get(web, claim.url)
        assert answer.status_code == 200, claim.url
        assert claim.taxon.scientific_name in answer.text, claim.url
