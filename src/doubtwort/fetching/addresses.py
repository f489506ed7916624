"""Which network addresses may be connected to, and which web addresses a citation gives.

The check is made on the IP address that is connected to, never on a name: a name may resolve to another address the
next time it is asked for.
"""

from __future__ import annotations

import ipaddress
import socket
from dataclasses import dataclass

from doubtwort.citing.identifiers import doi_url
from doubtwort.citing.urls import canonical_url, host_of, web_address
from doubtwort.fetching.landing import original_address
from doubtwort.model import Citation

_GLOBAL_UNICAST = ipaddress.IPv6Network("2000::/3")  # RFC 4291 §2.4, as assigned by IANA
_NAT64 = ipaddress.IPv6Network("64:ff9b::/96")  # RFC 6052 §2.1
# Inside of what Python calls global, depending on its version, and still no public host.
_SPECIAL = tuple(
    ipaddress.ip_network(each)
    for each in (
        "192.88.99.0/24",  # 6to4 relays, RFC 7526
        "2001::/23",  # IETF protocol assignments with Teredo, RFC 2928, RFC 4380
        "2001:db8::/32",  # documentation, RFC 3849
        "2002::/16",  # 6to4, RFC 3056: holds any IPv4 address
        "3fff::/20",  # documentation, RFC 9637
    )
)
# RFC 2606 §2 and §3, RFC 6761 §6: names that are never a real host.
_RESERVED_TOP = ("example", "test", "invalid", "localhost")
_RESERVED_SECOND = ("example.com", "example.net", "example.org")


class AddressNotAllowed(Exception):
    """A host whose address is not one of the public internet. ``str()`` is the clause of detail."""


def is_public(address: str) -> bool:
    """Whether an IP address is a single host of the public internet (IANA special-purpose registries, RFC 6890).

    >>> is_public("93.184.215.14"), is_public("127.0.0.1"), is_public("::ffff:10.0.0.1"), is_public("169.254.1.1")
    (True, False, False, False)
    """
    ip = ipaddress.ip_address(address.partition("%")[0])
    if not ip.is_global or ip.is_multicast or ip.is_reserved or any(ip in network for network in _SPECIAL):
        return False
    return ip.version == 4 or ip in _GLOBAL_UNICAST


def is_loopback(address: str) -> bool:
    """Whether an IP address is this machine (127.0.0.0/8, ::1, and 127.0.0.0/8 mapped into IPv6)."""
    try:
        ip = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    mapped = ip.ipv4_mapped if isinstance(ip, ipaddress.IPv6Address) else None
    return ip.is_loopback or (mapped is not None and mapped.is_loopback)


def addresses_of_host(host: str, port: int, *, allow_private: bool = False) -> tuple[str, ...]:
    """IP addresses of a host, all checked; the name is resolved here once and never again for this connection.

    A name with any address that is not public is refused as a whole. An IPv4 address inside the NAT64 prefix is what
    a resolver of an IPv6-only network adds to every public host, so it is left out, not held against the name.
    Raises ``socket.gaierror`` when there is no such name.
    """
    found = socket.getaddrinfo(host.strip("[]"), port, type=socket.SOCK_STREAM)
    addresses = tuple(dict.fromkeys(str(each[4][0]) for each in found))
    if allow_private:
        return addresses
    kept = tuple(each for each in addresses if not _is_public_behind_nat64(each))
    if not kept or not all(map(is_public, kept)):
        raise AddressNotAllowed("not an address of the public internet")
    return kept


def _is_public_behind_nat64(address: str) -> bool:
    ip = ipaddress.ip_address(address.partition("%")[0])
    return ip in _NAT64 and is_public(str(ipaddress.IPv4Address(int(ip) & 0xFFFFFFFF)))


def is_never_real(host: str) -> bool:
    """Whether a host name is reserved for examples and tests, or is this machine: no one to be polite to.

    >>> is_never_real("flora.herb.example"), is_never_real("127.0.0.1"), is_never_real("example.org.uk")
    (True, True, False)
    """
    host = host.lower().rstrip(".")
    if host.rpartition(".")[2] in _RESERVED_TOP or is_loopback(host):
        return True
    return any(host == each or host.endswith("." + each) for each in _RESERVED_SECOND)


@dataclass(frozen=True, slots=True)
class WebAddress:
    """One address to try for a citation. ``archived``: a kept copy, not the work's own place."""

    url: str
    archived: bool = False


def addresses_to_try(citation: Citation) -> tuple[WebAddress, ...]:
    """The web addresses of a citation, best first: its own, its DOI's, its archived copy, the original of a kept copy
    that it cites as its own; each page once.

    >>> addresses_to_try(Citation("1", "Ficta 2001", urls=("http://a.example/x",), doi="10.1000/182"))[1].url
    'https://doi.org/10.1000/182'
    """
    offered = [WebAddress(web_address(url), archived=bool(original_address(url))) for url in citation.urls]
    offered.append(WebAddress(doi_url(citation.doi)))
    offered.append(WebAddress(web_address(citation.archived_url), archived=True))
    offered += [WebAddress(original_address(url)) for url in citation.urls]
    once: dict[str, WebAddress] = {}
    for each in offered:
        if each.url and host_of(each.url):
            once.setdefault(canonical_url(each.url), each)
    return tuple(once.values())
