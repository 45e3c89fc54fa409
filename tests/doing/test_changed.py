"""What changed is said in one line with its reason, and nothing where nothing did."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from rotation.carried import from_text
from rotation.changed import Before, _reasons
from rotation.household.reading import read_home
from rotation.ledger import Happenings, Ledger
from rotation.week import understand
from tests.commands.conftest import Run
from tests.doing.conftest import steps

Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]


def edit(home: Path, old: str, new: str) -> None:
    """Change something in the family's calendar."""
    path = home / "calendars" / "family.ics"
    text = path.read_bytes().decode()
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8", newline="")


def test_nothing_is_said_where_nothing_is_other(plan: Plan) -> None:
    assert plan("2027-03-05T18:00")["changed"] == ""
    assert plan("2027-03-06T12:00")["changed"] == ""


def test_late_dough_is_the_reason(say: Say, plan: Plan) -> None:
    say("done sat-mix", "16:30")
    changed = plan("16:30")["changed"]
    assert changed.startswith("Changed: shape 1 Milk loaf Sat ")
    assert ", was Sat 17:05" in changed
    assert "Because sat-mix was 55 min later than planned" in changed
    assert plan("16:35")["changed"] == ""


def test_a_meal_that_is_off_or_new_is_the_reason(plan: Plan, home: Path) -> None:
    edit(home, "DTSTART:20270307T090000Z", "DTSTART:20270301T090000Z")
    edit(home, "DTEND:20270307T110000Z", "DTEND:20270301T110000Z")
    changed = plan("2027-03-05T18:00")["changed"]
    assert "no mix 1 Milk loaf Sat 15:20" in changed
    assert "Brunch Sun 10:00 is off" in changed
    edit(home, "DTSTART:20270301T090000Z", "DTSTART:20270307T090000Z")
    edit(home, "DTEND:20270301T110000Z", "DTEND:20270307T110000Z")
    changed = plan("2027-03-05T18:05")["changed"]
    assert "is new. Because Brunch Sun 10:00 is new, 8 slices" in changed


def test_the_line_is_printed_at_the_top(rotation: Run, say: Say, home: Path) -> None:
    say("done sat-mix", "16:30")
    ran = rotation("plan", "--household", home, "--from", "2027-03-06T16:30", "--work", "quick")
    assert ran.out.splitlines()[3].startswith("Changed: shape 1 Milk loaf")


def test_only_what_is_to_do_counts(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-thaw --at 07:45", "07:47")
    assert plan("08:00")["changed"] == "", "as planned is no change"
    assert ("thaw", True) in steps(home)


def test_what_lies_beyond_the_days_of_one_plan_is_neither_off_nor_new(rotation: Run, home: Path) -> None:
    """What can be done with dough is looked at for a few days only: the brunch of the week after is not called off."""
    edit(home, "DTSTART:20270307T090000Z", "DTSTART:20270314T090000Z")
    edit(home, "DTEND:20270307T110000Z", "DTEND:20270314T110000Z")
    when = ("--from", "2027-03-05T17:30", "--days", "10", "--work", "quick")
    assert rotation("plan", "--household", home, *when).code == 0
    house = read_home(home)
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        before = Before.of(from_text(ledger.whole_plan() or ""), ledger.kept_plan() or "")
    start = datetime(2027, 3, 5, 17, 30, tzinfo=house.zone)
    assert list(_reasons(before, understand(house, start, 3).problem, ())) == []
    edit(home, "DTSTART:20270314T090000Z", "DTSTART:20270401T090000Z")
    edit(home, "DTEND:20270314T110000Z", "DTEND:20270401T110000Z")
    assert [why for why in _reasons(before, understand(house, start, 10).problem, ()) if why.startswith("Brunch")]


def test_loaves_lost_are_named_before_what_was_late(say: Say, home: Path) -> None:
    say("done sat-mix --at 15:40", "16:00")
    say("done sat-out --count 0", "19:30")
    house = read_home(home)
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        before = Before.of(from_text(ledger.whole_plan() or ""), ledger.kept_plan() or "")
        rows = Happenings(ledger).standing()
    problem = understand(house, datetime(2027, 3, 6, 19, 35, tzinfo=house.zone), 2).problem
    said = list(_reasons(before, problem, rows))
    assert said[:2] == ["0 of 1 Milk loaf came out", "sat-mix was 20 min later than planned"]


def test_what_was_hours_late_is_said_in_hours(say: Say, plan: Plan) -> None:
    say("done sat-mix --at 18:00", "18:20")
    assert "Because sat-mix was 2 h 40 later than planned" in plan("18:20")["changed"]


def test_a_meal_that_moved_is_the_reason(plan: Plan, home: Path) -> None:
    edit(home, "DTSTART:20270307T090000Z", "DTSTART:20270307T170000Z")
    edit(home, "DTEND:20270307T110000Z", "DTEND:20270307T190000Z")
    changed = plan("2027-03-05T18:00")["changed"]
    assert changed.endswith("Because Brunch is Sun 18:00, was Sun 10:00."), changed
