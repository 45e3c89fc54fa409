"""What the family did to our entries, read off the calendar; and what is asked before it is believed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from calendars.edits import doubts, edits
from calendars.sync import Edit, EditKind
from tests.calendars.family import NOW, ZONE, Family, MemoryJournal, entry, publish
from tests.calendars.memory_server import MemoryServer, MemoryStore

PAST, SOON, LATER, TASK = entry("past", -5), entry("soon", 5), entry("later", 30), entry("task", 40, task=True)
HOUR = timedelta(hours=1)


class Home:
    """A calendar with four entries of ours, one of them past, written six hours ago."""

    def __init__(self) -> None:
        self.store = MemoryStore(MemoryServer())
        self.family = Family(self.store)
        self.journal = MemoryJournal()
        publish(self.store, self.journal, [PAST, SOON, LATER, TASK], NOW - 6 * HOUR)

    def edits(self, *answered: str, now: datetime = NOW) -> tuple[Edit, ...]:
        return edits(self.journal.written(), self.store.held(), now=now, zone=ZONE, answered=answered)

    def doubts(self) -> list[tuple[str, tuple[str, ...]]]:
        found = doubts(self.journal.written(), self.store.held(), now=NOW, zone=ZONE)
        assert all(each.text for each in found)
        return [(each.kind, each.uids) for each in found]


@pytest.fixture
def home() -> Home:
    return Home()


def test_nothing_done_is_no_edit(home: Home) -> None:
    assert home.edits() == ()
    assert home.doubts() == []


def test_moved_to_another_day_by_a_program_that_writes_in_its_own_zone(home: Home) -> None:
    home.family.set("later", "DTSTART", "DTSTART;TZID=Europe/Berlin:20270318T200000")
    home.family.set("later", "DTEND", "DTEND;TZID=Europe/Berlin:20270318T204500")
    start = datetime(2027, 3, 18, 19, tzinfo=UTC)
    was = (LATER.start, LATER.end)
    assert home.edits() == (Edit("later", "moved", was, (start, start + timedelta(minutes=45))),)


def test_put_into_another_zone_without_being_moved_is_no_edit(home: Home) -> None:
    local = LATER.start.astimezone(ZONE)
    home.family.set("later", "DTSTART", f"DTSTART;TZID=Europe/Berlin:{local:%Y%m%dT%H%M%S}")
    home.family.set("later", "DTEND", "DURATION:PT45M")
    assert home.edits() == ()


def test_dragged_at_its_end_is_resized_and_at_its_start_moved(home: Home) -> None:
    home.family.move("later", LATER.start, LATER.end + HOUR)
    home.family.move("soon", SOON.start - HOUR, SOON.end)
    assert [(edit.uid, edit.kind, edit.now) for edit in home.edits()] == [
        ("soon", "moved", (SOON.start - HOUR, SOON.end)),
        ("later", "resized", (LATER.start, LATER.end + HOUR)),
    ]


def test_moved_to_a_day_without_a_time(home: Home) -> None:
    home.family.set("later", "DTSTART", "DTSTART;VALUE=DATE:20270318")
    home.family.set("later", "DTEND", "DTEND;VALUE=DATE:20270319")
    (edit,) = home.edits()
    assert (edit.kind, edit.all_day) == ("moved", True)
    assert edit.now == (datetime(2027, 3, 17, 23, tzinfo=UTC), datetime(2027, 3, 18, 23, tzinfo=UTC))


def test_deleting_what_is_to_come_is_a_wish_and_what_is_past_is_tidying(home: Home) -> None:
    home.family.delete("past")
    home.family.delete("later")
    assert home.edits() == (Edit("later", "deleted", (LATER.start, LATER.end), None),)


def test_called_off_counts_as_deleted(home: Home) -> None:
    home.family.set("later", "STATUS", "STATUS:CANCELLED")
    home.family.set("past", "STATUS", "STATUS:CANCELLED")
    assert home.edits() == (Edit("later", "deleted", (LATER.start, LATER.end), None),)


def test_a_past_entry_put_right_is_no_wish_but_one_put_off_is(home: Home) -> None:
    home.family.move("past", PAST.start - HOUR, PAST.end)
    assert home.edits() == ()
    home.family.move("past", NOW + HOUR, NOW + 2 * HOUR)
    assert [edit.kind for edit in home.edits()] == ["moved"]


@pytest.mark.parametrize(
    "title", ["✓ Bread", "✔️ Bread", "☑Bread", "✅ Bread", "[x] Bread", "[X]Bread", "Bread ✓", " Bread: soon ✅ "]
)
def test_a_check_mark_at_an_end_of_the_title_is_done_past_or_not(home: Home, title: str) -> None:
    for uid in ("soon", "past"):
        home.family.set(uid, "SUMMARY", f"SUMMARY:{title}")
    assert [(edit.uid, edit.kind) for edit in home.edits()] == [("past", "done"), ("soon", "done")]


@pytest.mark.parametrize("title", ["Bread [x] or two", "Bread ✓ and rolls", "x Bread", "Done"])
def test_other_titles_are_only_noted(home: Home, title: str) -> None:
    home.family.set("soon", "SUMMARY", f"SUMMARY:{title}")
    assert [edit.kind for edit in home.edits()] == ["noted"]


def test_a_task_is_done_with_the_time_its_program_wrote(home: Home) -> None:
    home.family.set("task", "STATUS", "STATUS:COMPLETED")
    home.family.set("task", "COMPLETED", "COMPLETED:20270315T083000Z")
    (edit,) = home.edits()
    assert (edit.kind, edit.at) == ("done", datetime(2027, 3, 15, 8, 30, tzinfo=UTC))
    home.family.set("task", "COMPLETED", "COMPLETED:yesterday")
    (edit,) = home.edits()
    assert (edit.kind, edit.at) == ("done", None)


def test_what_we_said_was_done_can_be_undone(home: Home) -> None:
    publish(home.store, home.journal, [SOON, LATER, replace(TASK, completed=NOW)])
    assert home.edits() == ()
    home.family.edit("task", lambda text: text.replace("STATUS:COMPLETED\r\n", "STATUS:NEEDS-ACTION\r\n"))
    home.family.edit("task", lambda text: text.replace("PERCENT-COMPLETE:100", "PERCENT-COMPLETE:0"))
    home.family.edit("task", lambda text: text.replace("COMPLETED:20270315T090000Z\r\n", ""))
    assert [(edit.uid, edit.kind) for edit in home.edits()] == [("task", "undone")]


EDITS: list[tuple[str, Callable[[Family], None], bool]] = [
    ("colour", lambda family: family.set("soon", "COLOR", "COLOR:tomato"), True),
    ("own text", lambda family: family.set("soon", "DESCRIPTION", "DESCRIPTION:Mine"), True),
    ("category", lambda family: family.set("soon", "CATEGORIES", "CATEGORIES:Oma"), True),
    ("comment", lambda family: family.set("soon", "COMMENT", "COMMENT:late"), True),
    ("alarm", lambda family: family.add_part("soon", "BEGIN:VALARM", "TRIGGER:-PT1M", "END:VALARM"), True),
    ("a program's own", lambda family: family.set("soon", "X-MOZ-GENERATION", "X-MOZ-GENERATION:2"), False),
    ("a new stamp", lambda family: family.set("soon", "DTSTAMP", "DTSTAMP:20270101T000000Z"), False),
]


@pytest.mark.parametrize(
    ("act", "noticed"), [(act, noticed) for _, act, noticed in EDITS], ids=[name for name, *_ in EDITS]
)
def test_what_is_noted(home: Home, act: Callable[[Family], None], noticed: bool) -> None:
    act(home.family)
    kinds: list[EditKind] = [edit.kind for edit in home.edits()]
    assert kinds == (["noted"] if noticed else [])


def test_an_empty_calendar_is_asked_about_and_nothing_taken_as_deleted(home: Home) -> None:
    home.store.server.resources.clear()
    assert home.doubts() == [("empty", ("soon", "later", "task"))]
    assert home.edits() == ()
    assert [edit.kind for edit in home.edits("empty")] == ["deleted"] * 3


def test_an_empty_calendar_where_only_past_entries_were_is_nothing_odd(home: Home) -> None:
    home.store.server.resources.clear()
    assert home.edits(now=NOW + 100 * HOUR) == ()
    assert doubts(home.journal.written(), (), now=NOW + 100 * HOUR, zone=ZONE) == ()


def test_most_gone_at_once_is_asked_about(home: Home) -> None:
    home.family.delete("soon")
    home.family.delete("later")
    assert home.doubts() == []
    home.family.delete("task")
    assert home.doubts() == [("vanished", ("soon", "later", "task"))]
    assert home.edits() == ()
    assert len(home.edits("vanished")) == 3


def test_an_entry_in_two_places_is_asked_about(home: Home) -> None:
    version, data = home.store.server.resources[home.family.resource("soon")]
    home.store.server.resources["copy.ics"] = (version + 1, data)
    assert home.doubts() == [("twice", ("soon",))]
    assert home.edits() == ()


def test_an_entry_that_another_program_took_away_and_put_back_is_not_deleted(home: Home) -> None:
    home.store.server.resources["other.ics"] = home.store.server.resources.pop(home.family.resource("soon"))
    assert home.doubts() == [("elsewhere", ("soon",))]
    assert home.edits() == ()
    home.family.move("soon", SOON.start + HOUR, SOON.end + HOUR)
    assert [edit.kind for edit in home.edits()] == ["moved"]


@pytest.mark.parametrize(
    "data", [b"", b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:soon\r\nEND:VTODO\r\nEND:VCALENDAR\r\n"]
)
def test_an_entry_that_makes_no_sense_is_asked_about_and_not_taken_as_deleted(home: Home, data: bytes) -> None:
    home.store.server.resources[home.family.resource("soon")] = (99, data)
    assert home.doubts() == [("unreadable", ("soon",))]
    assert home.edits() == ()


def test_another_s_entry_in_the_place_of_ours_is_not_ours(home: Home) -> None:
    data = home.family.text("soon").replace("UID:soon", "UID:theirs").encode()
    home.store.server.resources[home.family.resource("soon")] = (99, data)
    assert [(edit.uid, edit.kind) for edit in home.edits()] == [("soon", "deleted")]


def test_a_series_they_made_of_it_is_known_by_its_first(home: Home) -> None:
    home.family.set("soon", "RRULE", "RRULE:FREQ=DAILY;COUNT=3")
    other = "BEGIN:VEVENT\r\nUID:soon\r\nRECURRENCE-ID:20270316T140000Z\r\nDTSTART:20270316T180000Z\r\nEND:VEVENT\r\n"
    home.family.edit("soon", lambda text: text.replace("BEGIN:VEVENT", other + "BEGIN:VEVENT", 1))
    assert [edit.kind for edit in home.edits()] == ["noted"]


@pytest.mark.parametrize("start", ["DTSTART:soon", "DTSTART:20271301T000000Z", 'DTSTART;X="a:20270315T140000Z'])
def test_times_that_cannot_be_read_are_no_move(home: Home, start: str) -> None:
    home.family.set("soon", "DTSTART", start)
    home.family.edit("soon", lambda text: text.replace("DTEND:", "X-END:"))
    assert home.edits() == ()


def test_an_event_that_is_a_day_and_says_no_end_is_a_day_long(home: Home) -> None:
    home.family.set("soon", "DTSTART", "DTSTART;VALUE=DATE:20270318")
    home.family.edit("soon", lambda text: text.replace("DTEND:", "X-END:"))
    (edit,) = home.edits()
    assert edit.now == (datetime(2027, 3, 17, 23, tzinfo=UTC), datetime(2027, 3, 18, 23, tzinfo=UTC))


def test_an_event_that_lost_its_times_has_not_moved(home: Home) -> None:
    home.family.edit("soon", lambda text: text.replace("DTSTART:", "X-START:").replace("DTEND:", "X-END:"))
    assert home.edits() == ()
