"""Sending changes: what is noted, what is recorded, what is left, and what the next run makes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from calendars.apply import Done, Left, apply, recover
from calendars.store import CalendarError, resource_for
from calendars.sync import Changes, Intent
from tests.calendars.family import NOW, PRODUCT, ZONE, Family, MemoryJournal, differ, entry, publish
from tests.calendars.memory_server import Fault, Killed, MemoryServer, MemoryStore, Quirks

HOUR = timedelta(hours=1)
A, B, C = entry("a", 5), entry("b", 9), entry("c", 30)


class Home:
    """A calendar with two entries of ours, and what would be done to it: one added, one changed, one removed."""

    def __init__(self) -> None:
        self.server = MemoryServer()
        self.store = MemoryStore(self.server)
        self.family = Family(self.server.family())
        self.journal = MemoryJournal()
        publish(self.store, self.journal, [A, B])
        self.wanted = [replace(B, start=B.start + HOUR, end=B.end + HOUR), C]
        self.changes = differ(self.store, self.journal, self.wanted)
        assert [write.uid for write in self.changes.writes] == ["c", "b", "a"]

    def apply(self, *faults: Fault | None, changes: Changes | None = None) -> Done:
        self.server.faults = iter(faults)
        return apply(changes or self.changes, self.store, self.journal, now=NOW, zone=ZONE, product_id=PRODUCT)

    def settled(self) -> None:
        """Publish undisturbed and assert that this was it."""
        self.server.faults = iter(())
        done = publish(self.store, self.journal, self.wanted)
        assert (done.left, done.stopped) == ((), "")
        assert set(self.journal.records) == {"b", "c"} == set(self.there())
        assert publish(self.store, self.journal, self.wanted) == Done()

    def there(self) -> list[str]:
        return [uid for uid in "abc" if resource_for(uid) in self.server.resources]


@pytest.fixture
def home() -> Home:
    return Home()


def test_all_well(home: Home) -> None:
    assert home.apply() == Done(("c",), ("b",), ("a",))
    assert home.journal.open == {}
    log = list(home.server.log)
    home.settled()
    assert home.server.log == log


def test_the_journal_holds_our_part_and_the_tag(home: Home) -> None:
    home.family.set("b", "COLOR", "COLOR:tomato")
    home.changes = differ(home.store, home.journal, home.wanted)
    home.apply()
    record = home.journal.records["b"]
    held = home.store.get(resource_for("b"))
    assert held is not None
    assert record.etag == held.etag
    assert b"COLOR" in held.data
    assert b"COLOR" not in record.data


def test_questions_stop_everything(home: Home) -> None:
    home.server.resources.clear()
    changes = differ(home.store, home.journal, home.wanted)
    with pytest.raises(CalendarError, match="reads as empty"):
        home.apply(changes=changes)
    assert home.server.resources == {}


def test_an_unsettled_intent_stops_everything(home: Home) -> None:
    home.journal.intend(Intent("a", resource_for("a"), None, '"1"', b""))
    log = list(home.server.log)
    with pytest.raises(CalendarError, match="not settled"):
        home.apply()
    assert home.server.log == log


def test_one_refused_is_left_and_the_others_go_on(home: Home) -> None:
    done = home.apply(Fault.REFUSED)
    assert (done.added, done.changed, done.removed) == ((), ("b",), ("a",))
    assert done.left == (Left("c", "Bread: c", "the server does not allow it. Nothing was written"),)
    assert home.journal.open == {}
    home.settled()


def test_three_refused_in_a_row_and_the_rest_is_not_tried(home: Home) -> None:
    home.wanted.append(entry("d", 31))
    changes = differ(home.store, home.journal, home.wanted)
    done = home.apply(Fault.REFUSED, Fault.UNREACHABLE, Fault.REFUSED, changes=changes)
    assert [left.uid for left in done.left] == ["c", "d", "b", "a"]
    assert done.left[-1].why == "not tried"
    assert done.stopped


def test_busy_stops_politely(home: Home) -> None:
    done = home.apply(None, Fault.BUSY)
    assert (done.added, done.retry_after, done.stopped) == (("c",), 30, "the server is busy. Nothing was written")
    assert [left.uid for left in done.left] == ["b", "a"]
    assert (home.journal.open, done.unsettled) == ({}, False)
    home.settled()


@pytest.mark.parametrize("fault", [Fault.STORED_UNSURE, Fault.UNSURE, Fault.STORED_LATE])
@pytest.mark.parametrize("before", range(3))
def test_an_outcome_not_known_is_looked_at_by_the_next_run(home: Home, fault: Fault, before: int) -> None:
    done = home.apply(*[None] * before, fault)
    assert done.unsettled
    assert [left.uid for left in done.left] == ["c", "b", "a"][before:]
    assert list(home.journal.open) == [["c", "b", "a"][before]]
    puts = len(home.server.log)
    home.settled()
    expected = 3 - before if fault is Fault.UNSURE else 3 - before - (fault is Fault.STORED_UNSURE)
    assert len(home.server.log) == puts + expected, "what was made is not made again"


@pytest.mark.parametrize("fault", [Fault.KILLED_BEFORE, Fault.KILLED_AFTER])
@pytest.mark.parametrize("before", range(3))
def test_killed_while_sending(home: Home, fault: Fault, before: int) -> None:
    with pytest.raises(Killed):
        home.apply(*[None] * before, fault)
    home.settled()
    assert len(home.server.log) == 2 + 3, "each of the five writes was made once"


@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("call", range(6))
def test_killed_at_any_call_of_the_journal(home: Home, when: str, call: int) -> None:
    calls = iter(range(100))

    def die() -> None:
        if next(calls) == call:
            raise Killed

    setattr(home.journal, when, die)
    with pytest.raises(Killed):
        home.apply()
    setattr(home.journal, when, lambda: None)
    home.settled()
    assert len(home.server.log) == 5


@pytest.mark.parametrize(
    ("edit", "left"),
    [
        (lambda family: family.move("b", B.start + 3 * HOUR, B.end + 3 * HOUR), True),
        (lambda family: family.move("b", B.start, B.end + HOUR), True),
        (lambda family: family.set("b", "SUMMARY", "SUMMARY:✓ Bread"), True),
        (lambda family: family.delete("b"), True),
        (lambda family: family.set("b", "COLOR", "COLOR:tomato"), False),
        (lambda family: family.set("b", "SUMMARY", "SUMMARY:Bread: b (Oma)"), False),
    ],
)
def test_edited_since_it_was_read(home: Home, edit: Callable[[Family], None], left: bool) -> None:
    edit(home.family)
    before = home.server.resources.get(resource_for("b"))
    done = home.apply()
    assert [each.uid for each in done.left] == (["b"] if left else [])
    assert home.journal.open == {}
    if left:
        assert home.server.resources.get(resource_for("b")) == before
    else:
        assert "Oma" in home.family.text("b") or "tomato" in home.family.text("b")
        assert "DTSTART:20270315T190000Z" in home.family.text("b")


@pytest.mark.parametrize(
    ("edit", "removed"),
    [
        (lambda family: family.move("a", A.start + 3 * HOUR, A.end + 3 * HOUR), False),
        (lambda family: family.set("a", "SUMMARY", "SUMMARY:✓ Bread"), False),
        (lambda family: family.delete("a"), True),
        (lambda family: family.set("a", "COLOR", "COLOR:tomato"), True),
    ],
)
def test_edited_before_it_is_taken_away(home: Home, edit: Callable[[Family], None], removed: bool) -> None:
    edit(home.family)
    done = home.apply()
    assert ("a" in done.removed, "a" not in home.there(), "a" not in home.journal.records) == (removed,) * 3


@pytest.mark.parametrize("added", [b"", b"X-SERVER:1\r\n"])
def test_made_already_as_we_want_it(home: Home, added: bytes) -> None:
    """Two runs at once, or a write that came late: what is there says all that was to be sent."""
    for write in home.changes.writes:
        if write.data is None:
            home.family.store.delete(write.resource, write.etag or "")
        else:
            data = write.data.replace(b"END:VEVENT", added + b"END:VEVENT")
            home.family.store.put(write.resource, data, write.etag)
    done = home.apply()
    assert done == Done(("c",), ("b",), ("a",))
    home.settled()


def test_written_by_them_as_we_want_it_is_recorded_without_a_write(home: Home) -> None:
    home.wanted[0] = replace(B, summary="Rolls")
    changes = differ(home.store, home.journal, home.wanted)
    home.family.set("b", "SUMMARY", "SUMMARY:Rolls")
    home.family.set("b", "DESCRIPTION", "DESCRIPTION:Mine")
    puts = home.server.log.count(("put", resource_for("b")))
    assert home.apply(changes=changes).changed == ("b",)
    assert home.server.log.count(("put", resource_for("b"))) == puts
    assert b"SUMMARY:Rolls" in home.journal.records["b"].data
    home.settled()


def test_moved_by_them_to_where_we_want_it_is_only_left_for_the_next_time(home: Home) -> None:
    home.family.move("b", B.start + HOUR, B.end + HOUR)
    assert [left.uid for left in home.apply().left] == ["b"]
    home.settled()


def test_something_else_came_to_where_ours_should_go(home: Home) -> None:
    foreign = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:x\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    home.family.store.put(resource_for("c"), foreign, None)
    done = home.apply()
    assert [left.uid for left in done.left] == ["c"]
    assert home.server.resources[resource_for("c")][1] == foreign
    assert [each.kind for each in differ(home.store, home.journal, home.wanted).questions] == ["occupied"]


def test_a_server_that_blocks_deleted_uids_is_reported(home: Home) -> None:
    home.server.quirks = Quirks(trash=True)
    home.family.delete("b")
    changes = differ(home.store, home.journal, home.wanted)
    done = home.apply(changes=changes)
    assert [left.uid for left in done.left] == ["b"]
    assert "trash" in done.left[0].why


class TestRecover:
    def test_nothing_open_asks_the_server_nothing(self, home: Home) -> None:
        home.server.faults = iter([Fault.UNREACHABLE])
        recover(home.store, home.journal)

    def test_a_server_that_cannot_be_looked_at_leaves_all_open(self, home: Home) -> None:
        home.apply(Fault.UNSURE)
        home.server.faults = iter([Fault.UNREACHABLE])
        with pytest.raises(CalendarError):
            recover(home.store, home.journal)
        assert list(home.journal.open) == ["c"]

    def test_made_and_then_moved_by_the_family(self, home: Home) -> None:
        home.apply(None, Fault.STORED_UNSURE)
        home.family.move("b", B.start + 7 * HOUR, B.end + 7 * HOUR)
        recover(home.store, home.journal)
        (edit,) = differ(home.store, home.journal, home.wanted).edits
        assert edit.kind == "moved"
        assert edit.now == (B.start + 7 * HOUR, B.end + 7 * HOUR)

    @pytest.mark.parametrize("made", [True, False])
    @pytest.mark.parametrize("title", ["Bread: b now", "Rolls!"])
    def test_their_note_tells_what_was_made_from_what_was_not(self, home: Home, made: bool, title: str) -> None:
        home.wanted = [A, replace(B, summary=title)]
        changes = differ(home.store, home.journal, home.wanted)
        home.apply(Fault.STORED_UNSURE if made else Fault.UNSURE, changes=changes)
        shown = title if made else "Bread: b"
        home.family.set("b", "SUMMARY", f"SUMMARY:{shown} (Oma)")
        publish(home.store, home.journal, home.wanted)
        assert f"SUMMARY:{title} (Oma)\r\n" in home.family.text("b")

    def test_added_and_edited_before_it_was_recorded_is_ours(self, home: Home) -> None:
        home.apply(Fault.STORED_UNSURE)
        home.family.move("c", C.start + HOUR, C.end + HOUR)
        recover(home.store, home.journal)
        assert "c" in home.journal.records
        assert [edit.uid for edit in differ(home.store, home.journal, home.wanted).edits] == ["c"]

    def test_another_s_entry_where_ours_was_to_be_added_is_not_ours(self, home: Home) -> None:
        home.apply(Fault.UNSURE)
        foreign = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:x\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
        home.family.store.put(resource_for("c"), foreign, None)
        recover(home.store, home.journal)
        assert "c" not in home.journal.records
        assert home.journal.open == {}
