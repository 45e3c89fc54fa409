"""Many phones at once: `load.py PORT PHONES SECONDS THINK_MS KIND SEED`. Prints JSON: how long all took, the ids.

Each phone loads a page, thinks, and taps; one tap in five is sent again under its id, as after a lost reply. It goes on
until its time is over and then waits for what it has asked. It needs nothing of the project.
"""

from __future__ import annotations

import asyncio
import json
import random
import re
import sys
import time
from urllib.parse import urlencode
from uuid import UUID

PAGES = ("/", "/", "/freezer", "/week")


class Phone:
    """One browser on one connection that stays open. taps: ids of the forms it was told were taken."""

    def __init__(self, port: int, seed: str, kind: str) -> None:
        self.port, self.kind = port, kind
        self.chance = random.Random(seed)
        self.cookie = self.csrf = ""
        self.pages: list[float] = []
        self.sent: list[float] = []
        self.taps: list[str] = []
        self.wrong: list[str] = []

    async def live(self, until: float, think: float) -> None:
        """Load pages and tap until the time is over."""
        self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)
        await asyncio.sleep(self.chance.random() * think)
        while time.monotonic() < until:
            begun = time.perf_counter()
            status, text = await self.ask("GET", self.chance.choice(PAGES))
            self.pages.append(time.perf_counter() - begun)
            self.look(status == 200, f"page {status}")
            found = re.search(r'name="csrf" value="([^"]+)"', text)
            self.csrf = found[1] if found else self.csrf
            await asyncio.sleep(think * (0.5 + self.chance.random()))
            if self.csrf and self.chance.random() < 0.3:
                await self.tap()
        self.writer.close()

    async def tap(self) -> None:
        """Take one out of the freezer; sometimes twice under one id."""
        once = str(UUID(int=self.chance.getrandbits(128)))
        form = urlencode({"csrf": self.csrf, "once": once, "kind": self.kind, "units": 1})
        for _ in range(2 if self.chance.random() < 0.2 else 1):
            begun = time.perf_counter()
            status, text = await self.ask("POST", "/freezer/take", form)
            self.sent.append(time.perf_counter() - begun)
            self.look(status == 303, f"tap {status} {text[-300:]}")
        self.taps.append(once)

    def look(self, right: bool, wrong: str) -> None:
        if not right:
            self.wrong.append(wrong)

    async def ask(self, method: str, path: str, form: str = "") -> tuple[int, str]:
        kind = "Content-Type: application/x-www-form-urlencoded\r\n" if form else ""
        head = f"{method} {path} HTTP/1.1\r\nHost: localhost\r\n{kind}Content-Length: {len(form)}\r\n"
        self.writer.write(f"{head}Cookie: {self.cookie}\r\n\r\n{form}".encode())
        status = int((await self.reader.readline()).split()[1])
        length = 0
        while (line := (await self.reader.readline()).decode().strip()) != "":
            name, _, value = line.partition(": ")
            if name == "content-length":
                length = int(value)
            if name == "set-cookie":
                self.cookie = value.partition(";")[0]
        return status, (await self.reader.readexactly(length)).decode()


async def lived(port: int, phones: int, seconds: float, think: float, kind: str, seed: str) -> dict[str, object]:
    all_ = [Phone(port, f"{seed} {number}", kind) for number in range(phones)]
    until = time.monotonic() + seconds
    await asyncio.gather(*(phone.live(until, think) for phone in all_))
    return {
        name: [one for phone in all_ for one in getattr(phone, name)] for name in ("pages", "sent", "taps", "wrong")
    }


if __name__ == "__main__":
    port, phones, seconds, think, kind, seed = sys.argv[1:]
    print(json.dumps(asyncio.run(lived(int(port), int(phones), float(seconds), float(think) / 1000, kind, seed))))
