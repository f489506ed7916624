"""A web server on loopback for the invented hosts of the demo.

It answers like a forward proxy: the request target is an absolute URI (``GET http://herb.example/x HTTP/1.1``,
RFC 9112, section 3.2.2), and the host in it chooses the folder. So the demo runs through the same way of fetching as
the live web, with ``Settings.proxies`` pointing here. It forwards nothing: a host without a folder answers 404.
"""

from __future__ import annotations

import sys
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from threading import Thread
from types import TracebackType
from urllib.parse import unquote, urlsplit

from doubtwort.shipped import shipped

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".pdf": "application/pdf",
}
_MOVED = "_moved.txt"


class DemoWeb:
    """Serves the folder ``demo_web`` (one folder a host) while the ``with`` block runs.

    >>> with DemoWeb() as web:
    ...     web.proxies["http"].startswith("http://127.0.0.1:")
    True
    """

    def __init__(self, root: Path | None = None) -> None:
        self._root = (root or shipped("fixtures") / "demo_web").resolve()
        self._server: ThreadingHTTPServer | None = None
        self._thread: Thread | None = None

    def __enter__(self) -> DemoWeb:
        root = self._root

        class Handler(_Handler):
            sites = root

        self._server = _Server(("127.0.0.1", 0), Handler)
        self._thread = Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._server is not None and self._thread is not None:
            self._server.shutdown()
            self._server.server_close()
            self._thread.join(timeout=5)

    @property
    def address(self) -> str:
        """Such as "http://127.0.0.1:40321"."""
        if self._server is None:
            raise RuntimeError("the demo web is not being served: use it in a with statement")
        return f"http://127.0.0.1:{self._server.server_address[1]}"

    @property
    def proxies(self) -> dict[str, str]:
        """For ``Settings.proxies``."""
        return {"http": self.address, "https": self.address}


def find_page(root: Path, host: str, path: str) -> tuple[Path | None, str]:
    """The file for a host and a path, or None; and the new path when the page has moved ("" when not).

    "/wiki/Fictaria_silvana" is answered by wiki/Fictaria_silvana.html, "/" by index.html. Nothing outside the host's
    folder is ever answered, and no file whose name starts with "_".
    """
    if not host.endswith(".example") or "/" in host or "\\" in host or len(path) > 1000:
        return None, ""
    site = root / host
    moved = site / _MOVED
    if moved.is_file():
        for line in moved.read_text(encoding="utf-8").splitlines():
            words = line.split()
            if len(words) == 2 and words[0] == path:
                return None, words[1]
    parts = PurePosixPath(unquote(path)).parts[1:]
    if any(part in ("..", ".") or part.startswith("_") or "\0" in part for part in parts):
        return None, ""
    wanted = site.joinpath(*parts)
    for each in (wanted, wanted.with_name(wanted.name + ".html"), wanted / "index.html"):
        if each.suffix in _TYPES and each.is_file() and each.resolve().is_relative_to(site.resolve()):
            return each, ""
    return None, ""


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: object, client_address: object) -> None:
        """A reader that hangs up early is no news."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)  # type: ignore[arg-type]


class _Handler(BaseHTTPRequestHandler):
    sites: Path
    protocol_version = "HTTP/1.1"
    timeout = 10
    disable_nagle_algorithm = True

    def do_GET(self) -> None:
        self._answer(with_body=True)

    def do_HEAD(self) -> None:
        self._answer(with_body=False)

    def do_CONNECT(self) -> None:
        self._send(HTTPStatus.NOT_IMPLEMENTED, {}, b"The demo web speaks http only.\n", with_body=True)

    def _answer(self, *, with_body: bool) -> None:
        try:
            target = urlsplit(self.path)
            host = (target.hostname or urlsplit(f"//{self.headers.get('Host', '')}").hostname or "").lower()
        except ValueError:
            self._send(HTTPStatus.BAD_REQUEST, {}, b"No such address.\n", with_body=with_body)
            return
        page, moved = find_page(self.sites, host, target.path or "/")
        if moved:
            self._send(
                HTTPStatus.MOVED_PERMANENTLY, {"Location": f"http://{host}{moved}"}, b"Moved.\n", with_body=with_body
            )
        elif page is None:
            self._send(HTTPStatus.NOT_FOUND, {}, b"No such page in the demo web.\n", with_body=with_body)
        else:
            self._send(HTTPStatus.OK, {"Content-Type": _TYPES[page.suffix]}, page.read_bytes(), with_body=with_body)

    def _send(self, status: HTTPStatus, headers: dict[str, str], body: bytes, *, with_body: bool) -> None:
        self.send_response(status)
        for name, value in ({"Content-Type": "text/plain; charset=utf-8"} | headers).items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if with_body:
            self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        """Keeps standard error for the program's own messages."""
