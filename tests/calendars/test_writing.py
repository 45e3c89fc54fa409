"""Written files: read back the same, harmless whatever the texts hold, whole or not there."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from calendars.event import Event, Reading
from calendars.reading import read_calendar
from calendars.store import CalendarError
from calendars.text import clean, clean_lines
from calendars.writing import Entry, to_ics, to_resource, write_file

AT = datetime(2027, 3, 16, 9, tzinfo=UTC)
ENTRY = Entry(
    uid="bake-1@rotation",
    summary="2 sourdough",
    description="Mix 9:00.\nFolds 10, 10:30; 11, then fridge.",
    start=AT,
    end=AT + timedelta(minutes=45),
    categories=("Bread", "Bake, big"),
    related=(("FINISHTOSTART", "feed-1@rotation"),),
    alarms=(timedelta(minutes=15), timedelta(hours=12)),
    location="Kitchen",
    sequence=3,
    last_modified=AT - timedelta(days=2),
    url="https://example.org/x?a=1,2;b",
)
STAMP = AT - timedelta(days=1)


def written(*entries: Entry) -> bytes:
    return to_ics(entries, name="Bread", stamp=STAMP, product_id="-//example//bread//EN")


def read(data: bytes) -> Reading:
    window = (AT - timedelta(days=400), AT + timedelta(days=400))
    return read_calendar(data, source="Bread", zone=ZoneInfo("Europe/Berlin"), window=window)


def as_event(entry: Entry) -> Event:
    return Event(
        uid=clean(entry.uid, 1000),
        recurrence_id=None,
        summary=clean(entry.summary),
        description=clean_lines(entry.description),
        location=clean(entry.location),
        categories=tuple(filter(None, (clean(each, 200) for each in entry.categories))),
        start=entry.start,
        end=entry.end,
        transparent=entry.transparent,
        calendar="Bread",
    )


def test_the_file_says_what_clients_need() -> None:
    lines = written(ENTRY).decode().replace("\r\n ", "").split("\r\n")
    for line in [
        "VERSION:2.0",
        "PRODID:-//example//bread//EN",
        "X-WR-CALNAME:Bread",
        "REFRESH-INTERVAL;VALUE=DURATION:PT6H",  # RFC 7986, 5.7: VALUE=DURATION is required
        "X-PUBLISHED-TTL:PT6H",
        "UID:bake-1@rotation",
        "DTSTAMP:20270315T090000Z",
        "DTSTART:20270316T090000Z",
        "DTEND:20270316T094500Z",
        r"DESCRIPTION:Mix 9:00.\nFolds 10\, 10:30\; 11\, then fridge.",
        r"CATEGORIES:Bread,Bake\, big",
        "TRANSP:TRANSPARENT",
        "SEQUENCE:3",
        "LAST-MODIFIED:20270314T090000Z",
        "URL:https://example.org/x?a=1,2;b",
        "RELATED-TO;RELTYPE=FINISHTOSTART:feed-1@rotation",  # RFC 9253, 5
        "UID:bake-1@rotation-alarm-15",
        "TRIGGER:-PT15M",
        "TRIGGER:-PT12H",
    ]:
        assert line in lines


def task_lines(entry: Entry) -> set[str]:
    names = ("DTSTART", "DUE", "DTEND", "STATUS", "PERCENT-COMPLETE", "COMPLETED", "TRANSP", "TRIGGER")
    return {line for line in written(entry).decode().split("\r\n") if line.startswith(names)}


def test_a_task_is_due_at_its_end_and_says_how_far_it_is() -> None:
    task = replace(ENTRY, task=True, alarms=(timedelta(minutes=15),))
    when = {"DTSTART:20270316T090000Z", "DUE:20270316T094500Z", "TRIGGER:-PT15M"}
    assert task_lines(task) == when | {"STATUS:NEEDS-ACTION", "PERCENT-COMPLETE:0"}
    assert task_lines(replace(task, percent=40)) == when | {"STATUS:IN-PROCESS", "PERCENT-COMPLETE:40"}
    assert task_lines(replace(task, percent=100)) == when | {"STATUS:IN-PROCESS", "PERCENT-COMPLETE:99"}
    done = {"STATUS:COMPLETED", "PERCENT-COMPLETE:100", "COMPLETED:20270315T090000Z"}
    assert task_lines(replace(task, completed=STAMP)) == when | done


def test_a_task_without_length_has_no_start_and_rings_before_it_is_due() -> None:
    lines = task_lines(replace(ENTRY, task=True, end=ENTRY.start, alarms=(timedelta(minutes=15),)))
    assert {line for line in lines if line.startswith("DTSTART")} == set()
    assert "TRIGGER;RELATED=END:-PT15M" in lines


@pytest.mark.parametrize(("color", "said"), [("tomato", True), ("Gold", True), ("red\r\nX:1", False), ("#f00", False)])
def test_a_colour_is_a_word_or_not_said(color: str, said: bool) -> None:
    assert (f"COLOR:{color.lower()}".encode() in written(replace(ENTRY, color=color))) is said


def test_a_resource_has_one_entry_and_no_method() -> None:
    data = to_resource(ENTRY, stamp=STAMP, product_id="-//example//bread//EN")
    assert data.count(b"BEGIN:VEVENT") == 1
    assert b"METHOD" not in data


def test_the_library_reads_it_too() -> None:
    (event,) = Calendar.from_ical(written(ENTRY)).walk("VEVENT")
    assert event.errors == []
    assert (event.start, event.end, str(event["SUMMARY"])) == (ENTRY.start, ENTRY.end, ENTRY.summary)
    assert len(event.walk("VALARM")) == 2


def test_order_and_bytes_depend_on_nothing_but_the_entries() -> None:
    other = replace(ENTRY, uid="a", start=AT - timedelta(hours=1))
    assert written(ENTRY, other) == written(other, ENTRY)


def test_lines_are_folded() -> None:
    data = written(replace(ENTRY, summary="Brötchen " * 40))
    assert max(map(len, data.split(b"\r\n"))) <= 75
    assert read(data).events[0].summary == clean("Brötchen " * 40)


TEXTS = st.text(st.characters() | st.sampled_from("\\,;:\"'nN\n\r\t\x1b\x9b\u202e\x00^"), max_size=60)
# A UID, like a summary, has to be something to be found by.
UIDS = TEXTS.filter(clean)


@settings(max_examples=50, derandomize=True, deadline=None)
@given(
    entry=st.builds(
        Entry,
        uid=UIDS,
        summary=TEXTS,
        description=TEXTS,
        location=TEXTS,
        start=st.integers(-500_000, 500_000).map(lambda minutes: AT + timedelta(minutes=minutes)),
        end=st.just(AT),
        categories=st.lists(TEXTS, max_size=3).map(tuple),
        alarms=st.lists(st.integers(0, 3000).map(lambda minutes: timedelta(minutes=minutes)), max_size=2).map(tuple),
        related=st.lists(st.tuples(st.just("STARTTOSTART"), UIDS), max_size=2).map(tuple),
        transparent=st.booleans(),
    ),
    minutes=st.integers(0, 3000),
)
@example(entry=replace(ENTRY, summary="C:\\New, \\n; \\\\"), minutes=0)
def test_write_then_read_is_the_identity(entry: Entry, minutes: int) -> None:
    entry = replace(entry, end=entry.start + timedelta(minutes=minutes))
    reading = read(written(entry))
    assert reading.events == (as_event(entry),)
    assert reading.oddities == ()


@pytest.mark.parametrize(
    "nasty", ["a\r\nATTENDEE:mailto:x@y", "\x1b[31mred", "\u202eabc", "<script>alert(1)</script>", "\x00"]
)
def test_no_text_breaks_out_of_its_line(nasty: str) -> None:
    entry = Entry(nasty or "u", nasty, nasty, AT, AT, (nasty,), ((nasty, nasty),), (timedelta(),), nasty, url=nasty)
    data = to_ics([entry], name=nasty, stamp=STAMP, product_id=nasty)
    names = {line.split(b":")[0].split(b";")[0] for line in data.replace(b"\r\n ", b"").split(b"\r\n")}
    assert b"ATTENDEE" not in names
    assert not set(data) & {0, 27, 127}
    assert "\u202e" not in data.decode()


class TestWriteFile:
    def test_new_and_again(self, tmp_path: Path) -> None:
        path = tmp_path / "bread.ics"
        write_file(path, b"one")
        path.chmod(0o600)
        write_file(path, b"two")
        assert path.read_bytes() == b"two"
        assert path.stat().st_mode & 0o777 == 0o600
        assert [each.name for each in tmp_path.iterdir()] == ["bread.ics"]

    @pytest.mark.parametrize("place", ["no/such/folder/x.ics", "file/x.ics", "."])
    def test_where_nothing_can_be_written(self, tmp_path: Path, place: str) -> None:
        (tmp_path / "file").write_bytes(b"")
        with pytest.raises(CalendarError, match="cannot be written"):
            write_file(tmp_path / place, b"x")

    @pytest.mark.parametrize("call", ["mkstemp", "fsync", "replace"])
    def test_a_failing_disk_leaves_the_old_file(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
    ) -> None:
        def fail(*args: object, **options: object) -> None:
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))

        path = tmp_path / "bread.ics"
        write_file(path, b"old")
        where: dict[str, tuple[object, str]] = {
            "mkstemp": (tempfile, "mkstemp"),
            "fsync": (os, "fsync"),
            "replace": (Path, "replace"),
        }
        with monkeypatch.context() as patch:
            patch.setattr(*where[call], fail)
            with pytest.raises(CalendarError, match=r"Read-only file system\. Nothing was changed"):
                write_file(path, b"new")
        assert path.read_bytes() == b"old"
        assert [each.name for each in tmp_path.iterdir()] == ["bread.ics"]


Cleaner = Callable[[str], str]


@pytest.mark.parametrize(
    ("text", "line", "lines"),
    [
        ("plain", "plain", "plain"),
        ("a\tb\r\nc\rd", "a b c d", "a\tb\nc\nd"),
        ("\x1b[1;31mred\x1b[0m", "red", "red"),
        ("\x9b31mred", "red", "red"),
        ("\x1b]8;;http://x\x1b\\link\x1b]8;;\x07", "link", "link"),
        ("\x1b]0;title never ended\nnext", "next", "\nnext"),
        ("\x1bPq#0\x1b\\picture", "picture", "picture"),
        ("\x1bcreset", "reset", "reset"),
        ("a\u202eb\u2066c\u200fd", "abcd", "abcd"),
        ("a\u2028b\x85c", "a b c", "a\nb\nc"),
        ("a\x00\x07\x7f\ud800b", "ab", "ab"),
        ("  many   blanks  ", "many blanks", "  many   blanks  "),
        ("Brötchen 🥖 日本", "Brötchen 🥖 日本", "Brötchen 🥖 日本"),
    ],
)
def test_cleaning(text: str, line: str, lines: str) -> None:
    assert clean(text) == line
    assert clean_lines(text) == lines


@settings(max_examples=50, derandomize=True, deadline=None)
@given(st.text(st.characters() | st.sampled_from("\x1b\x9b\x9d[]m;\n\r\u2028"), max_size=200), st.integers(1, 50))
def test_clean_text_is_short_stays_clean_and_has_no_controls(text: str, limit: int) -> None:
    for cleaner in (clean, clean_lines):
        once = cleaner(text, limit)
        assert len(once) <= limit
        assert cleaner(once, limit) == once
        assert not [char for char in once if (ord(char) < 32 and char not in "\n\t") or 0x7F <= ord(char) < 0xA0]
