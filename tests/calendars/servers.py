"""Real CalDAV servers on loopback, each in a process of its own, and a plain second client to look behind our back."""

from __future__ import annotations

import base64
import http.client
import itertools
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from calendars.store import Access

PASSWORD = "crumb and crust"
_numbers = itertools.count(1)


@dataclass(frozen=True)
class DavServer:
    """A running server. root: its address; home: the path under which calendars are made; user: who may."""

    kind: str
    root: str
    home: str
    user: str

    @property
    def access(self) -> Access:
        """How a household gets at it."""
        return Access(self.user, lambda: PASSWORD) if self.user else Access()

    def ask(self, method: str, path: str, body: bytes = b"", **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Send as another client would, and return status, headers in lower case, and body."""
        line = http.client.HTTPConnection(urlsplit(self.root).netloc, timeout=20)
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.user:
            sent["Authorization"] = f"Basic {base64.b64encode(f'{self.user}:{PASSWORD}'.encode()).decode()}"
        try:
            line.request(method, path, body or None, sent)
            answer = line.getresponse()
            return answer.status, {name.casefold(): value for name, value in answer.getheaders()}, answer.read()
        finally:
            line.close()

    def make(self, name: str = "") -> str:
        """Make a calendar and return its path."""
        path = f"{self.home}{name or f'test-{next(_numbers)}'}/"
        status, _, body = self.ask("MKCALENDAR", path)
        assert status == 201, (status, body)
        return path

    def store(self, path: str, resource: str, data: bytes) -> None:
        """Write one resource, whatever is there."""
        status, _, body = self.ask("PUT", path + resource, data, Content_Type="text/calendar")
        assert status in (201, 204), (status, body)

    def load(self, path: str, resource: str) -> bytes | None:
        """Return one resource."""
        status, _, body = self.ask("GET", path + resource)
        assert status in (200, 404), (status, body)
        return body if status == 200 else None


@contextmanager
def radicale(folder: Path) -> Iterator[DavServer]:
    """Run Radicale with one user and a password."""
    (folder / "users").write_text(f"kitchen:{PASSWORD}\n")
    (folder / "config").write_text(
        "[auth]\ntype = htpasswd\nhtpasswd_encryption = plain\ndelay = 0\n"
        f"htpasswd_filename = {folder / 'users'}\n[storage]\nfilesystem_folder = {folder / 'data'}\n"
        "[logging]\nlevel = error\n[web]\ntype = none\n[server]\ndelay_on_error = 0\n"
    )
    with _running(
        lambda port: ["radicale", "--config", str(folder / "config"), "--server-hosts", f"127.0.0.1:{port}"], folder
    ) as root:
        server = DavServer("radicale", root, "/kitchen/", "kitchen")
        server.ask("PROPFIND", "/kitchen/", Depth="0")  # the home comes into being
        yield server


@contextmanager
def xandikos(folder: Path) -> Iterator[DavServer]:
    """Run xandikos, which lets everybody in."""
    with _running(
        lambda port: [
            *("xandikos", "serve", "--defaults", "--no-detect-systemd", "--directory", str(folder / "data")),
            *("--state-dir", str(folder / "state"), "--current-user-principal", "/user/"),
            *("--listen-address", "127.0.0.1", "--port", str(port)),
        ],
        folder,
    ) as root:
        yield DavServer("xandikos", root, "/user/calendars/", "")


@contextmanager
def _running(command: Callable[[int], list[str]], folder: Path) -> Iterator[str]:
    """Run a server on a port that is free now, and yield its address once it answers."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", *command(port)], cwd=folder, stdout=log, stderr=subprocess.STDOUT
        )
        try:
            for _ in range(400):
                try:
                    socket.create_connection(("127.0.0.1", port), timeout=5).close()
                    break
                except OSError:
                    assert process.poll() is None, (folder / "log").read_text()
                    time.sleep(0.05)
            else:
                raise AssertionError(f"{command(port)[0]} does not start: {(folder / 'log').read_text()}")
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            process.wait(timeout=20)
