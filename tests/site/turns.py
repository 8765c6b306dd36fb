"""One address in front of several web processes that take turns, as a load balancer without a memory."""

from __future__ import annotations

import http.client
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

# What belongs to one connection is not passed on (RFC 9110, 7.6.1).
OF_THE_CONNECTION = {"connection", "keep-alive", "transfer-encoding", "upgrade"}


@dataclass(frozen=True)
class Passed:
    """One request that was passed on, and what came of it."""

    port: int
    method: str
    path: str
    status: int


@dataclass
class Turns:
    """The processes, and every request that was passed on to one of them."""

    ports: tuple[int, ...]
    passed: list[Passed] = field(default_factory=list)
    address: str = ""
    _next: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def turn(self) -> int:
        """Return the port of the process whose turn it is: never the one before."""
        with self._lock:
            self._next += 1
            return self.ports[self._next % len(self.ports)]


@contextmanager
def taking_turns(*ports: int) -> Iterator[Turns]:
    """Answer at ``address`` by passing each request to the next process; static files take no turn."""
    turns = Turns(ports)

    class Pass(BaseHTTPRequestHandler):
        """Pass one request on as it is."""

        protocol_version = "HTTP/1.1"

        def _pass_on(self) -> None:
            port = turns.ports[0] if self.path.startswith("/static/") else turns.turn()
            body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
            asked = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            try:
                headers = {n: v for n, v in self.headers.items() if n.lower() not in OF_THE_CONNECTION}
                asked.request(self.command, self.path, body or None, headers)
                answer = asked.getresponse()
                content = answer.read()
            finally:
                asked.close()
            turns.passed.append(Passed(port, self.command, self.path, answer.status))
            with suppress(BrokenPipeError, ConnectionResetError):  # the browser has gone on already
                self._answer(answer, content)

        def _answer(self, answer: http.client.HTTPResponse, content: bytes) -> None:
            self.send_response_only(answer.status, answer.reason)
            for name, value in answer.getheaders():
                if name.lower() not in OF_THE_CONNECTION | {"content-length"}:
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            """Say nothing: what was passed on is kept."""

    for method in ("GET", "HEAD", "POST"):
        setattr(Pass, f"do_{method}", Pass._pass_on)
    server = ThreadingHTTPServer(("127.0.0.1", 0), Pass)
    server.daemon_threads = True
    turns.address = f"http://127.0.0.1:{server.server_address[1]}"
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield turns
    finally:
        server.shutdown()
        server.server_close()
