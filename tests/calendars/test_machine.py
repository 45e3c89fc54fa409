"""Publishing under everything that can happen at once: faults, kills, the family's edits, other plans.

A state machine plays a server that fails, a program that dies at any call, and a family that moves, deletes, ticks off
and writes notes, also in the middle of a run. Whatever came before, one undisturbed run puts things right, the next
writes nothing, and nothing that is not ours has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from calendars import canonical
from calendars.apply import Done, apply, recover
from calendars.content import Piece, main_of, parse, span_of
from calendars.difference import difference
from calendars.edits import edits
from calendars.known import is_ticked
from calendars.store import CalendarError, resource_for
from calendars.sync import Edit
from calendars.writing import Entry
from tests.calendars.family import NOW, PRODUCT, ZONE, Family, MemoryJournal, entry
from tests.calendars.memory_server import Fault, Killed, MemoryServer, MemoryStore, Quirks

uids = lru_cache(maxsize=1000)(canonical.uids)
YES = ("empty", "vanished", "occupied", "removed")
"""The questions this family can give rise to; it never does what the others are about."""
WISHES = ("moved", "resized", "deleted")
MOST_ENTRIES = 8
HOURS = st.integers(-3, 90)
PICKS = st.integers(0, 99)
TEXTS = st.sampled_from(["", "Two loaves.", "Three loaves.\nThen rest.", "Mix.\nFold three times.\nThen the fridge."])


class Publishing(RuleBasedStateMachine):
    """A calendar, the program that writes into it, and the family whose calendar it is."""

    def __init__(self) -> None:
        super().__init__()
        self.now = NOW
        self.wanted: dict[str, Entry] = {}
        self.foreign: dict[str, bytes] = {}
        self.left_alone: dict[str, bytes] = {}  # ticked off: by UID, what is there
        self.added: dict[str, list[str]] = {}  # by UID, what the family wrote into it
        self.touched: set[str] = set()
        self.moved_to: dict[str, datetime] = {}  # by UID, where the family last put it, since it was planned
        self.count = 0
        self.obedient = True

    @initialize(rewrites=st.booleans(), strong_tags=st.booleans(), obedient=st.booleans())
    def begin(self, rewrites: bool, strong_tags: bool, obedient: bool) -> None:
        self.server = MemoryServer(Quirks(rewrites=rewrites, strong_tags=strong_tags))
        self.store = MemoryStore(self.server, "ours")
        self.family = Family(self.server.family())
        self.journal = MemoryJournal()
        self.obedient = obedient
        for hours in (4, 20, 30, 50, 70):
            self.plan(hours, task=hours == 30)
        self.run(())

    @rule(
        plans=st.lists(st.tuples(PICKS, st.integers(0, 4), HOURS, TEXTS), min_size=1, max_size=4),
        acts=st.lists(st.tuples(PICKS, st.integers(0, 9), HOURS), max_size=3),
        faults=st.lists(st.tuples(st.integers(0, 4), st.sampled_from(Fault)), max_size=2),
        dies=st.none() | st.tuples(st.integers(0, 5), st.booleans()),
        meanwhile=st.none() | st.tuples(st.integers(0, 5), PICKS, st.integers(0, 9), HOURS),
        hours=st.integers(0, 8),
        rest=st.integers(0, 3),
    )
    def turn(
        self,
        plans: list[tuple[int, int, int, str]],
        acts: list[tuple[int, int, int]],
        faults: list[tuple[int, Fault]],
        dies: tuple[int, bool] | None,
        meanwhile: tuple[int, int, int, int] | None,
        hours: int,
        rest: int,
    ) -> None:
        """Plan anew, let the family edit, and publish while this goes wrong. meanwhile: an edit during the run."""
        self.now += timedelta(hours=hours)
        for change in plans:
            self.plan_anew(*change)
        for act in acts:
            self.edit(*act)
        self.server.faults = iter([fault for place, each in faults for fault in (*[None] * place, each)])
        if dies:
            setattr(self.journal, "after" if dies[1] else "before", at_call(dies[0], self.die))
        if meanwhile:
            earlier = self.journal.before
            edit = at_call(meanwhile[0], lambda: self.edit(*meanwhile[1:]))
            self.journal.before = lambda: (edit(), earlier())  # type: ignore[assignment]  # both in turn
        with suppress(Killed, CalendarError):
            self.run(())
        self.server.faults = iter(())
        self.journal.before = self.journal.after = lambda: None
        self.server.settle()
        if rest == 0:
            self.publish_undisturbed()

    def publish_undisturbed(self) -> None:
        """Publish while nothing goes wrong, and assert that this puts all right and leaves nothing to do."""
        past = {uid: held for uid, held in self.ours_there().items() if self.start_of(uid) < self.now}
        done = self.run(YES)
        assert done is not None
        assert (done.left, done.stopped, self.journal.open) == ((), "", {})
        for uid, data in past.items():
            if uid not in self.wanted or self.wanted[uid].start < self.now:
                assert self.ours_there()[uid] == data
        self.check_wanted()
        before = (list(self.server.log), self.journal.changes)
        again = self.run(YES)
        assert again == Done()
        assert (self.server.log, self.journal.changes) == before

    def teardown(self) -> None:
        if hasattr(self, "server"):
            self.publish_undisturbed()

    def run(self, answered: Iterable[str]) -> Done | None:
        """Do what publishing does: settle, take in wishes, compare, write; None where a person has to be asked."""
        answered = tuple(answered)
        recover(self.store, self.journal)
        held, written = self.store.held(), self.journal.written()
        for edit in edits(written, held, now=self.now, zone=ZONE, answered=answered):
            self.take_in(edit)
        entries = list(self.wanted.values())
        changes = difference(written, held, entries, now=self.now, zone=ZONE, product_id=PRODUCT, answered=answered)
        assert {question.kind for question in changes.questions} <= {*YES}
        if changes.questions:
            return None
        return apply(changes, self.store, self.journal, now=self.now, zone=ZONE, product_id=PRODUCT)

    def take_in(self, edit: Edit) -> None:
        """Change the plan as the family wishes, or do not. Nothing is taken for a wish that the family did not do."""
        assert edit.kind not in WISHES or edit.uid in self.touched
        if not self.obedient or edit.uid not in self.wanted:
            return
        if edit.kind == "deleted":
            del self.wanted[edit.uid]
        elif edit.kind in ("moved", "resized") and edit.now:
            self.wanted[edit.uid] = replace(self.wanted[edit.uid], start=edit.now[0], end=edit.now[1])

    # ---- what must hold

    @invariant()
    def nothing_foreign_has_changed(self) -> None:
        if hasattr(self, "server"):
            assert {place: self.server.resources[place][1] for place in self.foreign} == self.foreign

    @invariant()
    def nothing_is_there_twice(self) -> None:
        if hasattr(self, "server"):
            found = [uid for _, data in self.server.resources.values() for uid in uids(data)]
            assert len(found) == len(set(found))

    @invariant()
    def what_the_family_wrote_is_still_there(self) -> None:
        if hasattr(self, "server"):
            there = self.ours_there()
            self.added = {uid: texts for uid, texts in self.added.items() if uid in there}
            for uid, texts in self.added.items():
                assert [text for text in texts if text not in self.family.text(uid)] == []
            for uid, data in self.left_alone.items():
                assert there.get(uid) == data

    def check_wanted(self) -> None:
        """Assert that the calendar says what is wanted, and nothing else of ours but what is past or ticked off."""
        there = {uid: self.piece(uid) for uid in self.ours_there()}
        coming = {uid for uid, each in self.wanted.items() if each.start >= self.now}
        assert coming - there.keys() == set()
        for uid, piece in there.items():
            if is_ticked(piece):
                continue
            if uid not in coming:
                assert uid in self.wanted or self.start_of(uid) < self.now
                continue
            wanted = self.wanted[uid]
            assert span_of(piece, ZONE) == ((wanted.start, wanted.end), False)
            assert piece.name == ("VTODO" if wanted.task else "VEVENT")
            assert wanted.summary in piece.text("SUMMARY")
            assert [line for line in wanted.description.split("\n") if line not in piece.text("DESCRIPTION")] == []
            if self.obedient:
                assert wanted.start == self.moved_to.get(uid, wanted.start), "a move was lost"
                assert piece.word("STATUS") != "CANCELLED"

    # ---- the plan and the family

    def plan_anew(self, pick: int, change: int, hours: int, text: str) -> None:
        """Plan one entry more, elsewhere, with other words, or no longer."""
        if change == 0 or not self.wanted:
            self.plan(hours, task=pick % 3 == 0)
            return
        uid = self.chosen(self.wanted, pick)
        old = self.wanted[uid]
        self.moved_to.pop(uid, None)
        if change == 1:
            del self.wanted[uid]
        elif change == 2:
            self.wanted[uid] = replace(self.at(uid, hours), task=old.task, alarms=old.alarms)
        else:
            alarms = (timedelta(minutes=30),) if text else ()
            self.wanted[uid] = replace(old, description=text, summary=f"Bread: {uid} {len(text)}", alarms=alarms)

    def plan(self, hours: int, task: bool) -> None:
        """Plan one entry more."""
        if len(self.wanted) < MOST_ENTRIES:
            uid = self.new_name()
            alarms = () if task else (timedelta(minutes=15),)
            self.wanted[uid] = replace(self.at(uid, hours), task=task, alarms=alarms, categories=("Bread",))

    def edit(self, pick: int, act: int, hours: int) -> None:
        """Let the family do one thing: to one of our entries, or add one of its own."""
        if act == 9:
            self.own_event(in_our_place=pick % 2 == 0, title="Bread: e1" if pick % 3 else "Dentist")
        elif there := self.ours_there():
            self.act(self.chosen(there, pick), act, hours)

    def own_event(self, in_our_place: bool, title: str) -> None:
        """Add an event of the family's: where our next would go, or called as one of ours."""
        place = resource_for(f"e{self.count + 2}") if in_our_place else f"own-{self.count}.ics"
        lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "BEGIN:VEVENT", f"UID:own-{self.new_name()}", f"SUMMARY:{title}"]
        data = "\r\n".join([*lines, "DTSTART:20270316T100000Z", "END:VEVENT", "END:VCALENDAR", ""]).encode()
        with suppress(CalendarError):
            self.family.store.put(place, data, None)
            self.foreign[place] = self.server.resources[place][1]

    def act(self, uid: str, act: int, hours: int) -> None:
        """Do one thing to an entry, as a calendar program does."""
        self.left_alone.pop(uid, None)
        self.touched.add(uid)
        self.moved_to.pop(uid, None)
        text, end = self.family.text(uid), "DUE" if "BEGIN:VTODO" in self.family.text(uid) else "DTEND"
        start = self.now.replace(minute=0) + timedelta(hours=hours)
        note = f"note {self.new_name()}"
        if act == 0:
            self.moved_to[uid] = start
            self.family.set(uid, "DTSTART", f"DTSTART:{start:%Y%m%dT%H%M%SZ}")
            self.family.set(
                uid, end, f"{end};TZID=Europe/Berlin:{start.astimezone(ZONE) + timedelta(hours=1):%Y%m%dT%H%M%S}"
            )
        elif act == 1:
            later = self.start_of(uid) + timedelta(minutes=90)
            self.family.set(uid, end, f"{end}:{later:%Y%m%dT%H%M%SZ}")
        elif act == 2:
            self.family.delete(uid)
            self.added.pop(uid, None)
        elif act == 3 and is_ticked(self.piece(uid)):
            return
        elif act == 3:
            if end == "DUE":
                self.family.set(uid, "STATUS", "STATUS:COMPLETED")
            else:
                self.family.set(uid, "SUMMARY", f"SUMMARY:✓ {self.piece(uid).text('SUMMARY')}")
            self.left_alone[uid] = self.ours_there()[uid]
        elif act == 4:
            own = next((line for line in text.split("\r\n") if line.startswith("DESCRIPTION")), "DESCRIPTION:")
            self.family.set(uid, "DESCRIPTION", f"{own}\\n{note}")
            self.added.setdefault(uid, []).append(note)
        elif act == 5:
            self.family.edit(uid, lambda text: text.replace("\r\nUID", f"\r\nX-NOTE;X-BY=Jo:{note}\r\nUID", 1))
            self.added.setdefault(uid, []).append(note)
        elif act == 6:
            alarm = [
                "BEGIN:VALARM",
                f"UID:{note}",
                "ACTION:DISPLAY",
                f"DESCRIPTION:{note}",
                "TRIGGER:-PT7M",
                "END:VALARM",
            ]
            closing = "END:VTODO" if end == "DUE" else "END:VEVENT"
            self.family.edit(uid, lambda text: text.replace(closing, "\r\n".join([*alarm, closing])))
            self.added.setdefault(uid, []).append(note)
        elif act == 7:
            self.family.set(uid, "STATUS", "STATUS:CANCELLED")
        else:
            self.family.set(uid, "COLOR", "COLOR:tomato")
            self.added.setdefault(uid, []).append("COLOR:tomato")

    def at(self, uid: str, hours: int) -> Entry:
        return entry(uid, hours + (self.now - NOW) / timedelta(hours=1))

    def new_name(self) -> str:
        self.count += 1
        return f"e{self.count}"

    def chosen(self, among: Iterable[str], pick: int) -> str:
        names = sorted(among)
        return names[pick % len(names)]

    def ours_there(self) -> dict[str, bytes]:
        """Return the entries of ours that the server has."""
        held = ((uid, data) for _, data in self.server.resources.values() for uid in uids(data))
        return {uid: data for uid, data in held if not uid.startswith("own-")}

    def piece(self, uid: str) -> Piece:
        found = main_of(parse(self.ours_there()[uid]), uid)
        assert found is not None
        return found

    def start_of(self, uid: str) -> datetime:
        found = span_of(self.piece(uid), ZONE)
        assert found is not None
        return found[0][0]

    def die(self) -> None:
        raise Killed


def at_call(number: int, act: Callable[[], None]) -> Callable[[], None]:
    """Return what acts at the call of this number, and does nothing at others."""
    calls = iter(range(10_000))

    def call() -> None:
        if next(calls) == number:
            act()

    return call


def play(runs: int) -> None:
    run_state_machine_as_test(
        Publishing, settings=settings(max_examples=runs, stateful_step_count=5, derandomize=True, deadline=None)
    )


def test_publishing_converges_whatever_happens() -> None:
    play(30)


@pytest.mark.long
def test_publishing_converges_whatever_happens_a_thousand_times() -> None:
    play(1000)
