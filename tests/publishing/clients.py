"""Another client of a calendar that entries are written into: what a family does there on its phones."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from calendars.canonical import canonical, uids
from calendars.store import open_writable
from tests.calendars.servers import DavServer


class Client(Protocol):
    """What is in a calendar, and writing to it without asking anybody."""

    entries: str
    """What a household writes into `[entries]` to have this calendar written."""

    def all(self) -> dict[str, bytes]:
        """Return each resource by its name."""
        ...

    def put(self, name: str, data: bytes) -> None: ...

    def delete(self, name: str) -> None: ...


@dataclass
class FolderClient:
    """A folder of files."""

    folder: Path

    @property
    def entries(self) -> str:
        return f'[entries]\npath = "{self.folder}"'

    def all(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in sorted(self.folder.glob("*.ics"))}

    def put(self, name: str, data: bytes) -> None:
        (self.folder / name).write_bytes(data)

    def delete(self, name: str) -> None:
        (self.folder / name).unlink()


@dataclass
class DavClient:
    """A calendar on a CalDAV server. The password is in the environment variable BREAD_PASSWORD."""

    server: DavServer
    path: str

    @property
    def entries(self) -> str:
        login = f'user = "{self.server.user}"\npassword_from = "env: BREAD_PASSWORD"' if self.server.user else ""
        return f'[entries]\nurl = "{self.server.root}{self.path}"\n{login}'

    def all(self) -> dict[str, bytes]:
        store = open_writable("caldav", f"{self.server.root}{self.path}", "Bread", self.server.access)
        return {held.resource: held.data for held in store.held()}

    def put(self, name: str, data: bytes) -> None:
        self.server.store(self.path, name, data)

    def delete(self, name: str) -> None:
        status, _, body = self.server.ask("DELETE", self.path + name)
        assert status in (200, 204), (status, body)


@dataclass
class Family:
    """The family at its phones."""

    client: Client

    def titles(self) -> dict[str, str]:
        """Return when each entry is and what it is called: "20270306T064500Z" to title, by UID."""
        return {uid: f"{self.value(uid, 'DTSTART')} {self.value(uid, 'SUMMARY')}" for uid in self.uids()}

    def uids(self) -> list[str]:
        return sorted(uid for data in self.client.all().values() for uid in uids(data))

    def named(self, title: str) -> str:
        """Return the UID of the one entry whose title has this in it."""
        (found,) = [uid for uid in self.uids() if title in self.value(uid, "SUMMARY")]
        return found

    def value(self, uid: str, name: str) -> str:
        _, data = self._where(uid)
        (event,) = [part for part in canonical(data)[0].parts if part.name in ("VEVENT", "VTODO")]
        return event.value(name).replace("\\,", ",")

    def move(self, uid: str, start: str, end: str) -> None:
        """Drag an entry to another time, as "20270306T064500Z"."""
        self._edit(uid, r"(?m)^DTSTART[^\r\n]*", f"DTSTART:{start}")
        self._edit(uid, r"(?m)^(DTEND|DUE)[^\r\n]*", rf"\1:{end}")

    def all_day(self, uid: str, first: str, after: str) -> None:
        """Drop an entry on whole days, as "20270306"."""
        self._edit(uid, r"(?m)^DTSTART[^\r\n]*", f"DTSTART;VALUE=DATE:{first}")
        self._edit(uid, r"(?m)^DTEND[^\r\n]*", f"DTEND;VALUE=DATE:{after}")

    def tick(self, uid: str) -> None:
        """Put a check mark before the title."""
        self._edit(uid, r"(?m)^SUMMARY:", "SUMMARY:✓ ")

    def colour(self, uid: str, name: str) -> None:
        self._edit(uid, r"(?m)^SUMMARY:", f"COLOR:{name}\r\nSUMMARY:")

    def delete(self, uid: str) -> None:
        self.client.delete(self._where(uid)[0])

    def add(self, name: str, data: bytes) -> None:
        self.client.put(name, data)

    def _where(self, uid: str) -> tuple[str, bytes]:
        return next((name, data) for name, data in self.client.all().items() if uid in uids(data))

    def _edit(self, uid: str, what: str, to: str) -> None:
        name, data = self._where(uid)
        text, times = re.subn(what, to, re.sub(r"\r\n[ \t]", "", data.decode()), count=1)
        assert times == 1
        self.client.put(name, text.encode())
