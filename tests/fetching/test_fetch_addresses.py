"""Only hosts of the public internet are connected to, and it is the connected address that counts."""

from __future__ import annotations

import socket

import pytest
from fetch_help import fetching, local, resolver, why

from doubtwort.fetching.addresses import (
    AddressNotAllowed,
    addresses_of_host,
    addresses_to_try,
    is_loopback,
    is_never_real,
    is_public,
)
from doubtwort.model import Citation, Fetched
from loopback import LoopbackWeb

REFUSED = ("address-not-allowed", "not an address of the public internet")


@pytest.fixture
def web():
    with LoopbackWeb() as served:
        served.page("/a", "text")
        yield served


# The IANA registries of special-purpose addresses (RFC 6890) and the RFC that reserves each range.
@pytest.mark.parametrize(
    "address",
    [
        "127.0.0.1", "127.255.255.254", "0.0.0.0", "0.1.2.3",  # RFC 1122 §3.2.1.3
        "10.0.0.1", "172.16.0.1", "172.31.255.255", "192.168.1.1",  # RFC 1918
        "100.64.0.1",  # shared address space, RFC 6598
        "169.254.169.254",  # link-local, RFC 3927
        "192.0.0.1", "192.0.2.1", "198.51.100.1", "203.0.113.1",  # RFC 6890, RFC 5737
        "192.88.99.1",  # 6to4 relays, RFC 7526
        "198.18.0.1",  # benchmarking, RFC 2544
        "224.0.0.1", "239.255.255.255", "240.0.0.1", "255.255.255.255",  # RFC 5771, RFC 1112 §4, RFC 919
        "::1", "::", "::ffff:127.0.0.1", "::ffff:8.8.8.8", "::8.8.8.8",  # RFC 4291 §2.5
        "fe80::1", "fe80::1%lo", "fec0::1", "fc00::1", "fd12::1", "ff02::1", "ff0e::1",  # RFC 4291, RFC 4193
        "64:ff9b::7f00:1", "64:ff9b::808:808", "64:ff9b:1::1",  # NAT64, RFC 6052, RFC 8215
        "2002:7f00:1::", "2002:808:808::1",  # 6to4, RFC 3056
        "2001::1", "2001:db8::1", "3fff::1", "100::1", "5f00::1",  # RFC 4380, 3849, 9637, 6666, 9602
    ],
)  # fmt: skip
def test_addresses_that_are_not_public(address):
    assert not is_public(address)


# Any host addresses outside of all those ranges.
@pytest.mark.parametrize("address", ["9.9.9.9", "172.32.0.1", "100.128.0.1", "193.0.0.1", "2a00::1", "2606:4700::1"])
def test_addresses_that_are_public(address):
    assert is_public(address)


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1", "localhost", "127.1", "2130706433", "0x7f.0.0.1", "0177.0.0.1", "[::ffff:127.0.0.1]", "0.0.0.0"],
)
def test_this_machine_is_not_fetched_by_any_name(web, host):
    with fetching(local(allow_private=False)) as fetcher:
        reason, _ = why(fetcher.fetch(f"http://{host}:{web.port}/a"))
    assert reason in ("address-not-allowed", "unreachable")  # some resolvers do not know the odd spellings at all
    assert web.seen == []


def test_it_is_when_allowed(web):
    with fetching() as fetcher:
        assert isinstance(fetcher.fetch(web.url("/a")), Fetched)


def test_a_redirect_to_a_private_address_is_refused(web, monkeypatch):
    # The first host is let through as if it were public; the second one is what it is.
    monkeypatch.setattr(
        "doubtwort.fetching.addresses.is_public", lambda address: address == "127.0.0.1" or is_public(address)
    )
    web.redirect("/jump", f"http://127.0.0.2:{web.port}/a")
    with fetching(local(allow_private=False)) as fetcher:
        result = fetcher.fetch(web.url("/jump"))
    assert why(result) == REFUSED
    assert result.final_url == f"http://127.0.0.2:{web.port}/a"
    assert web.asked("/a") == 0


@pytest.mark.parametrize(
    "location",
    ["file:///etc/passwd", "ftp://herb.example/x", "javascript:alert(1)", "data:text/html,x", "gopher://x:70/"],
)
def test_a_redirect_to_another_scheme_is_refused(web, location):
    web.redirect("/jump", location)
    with fetching() as fetcher:
        reason, detail = why(fetcher.fetch(web.url("/jump")))
    assert reason == "address-not-allowed"
    assert detail == f"redirects to {location.partition(':')[0]}, not to an http or https address"


