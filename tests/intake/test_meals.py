"""What is eaten: the week's loaves spread over its meals, and what events add, replace or take off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.event import Event
from rotation.intake import Intake
from rotation.intake.habits import spread
from rotation.intake.meals import heads_in
from rotation.problem import FINISHED, FRESH, TOAST, Meal

Understood = Callable[..., Intake]
Made = Callable[..., Event]
Find = Callable[[Intake, str], Meal | None]

EATEN = [{"name": "Breakfast", "at": "07:00", "share": 0.5}, {"name": "Supper", "at": "18:30", "share": 0.5}]
HABITS = {"loaves_a_week": 5, "slices_a_loaf": 14, "eaten": EATEN}
GUESTS = {"summary": "dinner*", "strict": True, "extra_heads": 4}


def standing(intake: Intake, days: int = 7) -> list[Meal]:
    return [m for m in intake.problem.meals if m.id.startswith("habit:") and m.at < days * 1440]


def test_the_weeks_loaves_come_out_exactly(understood: Understood) -> None:
    for loaves, slices in ((5, 14), (3, 16), (0.5, 13), (11, 7)):
        intake = understood(habits={**HABITS, "loaves_a_week": loaves, "slices_a_loaf": slices})
        assert sum(m.portions for m in standing(intake)) == round(loaves * slices)


def test_on_some_weekdays_more_is_eaten_of_the_same_loaves(understood: Understood) -> None:
    more = {"sat": 3, "tue": 0, "wed": 0.5}
    loaves, alike = {**HABITS, "loaves_a_week": 10}, [0] * 7
    days = [0] * 7
    for found, habits in ((alike, loaves), (days, {**loaves, "by_weekday": more})):
        intake = understood(habits=habits)
        for meal in standing(intake):
            found[intake.problem.instant(meal.at).weekday()] += meal.portions
    assert sum(days) == sum(alike) == 140
    assert days[1] == 0
    for day, times in ((5, 3), (2, 0.5), (3, 1)):
        assert days[day] / days[0] == pytest.approx(times * alike[day] / alike[0], rel=0.15)


def test_a_part_of_what_is_eaten_is_one_bread_and_no_other(understood: Understood, event: Made, meal: Find) -> None:
    said = {**HABITS, "by_bread": {"loaf": 0.3}}
    plain, parted = standing(understood(habits=HABITS)), standing(understood(habits=said))
    assert sum(m.portions for m in parted) == sum(m.portions for m in plain) == 70
    ours = [m for m in parted if " of loaf:" in m.id]
    assert sum(m.portions for m in ours) == 21
    assert {(m.summary.partition(", ")[2], *(a.bread for a in m.accepts)) for m in ours} == {("Loaf", "loaf")}
    jo_out = understood([event("Jo: choir", "03-01 18:00", "03-01 20:00")], habits=said)
    assert sum(m.portions for m in standing(jo_out) if m.at == 1110) == 3, "of one who is out neither"
    sundays = {**HABITS, "by_bread": {"loaf": {"sun": 1}}}
    mine = [m for m in standing(understood(habits=sundays)) if " of loaf:" in m.id]
    assert {m.id[-10:] for m in mine} == {"2027-03-07"}
    assert meal(understood(habits=sundays), "habit:Supper:2027-03-07") is None, "all of it is that bread"


def test_the_tail_and_every_week_have_the_same_habits(understood: Understood) -> None:
    intake = understood(habits=HABITS, days=14)
    by_day = {m.id: m.portions for m in intake.problem.meals}
    assert by_day["habit:Supper:2027-03-02"] == by_day["habit:Supper:2027-03-09"] == by_day["habit:Supper:2027-03-16"]


def test_who_is_out_at_a_meal_does_not_eat_it(understood: Understood, event: Made, meal: Find) -> None:
    all_in, jo_out = (
        understood(habits=HABITS),
        understood([event("Jo: choir", "03-01 18:00", "03-01 20:00")], habits=HABITS),
    )
    supper = "habit:Supper:2027-03-01"
    before, after = meal(all_in, supper), meal(jo_out, supper)
    assert before is not None
    assert after is not None
    assert (before.heads, before.portions) == (2, 5)
    assert (after.heads, after.portions) == (1, 3)
    everybody = understood([event("Trip", "03-01 08:00", "03-02 22:00")], habits=HABITS)
    assert [m.id for m in standing(everybody, 2)] == ["habit:Breakfast:2027-03-01"]


def test_under_six_counts_half_in_the_spread_and_when_away(understood: Understood, event: Made, meal: Find) -> None:
    people = [{"id": "jo", "bakes": True, "inside": "06:00-22:00"}, {"id": "mia", "adult": False, "under_six": True}]
    out = understood(
        [event("Jo: choir", "03-01 18:00", "03-01 20:00")], people=people, habits={**HABITS, "loaves_a_week": 6}
    )
    supper = meal(out, "habit:Supper:2027-03-01")
    assert supper is not None
    assert supper.portions == 2  # a third of six


def test_lunch_boxes_only_on_school_days_and_for_children_who_are_here(
    understood: Understood, event: Made, meal: Find
) -> None:
    kids = [{"id": "jo", "bakes": True}, *({"id": id_, "adult": False} for id_ in ("ada", "ben", "mia"))]
    events = [
        event("No school", "03-02 00:00", "03-03 00:00", all_day=True, transparent=True, categories=("Holiday",)),
        event("Ada: class trip", "03-03 00:00", "03-05 00:00", all_day=True),
    ]
    habits = {**HABITS, "lunch_slices_on_school_days": 6, "holidays": [{"category": "holiday"}]}
    intake = understood(events, people=kids, habits=habits)
    boxes = {m.id[-2:]: m.portions for m in standing(intake) if "Lunch" in m.id}
    assert boxes == {"01": 6, "03": 4, "04": 4, "05": 6}
    monday = meal(intake, "habit:Lunch boxes:2027-03-01")
    assert monday is not None
    assert monday.summary == "Lunch boxes"


def test_guests_replace_the_usual_supper_and_are_strict(understood: Understood, event: Made, meal: Find) -> None:
    dinner = event("Dinner with friends", "03-06 18:00", "03-06 22:00", uid="d", recurrence_id="20270306")
    intake = understood(
        [dinner], habits=HABITS, meals=[{**GUESTS, "ways": ["fresh", "finished"], "fresh_within_hours": 12}]
    )
    found = meal(intake, "d/20270306")
    assert found is not None
    assert (found.uid, found.heads, found.portions, found.strict, found.age_milli) == ("d", 6, 12, True, 500)
    assert [(a.bread, a.kinds, a.max_age) for a in found.accepts] == [("loaf", {FRESH, FINISHED}, 720)]
    assert meal(intake, "habit:Supper:2027-03-06") is None
    assert meal(intake, "habit:Breakfast:2027-03-06") is not None
    assert any("“Dinner with friends” (Sat 6 Mar) takes the place" in str(note) for note in intake.notes)


def test_a_meal_at_home_keeps_people_in_but_their_hands_are_not_free(understood: Understood, event: Made) -> None:
    intake = understood([event("Dinner", "03-01 18:00", "03-01 20:00")], meals=[GUESTS])
    jo = intake.problem.person("jo")
    assert any(start <= 1080 and end >= 1200 for start, end in jo.inside)
    assert not any(start < 1200 and end > 1080 for start, end in jo.free)


@pytest.mark.parametrize(
    ("rule", "title", "more", "heads", "portions"),
    [
        ({"heads": 7}, "Dinner", {}, 7, 14),
        ({"heads": "from text"}, "Dinner for 9", {}, 9, 18),
        ({"heads": "from text"}, "Dinner", {"description": "At 19:30, we are 5"}, 5, 10),
        ({"heads": "from text"}, "Dinner", {}, 2, 4),
        ({"heads": "attendees"}, "Dinner", {"accepted": ["jo", "a", "b"], "declined": ["c"]}, 3, 6),
        ({"heads": "inside", "extra_heads": 3, "portions_per_head": 1.5}, "Dinner", {}, 5, 8),
        ({"heads": "attendees"}, "Dinner", {}, 2, 4),
        ({"heads": 500}, "Dinner", {}, 500, 1000),
    ],
)
def test_heads_and_portions(
    understood: Understood,
    event: Made,
    meal: Find,
    rule: dict[str, Any],
    title: str,
    more: dict[str, Any],
    heads: int,
    portions: int,
) -> None:
    intake = understood(
        [event(title, "03-02 18:00", "03-02 20:00", uid="d", **more)], meals=[{"summary": "dinner*", **rule}]
    )
    found = meal(intake, "d")
    assert found is not None
    assert (found.heads, found.portions) == (heads, portions)


@pytest.mark.parametrize(
    ("text", "heads"),
    [
        ("Birthday brunch for 14", 14),
        ("Dinner 18:30 for 9", 9),
        ("Dinner 6.3. with 5 guests", 5),
        ("2027-03-06: 8 people", 8),
        ("180 °C then 6 guests", 6),
        ("Dinner at 7 pm for 4", 4),
        ("For 0, no, for 3", 3),
        ("For 9999 people", None),
        ("Dinner", None),
        ("", None),
    ],
)
def test_the_number_of_people_in_a_text(text: str, heads: int | None) -> None:
    assert heads_in(text) == heads


def test_what_one_guest_may_not_eat_nobody_is_served(understood: Understood, event: Made, meal: Find) -> None:
    people = [
        {"id": "jo", "bakes": True, "inside": "06:00-22:00", "without": ["milk"]},
        {"id": "sam", "without": ["egg"]},
    ]
    dinner = event("Dinner", "03-02 18:00", "03-02 20:00", uid="d")
    sam_out = event("Sam: away", "03-02 12:00", "03-02 23:00")
    intake = understood(
        [dinner, sam_out], people=people, meals=[{**GUESTS, "without": ["sesame"]}], nobody_eats=["nuts"], habits=HABITS
    )
    found, supper = meal(intake, "d"), meal(intake, "habit:Supper:2027-03-03")
    assert found is not None
    assert supper is not None
    assert found.without == {"sesame", "milk", "nuts"}
    assert supper.without == {"milk", "egg", "nuts"}
    without_wheat = understood([dinner], meals=[{**GUESTS, "without": ["gluten"]}])
    none = meal(without_wheat, "d")
    assert none is not None
    assert none.accepts == ()
    assert any("No bread of the house" in str(note) for note in without_wheat.notes)


def test_little_ones_among_the_heads_eat_less(understood: Understood, event: Made, meal: Find) -> None:
    people = [{"id": "jo", "bakes": True}, {"id": "mia", "adult": False, "under_six": True, "without": ["egg"]}]
    for heads, portions in ((6, 11), (1, 2)):
        rule = {"summary": "dinner*", "heads": heads}
        found = meal(
            understood([event("Dinner", "03-02 18:00", "03-02 20:00", uid="d")], people=people, meals=[rule]), "d"
        )
        assert found is not None
        assert (found.portions, found.without) == (portions, {"egg"})


def test_warm_bread_is_fresh_or_finished_within_the_hour(understood: Understood, event: Made, meal: Find) -> None:
    found = meal(
        understood([event("Dinner", "03-02 18:00", "03-02 20:00", uid="d")], meals=[{**GUESTS, "warm": True}]), "d"
    )
    assert found is not None
    assert [(a.kinds, a.max_age) for a in found.accepts] == [({FRESH, FINISHED}, 60)]


def test_less_is_taken_off_the_nearest_meals_of_the_day(understood: Understood, event: Made, meal: Find) -> None:
    less = {"summary": "pizza*", "effect": "less", "heads": 1, "portions_per_head": 7}
    intake = understood([event("Pizza night", "03-02 17:30", "03-02 19:00")], habits=HABITS, meals=[less])
    breakfast = meal(intake, "habit:Breakfast:2027-03-02")
    assert meal(intake, "habit:Supper:2027-03-02") is None  # all five
    assert breakfast is not None
    assert breakfast.portions == 3  # five less the other two


def test_away_takes_off_meals_but_not_hands(understood: Understood, event: Made, meal: Find) -> None:
    calendars = [{"name": "Home", "path": "h.ics", "role": "meals"}]
    rules = [{"summary": "jo eats out", "effect": "away"}]
    intake = understood(
        [event("Jo eats out", "03-02 18:00", "03-02 20:00")], calendars=calendars, habits=HABITS, meals=rules
    )
    supper = meal(intake, "habit:Supper:2027-03-02")
    assert supper is not None
    assert supper.heads == 1
    assert any(start <= 1440 + 1080 and end >= 1440 + 1200 for start, end in intake.problem.person("jo").free)


def test_events_called_off_or_declined_by_the_house_are_no_meals(understood: Understood, event: Made) -> None:
    events = [
        event("Dinner one", "03-02 18:00", "03-02 20:00", status="CANCELLED"),
        event("Dinner two", "03-03 18:00", "03-03 20:00", declined=["jo"], accepted=["club"]),
    ]
    assert not [m for m in understood(events, meals=[GUESTS]).problem.meals if m.strict]


def test_the_same_event_in_two_calendars_is_one_meal(understood: Understood, event: Made) -> None:
    dinner = event("Dinner", "03-02 18:00", "03-02 20:00", uid="d")
    intake = understood({"Jo": [dinner], "Sam": [replace(dinner, calendar="Sam")]}, meals=[GUESTS])
    assert len([m for m in intake.problem.meals if m.strict]) == 1


def test_a_meal_in_the_past_is_noted_and_not_planned(understood: Understood, event: Made, meal: Find) -> None:
    noon = datetime(2027, 3, 1, 12, tzinfo=ZoneInfo("Europe/Berlin"))
    intake = understood(
        [event("Dinner early", "03-01 09:00", "03-01 13:00", uid="d")], meals=[GUESTS], habits=HABITS, zero=noon
    )
    assert meal(intake, "d") is None
    assert meal(intake, "habit:Breakfast:2027-03-01") is None
    assert meal(intake, "habit:Supper:2027-03-01") is not None
    assert any("over before the plan begins" in str(note) for note in intake.notes)


def test_the_tail_has_no_events(understood: Understood, event: Made, meal: Find) -> None:
    intake = understood([event("Dinner", "03-08 18:00", "03-08 20:00", uid="d")], meals=[GUESTS], habits=HABITS, days=7)
    assert meal(intake, "d") is None
    assert meal(intake, "habit:Supper:2027-03-08") is not None


def test_an_event_without_an_hour_is_eaten_at_noon(understood: Understood, event: Made, meal: Find) -> None:
    feast = event("Dinner", "03-02 00:00", "03-03 00:00", uid="d", all_day=True, transparent=True)
    intake = understood([feast], meals=[GUESTS])
    found = meal(intake, "d")
    assert found is not None
    assert found.at == 1440 + 720
    assert any("has no hour" in str(note) for note in intake.notes)


def test_a_meal_nobody_is_counted_at_is_noted(understood: Understood, event: Made, meal: Find) -> None:
    events = [event("Dinner", "03-02 18:00", "03-02 20:00", uid="d"), event("Trip", "03-02 08:00", "03-02 23:00")]
    intake = understood(events, meals=[{"summary": "dinner*"}], habits=HABITS)
    assert meal(intake, "d") is None
    assert any("(Tue 2 Mar) wants no bread" in str(note) for note in intake.notes)


def test_standing_meals_take_their_breads_and_ways(understood: Understood, meal: Find) -> None:
    eaten = [{"name": "Supper", "at": "18:30", "share": 1.0, "ways": ["fresh", "toast", "bought"]}]
    supper = meal(understood(habits={**HABITS, "eaten": eaten}), "habit:Supper:2027-03-01")
    assert supper is not None
    assert [(a.bread, a.kinds) for a in supper.accepts] == [("loaf", {FRESH})]
    assert TOAST not in supper.accepts[0].kinds  # nothing of this bread is kept sliced


@pytest.mark.parametrize(
    ("rule", "bought"),
    [({}, True), ({"ways": ["fresh", "bought"]}, True), ({"ways": ["fresh"]}, False), ({"strict": True}, False),
     ({"warm": True}, False), ({"breads": ["loaf"]}, True)],
)  # fmt: skip
def test_a_bought_loaf_is_a_way_like_others(
    understood: Understood, event: Made, meal: Find, rule: dict[str, object], bought: bool
) -> None:
    found = meal(
        understood([event("Dinner", "03-02 18:00", "03-02 20:00", uid="d")], meals=[{"summary": "dinner*", **rule}]),
        "d",
    )
    assert found is not None
    assert found.bought == bought


def test_a_meal_of_bought_bread_only_needs_none_of_the_house(understood: Understood, meal: Find) -> None:
    eaten = [{"name": "Supper", "at": "18:30", "share": 1.0, "ways": ["bought"]}]
    intake = understood(habits={**HABITS, "eaten": eaten})
    supper = meal(intake, "habit:Supper:2027-03-01")
    assert supper is not None
    assert (supper.accepts, supper.bought) == ((), True)
    assert not any("No bread of the house" in str(note) for note in intake.notes)


def test_nobody_at_the_table_is_noted(understood: Understood) -> None:
    intake = understood(habits={**HABITS, "eaten": [{"name": "Night", "at": "03:00", "share": 1.0}]})
    assert not standing(intake)
    assert any("70 slices a week have no meal" in str(note) for note in intake.notes)


def test_a_calendars_escapes_never_reach_a_note(understood: Understood, event: Made) -> None:
    evil = event("Dinner \x1b[2J\x07", "03-06 18:00", "03-06 20:00")
    notes = understood([evil], meals=[GUESTS], habits=HABITS).notes
    assert notes
    assert not any("\x1b" in str(note) or "\x07" in str(note) for note in notes)


@settings(derandomize=True, deadline=None, max_examples=50)
@given(st.integers(0, 200), st.lists(st.floats(0, 20), max_size=14))
def test_spread_is_exact_and_fair(total: int, weights: list[float]) -> None:
    parts = spread(total, weights)
    whole = sum(weights)
    assert sum(parts) == (total if whole > 0 else 0)
    assert all(
        abs(part - total * weight / whole) < 1 + 1e-6 for part, weight in zip(parts, weights, strict=True) if whole
    )


def test_a_meal_at_the_midnight_that_ends_the_plan_is_none_of_it(understood: Understood) -> None:
    eaten = [{"name": "Late", "at": "24:00", "share": 1.0}]
    problem = understood(habits={"eaten": eaten, "lunch_at": "24:00", "lunch_slices_on_school_days": 2}).problem
    assert all(0 <= each.at < problem.end for each in problem.meals)
    assert {problem.day_of(each.at) for each in problem.meals} >= {1, 2, 3, 4, 5}
