"""Who is in, whose hands are free, what they cost: calendars only take away."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calendars.event import Event
from rotation.intake import Intake
from rotation.problem import Person, covers, value_at, well_ordered

SAM = {"id": "sam", "finishes": True, "inside": "06:30-22:30", "free": "18:00-20:00", "quick": []}
TWO = [{"id": "jo", "bakes": True, "inside": "06:30-22:30", "free": "17:30-21:30", "quick": "06:45-07:15"}, SAM]
NOON, SIX, SEVEN, EIGHT = 720, 1080, 1140, 1200


def free(intake: Intake, person: str, start: int, end: int) -> bool:
    return covers(intake.problem.person(person).free, start, end)


def inside(intake: Intake, person: str, start: int, end: int) -> bool:
    return covers(intake.problem.person(person).inside, start, end)


def test_an_event_takes_everybody_out_of_the_house(
    understood: Callable[..., Intake], event: Callable[..., Event]
) -> None:
    out = understood([event("Concert", "03-01 18:00", "03-01 19:00")], people=TWO)
    assert not inside(out, "jo", SIX, SEVEN)
    assert not free(out, "sam", SIX, SEVEN)
    assert free(out, "jo", SEVEN, EIGHT)
    assert inside(out, "sam", SEVEN, EIGHT)


def test_a_rule_keeps_people_in_the_house_with_their_hands_full(
    understood: Callable[..., Intake], event: Callable[..., Event]
) -> None:
    call = event("Call with the bank", "03-01 18:00", "03-01 19:00", categories=("At Home",))
    for means, is_free in (("busy at home", False), ("free at home", True), ("nothing", True)):
        here = understood([call], people=TWO, events=[{"category": "at home", "means": means}])
        assert inside(here, "jo", SIX, SEVEN)
        assert free(here, "jo", SIX, SEVEN) is is_free


@pytest.mark.parametrize(
    ("title", "more", "taken"),
    [
        ("Jo: dentist", {}, {"jo"}),
        ("Join us", {}, {"jo", "sam"}),
        ("Sport", {"categories": ("SAM",)}, {"sam"}),
        ("Sport", {"accepted": ["Sam"], "declined": ["Jo"]}, {"sam"}),
        ("Sport", {"declined": ["Sam", "Jo"]}, set()),
        ("Sport", {"accepted": ["Somebody else"]}, {"jo", "sam"}),
        ("Sport", {"transparent": True}, set()),
        ("Sport", {"status": "CANCELLED"}, set()),
    ],
)
def test_whose_an_event_is(
    understood: Callable[..., Intake], event: Callable[..., Event], title: str, more: dict[str, Any], taken: set[str]
) -> None:
    out = understood([event(title, "03-01 18:00", "03-01 19:00", **more)], people=TWO)
    assert {each for each in ("jo", "sam") if not inside(out, each, SIX, SEVEN)} == taken


@pytest.mark.parametrize(("otherwise", "taken"), [("everyone", {"jo", "sam"}), ("nobody", set()), ("sam", {"sam"})])
def test_events_that_do_not_say_whose_they_are(
    understood: Callable[..., Intake], event: Callable[..., Event], otherwise: str, taken: set[str]
) -> None:
    calendars = [{"name": "Home", "path": "home.ics", "otherwise": otherwise}]
    out = understood([event("Sport", "03-01 18:00", "03-01 19:00")], people=TWO, calendars=calendars)
    assert {each for each in ("jo", "sam") if not inside(out, each, SIX, SEVEN)} == taken


def test_a_birthday_takes_no_time_and_a_trip_does(
    understood: Callable[..., Intake], event: Callable[..., Event]
) -> None:
    birthday = event("Aunt's birthday", "03-01 00:00", "03-02 00:00", all_day=True)
    trip = event("Conference", "03-03 00:00", "03-05 00:00", all_day=True)
    out = understood([birthday, trip], people=TWO)
    assert inside(out, "jo", NOON, SIX)
    assert not any(end > 2 * 1440 and start < 4 * 1440 for start, end in out.problem.person("jo").inside)
    busy = understood([birthday], people=TWO, calendars=[{"name": "Home", "path": "home.ics", "all_day_busy": True}])
    assert not inside(busy, "jo", NOON, SIX)


def test_busy_is_rounded_outwards(understood: Callable[..., Intake], event: Callable[..., Event]) -> None:
    odd = event("Tea", "03-01 18:00", "03-01 19:00")
    odd = replace(odd, start=odd.start.replace(second=30), end=odd.end.replace(second=30))
    person = understood([odd], people=TWO).problem.person("jo")
    assert covers(person.inside, 1000, SIX)
    assert not covers(person.inside, SIX, SIX + 1)
    assert not covers(person.inside, SEVEN, SEVEN + 1)
    assert covers(person.inside, SEVEN + 1, EIGHT)


def test_dated_exceptions(understood: Callable[..., Intake]) -> None:
    dated = [
        {"from": "2027-03-01", "until": "2027-03-01", "setting": "away", "person": "sam"},
        {"from": "2027-03-02T12:00:00", "until": "2027-03-02T16:00:00", "setting": "free", "person": "jo"},
        {"from": "2027-03-03", "until": "2027-03-03", "setting": "at home"},
    ]
    out = understood(people=TWO, exceptions=dated)
    assert not any(start < 1440 for start, _ in out.problem.person("sam").inside)
    assert free(out, "jo", 1440 + NOON, 1440 + NOON + 240)
    assert not free(out, "sam", 1440 + NOON, 1440 + NOON + 240)
    assert not any(end > 2880 and start < 4320 for start, end in out.problem.person("jo").free)
    assert inside(out, "jo", 2880 + NOON, 2880 + SEVEN)


def test_free_implies_in_and_awake(understood: Callable[..., Intake]) -> None:
    early = {
        "id": "jo",
        "bakes": True,
        "inside": "17:00-20:00",
        "free": "04:00-08:00",
        "quick": [],
        "awake": "06:00-22:00",
    }
    out = understood(people=[early])
    assert out.problem.person("jo").free[0] == (360, 480)
    assert inside(out, "jo", 360, 480)
    assert any("asleep" in str(note) for note in out.notes)


def test_quick_hours_do_not_get_anybody_up(understood: Callable[..., Intake]) -> None:
    late = {"id": "jo", "bakes": True, "inside": "07:00-22:00", "free": "17:30-21:30", "quick": "06:45-07:15"}
    assert understood(people=[late]).problem.person("jo").quick[0] == (420, 435)


def test_hours_cost_what_the_last_rule_says(understood: Callable[..., Intake]) -> None:
    rules = [
        {"days": "weekdays", "per_minute": 2.0},
        {"days": "mon", "hours": "18:00-19:00", "per_minute": 0.25},
    ]
    price = understood(people=[{**TWO[0], "price": rules}]).problem.person("jo").price
    assert [value_at(price, at) for at in (0, SIX, SEVEN, 1440 + SIX, 5 * 1440)] == [2000, 250, 2000, 2000, 1000]


def test_people_who_are_never_free_are_noted(understood: Callable[..., Intake], event: Callable[..., Event]) -> None:
    out = understood([event("Jo: voyage", "02-20 00:00", "04-20 00:00")], people=TWO)
    assert any("Jo is never free" in str(note) for note in out.notes)


def test_no_wall_clock_hour_moves_when_clocks_change(understood: Callable[..., Intake]) -> None:
    zero = datetime(2027, 3, 27, tzinfo=ZoneInfo("Europe/Berlin"))
    problem = understood(people=TWO, zero=zero, days=3).problem
    assert [b - a for a, b in pairwise(problem.midnights[:4])] == [1440, 1380, 1440]
    assert {f"{problem.instant(start):%H:%M}" for start, _ in problem.person("jo").free} == {"17:30"}


TIMES = st.tuples(st.integers(-1000, 7 * 1440), st.integers(1, 3000))


@settings(derandomize=True, deadline=None, max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(TIMES, max_size=6), st.lists(st.sampled_from(["out", "busy at home"]), min_size=1, max_size=1))
def test_spans_are_well_ordered_and_free_lies_within_in(
    understood: Callable[..., Intake], event: Callable[..., Event], times: list[tuple[int, int]], means: list[str]
) -> None:
    base = event("Something", "03-01 00:00", "03-01 00:10")
    events = [
        replace(
            base, uid=f"{n}", start=base.start + timedelta(minutes=at), end=base.start + timedelta(minutes=at + length)
        )
        for n, (at, length) in enumerate(times)
    ]
    problem = understood(events, people=TWO, events=[{"summary": "something", "means": means[0]}]).problem
    for person in problem.people:
        assert all(map(well_ordered, (person.inside, person.free, person.quick)))
        assert all(within(person, span) for span in (*person.free, *person.quick))
        assert all(start >= 0 and end <= problem.end for start, end in person.inside)


def within(person: Person, span: tuple[int, int]) -> bool:
    return covers(person.inside, *span)
