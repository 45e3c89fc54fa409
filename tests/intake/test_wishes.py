"""What the family's edits of our entries mean for the next plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from calendars.sync import Edit, EditKind
from rotation.asked import Asked, Meant
from rotation.intake.notes import Notes
from rotation.intake.time import Clock
from rotation.intake.wishes import (
    DONE,
    OVERTAKEN,
    SECOND,
    TAKEN_BACK,
    finished,
    overtaken,
    seconds,
    taken_back,
    understood,
    wishes,
)

ZONE = ZoneInfo("Europe/Berlin")
NOW = datetime(2027, 3, 5, 17, tzinfo=UTC)
START = datetime(2027, 3, 6, 8, tzinfo=UTC)
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)
WAS = (START, START + HOUR)

BAKE = Meant("b-bake", "b", "bake", "b", "rye", "mix", START, START, START, (), "", True, "Bread: 2 rye (Jo)")
THAW = Meant("t-thaw", "t", "thaw", "t", "rye", "", START, START, None, (START + 4 * HOUR, START + 9 * HOUR), "thawed", True, "Bread out: 1 rye")  # fmt: skip # noqa: E501
FINISH = replace(THAW, uid="f-finish", thing="f", kind="finish", at=START + 15 * MINUTE, gives="finished", title="Oven 220: 1 rye")  # fmt: skip # noqa: E501
OVEN = replace(BAKE, uid="o-stay", kind="oven", step="oven", whole=False, title="Oven 230: 2 rye")
MEANT = {one.uid: one for one in (BAKE, THAW, FINISH, OVEN)}


def edit(of: Meant, kind: EditKind, now: tuple[datetime, datetime] | None = None, **more: object) -> Edit:
    return Edit(of.uid, kind, WAS, now, **more)  # type: ignore[arg-type] # by name


def asked(*edits: Edit) -> tuple[Asked, ...]:
    return understood(edits, MEANT, NOW, ZONE).asked


def to(hours: float, length: timedelta = HOUR) -> tuple[datetime, datetime]:
    return START + hours * HOUR, START + hours * HOUR + length


@pytest.mark.parametrize(
    ("of", "kind", "step"),
    [(BAKE, "fixed", "mix"), (THAW, "fixed thaw", ""), (FINISH, "fixed finish", ""), (OVEN, "fixed", "oven")],
)
def test_a_moved_entry_fixes_the_step_it_stands_for(of: Meant, kind: str, step: str) -> None:
    (wish,) = asked(edit(of, "moved", to(26)))
    assert (wish.kind, wish.step, wish.bread, wish.thing) == (kind, step, "rye", of.thing)
    assert wish.since == of.at + 26 * HOUR, "what begins later than the entry moves with it"
    assert wish.until == wish.since + MINUTE
    assert wish.said.endswith("moved to Sun 7 Mar 11:00")


def test_minutes_between_the_grid_go_to_the_nearest() -> None:
    (wish,) = asked(edit(BAKE, "moved", (START + 63 * MINUTE, START + 2 * HOUR)))
    assert wish.since == START + 65 * MINUTE


def test_moved_to_a_day_without_an_hour_keeps_the_hour_also_over_a_change_of_clocks() -> None:
    midnight = datetime(2027, 3, 28, tzinfo=ZONE)
    (wish,) = asked(edit(BAKE, "moved", (midnight, midnight + 23 * HOUR), all_day=True))
    assert wish.since == datetime(2027, 3, 28, 9, tzinfo=ZONE)


def test_a_longer_entry_stays_where_it_begins_and_its_length_is_said() -> None:
    (wish,) = asked(edit(BAKE, "resized", to(0, 2 * HOUR)))
    assert (wish.kind, wish.since) == ("fixed", START)
    assert "made 120 min long" in wish.said


def test_a_deleted_bake_is_none_of_that_bread_within_twelve_hours() -> None:
    (wish,) = asked(edit(BAKE, "deleted"))
    assert (wish.kind, wish.since, wish.until) == ("no bake", START - 12 * HOUR, START + 12 * HOUR)


def test_a_deleted_thaw_or_finish_is_none_for_those_meals() -> None:
    for of, kind in ((THAW, "no thaw"), (FINISH, "no finish")):
        found = asked(edit(of, "deleted"))
        assert [wish.kind for wish in found] == [kind] * 2
        assert [wish.since for wish in found] == list(of.feeds)
        assert [wish.id for wish in found] == [of.uid, f"{of.uid}/1"]


def test_a_deleted_reservation_of_the_oven_comes_back_and_is_asked_about() -> None:
    read = understood([edit(OVEN, "deleted"), edit(replace(BAKE, mix=None), "noted")], MEANT, NOW, ZONE)
    assert read.asked == ()
    assert "was deleted, and is put back" in read.said[0]
    assert "Is it taken?" in read.said[0]


def test_a_bake_that_has_begun_goes_on() -> None:
    begun = {BAKE.uid: replace(BAKE, mix=None)}
    deleted, moved = (understood([edit(BAKE, *what)], begun, NOW, ZONE) for what in (("deleted",), ("moved", to(1))))
    assert deleted.asked == moved.asked == ()
    assert "it is put back" in deleted.said[0]
    assert "its bake has begun: it goes on as the dough wants" in moved.said[0]


def test_a_tick_is_a_fact_not_a_wish_and_never_lies_ahead() -> None:
    read = understood([edit(BAKE, "done"), edit(THAW, "done", at=NOW - HOUR), edit(FINISH, "undone")], MEANT, NOW, ZONE)
    assert read.asked == ()
    assert [(one.thing, one.at, one.whole) for one in read.ticked] == [("b", NOW, True), ("t", NOW - HOUR, True)]


def test_what_is_ticked_off_is_done_wherever_it_was_moved_to() -> None:
    edits = [edit(BAKE, "moved", to(1)), edit(BAKE, "done", to(1)), edit(THAW, "moved", to(1))]
    assert [wish.id for wish in asked(*edits)] == [THAW.uid]
    (before,) = asked(edits[0])
    assert [wish.over for wish in finished([before], edits)] == [DONE]
    assert finished([before], edits[2:]) == ()


def test_an_entry_nobody_remembers_is_said_and_a_note_is_not() -> None:
    lost = [Edit("lost", "moved", WAS, to(1)), Edit("lost", "noted", WAS, WAS), Edit("lost", "deleted", WAS, None)]
    assert understood(lost, MEANT, NOW, ZONE).said == (
        "An entry that is in no plan any more was edited: that is not counted.",
    )


def test_a_wish_is_over_once_its_edit_was_taken_back_before_it_was_published() -> None:
    (wish,) = asked(edit(BAKE, "moved", to(1)))
    fresh, told = replace(wish, after=4), replace(wish, after=3)
    assert [one.over for one in taken_back([fresh], [], [BAKE.uid], 4)] == [TAKEN_BACK]
    assert taken_back([fresh], [edit(BAKE, "moved", to(1))], [BAKE.uid], 4) == (), "it still is there"
    assert taken_back([fresh], [], [], 4) == (), "not if the entry is not seen"
    assert taken_back([told], [], [BAKE.uid], 4) == (), "what was published is no edit any more"


def test_a_bake_moved_into_hours_without_bakes_ends_that_wish() -> None:
    (none,), (moved,) = asked(edit(BAKE, "deleted")), asked(edit(replace(BAKE, uid="o-stay"), "moved", to(3)))
    (over,) = overtaken([none, moved])
    assert (over.id, over.over) == (none.id, OVERTAKEN)
    assert overtaken([none, replace(moved, bread="tin")]) == ()
    assert overtaken([none, replace(moved, since=START + 13 * HOUR)]) == ()


def test_of_one_bread_one_hour_is_held() -> None:
    """Whoever drags a thaw and its finish by an hour each wants one loaf, not two."""
    thaw, finish = asked(edit(THAW, "moved", to(1)), edit(FINISH, "moved", to(2)))
    (over,) = seconds([thaw, finish], [thaw.id, finish.id])
    assert (over.id, over.over) == (thaw.id, SECOND), "the oven's hour is the one that is seen"
    assert [one.id for one in seconds([thaw, finish], [thaw.id])] == [finish.id], "the newest counts"
    feed, shape = asked(edit(BAKE, "moved", to(-2)), edit(replace(OVEN, step="shape"), "moved", to(5)))
    assert [one.id for one in seconds([shape, feed], [])] == [shape.id]
    assert seconds([feed, replace(shape, belongs="another")], []) == ()


def test_only_what_a_plan_can_keep_is_asked_of_it() -> None:
    clock, notes = Clock.of(NOW, ZONE, 2), Notes()
    (wish,) = asked(edit(BAKE, "moved", to(0)))
    past = replace(wish, since=NOW - HOUR, until=NOW - HOUR + MINUTE)
    far = replace(wish, since=NOW + 80 * HOUR, until=NOW + 81 * HOUR)
    gone = replace(wish, bread="spelt")
    (found,) = wishes([wish, past, far, gone], clock, ["rye"], notes)
    assert (found.kind, found.at, found.until, found.step) == ("fixed", 900, 901, "mix")
    assert [note.about for note in notes.all()] == ["wishes"]
    assert "there is no bread “spelt” any more" in notes.all()[0].text
