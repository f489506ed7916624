"""Ctrl-C while a site keeps one waiting: one line, status 130, at once."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading

import pytest

COMMAND = [sys.executable, "-c", "from doubtwort.cli import main; main()"]
PAGE = (
    b"<html><title>Fictaria silvana</title><h1>Fictaria silvana</h1>"
    b'<p>Fictaria silvana is edible, says <a href="/slow">a friend</a>.</p></html>'
)


def heed_interrupts():
    """A shell starts what runs in its background with interrupts ignored, and processes inherit that."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def slow_site():
    """Answers / with a claim, robots.txt with 404, and nothing at all for /slow; tells when /slow is asked for."""
    asked = threading.Event()
    held = []
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def serve():
            while True:
                try:
                    connection, _ = listening.accept()
                except OSError:
                    return
                threading.Thread(target=answer, args=(connection,), daemon=True).start()

        def answer(connection):
            held.append(connection)
            while request := connection.recv(65536):
                path = request.split()[1]
                if path.endswith(b"/slow"):
                    asked.set()
                    continue
                status, body = (b"404 Not Found", b"") if path.endswith(b"robots.txt") else (b"200 OK", PAGE)
                connection.sendall(
                    b"HTTP/1.1 %s\r\nContent-Type: text/html\r\nContent-Length: %d\r\n\r\n%s"
                    % (status, len(body), body)
                )

        threading.Thread(target=serve, daemon=True).start()
        yield listening.getsockname()[1], asked
        # Wakes the thread that waits in accept, which closing alone does not.
        listening.shutdown(socket.SHUT_RDWR)
    for connection in held:
        connection.close()


def test_an_audit_can_be_stopped_while_it_waits(slow_site, tmp_path):
    port, asked = slow_site
    environment = {"PATH": os.environ.get("PATH", ""), "HOME": str(tmp_path), "NO_PROXY": "*"}
    running = subprocess.Popen(
        [
            *COMMAND, "audit", f"http://127.0.0.1:{port}/", "--taxon", "Fictaria silvana", "--allow-private",
            "--notebook", str(tmp_path / "n.sqlite"),
        ],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=heed_interrupts,
    )  # fmt: skip
    try:
        assert asked.wait(20), running.communicate(timeout=20)
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=20)
    finally:
        running.kill()
        running.wait()
    assert err.decode().strip() == "doubtwort: stopped; nothing is lost; run the same command again to go on"
    assert (running.returncode, out) == (130, b"")
