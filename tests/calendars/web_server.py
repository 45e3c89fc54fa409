"""A web server on loopback that answers as a test says: any status, headers and body, slow, cut or for ever."""

from __future__ import annotations

import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import trustme


@dataclass
class Reply:
    """One answer. pieces: sent one by one with `wait` seconds between; cut: the connection ends before it is whole."""

    status: int = 200
    body: bytes = b""
    headers: dict[str, str] = field(default_factory=dict)
    pieces: list[bytes] | None = None
    wait: float = 0
    cut: bool = False
    raw: bool = False


Answering = Callable[[str, dict[str, str]], Reply]


class WebServer:
    """Answers every GET by `answer`, called with the path and the headers (lower-case names); `asked` has both."""

    def __init__(self, scheme: str, port: int, over: threading.Event) -> None:
        self.root = f"{scheme}://localhost:{port}"
        self.asked: list[tuple[str, dict[str, str]]] = []
        self.answer: Answering = lambda path, headers: Reply(404)
        self.over = over

    def always(self, reply: Reply) -> None:
        self.answer = lambda path, headers: reply


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    web: WebServer

    def log_message(self, *_: Any) -> None:
        pass

    def do_GET(self) -> None:
        headers = {name.casefold(): value for name, value in self.headers.items()}
        self.web.asked.append((self.path, headers))
        reply = self.web.answer(self.path, headers)
        with suppress(OSError):
            self._send(reply)

    def _send(self, reply: Reply) -> None:
        body = b"".join(reply.pieces) if reply.pieces is not None else reply.body
        if not reply.raw:
            self.send_response(reply.status)
            for name, value in reply.headers.items():
                self.send_header(name, value)
            if reply.status != 304:
                self.send_header("Content-Length", str(len(body) * (2 if reply.cut else 1)))
            self.end_headers()
        for piece in reply.pieces if reply.pieces is not None else [body]:
            self.wfile.write(piece)
            self.wfile.flush()
            if reply.wait and self.web.over.wait(reply.wait):
                return
        self.close_connection = reply.cut or reply.raw


@contextmanager
def serving(authority: trustme.CA | None = None) -> Iterator[WebServer]:
    """Run a server on a free port, with TLS where there is an authority to vouch for it."""
    over = threading.Event()
    handler = type("Handler", (_Handler,), {})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    if authority:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        authority.issue_cert("localhost").configure_cert(context)
        server.socket = context.wrap_socket(server.socket, server_side=True)
    handler.web = web = WebServer("https" if authority else "http", server.server_port, over)  # type: ignore[attr-defined]  # made a line above
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield web
    finally:
        over.set()
        server.shutdown()
        server.server_close()
        thread.join()
