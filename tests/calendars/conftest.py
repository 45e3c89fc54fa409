"""Shared by the calendar tests: a fortnight around a change of clocks, and short ways to write and read a calendar."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from calendars.event import Reading
from calendars.reading import read_calendar
from tests.calendars import servers

Ics = Callable[..., bytes]
Read = Callable[..., Reading]

HOME = ZoneInfo("Europe/Berlin")
WINDOW = (datetime(2027, 3, 15, tzinfo=UTC), datetime(2027, 4, 5, tzinfo=UTC))


@pytest.fixture(scope="session")
def home() -> ZoneInfo:
    return HOME


@pytest.fixture(scope="session")
def window() -> tuple[datetime, datetime]:
    return WINDOW


@pytest.fixture(scope="session")
def ics() -> Ics:
    """Give the bytes of a calendar with one VEVENT for each block of lines; `head` goes before them."""

    def make(*events: str, head: str = "") -> bytes:
        blocks = "".join(f"BEGIN:VEVENT\n{lines.strip()}\nEND:VEVENT\n" for lines in events)
        head = f"{head.strip()}\n" if head else ""
        text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n{head}{blocks}END:VCALENDAR\n"
        return text.replace("\n", "\r\n").encode()

    return make


@pytest.fixture(scope="session")
def read() -> Read:
    """Read bytes as the calendar "family"."""

    def make(data: bytes, window: tuple[datetime, datetime] = WINDOW, zone: ZoneInfo = HOME) -> Reading:
        return read_calendar(data, source="family", zone=zone, window=window)

    return make


@pytest.fixture(scope="session")
def radicale(tmp_path_factory: pytest.TempPathFactory) -> Iterator[servers.DavServer]:
    with servers.radicale(tmp_path_factory.mktemp("radicale")) as server:
        yield server


@pytest.fixture(scope="session")
def xandikos(tmp_path_factory: pytest.TempPathFactory) -> Iterator[servers.DavServer]:
    with servers.xandikos(tmp_path_factory.mktemp("xandikos")) as server:
        yield server
