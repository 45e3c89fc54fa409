"""What would be written: as little as possible, nothing that is not ours, and not before what is odd was asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import pytest

from calendars.canonical import uids
from calendars.content import main_of, parse, span_of
from calendars.store import UnreadableCalendar, resource_for
from calendars.sync import Changes, Written
from calendars.writing import Entry
from tests.calendars.family import NOW, ZONE, Family, MemoryJournal, differ, entry, publish
from tests.calendars.memory_server import MemoryServer, MemoryStore, Quirks

HOUR = timedelta(hours=1)
PAST, SOON, LATER, LAST = entry("past", -5), entry("soon", 5), entry("later", 30), entry("last", 50)
ALL = (PAST, SOON, LATER, LAST)


class Home:
    """A calendar with our entries, one of them past, and an event of somebody else's."""

    def __init__(self, quirks: Quirks | None = None) -> None:
        self.store = MemoryStore(MemoryServer(quirks or Quirks()))
        self.family = Family(self.store)
        self.journal = MemoryJournal()
        self.store.put("dentist.ics", dentist(), None)
        publish(self.store, self.journal, ALL, NOW - 6 * HOUR)

    def differ(self, wanted: Sequence[Entry], *answered: str) -> Changes:
        return differ(self.store, self.journal, wanted, answered=answered)

    def place(self, resource: str, data: bytes) -> None:
        self.store.server.resources[resource] = (99, data)


def dentist(uid: str = "dentist") -> bytes:
    lines = ["BEGIN:VCALENDAR", "BEGIN:VEVENT", f"UID:{uid}", "DTSTART:20270316T100000Z", "SUMMARY:Bread: soon"]
    return "\r\n".join([*lines, "END:VEVENT", "END:VCALENDAR", ""]).encode()


@pytest.fixture
def home() -> Home:
    return Home()


def kinds(changes: Changes) -> dict[str, list[str]]:
    """Return UIDs by what happens to them, without what nothing happens to."""
    found = {
        "add": [write.uid for write in changes.add],
        "change": [write.uid for write in changes.change],
        "remove": [write.uid for write in changes.remove],
        "record": [each.uid for each in changes.record],
        "forget": list(changes.forget),
        "overruled": [edit.uid for edit in changes.overruled],
        "ask": [question.kind for question in changes.questions],
    }
    return {kind: names for kind, names in found.items() if names}


@pytest.mark.parametrize("quirks", [Quirks(), Quirks(rewrites=True), Quirks(rewrites=True, strong_tags=False)])
def test_nothing_new_is_no_change(quirks: Quirks) -> None:
    home = Home(quirks)
    changes = home.differ([replace(each, sequence=4, last_modified=NOW) for each in ALL])
    assert kinds(changes) == {}
    assert sorted(changes.same) == sorted(each.uid for each in ALL)


def test_added_changed_and_removed_by_start(home: Home) -> None:
    wanted = [SOON, replace(LAST, summary="Rolls"), entry("b", 9), entry("a", 9), entry("before", 7)]
    changes = home.differ(wanted)
    assert kinds(changes) == {"add": ["before", "a", "b"], "change": ["last"], "remove": ["later"]}
    assert [write.uid for write in changes.writes] == ["before", "a", "b", "last", "later"]
    change, remove = changes.change[0], changes.remove[0]
    assert (change.title, change.was, change.now) == ("Rolls", (LAST.start, LAST.end), (LAST.start, LAST.end))
    assert (remove.title, remove.was, remove.now, remove.data) == ("Bread: later", (LATER.start, LATER.end), None, None)
    assert changes.add[0].was is None
    assert {write.resource for write in changes.add} == {resource_for(uid) for uid in ("before", "a", "b")}


def test_a_new_entry_in_the_past_is_not_written(home: Home) -> None:
    assert kinds(home.differ([*ALL, entry("new", -1)])) == {}


def test_past_entries_are_neither_written_nor_removed(home: Home) -> None:
    assert kinds(home.differ([SOON, LATER, LAST])) == {}
    assert kinds(home.differ([replace(PAST, summary="New"), SOON, LATER, LAST])) == {}


def test_what_was_put_off_is_moved_so_that_no_ghost_stays(home: Home) -> None:
    moved = replace(PAST, start=NOW + HOUR, end=NOW + 2 * HOUR)
    changes = home.differ([moved, SOON, LATER, LAST])
    assert kinds(changes) == {"change": ["past"]}
    assert changes.change[0].was == (PAST.start, PAST.end)


def test_a_past_entry_that_was_tidied_away_is_forgotten(home: Home) -> None:
    home.family.delete("past")
    assert kinds(home.differ(ALL)) == {"forget": ["past"]}
    assert kinds(home.differ(ALL[1:])) == {"forget": ["past"]}


