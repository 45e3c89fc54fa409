"""Speaks CalDAV for a server in memory, so that the CalDAV store meets quirks and contents no real server here has."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import unquote
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from calendars.store import CalendarError, Changed
from tests.calendars.memory_server import MemoryServer

COLLECTION = "/family/calendar/"
_ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True
    memory: MemoryServer

    def log_message(self, *_: Any) -> None:
        pass

    def __getattr__(self, name: str) -> Any:
        if name.startswith("do_"):
            return self._do
        raise AttributeError(name)

    def _do(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        if not re.fullmatch(re.escape(COLLECTION) + "[^/]*", self.path):
            self._reply(404)
        elif self.command in ("PROPFIND", "REPORT"):
            self._many(body.decode())
        else:
            self._one(self.path.removeprefix(COLLECTION), body)

    def _one(self, resource: str, body: bytes) -> None:
        found = self.memory.look(resource)
        if self.command == "GET":
            if found is None:
                self._reply(404)
            else:
                self._reply(200, found.data, "text/calendar", self._tag(resource))
            return
        wanted = self.headers.get("If-Match")
        free = wanted == "*" or (wanted is None and self.headers.get("If-None-Match") is None)
        etag = found.etag if free and found else wanted
        try:
            if self.command == "DELETE" and found is None:
                self._reply(404)
            elif self.command == "DELETE":
                self.memory.delete(resource, etag or "")
                self._reply(204)
            else:
                self.memory.put(resource, body, etag)
                self._reply(201 if found is None else 204, etag=self._tag(resource))
        except Changed:
            self._reply(412)
        except CalendarError:
            self._reply(409)

    def _many(self, asked: str) -> None:
        quirks = self.memory.quirks
        if self.command == "PROPFIND":
            names = sorted(self.memory.resources) if self.headers.get("Depth") == "1" else []
            kinds = "".join(f'<C:comp name="{kind}"/>' for kind in ("VEVENT", *(["VTODO"] if quirks.tasks else [])))
            itself = (
                f"<D:response><D:href>{COLLECTION}</D:href><D:propstat><D:prop><D:resourcetype><D:collection/>"
                f"<C:calendar/></D:resourcetype><C:supported-calendar-component-set>{kinds}"
                "</C:supported-calendar-component-set></D:prop><D:status>HTTP/1.1 200 OK</D:status></D:propstat>"
                "</D:response>"
            )
            self._multistatus(itself + "".join(self._response(name, data=False) for name in names))
        elif "calendar-query" in asked and quirks.filters:
            self._multistatus("".join(self._response(name) for name in sorted(self.memory.resources)))
        elif "calendar-multiget" in asked and quirks.batches:
            hrefs = [unquote(each.text or "") for each in ElementTree.fromstring(asked).iter("{DAV:}href")]
            self._multistatus("".join(self._response(href.removeprefix(COLLECTION)) for href in hrefs))
        else:
            self._reply(501)

    def _response(self, resource: str, *, data: bool = True) -> str:
        found = self.memory.look(resource)
        href = f"<D:href>{escape(COLLECTION + resource)}</D:href>"
        if found is None:
            return f"<D:response>{href}<D:status>HTTP/1.1 404 Not Found</D:status></D:response>"
        prop, tag = "", self._tag(resource)
        if tag:
            prop += f"<D:getetag>{escape(tag)}</D:getetag>"
        text = found.data.decode(errors="replace")
        if data and not _ILLEGAL.search(text):
            prop += f"<C:calendar-data>{escape(text)}</C:calendar-data>"
        return (
            f"<D:response>{href}<D:propstat><D:prop><D:resourcetype/>{prop}</D:prop>"
            "<D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response>"
        )

    def _tag(self, resource: str) -> str:
        version = self.memory.resources[resource][0]
        return f'"{version}"' if self.memory.quirks.strong_tags else ["", f'W/"{version}"'][version % 2]

    def _multistatus(self, inner: str) -> None:
        text = (
            f'<?xml version="1.0" encoding="utf-8"?><D:multistatus xmlns:D="DAV:" '
            f'xmlns:C="urn:ietf:params:xml:ns:caldav">{inner}</D:multistatus>'
        )
        self._reply(207, text.encode(), "application/xml")

    def _reply(self, status: int, body: bytes = b"", kind: str = "", etag: str = "") -> None:
        self.send_response(status)
        for name, value in (("Content-Type", kind), ("ETag", etag)):
            if value:
                self.send_header(name, value)
        if status != 204:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        with suppress(OSError):
            self.wfile.write(body)


@contextmanager
def serving_dav(memory: MemoryServer) -> Iterator[str]:
    """Serve the calendar on a free port and yield its address."""
    handler = type("Handler", (_Handler,), {"memory": memory})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}{COLLECTION}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
