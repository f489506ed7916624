"""Addresses of the web: which one a link leads to, which two are the same, whose site it is. No network.

RFC 3986 for references, RFC 5890 ff. (IDNA 2008, UTS 46) for host names, the public suffix list for sites.
"""

from __future__ import annotations

import ipaddress
import re
from functools import cache
from typing import NamedTuple
from urllib.parse import unquote_plus

import idna
from publicsuffixlist import PublicSuffixList
from w3lib.url import canonicalize_url, safe_url_string

LONGEST_URL = 8_192  # characters; RFC 9110 §4.1 recommends at least 8000 octets, longer ones are no citation
_PARTS = re.compile(r"(?:([^:/?#]+):)?(?://([^/?#]*))?([^?#]*)(?:\?([^#]*))?(?:#(.*))?", re.DOTALL)  # appendix B
_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
_IPV6 = re.compile(r"\[([0-9a-f:.]+)\](?::(\d*))?")
_LABEL = re.compile(r"[a-z0-9_](?:[a-z0-9_-]{0,61}[a-z0-9_])?")
_DEFAULT_PORTS = {"http": "80", "https": "443"}

# Query parameters that say who came from where, never what is shown. Common practice, no standard.
_TRACKING_PREFIXES = ("utm_", "pk_", "mtm_", "hsa_")
_TRACKING = frozenset(
    ("fbclid", "gclid", "gclsrc", "dclid", "gbraid", "wbraid", "msclkid", "yclid", "twclid", "ttclid", "igshid",
     "mc_cid", "mc_eid", "_ga", "_gl", "_hsenc", "_hsmi", "mkt_tok", "vero_id", "s_cid")
)  # fmt: skip


class Parts(NamedTuple):
    """The five components of a reference (RFC 3986 §3). None means absent, "" present and empty."""

    scheme: str | None
    authority: str | None
    path: str
    query: str | None
    fragment: str | None


def split_reference(reference: str) -> Parts:
    """Components of any string, by the expression of RFC 3986 appendix B.

    >>> split_reference("//herb.example/a?b#c")
    Parts(scheme=None, authority='herb.example', path='/a', query='b', fragment='c')
    """
    match = _PARTS.fullmatch(reference)
    assert match is not None  # the expression matches every string
    scheme, authority, path, query, fragment = match.groups()
    if scheme is not None and not _SCHEME.fullmatch(scheme):
        path, scheme = f"{scheme}:{path}" if authority is None else f"{scheme}://{authority}{path}", None
        authority = None
    return Parts(scheme, authority, path, query, fragment)


def join_parts(parts: Parts) -> str:
    """Component recomposition (RFC 3986 §5.3)."""
    scheme = "" if parts.scheme is None else f"{parts.scheme}:"
    authority = "" if parts.authority is None else f"//{parts.authority}"
    query = "" if parts.query is None else f"?{parts.query}"
    fragment = "" if parts.fragment is None else f"#{parts.fragment}"
    return f"{scheme}{authority}{parts.path}{query}{fragment}"


def remove_dot_segments(path: str) -> str:
    """RFC 3986 §5.2.4, step by step.

    >>> remove_dot_segments("/a/b/c/./../../g")
    '/a/g'
    """
    output: list[str] = []
    while path:
        if path.startswith("../"):
            path = path[3:]
        elif path.startswith(("./", "/./")):
            path = path[2:]
        elif path == "/.":
            path = "/"
        elif path.startswith("/../") or path == "/..":
            path = "/" + path[4:]
            if output:
                output.pop()
        elif path in (".", ".."):
            path = ""
        else:
            end = path.find("/", 1)
            end = len(path) if end < 0 else end
            output.append(path[:end])
            path = path[end:]
    return "".join(output)


def resolve_reference(base: str, reference: str) -> str:
    """The target of ``reference`` on a page at ``base``: RFC 3986 §5.2.2, strict ("http:g" is its own target).

    >>> resolve_reference("http://a/b/c/d;p?q", "../g")
    'http://a/b/g'
    """
    here, there = split_reference(base), split_reference(reference)
    if there.scheme is not None:
        return join_parts(there._replace(path=remove_dot_segments(there.path)))
    if there.authority is not None:
        return join_parts(there._replace(scheme=here.scheme, path=remove_dot_segments(there.path)))
    if not there.path:
        query = here.query if there.query is None else there.query
        return join_parts(Parts(here.scheme, here.authority, here.path, query, there.fragment))
    if there.path.startswith("/"):
        path = there.path
    elif here.authority is not None and not here.path:
        path = "/" + there.path
    else:
        path = here.path[: here.path.rfind("/") + 1] + there.path
    return join_parts(Parts(here.scheme, here.authority, remove_dot_segments(path), there.query, there.fragment))