def test_what_is_long_past_is_forgotten_and_stays_in_the_calendar(home: Home) -> None:
    long_after = NOW + timedelta(days=61)
    changes = differ(home.store, home.journal, [], long_after)
    assert kinds(changes) == {"forget": ["past", "soon"]}
    resources = dict(home.store.server.resources)
    publish(home.store, home.journal, [], long_after)
    assert home.store.server.resources == resources
    assert sorted(home.journal.records) == ["last", "later"]


class TestWishes:
    def test_moved_and_wanted_there_is_recorded_without_a_write(self, home: Home) -> None:
        home.family.move("later", LATER.start + HOUR, LATER.end + HOUR)
        wanted = [PAST, SOON, replace(LATER, start=LATER.start + HOUR, end=LATER.end + HOUR), LAST]
        changes = home.differ(wanted)
        assert kinds(changes) == {"record": ["later"]}
        publish(home.store, home.journal, wanted)
        assert kinds(home.differ(wanted)) == {}
        assert home.differ(wanted).edits == ()

    def test_moved_and_wanted_elsewhere_is_written_and_said(self, home: Home) -> None:
        home.family.move("later", LATER.start + HOUR, LATER.end + HOUR)
        changes = home.differ(ALL)
        assert kinds(changes) == {"change": ["later"], "overruled": ["later"]}
        assert changes.change[0].was == (LATER.start + HOUR, LATER.end + HOUR)

    def test_resized_and_wanted_so_or_not(self, home: Home) -> None:
        home.family.move("later", LATER.start, LATER.end + HOUR)
        assert kinds(home.differ([PAST, SOON, replace(LATER, end=LATER.end + HOUR), LAST])) == {"record": ["later"]}
        assert kinds(home.differ(ALL)) == {"change": ["later"], "overruled": ["later"]}

    def test_deleted_and_no_longer_wanted_is_forgotten_else_put_back(self, home: Home) -> None:
        home.family.delete("later")
        assert kinds(home.differ([PAST, SOON, LAST])) == {"forget": ["later"]}
        changes = home.differ(ALL)
        assert kinds(changes) == {"add": ["later"], "overruled": ["later"]}
        assert changes.add[0].resource == resource_for("later")

    def test_called_off_is_taken_away_or_put_on_again(self, home: Home) -> None:
        home.family.set("later", "STATUS", "STATUS:CANCELLED")
        assert kinds(home.differ([PAST, SOON, LAST])) == {"remove": ["later"]}
        assert kinds(home.differ(ALL)) == {"change": ["later"], "overruled": ["later"]}

    def test_ticked_off_is_left_alone(self, home: Home) -> None:
        home.family.set("later", "SUMMARY", "SUMMARY:✓ Bread: later")
        assert kinds(home.differ([PAST, SOON, replace(LATER, start=NOW, description="New"), LAST])) == {}
        assert kinds(home.differ([PAST, SOON, LAST])) == {}

    def test_a_task_that_is_done_there_and_here_is_recorded(self) -> None:
        home = Home()
        task = entry("task", 40, task=True)
        publish(home.store, home.journal, [*ALL, task])
        home.family.set("task", "STATUS", "STATUS:COMPLETED")
        home.family.set("task", "COMPLETED", "COMPLETED:20270315T080000Z")
        wanted = [*ALL, replace(task, completed=NOW)]
        assert kinds(home.differ(wanted)) == {"change": ["task"]}
        publish(home.store, home.journal, wanted)
        changes = home.differ(wanted)
        assert (kinds(changes), changes.edits) == ({}, ())


def test_another_s_event_is_never_in_a_change(home: Home) -> None:
    wanted = [entry("dentist-2", 25, summary="Bread: soon")]
    changes = home.differ(wanted, "removed")
    assert {write.resource for write in changes.writes} & {"dentist.ics"} == set()


def test_another_s_event_in_the_resource_of_ours_stays_when_ours_goes(home: Home) -> None:
    ours = home.family.text("later")
    both = ours.replace("END:VEVENT\r\n", "END:VEVENT\r\nBEGIN:VEVENT\r\nUID:x\r\nDTSTART:20270101\r\nEND:VEVENT\r\n")
    home.place(resource_for("later"), both.encode())
    (write,) = home.differ([PAST, SOON, LAST]).remove
    assert write.data is not None
    assert uids(write.data) == {"x"}
    publish(home.store, home.journal, [PAST, SOON, LAST])
    assert uids(home.store.server.resources[resource_for("later")][1]) == {"x"}
    assert "later" not in home.journal.records