def test_a_name_that_turns_private_is_refused_when_it_does(web, monkeypatch):
    # DNS rebinding: the first look-up (robots.txt) gives a "public" address, the second one a private one.
    monkeypatch.setattr(
        "doubtwort.fetching.addresses.is_public", lambda address: address == "127.0.0.1" or is_public(address)
    )
    web.handle("/robots.txt", lambda exchange: (exchange.answer(404, b"", {"Connection": "close"}), exchange.cut()))
    look_up = resolver({"herb.rebind.test": [["127.0.0.1"], ["127.0.0.2"]]}, socket.getaddrinfo)
    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    with fetching(local(allow_private=False)) as fetcher:
        result = fetcher.fetch(f"http://herb.rebind.test:{web.port}/a")
    assert [each.target for each in web.seen] == ["/robots.txt"]
    assert why(result) == REFUSED


def test_a_name_is_resolved_once_and_the_checked_address_is_connected_to(web, monkeypatch):
    looked_up = []
    real = socket.getaddrinfo

    def look_up(host, *args, **kwargs):
        looked_up.append(host)
        return real("127.0.0.1" if host == "herb.rebind.test" else host, *args, **kwargs)

    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    with fetching() as fetcher:
        fetcher.fetch(f"http://herb.rebind.test:{web.port}/robots.txt")
    assert looked_up == ["herb.rebind.test", "127.0.0.1"]  # the second one is the literal address itself


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        (["9.9.9.9"], ("9.9.9.9",)),
        (["9.9.9.9", "2a00::1"], ("9.9.9.9", "2a00::1")),
        (["9.9.9.9", "64:ff9b::909:909"], ("9.9.9.9",)),  # what DNS64 adds, RFC 6147
        (["9.9.9.9", "10.0.0.1"], None),
        (["10.0.0.1", "9.9.9.9"], None),
        (["9.9.9.9", "64:ff9b::a00:1"], None),
        (["9.9.9.9", "::ffff:9.9.9.9"], None),
        (["64:ff9b::909:909"], None),
    ],
)
def test_names_with_several_addresses(monkeypatch, given, kept):
    monkeypatch.setattr(socket, "getaddrinfo", resolver({"herb.example": [given]}, socket.getaddrinfo))
    if kept is None:
        with pytest.raises(AddressNotAllowed):
            addresses_of_host("herb.example", 80)
    else:
        assert addresses_of_host("herb.example", 80) == kept
    assert addresses_of_host("herb.example", 80, allow_private=True) == tuple(given)


def test_the_next_address_is_tried_when_one_does_not_answer(web, monkeypatch):
    # Nothing listens on ::1 or 127.0.0.3 at that port: the server is bound to 127.0.0.1 alone.
    look_up = resolver({"herb.two.test": [["127.0.0.3", "127.0.0.1"]]}, socket.getaddrinfo)
    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    with fetching() as fetcher:
        assert fetcher.fetch(f"http://herb.two.test:{web.port}/a").body == b"text"


# RFC 2606 §2, §3 and RFC 6761 §6.
@pytest.mark.parametrize("host", ["a.example", "example", "x.test", "localhost", "a.localhost", "x.invalid",
                                  "example.com", "www.example.org", "127.0.0.1", "::1", "A.EXAMPLE."])  # fmt: skip
def test_hosts_that_are_never_real(host):
    assert is_never_real(host)


@pytest.mark.parametrize("host", ["example.de", "myexample.com", "example.com.de", "10.0.0.1", "atest", "8.8.8.8", ""])
def test_hosts_that_may_be_real(host):
    assert not is_never_real(host)


def test_loopback():
    assert is_loopback("::ffff:127.0.0.1")
    assert not is_loopback("192.168.0.1")
    assert not is_loopback("herb.example")


def test_addresses_of_a_citation_in_order_and_once():
    citation = Citation(
        "1",
        "Ficta 2001",
        urls=(
            "http://herb.example/x?utm_source=y",
            "mailto:a@herb.example",
            "http://HERB.example/x",
            "http://b.example/",
        ),
        doi="10.1000/182",
        archived_url="http://kept.example/x",
    )
    assert [(each.url, each.archived) for each in addresses_to_try(citation)] == [
        ("http://herb.example/x?utm_source=y", False),
        ("http://b.example/", False),
        ("https://doi.org/10.1000/182", False),
        ("http://kept.example/x", True),
    ]
    assert addresses_to_try(Citation("1", "A book", isbn="9780306406157")) == ()
