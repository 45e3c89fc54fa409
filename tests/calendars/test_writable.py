"""What every store that is written has to do. A new kind of store joins by a row in STORES."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from calendars.canonical import canonical, same, says, uids
from calendars.reading import read_parts
from calendars.store import (
    WRITABLE,
    Access,
    CalendarError,
    Changed,
    MissingCalendar,
    Refused,
    Writable,
    open_writable,
    resource_for,
)
from tests.calendars.dav_front import serving_dav
from tests.calendars.memory_server import MemoryServer, MemoryStore, Quirks
from tests.calendars.servers import DavServer

Ics = Callable[..., bytes]
Window = tuple[datetime, datetime]
EVENT = "UID:{uid}\nDTSTAMP:20270101T000000Z\nDTSTART:20270316T100000Z\nDTEND:20270316T110000Z\nSUMMARY:{title}"
ODD_UIDS = (
    "x" * 300,
    "../../etc/passwd",
    "a/b\\\\c?d#e%2F",
    "Bröd äöü 面包 🥖",
    "with space\\, comma\\; and \\\\ backslash",
    "CON",
    ".",
    "*",
    "%00",
    "<script>&amp;\"'",
    "UPPER@example.org",
    "upper@example.org",
)


@dataclass(frozen=True)
class Place:
    """A store to be tested, and what another client does in the same calendar."""

    store: Writable
    overwrite: Callable[[str, bytes], object]
    look: Callable[[str], bytes | None]
    remove: Callable[[str], object]


def folder(request: pytest.FixtureRequest, path: Path, _: ExitStack) -> Place:
    def look(resource: str) -> bytes | None:
        return (path / resource).read_bytes() if (path / resource).exists() else None

    return Place(
        open_writable("folder", str(path), "family"),
        lambda resource, data: (path / resource).write_bytes(data),
        look,
        lambda resource: (path / resource).unlink(),
    )


def memory(quirks: Quirks, *, http: bool = False) -> Callable[..., Place]:
    def make(request: pytest.FixtureRequest, _: Path, stack: ExitStack) -> Place:
        server = MemoryServer(quirks)
        store: Writable = MemoryStore(server)
        if http:
            store = open_writable("caldav", stack.enter_context(serving_dav(server)), "family")

        def overwrite(resource: str, data: bytes) -> None:
            server.version += 1
            server.resources[resource] = (server.version, data)

        return Place(
            store,
            overwrite,
            lambda resource: server.resources[resource][1] if resource in server.resources else None,
            lambda resource: server.resources.pop(resource),
        )

    return make


def caldav(kind: str) -> Callable[..., Place]:
    def make(request: pytest.FixtureRequest, _: Path, stack: ExitStack) -> Place:
        server: DavServer = request.getfixturevalue(kind)
        path = server.make()
        return Place(
            open_writable("caldav", server.root + path, "family", server.access),
            lambda resource, data: server.store(path, resource, data),
            lambda resource: server.load(path, resource),
            lambda resource: server.ask("DELETE", path + resource),
        )

    return make


STORES: dict[str, Callable[..., Place]] = {
    "folder": folder,
    "memory": memory(Quirks()),
    "memory that rewrites": memory(Quirks(rewrites=True)),
    "memory without tags": memory(Quirks(strong_tags=False, rewrites=True)),
    "caldav without tags": memory(Quirks(strong_tags=False, rewrites=True), http=True),
    "caldav that knows little": memory(Quirks(filters=False, batches=False, rewrites=True), http=True),
    "caldav on radicale": caldav("radicale"),
    "caldav on xandikos": caldav("xandikos"),
}


@pytest.fixture(params=STORES)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    with ExitStack() as stack:
        yield STORES[request.param](request, tmp_path, stack)


@pytest.fixture
def entry(ics: Ics) -> Callable[..., bytes]:
    return lambda uid="a", title="Fold": ics(EVENT.format(uid=uid, title=title))


Entry = Callable[..., bytes]
A = resource_for("a")


def test_every_kind_that_can_be_written_is_tested() -> None:
    assert {name.split()[0] for name in STORES} - {"memory"} == set(WRITABLE)


def test_a_new_calendar_holds_nothing(place: Place) -> None:
    assert place.store.held() == ()
    assert place.store.get(A) is None


def test_create(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    there = place.store.get(A)
    assert there is not None
    assert (made.resource, made.etag) == (there.resource, there.etag)
    assert made.resource == A
    assert made.etag
    assert says(there.data, entry())
    assert same(made.data, entry())
    assert [(each.resource, each.etag) for each in place.store.held()] == [(A, made.etag)]
    assert same(place.store.held()[0].data, entry())
    assert same(place.look(A) or b"", entry())


def test_create_where_another_entry_is(place: Place, entry: Entry) -> None:
    place.overwrite(A, entry(title="Theirs"))
    with pytest.raises(Changed, match=r"is there already|not as it was"):
        place.store.put(A, entry(), None)
    assert says(place.look(A) or b"", entry(title="Theirs"))


def test_create_twice_is_once(place: Place, entry: Entry) -> None:
    first = place.store.put(A, entry(), None)
    again = place.store.put(A, entry(), None)
    assert again.etag == first.etag
    assert len(place.store.held()) == 1


def test_update(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    changed = place.store.put(A, entry(title="Shape"), made.etag)
    assert changed.etag != made.etag
    there = place.store.get(A)
    assert there is not None
    assert there.etag == changed.etag
    assert same(there.data, entry(title="Shape"))
    assert [each.etag for each in place.store.held()] == [changed.etag]


def test_update_of_what_another_changed(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    place.overwrite(A, entry(title="Theirs"))
    with pytest.raises(Changed):
        place.store.put(A, entry(title="Shape"), made.etag)
    assert says(place.look(A) or b"", entry(title="Theirs"))
    fresh = place.store.get(A)
    assert fresh is not None
    assert place.store.put(A, entry(title="Shape"), fresh.etag).etag != fresh.etag


def test_update_of_what_is_gone_does_not_bring_it_back(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    place.remove(A)
    with pytest.raises(Changed):
        place.store.put(A, entry(title="Shape"), made.etag)
    assert place.look(A) is None


def test_delete(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    other = place.store.put(resource_for("b"), entry("b"), None)
    place.store.delete(A, made.etag)
    assert place.look(A) is None
    assert place.store.get(A) is None
    assert [each.etag for each in place.store.held()] == [other.etag]


def test_delete_what_is_gone(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    place.store.delete(A, made.etag)
    place.store.delete(A, made.etag)
    assert place.store.held() == ()


def test_delete_of_what_another_changed(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    place.overwrite(A, entry(title="Theirs"))
    with pytest.raises(Changed):
        place.store.delete(A, made.etag)
    assert says(place.look(A) or b"", entry(title="Theirs"))


def test_tags_of_another_kind_fit_nothing(place: Place, entry: Entry) -> None:
    made = place.store.put(A, entry(), None)
    for etag in ("", "*", 'W/"1"', made.etag.strip('"') + "x", "content:0"):
        with pytest.raises(Changed):
            place.store.put(A, entry(title="Shape"), etag)
        with pytest.raises(Changed):
            place.store.delete(A, etag)
    assert says(place.look(A) or b"", entry())


def test_odd_uids(place: Place, entry: Entry) -> None:
    for uid in ODD_UIDS:
        place.store.put(resource_for(uid), entry(uid), None)
    held = place.store.held()
    assert len(held) == len(ODD_UIDS)
    wanted = {next(iter(uids(entry(uid)))): resource_for(uid) for uid in ODD_UIDS}
    assert {next(iter(uids(each.data))): each.resource for each in held} == wanted


def test_names_lead_nowhere_else(place: Place, entry: Entry) -> None:
    for name in ("../a.ics", "a/b.ics", "..", ".", "", "a b.ics", "ä.ics", "x.ics?y", "a" * 300 + ".ics", "a.txt"):
        with pytest.raises(CalendarError):
            place.store.put(name, entry(), None)
    assert place.store.held() == ()


def test_what_others_hold_is_seen_and_left(place: Place, entry: Entry) -> None:
    place.overwrite("theirs.ics", entry("theirs", "Swimming"))
    before = place.look("theirs.ics")
    made = place.store.put(A, entry(), None)
    place.store.put(A, entry(title="Shape"), made.etag)
    assert {each.resource for each in place.store.held()} == {A, "theirs.ics"}
    assert place.look("theirs.ics") == before


FULL = """UID:rich
DTSTAMP:20270101T000000Z
DTSTART;TZID=Europe/Berlin:20270327T190000
DTEND;TZID=Europe/Berlin:20270327T200000
RRULE:FREQ=DAILY;COUNT=5
EXDATE;TZID=Europe/Berlin:20270329T190000
SUMMARY:Bröd\\, salt\\; and \\\\ water 🥖
DESCRIPTION:First line\\nsecond line with many words that have to be folded when they are written anywhere
LOCATION:Kitchen
CATEGORIES:bread,oven
TRANSP:TRANSPARENT
ATTENDEE;CN="Baker, The";PARTSTAT=ACCEPTED:mailto:baker@example.org
X-OWN;X-A=1;X-B="two;three":kept
BEGIN:VALARM
ACTION:DISPLAY
DESCRIPTION:now
TRIGGER:-PT10M
END:VALARM"""
MOVED = """UID:rich
DTSTAMP:20270101T000000Z
RECURRENCE-ID;TZID=Europe/Berlin:20270328T190000
DTSTART;TZID=Europe/Berlin:20270328T210000
DTEND;TZID=Europe/Berlin:20270328T220000
SUMMARY:Later"""
ALL_DAY = "UID:day\nDTSTAMP:20270101T000000Z\nDTSTART;VALUE=DATE:20270320\nDTEND;VALUE=DATE:20270322\nSUMMARY:Away"
FLOATING = "UID:float\nDTSTAMP:20270101T000000Z\nDTSTART:20270321T080000\nDURATION:PT45M\nSUMMARY:Breakfast"
ZONE = """BEGIN:VTIMEZONE
TZID:Europe/Berlin
BEGIN:STANDARD
DTSTART:19961027T030000
TZOFFSETFROM:+0200
TZOFFSETTO:+0100
TZNAME:CET
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19810329T020000
TZOFFSETFROM:+0100
TZOFFSETTO:+0200
TZNAME:CEST
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
END:DAYLIGHT
END:VTIMEZONE"""


def test_what_is_written_reads_as_a_file_does(place: Place, ics: Ics, window: Window, home: ZoneInfo) -> None:
    written = [ics(FULL, MOVED, head=ZONE), ics(ALL_DAY), ics(FLOATING)]
    for number, data in enumerate(written):
        held = place.store.put(resource_for(str(number)), data, None)
        assert says(held.data, data)
    assert all(
        says(each.data, data) for each in place.store.held() for data in written if uids(each.data) == uids(data)
    )
    spans = (window, (window[0].replace(day=28), window[1]), (datetime(2028, 1, 1, tzinfo=UTC),) * 2)
    for span in spans:
        wanted = read_parts(
            [(resource_for(str(at)), data) for at, data in enumerate(written)], source="family", zone=home, window=span
        )
        assert place.store.read(span, home) == wanted
    assert len(place.store.read(window, home).events) == 6


def test_a_task(place: Place, ics: Ics) -> None:
    task = ics(EVENT.format(uid="a", title="Bake")).replace(b"VEVENT", b"VTODO").replace(b"DTEND", b"DUE")
    made = place.store.put(A, task, None)
    done = task.replace(b"END:VTODO", b"STATUS:COMPLETED\r\nCOMPLETED:20270316T120000Z\r\nEND:VTODO")
    place.store.put(A, done, made.etag)
    assert same(place.store.held()[0].data, done)


@pytest.mark.parametrize("kind", ["folder", "caldav"])
def test_a_calendar_that_is_gone_is_not_an_empty_one(
    kind: str, radicale: DavServer, tmp_path: Path, entry: Entry
) -> None:
    where = str(tmp_path / "none") if kind == "folder" else f"{radicale.root}{radicale.make()[:-1]}-none/"
    store = open_writable(kind, where, "family", radicale.access)
    for act in (
        store.held,
        lambda: store.get(A),
        lambda: store.put(A, entry(), None),
        lambda: store.delete(A, '"1"'),
    ):
        with pytest.raises(MissingCalendar, match=r"family|there is no such folder"):
            act()


def test_a_calendar_taken_away_meanwhile(radicale: DavServer, entry: Entry) -> None:
    path = radicale.make()
    store = open_writable("caldav", radicale.root + path, "family", radicale.access)
    made = store.put(A, entry(), None)
    assert radicale.ask("DELETE", path)[0] == 200
    for act in (store.held, lambda: store.get(A), lambda: store.delete(A, made.etag)):
        with pytest.raises(CalendarError, match=r"nothing at its address|does not show"):
            act()
    for etag in (None, made.etag):
        with pytest.raises(Refused):
            store.put(A, entry(title="Shape"), etag)


@pytest.mark.parametrize("http", [False, True])
def test_a_server_that_takes_no_tasks_and_keeps_a_trash(http: bool, ics: Ics, entry: Entry) -> None:
    server = MemoryServer(Quirks(tasks=False, trash=True))
    with ExitStack() as stack:
        store: Writable = MemoryStore(server)
        if http:
            store = open_writable("caldav", stack.enter_context(serving_dav(server)), "family")
        with pytest.raises(Refused):
            store.put(A, entry().replace(b"VEVENT", b"VTODO"), None)
        made = store.put(A, entry(), None)
        with pytest.raises(Refused):
            store.put(resource_for("other"), entry(), None)
        store.delete(A, made.etag)
        with pytest.raises(Refused):
            store.put(A, entry(), None)
        assert store.held() == ()


def test_components_say_whether_tasks_are_taken(radicale: DavServer) -> None:
    from calendars.dav import DavCalendar

    for tasks in (True, False):
        with serving_dav(MemoryServer(Quirks(tasks=tasks))) as address:
            assert ("VTODO" in DavCalendar(address, "family", Access()).components()) == tasks


def test_kinds_that_cannot_be_written_say_so(tmp_path: Path) -> None:
    with pytest.raises(CalendarError, match="cannot be written; use one of: folder, caldav"):
        open_writable("file", str(tmp_path / "a.ics"), "family")


def test_a_folder_keeps_what_it_had_where_the_disk_is_full(
    tmp_path: Path, entry: Entry, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = open_writable("folder", str(tmp_path), "family")
    made = store.put(A, entry(), None)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    for resource, etag in ((A, made.etag), (resource_for("b"), None)):
        with pytest.raises(CalendarError, match=r"No space left on device\. Nothing was changed"):
            store.put(resource, entry(title="Shape"), etag)
    assert [path.name for path in tmp_path.iterdir()] == [A]
    assert store.get(A) == made


def test_canonical_forms(ics: Ics) -> None:
    plain = ics(FULL, MOVED, head=ZONE)
    folded = plain.replace(b"words that", b"wo\r\n rds that").replace(b"\r\n", b"\n").replace(b"SUMMARY", b"summary")
    turned = plain.replace(b';CN="Baker, The";PARTSTAT=ACCEPTED', b';PARTSTAT="ACCEPTED";CN="Baker, The"')
    stamped = plain.replace(b"20270101T000000Z", b"20270202T000000Z")
    for other in (folded, turned, stamped, plain.replace(ZONE.replace("\n", "\r\n").encode(), b"")):
        assert other != plain
        assert same(plain, other)
    for old, new in ((b"COUNT=5", b"COUNT=6"), (b"two;three", b"two"), (b"-PT10M", b"-PT20M"), (b"Later", b"")):
        assert not same(plain, plain.replace(old, new))
        assert not says(plain.replace(old, new), plain)
    more = plain.replace(b"LOCATION:", b"COLOR:red\r\nLOCATION:")
    assert says(more, plain)
    assert not says(plain, more)
    assert not says(b"<html></html>", b"")
    assert canonical(b"BEGIN:VCALENDAR\r\nno grammar\r\nBEGIN:VEVENT") != canonical(b"BEGIN:VCALENDAR\r\nno grammar")
    assert uids(ics("UID:a\\,b\\\\n", "UID:c")) == {"a,b\\n", "c"}


def test_names_of_resources() -> None:
    names = [resource_for(uid) for uid in ODD_UIDS]
    assert len(set(names)) == len(names)
    assert all(name.isascii() and len(name) < 40 and name == name.casefold() for name in names)
    assert names == [resource_for(uid) for uid in ODD_UIDS]


def test_replace_keeps_the_rest() -> None:
    assert replace(Access("kitchen", lambda: "secret"), plain_http=True).user == "kitchen"
    assert "secret" not in repr(Access("kitchen", lambda: "secret"))
