"""The example households are understood, whole and without surprise; and what a household may get wrong."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import pytest

from calendars.event import Reading
from rotation.errors import BadInput
from rotation.household.reading import read_home
from rotation.intake import Intake, build, opening, read_calendars
from rotation.problem import FINISHED, FRESH, TABLE, THAWED, TOAST, Problem, covers, value_at, well_ordered

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("school-week", "guest-week", "two-bakers", "tight-week")


def understand(folder: Path, days: int = 14, zero: datetime | None = None) -> Intake:
    home = read_home(folder)
    zero = zero or datetime(2027, 3, 1, tzinfo=home.zone)
    bags = opening(home.stock, home.breads, home.zone)
    return build(home, read_calendars(home, zero, days), bags, home.stock.box, home.stock.under_way, None, zero, days)


@pytest.fixture(scope="module", params=NAMES)
def example(request: pytest.FixtureRequest) -> Intake:
    return understand(EXAMPLES / request.param)


def test_spans_and_steps_are_in_order(example: Intake) -> None:
    problem = example.problem
    for person in problem.people:
        assert all(map(well_ordered, (person.inside, person.free, person.quick)))
        assert all(covers(person.inside, *span) for span in (*person.free, *person.quick))
    for oven in problem.ovens:
        assert well_ordered(oven.closed)
        assert all(a.end <= b.start for a, b in pairwise(oven.bookings))
    kitchen = problem.kitchen
    for steps in (*vars(kitchen).values(), *(person.price for person in problem.people)):
        assert steps[0][0] <= 0
        assert all(a[0] < b[0] and a[1] != b[1] for a, b in pairwise(steps))
        assert all(value >= 0 for _, value in steps)
    assert all(1380 <= b - a <= 1500 for a, b in pairwise(problem.midnights))
    assert problem.midnights[0] == 0
    assert problem.shown_days == 14 < problem.days <= 21


def test_meals_can_be_met_in_principle(example: Intake) -> None:
    problem = example.problem
    ids = [meal.id for meal in problem.meals]
    assert len(set(ids)) == len(ids)
    assert list(problem.meals) == sorted(problem.meals, key=lambda meal: (meal.at, meal.id))
    kinds = {FRESH, FINISHED, THAWED, TOAST}
    for meal in problem.meals:
        assert 0 <= meal.at <= problem.end
        assert meal.portions > 0
        assert meal.heads > 0
        assert meal.accepts
        for accept in meal.accepts:
            assert accept.kinds
            assert accept.kinds <= kinds
            assert problem.bread(accept.bread).allergens.isdisjoint(meal.without)
        by_day = [other for other in problem.meals if problem.day_of(other.at) == problem.day_of(meal.at)]
        assert len(by_day) <= 4
        assert meal.id.startswith("habit:") or meal.at < problem.midnights[problem.shown_days]


def test_breads_hang_together(example: Intake) -> None:
    problem = example.problem
    for bread in problem.breads:
        assert "?" not in bread.allergens
        assert {route.form for route in bread.routes} == {form.id for form in bread.forms}
        for process in bread.processes:
            names = [stage.name for stage in process.stages]
            assert {wait.first for wait in process.waits} | {wait.second for wait in process.waits} <= set(names)
            assert {treatment.id for treatment in process.treatments} <= {TABLE, *(form.id for form in bread.forms)}
            assert process.pieces[-1] * bread.dough_grams <= value_at(problem.kitchen.dough_grams, 0)
    for item in (*problem.lots, *problem.box, *problem.under_way):
        assert problem.bread(item.bread)
    room = sum(problem.bread(lot.bread).form(lot.form).unit_dl * lot.units for lot in problem.lots)
    assert room <= value_at(problem.kitchen.freezer_dl, 0)


def test_every_process_can_be_begun_by_somebody_on_some_day(example: Intake) -> None:
    """Each loading of the oven, cold and with its pot, fits between closed hours, watched, with a baker free."""
    problem = example.problem
    for bread in problem.breads:
        for process in bread.processes:
            assert any(_oven_minute(problem, process.programme.covered > 0, at) for at in range(0, problem.end, 15)), (
                process
            )


def _oven_minute(problem: Problem, pot: bool, at: int) -> bool:
    oven = problem.ovens[0]
    heat = oven.heat_up_vessel if pot else oven.heat_up
    watch = oven.watch_after_vessel if pot else oven.watch_after
    return (
        covers(problem.adults_inside, at - heat, at + 50 + watch)
        and not any(start < at + 50 and at - heat < end for start, end in oven.closed)
        and any(person.bakes and covers(person.free, at, at + 50) for person in problem.people)
    )


def test_the_same_files_give_the_same_problem() -> None:
    assert understand(EXAMPLES / "school-week") == understand(EXAMPLES / "school-week")


def test_the_examples_hold_the_breads_they_promise() -> None:
    problems = [understand(EXAMPLES / name).problem for name in NAMES]
    processes = {process.id for problem in problems for bread in problem.breads for process in bread.processes}
    assert {"day", "overnight"} <= processes
    forms = {form.id for problem in problems for bread in problem.breads for form in bread.forms}
    assert {"part-baked", "sliced"} <= forms


def test_school_week_is_read_as_it_was_meant() -> None:
    problem = understand(EXAMPLES / "school-week").problem
    meals = {meal.id: meal for meal in problem.meals}
    guests = meals["family-guests@home.example"]
    assert (guests.heads, guests.strict, guests.portions) == (9, True, 17)
    assert f"{problem.instant(guests.at):%a %d %H:%M}" == "Sat 06 18:30"
    week = [m for id_, m in meals.items() if id_.startswith("habit:") and "Lunch" not in id_ and m.at < 5 * 1440]
    assert all(m.portions == 5 for m in week)
    assert [meals[f"habit:Lunch boxes:2027-03-{day:02}"].portions for day in (1, 2, 3, 4, 5, 8, 9, 10, 11)] == [
        6
    ] * 5 + [4] * 3 + [6]
    assert "habit:Lunch boxes:2027-03-12" not in meals  # teachers' day
    jo = problem.person("jo")
    tuesday, thursday = 1440, 3 * 1440
    assert covers(jo.free, tuesday + 1230, tuesday + 1290)  # the short rehearsal is over at half past eight
    assert not covers(jo.free, tuesday + 1200, tuesday + 1210)
    assert covers(jo.free, 8 * 1440 + 1170, 8 * 1440 + 1290)  # no choir on the 9th
    assert covers(jo.free, thursday + 1095, thursday + 1290)  # after the dentist
    assert covers(jo.free, 4 * 1440 + 1140, 4 * 1440 + 1290)  # games were declined
    assert not any(end > 9 * 1440 and start < 10 * 1440 for start, end in jo.inside)  # the course
    assert [(b.temperature_degc, b.places_left) for b in problem.ovens[0].bookings] == [
        (240, 0),
        (180, 0),
        (200, 1),
        (240, 0),
    ]


def test_wall_clock_hours_hold_in_the_week_clocks_change() -> None:
    home = read_home(EXAMPLES / "school-week")
    problem = understand(EXAMPLES / "school-week", 14, datetime(2027, 3, 22, tzinfo=home.zone)).problem
    assert [b - a for a, b in pairwise(problem.midnights)][6] == 23 * 60
    suppers = {f"{problem.instant(m.at):%H:%M}" for m in problem.meals if m.summary == "Supper"}
    assert suppers == {"18:30"}
    assert not [m for m in problem.meals if m.summary == "Lunch boxes" and problem.day_of(m.at) < 12]  # Easter holidays


@pytest.fixture
def household(tmp_path: Path) -> Path:
    return Path(shutil.copytree(EXAMPLES / "school-week", tmp_path / "home"))


def spoil(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_an_unknown_bread_in_a_rule_is_named_with_its_line(household: Path) -> None:
    spoil(household, "household.toml", 'breads = ["country", "rolls"]', 'breads = ["contry", "rolls"]')
    with pytest.raises(BadInput, match=r"household\.toml:\d+: .*contry.*country"):
        understand(household)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('id = "sam"', 'id = "jo"'),
        ("finishes = true", 'finishes = true\nidentity.addresses = ["jo@home.example"]'),
    ],
)
def test_people_who_cannot_be_told_apart_are_refused(household: Path, old: str, new: str) -> None:
    spoil(household, "household.toml", old, new)
    with pytest.raises(BadInput, match="twice"):
        understand(household)


@pytest.mark.parametrize(
    "write",
    [
        lambda path: path.unlink(),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(b"\x00\xff" * 500),
        lambda path: path.write_bytes(path.read_bytes()[:900]),
    ],
    ids=["missing", "empty", "binary", "truncated"],
)
def test_a_calendar_that_cannot_be_read_is_never_taken_for_empty(
    household: Path, write: Callable[[Path], object]
) -> None:
    write(household / "calendars" / "jo.ics")
    with pytest.raises(BadInput, match=r"household\.toml.*jo\.ics"):
        understand(household)


def test_all_calendars_that_cannot_be_read_are_named_at_once(household: Path) -> None:
    (household / "calendars" / "jo.ics").unlink()
    (household / "calendars" / "sam.ics").unlink()
    with pytest.raises(BadInput) as caught:
        understand(household)
    assert len(caught.value.mistakes) == 2


def test_an_event_that_never_ends_its_series_is_noted_and_the_rest_is_read(household: Path) -> None:
    endless = "RRULE:FREQ=SECONDLY\r\nEND:VEVENT"
    spoil(household, "calendars/sam.ics", "TRANSP:TRANSPARENT\nEND:VEVENT", endless.replace("\r\n", "\n"))
    intake = understand(household)
    (odd,) = intake.oddities
    assert (odd.source, odd.kind) == ("Sam", "left out")
    assert "times a day" in odd.reason
    assert any(str(note) == "calendars: 1 thing left out; `rotation check` says what." for note in intake.notes)
    assert len(intake.problem.person("sam").free) > 10


def test_a_calendar_without_readings_has_no_events() -> None:
    home = read_home(EXAMPLES / "tight-week")
    zero = datetime(2027, 3, 1, tzinfo=home.zone)
    problem = build(home, {"Home": Reading()}, (), (), (), None, zero, 3).problem
    assert problem.ovens[0].bookings == ()
    assert not [meal for meal in problem.meals if meal.strict]
