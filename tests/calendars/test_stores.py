"""What every store that reads has to do. A new kind of store joins by a row in STORES."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from calendars.event import Reading
from calendars.store import KINDS, Access, CalendarError, MissingCalendar, Store, UnreadableCalendar, open_store
from tests.calendars.dav_front import serving_dav
from tests.calendars.memory_server import MemoryServer
from tests.calendars.web_server import Reply, serving

Ics = Callable[..., bytes]
Window = tuple[datetime, datetime]
EVENT = "UID:{uid}\nSUMMARY:Swimming\nDTSTART:20270316T100000Z\nDTEND:20270316T110000Z"


def make_file(path: Path, contents: list[bytes], _: ExitStack) -> Store:
    if contents:
        (path / "one.ics").write_bytes(b"".join(contents))
    return open_store("file", str(path / "one.ics"), "family")


def make_folder(path: Path, contents: list[bytes], _: ExitStack) -> Store:
    folder = path / "many"
    if contents:
        folder.mkdir()
    for number, content in enumerate(contents):
        (folder / f"{number}.ics").write_bytes(content)
    return open_store("folder", str(folder), "family")


def make_subscription(path: Path, contents: list[bytes], stack: ExitStack) -> Store:
    web = stack.enter_context(serving())
    if contents:
        web.always(Reply(body=b"".join(contents)))
    return open_store("subscription", f"{web.root}/family.ics", "family", Access(copies=path / "copies"))


def make_caldav(path: Path, contents: list[bytes], stack: ExitStack) -> Store:
    memory = MemoryServer(resources={f"{number}.ics": (number, each) for number, each in enumerate(contents)})
    address = stack.enter_context(serving_dav(memory))
    return open_store("caldav", address if contents else f"{address}elsewhere/", "family")


STORES = {"file": make_file, "folder": make_folder, "subscription": make_subscription, "caldav": make_caldav}


@pytest.fixture(params=STORES)
def make(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[list[bytes]], Store]]:
    maker = STORES[request.param]
    with ExitStack() as stack:
        yield lambda contents: maker(tmp_path, contents, stack)


Make = Callable[[list[bytes]], Store]


def test_every_kind_of_store_is_tested() -> None:
    assert set(STORES) == set(KINDS)


def test_reads_all_it_holds(make: Make, ics: Ics, window: Window, home: ZoneInfo) -> None:
    store = make([ics(EVENT.format(uid="a")), ics(EVENT.format(uid="b"))])
    reading = store.read(window, home)
    assert [event.uid for event in reading.events] == ["a", "b"]
    assert {event.calendar for event in reading.events} == {store.name} == {"family"}
    assert reading.oddities == ()


def test_reads_only_what_touches_the_window(make: Make, ics: Ics, home: ZoneInfo) -> None:
    store = make([ics(EVENT.format(uid="a"))])
    inside = (datetime(2027, 3, 16, 10, 59, tzinfo=UTC), datetime(2027, 3, 17, tzinfo=UTC))
    after = (datetime(2027, 3, 16, 11, tzinfo=UTC), datetime(2027, 3, 17, tzinfo=UTC))
    before = (datetime(2027, 3, 15, tzinfo=UTC), datetime(2027, 3, 16, 10, tzinfo=UTC))
    assert len(store.read(inside, home).events) == 1
    assert store.read(after, home) == store.read(before, home) == Reading()


def test_the_newest_version_of_an_event_wins_wherever_it_is(
    make: Make, ics: Ics, window: Window, home: ZoneInfo
) -> None:
    moved = "UID:a\nSEQUENCE:2\nDTSTART:20270616T100000Z\nDTEND:20270616T110000Z"
    store = make([ics(EVENT.format(uid="a")), ics(moved)])
    assert store.read(window, home).events == ()


def test_one_bad_event_harms_no_other(make: Make, ics: Ics, window: Window, home: ZoneInfo) -> None:
    store = make([ics("UID:bad\nSUMMARY:Broken\nDTSTART:20270399"), ics(EVENT.format(uid="a"))])
    reading = store.read(window, home)
    assert [event.uid for event in reading.events] == ["a"]
    assert [(odd.source, odd.uid) for odd in reading.oddities] == [("family", "bad")]
    assert "Broken" in reading.oddities[0].reason


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b" \r\n", "is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "is not a calendar"),
        (bytes(range(256)) * 40, "is not a calendar"),
        (b"<html>503</html>", "is not a calendar"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTART:20270316T1", "is cut off"),
    ],
)
def test_what_is_no_whole_calendar_is_never_an_empty_one(
    make: Make, content: bytes, words: str, window: Window, home: ZoneInfo
) -> None:
    with pytest.raises(UnreadableCalendar, match=words) as caught:
        make([content]).read(window, home)
    assert ".ics" in str(caught.value) or "localhost" in str(caught.value)


def test_nothing_there(make: Make, window: Window, home: ZoneInfo) -> None:
    with pytest.raises(MissingCalendar, match=r"no such|nothing at its address"):
        make([]).read(window, home)


def test_a_folder_tells_of_a_bad_file_and_reads_the_others(
    tmp_path: Path, ics: Ics, window: Window, home: ZoneInfo
) -> None:
    reading = make_folder(tmp_path, [b"", ics(EVENT.format(uid="a"))], ExitStack()).read(window, home)
    assert [event.uid for event in reading.events] == ["a"]
    assert ["0.ics is empty" in odd.reason for odd in reading.oddities] == [True]


def test_a_folder_within_a_folder_is_told_of(tmp_path: Path, ics: Ics, window: Window, home: ZoneInfo) -> None:
    store = make_folder(tmp_path, [ics(EVENT.format(uid="a"))], ExitStack())
    (tmp_path / "many" / "sub.ics").mkdir()
    reading = store.read(window, home)
    assert [event.uid for event in reading.events] == ["a"]
    assert "sub.ics is a folder" in reading.oddities[0].reason
    (tmp_path / "many" / "0.ics").unlink()
    with pytest.raises(UnreadableCalendar, match=r"sub\.ics is a folder"):
        store.read(window, home)


def test_a_folder_too_large_or_too_full(
    tmp_path: Path, ics: Ics, window: Window, home: ZoneInfo, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = make_folder(tmp_path, [ics(EVENT.format(uid="a")), ics(EVENT.format(uid="b"))], ExitStack())
    monkeypatch.setattr("calendars.scan.LARGEST_FILE_BYTES", 200)
    with pytest.raises(UnreadableCalendar, match="family has"):
        store.read(window, home)
    monkeypatch.setattr("calendars.folder.MOST_FILES", 1)
    with pytest.raises(UnreadableCalendar, match=r"holds 2 \.ics files; at most 1"):
        store.read(window, home)


def test_what_the_system_refuses_is_said_in_its_words(
    tmp_path: Path, ics: Ics, window: Window, home: ZoneInfo, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    file, folder = (
        make_file(tmp_path, [ics(EVENT.format(uid="a"))], ExitStack()),
        make_folder(tmp_path, [ics(EVENT.format(uid="a"))], ExitStack()),
    )
    monkeypatch.setattr(Path, "read_bytes", refuse)
    monkeypatch.setattr(Path, "iterdir", refuse)
    for store in (file, folder):
        with pytest.raises(CalendarError, match="cannot be read: Permission denied"):
            store.read(window, home)


def test_a_device_is_no_calendar(window: Window, home: ZoneInfo) -> None:
    with pytest.raises(UnreadableCalendar, match="is not a plain file"):
        open_store("file", "/dev/zero", "family").read(window, home)


def test_a_folder_without_files_says_so(tmp_path: Path, window: Window, home: ZoneInfo) -> None:
    reading = open_store("folder", str(tmp_path), "family").read(window, home)
    assert reading.events == ()
    assert "holds no .ics file" in reading.oddities[0].reason


def test_file_and_folder_mixed_up(tmp_path: Path, window: Window, home: ZoneInfo) -> None:
    (tmp_path / "a.ics").write_bytes(b"")
    with pytest.raises(UnreadableCalendar, match="is a folder"):
        open_store("file", str(tmp_path), "family").read(window, home)
    with pytest.raises(UnreadableCalendar, match="is a file"):
        open_store("folder", str(tmp_path / "a.ics"), "family").read(window, home)


def test_an_odd_path_is_an_error_for_people(window: Window, home: ZoneInfo) -> None:
    with pytest.raises(CalendarError):
        open_store("file", "a\x00b.ics", "family").read(window, home)
    with pytest.raises(CalendarError):
        open_store("file", "a" * 5000, "family").read(window, home)


def test_unknown_kind_names_those_known() -> None:
    with pytest.raises(CalendarError, match="file, folder"):
        open_store("paper", "wall", "kitchen")


def test_too_large_a_file_is_refused_unread(tmp_path: Path, window: Window, home: ZoneInfo) -> None:
    path = tmp_path / "large.ics"
    with path.open("wb") as file:
        file.truncate(60_000_000)
    with pytest.raises(UnreadableCalendar, match="60 MB; at most 50"):
        open_store("file", str(path), "family").read(window, home)


def test_what_the_program_always_loads_is_light() -> None:
    light = (
        "calendars.event, calendars.intervals, calendars.zones, calendars.store, calendars.availability, calendars.text"
    )
    check = f"import sys, {light}; sys.exit('icalendar' in sys.modules or 'dateutil' in sys.modules)"
    root = Path(__file__).parents[2]
    assert subprocess.run([sys.executable, "-c", check], cwd=root, check=False).returncode == 0