def resolve(base: str, reference: str) -> str:
    """Where a link leads, as an address that can be fetched; "" for anything but http and https.

    White space around the reference and line breaks in it are dropped, as browsers do (WHATWG URL §4.4).

    >>> resolve("http://herb.example/a/b", " ../nettle#leaf ")
    'http://herb.example/nettle#leaf'
    >>> resolve("http://herb.example/", "javascript:void(0)")
    ''
    """
    if len(reference) > LONGEST_URL or len(base) > LONGEST_URL:
        return ""
    return web_address(resolve_reference(_trimmed(base), _trimmed(reference)), keep_fragment=True)


def web_address(url: str, *, keep_fragment: bool = False) -> str:
    """The address as it can be requested: lower-case ASCII host, no credentials, no default port, no fragment, all
    else percent-encoded where needed. "" when it is no http or https address.

    >>> web_address("HTTP://reader:secret@Bücher.example:80/öl?q#top")
    'http://xn--bcher-kva.example/%C3%B6l?q'
    """
    url = _trimmed(url)
    if len(url) > LONGEST_URL or _CONTROL.search(url):
        return ""
    parts = split_reference(url)
    scheme = (parts.scheme or "").lower()
    if scheme not in _DEFAULT_PORTS or not parts.authority or "\\" in parts.authority:
        return ""
    authority = _authority(parts.authority.rpartition("@")[2], scheme)
    if not authority:
        return ""
    fragment = parts.fragment if keep_fragment else None
    try:
        address = safe_url_string(join_parts(Parts(scheme, authority, parts.path or "/", parts.query, fragment)))
    except ValueError:
        return ""
    return address if len(address) <= 3 * LONGEST_URL else ""


def _trimmed(url: str) -> str:
    return re.sub(r"[\t\r\n]", "", url.strip("".join(map(chr, range(0x21)))))


def _authority(text: str, scheme: str) -> str:
    """Host and port in their one form, "" when they are none."""
    bracketed = _IPV6.fullmatch(text.lower())
    if bracketed:
        try:
            host = f"[{ipaddress.IPv6Address(bracketed[1]).compressed}]"
        except ValueError:
            return ""
        port = bracketed[2] or ""
    else:
        name, _, port = text.partition(":")
        host = _ascii_host(name)
    if not host or not re.fullmatch(r"[0-9]{0,5}", port):
        return ""
    number = port.lstrip("0") if port else ""
    if port and (not number or int(number) > 65_535):
        return ""
    return host if not number or number == _DEFAULT_PORTS[scheme] else f"{host}:{number}"


def _ascii_host(name: str) -> str:
    """Lower-case ASCII form of a host name, without a final dot; "" when it can be none (RFC 1123, RFC 5891)."""
    if not name.isascii():
        try:
            name = idna.encode(name, uts46=True).decode("ascii")
        except (idna.IDNAError, UnicodeError):
            return ""
    name = name.lower().removesuffix(".")
    fits = len(name) <= 253 and all(_LABEL.fullmatch(label) for label in name.split("."))
    return name if fits else ""


def canonical_url(url: str) -> str:
    """One spelling for one page: as ``web_address``, without dot segments and tracking parameters, the query in
    order, percent-encoding in one form. "" when it is no http or https address. For comparing; fetch the original.

    >>> canonical_url("http://Herb.example:80/a/../%7Eb?utm_source=x&q=2&a=1#top")
    'http://herb.example/~b?a=1&q=2'
    """
    address = web_address(url)
    if not address:
        return ""
    parts = split_reference(address)
    kept = [each for each in (parts.query or "").split("&") if each and not _tracks(each)]
    path = remove_dot_segments(parts.path)
    return canonicalize_url(join_parts(parts._replace(path=path, query="&".join(kept) or None)))


def _tracks(parameter: str) -> bool:
    name = unquote_plus(parameter.partition("=")[0]).lower()
    return name in _TRACKING or name.startswith(_TRACKING_PREFIXES)


def host_of(url: str) -> str:
    """Host in lower-case ASCII, without port and brackets; "" when there is none.

    >>> host_of("https://[2001:DB8::1]:8080/x")
    '2001:db8::1'
    """
    authority = split_reference(web_address(url)).authority or ""
    if authority.startswith("["):
        return authority[1 : authority.index("]")]
    return authority.partition(":")[0]


@cache
def _suffixes() -> PublicSuffixList:
    return PublicSuffixList()


def registrable_domain(url: str) -> str:
    """The part of a host that someone registered, from an address or a bare host; an IP address is its own.

    >>> registrable_domain("https://www.flora.herb.example/x")
    'herb.example'
    >>> registrable_domain("http://192.0.2.7:8080/")
    '192.0.2.7'
    """
    bare = not re.search(r"[/@?#]", url)
    host = (host_of(f"http://{url}/") or host_of(f"http://[{url}]/")) if bare else host_of(url)
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return _suffixes().privatesuffix(host) or host
    return host
