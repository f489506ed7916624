"""Real HTTP servers on 127.0.0.1 for tests: fixed pages, handlers of one's own, TLS, and forward-proxy mode.

>>> with LoopbackWeb() as web:
...     web.page("/a", "text")                        # web.url("/a") is http://127.0.0.1:PORT/a
...     web.page("http://herb.example/b", "text")     # through web.proxies, as absolute-form target (RFC 9112 §3.2.2)
"""

from __future__ import annotations

import socket
import ssl
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path


@dataclass(frozen=True)
class Seen:
    """One request as it came. ``headers`` have lower-case names."""

    method: str
    target: str
    headers: Mapping[str, str]


class Exchange(BaseHTTPRequestHandler):
    """One connection. Handlers call ``answer``, or ``raw`` to say anything at all."""

    protocol_version = "HTTP/1.1"
    timeout = 10
    web: LoopbackWeb

    def do_GET(self) -> None:
        self.seen = Seen(self.command, self.path, {name.lower(): value for name, value in self.headers.items()})
        with self.web.lock:
            self.web.seen.append(self.seen)
        handler = self.web.handlers.get(self.path) or self.web.handlers.get(self.path.partition("?")[0])
        if handler is None:
            self.answer(404, "nothing here")
        else:
            handler(self)

    do_CONNECT = do_GET

    def answer(self, status: int, body: str | bytes = b"", headers: Mapping[str, str] | None = None) -> None:
        """A whole answer, with its Content-Length unless the headers bring one."""
        octets = body.encode() if isinstance(body, str) else body
        fields = {"Content-Type": "text/html; charset=utf-8", "Content-Length": str(len(octets)), **(headers or {})}
        lines = [f"HTTP/1.1 {status} Whatever", *(f"{name}: {value}" for name, value in fields.items()), "", ""]
        self.raw("\r\n".join(lines).encode("latin-1") + (b"" if status == 304 else octets))

    def raw(self, octets: bytes) -> bool:
        """Bytes as they are; False when the other side has gone."""
        try:
            self.wfile.write(octets)
            self.wfile.flush()
        except OSError:
            self.close_connection = True
            return False
        return True

    def cut(self) -> None:
        """Closes the connection at once."""
        self.close_connection = True
        self.connection.shutdown(socket.SHUT_RDWR)

    def handle(self) -> None:
        try:
            super().handle()
        except (OSError, ssl.SSLError):
            self.close_connection = True

    def log_message(self, *args: object) -> None:
        """Tests are quiet."""


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    request_queue_size = 64

    def handle_error(self, *args: object) -> None:
        """A client that goes away is part of the tests."""


Handler = Callable[[Exchange], None]


class LoopbackWeb:
    """Serves while the ``with`` block runs. ``certificate``: files of certificate and key, for https."""

    def __init__(self, certificate: tuple[Path, Path] | None = None) -> None:
        self.handlers: dict[str, Handler] = {}
        self.seen: list[Seen] = []
        self.lock = threading.Lock()
        self.scheme = "https" if certificate else "http"
        self._server = _Server(("127.0.0.1", 0), type("BoundExchange", (Exchange,), {"web": self}))
        if certificate:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(*certificate)
            self._server.socket = context.wrap_socket(
                self._server.socket, server_side=True, do_handshake_on_connect=False
            )
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True)

    def __enter__(self) -> LoopbackWeb:
        self._thread.start()
        return self

    def __exit__(self, *args: object) -> None:
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(timeout=5)

    @property
    def port(self) -> int:
        return int(self._server.server_address[1])

    def url(self, path: str) -> str:
        return f"{self.scheme}://127.0.0.1:{self.port}{path}"

    @property
    def proxies(self) -> dict[str, str]:
        """For ``Settings.proxies``: this server as forward proxy for hosts such as herb.example."""
        return {"http": f"http://127.0.0.1:{self.port}", "https": f"http://127.0.0.1:{self.port}"}

    def page(
        self, target: str, body: str | bytes = b"", status: int = 200, headers: Mapping[str, str] | None = None
    ) -> None:
        """A fixed answer for a path ("/a"), or for an absolute address in proxy mode ("http://herb.example/a")."""
        self.handlers[target] = lambda exchange: exchange.answer(status, body, headers)

    def handle(self, target: str, handler: Handler) -> None:
        self.handlers[target] = handler

    def redirect(self, target: str, to: str, status: int = 302) -> None:
        self.page(target, b"", status, {"Location": to})

    def asked(self, target: str) -> int:
        """How often a target was requested."""
        with self.lock:
            return sum(each.target == target for each in self.seen)


def free_port() -> int:
    """A port on 127.0.0.1 where nothing listens."""
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return int(sock.getsockname()[1])
