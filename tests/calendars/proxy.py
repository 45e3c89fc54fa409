"""A proxy on loopback between a calendar client and a real server, that spoils what passes as a test orders."""

from __future__ import annotations

import http.client
import socket
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import urlsplit

ALWAYS = 1_000_000
HTML = b"<!DOCTYPE html><html><body>Sign in to the network</body></html>"
MULTISTATUS = b'<?xml version="1.0"?><D:multistatus xmlns:D="DAV:"/>'


@dataclass(frozen=True)
class Fault:
    """What becomes of one exchange.

    forward: whether the server gets the request. status, headers, body: instead of the server's own, where given; a
    header "" is taken out. drop: the line is cut without an answer. keep: only so many bytes of the body arrive.
    wait: seconds before the answer.
    """

    forward: bool = False
    status: int | None = None
    headers: Mapping[str, str] = field(default_factory=dict)
    body: bytes | None = None
    drop: bool = False
    keep: int | None = None
    wait: float = 0


@dataclass
class Proxy:
    """Where to reach the server through the proxy, what is ordered, and what passed, as (method, path, forwarded)."""

    root: str = ""
    target: str = ""
    orders: list[tuple[str, Fault, int]] = field(default_factory=list)
    log: list[tuple[str, str, bool]] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)

    def order(self, methods: str, fault: Fault, times: int = 1) -> None:
        """Spoil the next so many requests of these methods, "PUT DELETE"; orders are taken first come, first served."""
        self.orders.append((methods, fault, times))

    def calm(self) -> None:
        """Spoil nothing more, and forget what passed."""
        self.orders.clear()
        self.log.clear()

    def writes(self) -> int:
        """Return how many writes reached the server."""
        return sum(forwarded for method, _, forwarded in self.log if method in ("PUT", "DELETE"))

    def fault(self, method: str) -> Fault:
        """Take what is ordered for this request."""
        for at, (methods, fault, times) in enumerate(self.orders):
            if method in methods.split():
                self.orders[at : at + 1] = [(methods, fault, times - 1)] if times > 1 else []
                return fault
        return Fault(forward=True)


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True
    proxy: Proxy

    def log_message(self, *_: Any) -> None:
        pass

    def __getattr__(self, name: str) -> Any:
        if name.startswith("do_"):
            return self._do
        raise AttributeError(name)

    def _do(self) -> None:
        sent = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        fault = self.proxy.fault(self.command)
        self.proxy.log.append((self.command, self.path, fault.forward))
        status, headers, body = self._forward(sent) if fault.forward else (200, {}, b"")
        self.proxy.over.wait(fault.wait)
        if fault.drop:
            self.close_connection = True
            with suppress(OSError):
                self.connection.shutdown(socket.SHUT_RDWR)
            return
        body = body if fault.body is None else fault.body
        headers |= {name.casefold(): value for name, value in fault.headers.items()}
        with suppress(OSError):
            self.send_response(fault.status or status)
            for name, value in headers.items():
                if value and name not in ("content-length", "transfer-encoding", "connection", "server", "date"):
                    self.send_header(name, value)
            if (fault.status or status) != 204:
                self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body[: fault.keep])
            self.close_connection = self.close_connection or fault.keep is not None

    def _forward(self, sent: bytes) -> tuple[int, dict[str, str], bytes]:
        line = http.client.HTTPConnection(urlsplit(self.proxy.target).netloc, timeout=20)
        try:
            headers = {name: value for name, value in self.headers.items() if name.casefold() != "connection"}
            line.request(self.command, self.path, sent or None, headers)
            answer = line.getresponse()
            return answer.status, {name.casefold(): value for name, value in answer.getheaders()}, answer.read()
        finally:
            line.close()


@contextmanager
def between(target: str) -> Iterator[Proxy]:
    """Run a proxy in front of the server at this address."""
    proxy = Proxy(target=target)
    server = ThreadingHTTPServer(("127.0.0.1", 0), type("Handler", (_Handler,), {"proxy": proxy}))
    server.daemon_threads = True
    proxy.root = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield proxy
    finally:
        proxy.over.set()
        server.shutdown()
        server.server_close()
        thread.join()