class TestQuestions:
    def test_an_empty_calendar(self, home: Home) -> None:
        home.store.server.resources.clear()
        changes = home.differ(ALL)
        assert changes.questions[0].kind == "empty"
        assert [write.uid for write in changes.add] == ["soon", "later", "last"]
        assert home.differ(ALL, "empty").questions == ()

    def test_most_gone(self, home: Home) -> None:
        for uid in ("soon", "later", "last"):
            home.family.delete(uid)
        assert home.differ(ALL).questions[0].kind == "vanished"

    def test_most_to_be_taken_away(self, home: Home) -> None:
        (question,) = home.differ([PAST]).questions
        assert (question.kind, question.uids) == ("removed", ("soon", "later", "last"))
        assert "3 of our 3 entries" in question.text
        assert home.differ([PAST], "removed").questions == ()
        assert home.differ([PAST, LAST]).questions == ()

    def test_half_to_be_taken_away_is_not_most(self, home: Home) -> None:
        more = [entry(f"more{number}", 60 + number) for number in range(3)]
        publish(home.store, home.journal, [*ALL, *more])
        assert home.differ([PAST, *more]).questions == ()
        assert [each.kind for each in home.differ([PAST, *more[1:]]).questions] == ["removed"]

    def test_ours_twice(self, home: Home) -> None:
        home.place("copy.ics", home.family.text("later").encode())
        wanted = [PAST, SOON, replace(LATER, summary="New"), LAST]
        assert kinds(home.differ(wanted)) == {"change": ["later"], "ask": ["twice"]}
        assert home.differ(wanted, "twice").change[0].resource == resource_for("later")

    def test_ours_elsewhere(self, home: Home) -> None:
        home.store.server.resources["other.ics"] = home.store.server.resources.pop(resource_for("later"))
        assert kinds(home.differ(ALL)) == {"record": ["later"], "ask": ["elsewhere"]}
        publish(home.store, home.journal, ALL, answered=["elsewhere"])
        assert home.journal.records["later"].resource == "other.ics"
        assert kinds(home.differ(ALL)) == {}

    def test_ours_unreadable(self, home: Home) -> None:
        home.place(resource_for("later"), b"")
        changes = home.differ(ALL)
        assert kinds(changes) == {"change": ["later"], "ask": ["unreadable"]}
        publish(home.store, home.journal, ALL, answered=["unreadable"])
        assert kinds(home.differ(ALL)) == {}

    @pytest.mark.parametrize("count", [1, 2])
    def test_something_else_where_ours_should_go(self, home: Home, count: int) -> None:
        places = [resource_for("new" + again) for again in ("", "#2", "#3")]
        for number in range(count):
            home.place(places[number], dentist(f"x{number}"))
        wanted = [*ALL, entry("new", 3)]
        changes = home.differ(wanted)
        assert kinds(changes) == {"add": ["new"], "ask": ["occupied"]}
        assert changes.add[0].resource == places[count]
        publish(home.store, home.journal, wanted, answered=["occupied"])
        assert kinds(home.differ(wanted)) == {}

    def test_ours_that_the_record_does_not_know(self, home: Home) -> None:
        home.family.set("later", "COLOR", "COLOR:tomato")
        del home.journal.records["later"]
        assert kinds(home.differ(ALL[:2] + ALL[3:])) == {}
        assert kinds(home.differ(ALL)) == {"record": ["later"], "ask": ["unrecorded"]}
        publish(home.store, home.journal, ALL, answered=["unrecorded"])
        assert kinds(home.differ(ALL)) == {}
        assert "COLOR:tomato" in home.family.text("later")


def test_a_damaged_record_is_said_and_nothing_guessed(home: Home) -> None:
    home.journal.records["later"] = Written("later", "x.ics", "", b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    with pytest.raises(UnreadableCalendar, match="record of the entry later is damaged"):
        home.differ(ALL)


@pytest.mark.parametrize("uid", [" blank", "", "a\nb", "\x1b", "later"])
def test_a_uid_that_could_not_be_found_again_is_a_mistake_of_the_caller(home: Home, uid: str) -> None:
    with pytest.raises(ValueError, match="an entry has a UID"):
        home.differ([*ALL, entry(uid, 3)])


def test_what_is_sent_says_what_is_wanted(home: Home) -> None:
    home.family.move("soon", SOON.start + HOUR, SOON.end + 2 * HOUR)
    (write,) = home.differ(ALL).change
    assert write.data is not None
    found = main_of(parse(write.data), "soon")
    assert found is not None
    assert span_of(found, ZONE) == ((SOON.start, SOON.end), False)
