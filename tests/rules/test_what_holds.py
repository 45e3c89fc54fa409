"""Plans that use a rule to its very edge, and still keep it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from rotation.costs import TERMS, reserve, rhythm, scores
from rotation.plan import KeptWish, Plan
from rotation.problem import TOAST, Kept, Problem, Published
from rotation.rules.checked import broken
from tests.rules.changes import (
    answered,
    bagged_late,
    baked,
    booked,
    by_fridge,
    by_roast,
    everybody,
    kitchen,
    overdue,
    second_finish,
    treated,
    two_trips,
    waiting,
    wished,
)
from tests.rules.house import FRI, MON, SAT, SUN, at, problem
from tests.rules.sample import NOW, begun, plan


@pytest.mark.parametrize(
    "of",
    [
        pytest.param(second_finish(at(SUN, 9, 25), "after:stay-b1", at(SUN, 9, 20)), id="on the heat of a bake"),
        pytest.param(
            second_finish(at(SUN, 9, 40), "after:stay-b1", at(SUN, 9, 20)), id="the longest gap on a hot oven"
        ),
        pytest.param(by_roast(at(SUN, 14, 30), "beside:roast", at(SUN, 14, 30)), id="beside a roast"),
        pytest.param(by_roast(at(SUN, 16), "after:roast", at(SUN, 16)), id="right after a roast"),
        pytest.param(by_fridge(), id="thawed in the fridge"),
        pytest.param(
            answered(KeptWish("wish-none", False, because="the oven is booked")), id="a wish dropped with a reason"
        ),
    ],
)
def test_it_holds(of: Plan) -> None:
    assert broken(problem(), of) == ()


def test_what_one_stay_does_not_hold_may_come_by_two_routes_in_one_trip_and_one_heat() -> None:
    assert broken(*two_trips()) == ()


@pytest.mark.parametrize(
    "of",
    [
        pytest.param(waiting("mix", "fold", 45, 45), id="a wait of exactly its bounds"),
        pytest.param(waiting("mix", "shape", 300, 300), id="a whole span of exactly its bounds"),
        pytest.param(
            waiting("shape", "oven", 1155, 1175), id="the first load at the shortest, the last at the longest"
        ),
        pytest.param(treated("part-baked", bag_by=160, cool=160), id="bagged at the only minute"),
        pytest.param(kitchen(freezing_grams_24h=((0, 400),)), id="the rated grams"),
        pytest.param(kitchen(bowls=((0, 1), (at(SAT, 13), 0))), id="the bowl is free when the dough is shaped"),
        pytest.param(kitchen(fridge_spots=((0, 2), (at(SUN, 8, 50), 0))), id="no spot once the last load is in"),
        pytest.param(booked(start=at(SUN, 9, 20), end=at(SUN, 10)), id="a booking right after the bake"),
        pytest.param(everybody(inside=((at(FRI, 6), at(SUN, 10, 20)),)), id="out as soon as the iron is cold"),
    ],
)
def test_it_just_holds(of: Problem) -> None:
    assert broken(of, plan()) == ()


def test_a_step_the_family_moved_needs_no_free_hour() -> None:
    busy = ((at(FRI, 7, 30), at(FRI, 21)), (at(SAT, 8, 15), at(SAT, 21)), (at(SUN, 7, 30), at(SUN, 21)))
    jo, sam = problem().people
    house = replace(problem(), people=(replace(jo, free=busy), sam))
    assert broken(house, plan()) == ()
    dropped = answered(KeptWish("wish-mix", False, because="nobody is free"))
    assert [one.rule for one in broken(house, dropped)] == ["hands"]


@pytest.mark.parametrize("last", NOW)
def test_a_bake_under_way_goes_on(last: str) -> None:
    assert broken(*begun(last)) == ()


def test_what_is_in_the_oven_already_is_a_fact() -> None:
    house, of = begun("oven")
    nobody_in = tuple(replace(person, inside=(), price=((0, 1),)) for person in house.people)
    assert broken(replace(house, people=nobody_in), of) == ()
    house, of = begun("shape")
    nobody_in = tuple(replace(person, inside=()) for person in house.people)
    assert [one.rule for one in broken(replace(house, people=nobody_in), of)] == ["watch"]


def test_a_bound_overrun_at_the_start_makes_the_step_late_and_not_impossible() -> None:
    assert broken(*overdue(-30, "shape")) == ()


def test_a_step_nobody_could_do_in_time_is_late_too() -> None:
    assert broken(*overdue(30, "shape", free_from=60)) == ()
    assert [one.rule for one in broken(*overdue(60, "shape", free_from=60))] == ["waits"]


def test_bread_nobody_could_bag_in_time_is_bagged_late() -> None:
    assert broken(*bagged_late("bag")) == ()
    assert [one.rule for one in broken(*bagged_late("bag", now=at(SUN, 11)))] == ["cooled"]


def test_a_wish_of_a_kind_there_is_not_is_refused() -> None:
    with pytest.raises(ValueError, match="no wish of kind 'more jam'"):
        broken(wished(kind="more jam"), plan())


def test_what_is_broken_says_so_in_one_line() -> None:
    (one,) = broken(problem(), baked(ready=at(SUN, 10)))
    assert str(one) == "rested: b1: ready at minute 3480, but it is 3500"


def test_scores_are_those_counted_by_hand() -> None:
    kept = Kept((("sourdough", "part-baked"), ("tin", "sliced")), 40, 300, 900), Kept((("tin", "sliced"),), 15, 200)
    assert dict(scores(replace(problem(), reserve=kept), plan())) == {
        # Jo: 38 min before Sunday, 12 min on Sunday at twice the price; Sam: 7 min at one and a half
        "hands": 38 * 1000 + 12 * 2000 + 7 * 1500,
        "bakes": 25_000,
        "rhythm": 0,
        "heat_ups": 2 * 15_000,
        "unmet": 0,
        "bought": 25_000,
        # sourdough and tin portions at five midnights
        "frozen": 10 * ((14 + 20) + (14 + 20) + (28 + 20) + (28 + 14) + (28 + 14)),
        # Sunday's loaf is ready before noon of Berlin's second quarter and eaten in the third
        "age": 14 * 1 * 10,
        # of 28 finished portions 20 are eaten; two old slices are thrown away
        "wasted": 700 * (8 + 2),
        "past_date": 0,
        # of forty 34 on two nights and 42 on the last two, of fifteen slices of tin 20 on three and 14 on two;
        # and from Friday on six less, as a bought loaf was eaten that might have been of these
        "reserve": 300 * (12 + 12 + 0 + 4 + 4) + 900 * 12 + 200 * (1 + 1 + 1 + 7 + 7),
        "stock": -(10 * 1500 + 10 * 500),
        "changes": 0,
    }


def test_of_each_week_the_lowest_night_counts_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of five nights: in weeks of two, of which the last has three; each alone; all together."""
    kept = (Kept((("sourdough", "part-baked"), ("tin", "sliced")), 40, 0, 900),)
    nights = [40 - (14 + 20 - 6), 40 - (14 + 20 - 6), 0, 40 - (28 + 14 - 6), 40 - (28 + 14 - 6)]  # six were bought
    for together, lowest in ((2, max(nights[:2]) + max(nights[2:])), (1, sum(nights)), (7, max(nights))):
        monkeypatch.setattr(reserve, "NIGHTS", together)
        assert dict(scores(replace(problem(), reserve=kept), plan()))["reserve"] == 900 * lowest


def test_what_an_everyday_meal_goes_without_is_missing_of_the_reserve_from_then_on() -> None:
    """So nobody goes hungry beside a full freezer; guests come before all cost anyway."""
    house = replace(problem(), reserve=(Kept((("tin", "sliced"),), 1000, 1),))
    whole, counted = dict(scores(house, plan()))["reserve"], 0
    for meal in house.meals:
        fed = sum(one.portions for one in plan().servings if one.meal == meal.id and one.source != "loaf")
        less = replace(plan(), servings=tuple(one for one in plan().servings if one.meal != meal.id))
        nights = sum(midnight > meal.at for midnight in house.midnights[1:])
        toast = any(accept.bread == "tin" and TOAST in accept.kinds for accept in meal.accepts)
        gone = fed * nights if toast and not meal.strict else 0
        assert dict(scores(house, less))["reserve"] == whole + gone
        counted += gone
    assert counted


def test_a_bought_loaf_is_no_bread_kept() -> None:
    """So none is bought only that the freezer stays full: what it feeds counts as eaten, like what is gone without."""
    house = replace(problem(), reserve=(Kept((("tin", "sliced"),), 1000, 1),))
    (supper,) = (meal for meal in house.meals if meal.id == "fri-supper")
    bought = dict(scores(house, plan()))["reserve"]
    no_toast = replace(supper, accepts=tuple(accept for accept in supper.accepts if accept.bread != "tin"))
    meals = tuple(no_toast if meal == supper else meal for meal in house.meals)
    nights = sum(midnight > supper.at for midnight in house.midnights[1:])
    assert bought == dict(scores(replace(house, meals=meals), plan()))["reserve"] + 6 * nights
    without = replace(plan(), bought=(), servings=tuple(one for one in plan().servings if one.source != "loaf"))
    assert dict(scores(house, without))["reserve"] == bought


def test_what_is_moved_at_midnight_was_there_that_night() -> None:
    """As the days count it: a take-out of the minute 0:00 is one of the day that begins."""
    house = replace(problem(), reserve=(Kept((("sourdough", "part-baked"),), 100, 10, 0),))
    for minute, there in ((at(SAT, 0) - 1, False), (at(SAT, 0), True)):
        out, toast = plan().take_outs
        moved = replace(plan(), take_outs=(replace(out, at=minute), toast))
        usual, costs = dict(scores(house, plan())), dict(scores(house, moved))
        night = 2 * 14 if there else 0
        assert costs["frozen"] == usual["frozen"] + house.weights.portion_day_frozen * night
        assert costs["reserve"] == usual["reserve"] - 10 * night


def test_what_nobody_gets_costs_at_everyday_meals_only() -> None:
    nothing = Plan()
    costs = dict(scores(problem(), nothing))
    assert costs["unmet"] == (6 + 6) * 1500
    assert costs["past_date"] == 0, "the old bag's date lay before the start"


def test_a_unit_past_its_date_costs_at_the_midnight_it_passes() -> None:
    lots = tuple(replace(lot, toast_after=at(SAT, 0)) for lot in problem().lots if lot.id == "lot-b")
    assert dict(scores(replace(problem(), lots=lots), Plan()))["past_date"] == 2 * 2000


def test_changes_count_bakes_dropped_and_bakes_that_are_new() -> None:
    prices = replace(problem().weights, changed_by_day=(900, 800, 700))
    house = replace(problem(), weights=prices, published=(Published("sourdough", "night", SUN, 5000),))
    assert dict(scores(house, plan()))["changes"] == 5000 + 800
    as_published = replace(house, published=(Published("sourdough", "night", SAT, 5000),))
    assert dict(scores(as_published, plan()))["changes"] == 0
    assert dict(scores(as_published, baked(day=MON + 3)))["changes"] == 5000, "beyond the list a new bake costs nothing"


@pytest.mark.parametrize(
    ("days", "extra"), [((0,), 0), ((0, 6), 1), ((6, 7), 0), ((0, 6, 8, 9, 13), 3), ((7, 14), 0), ((0, 0, 0), 2)]
)
def test_each_bake_beyond_the_usual_number_in_seven_days_costs(days: tuple[int, ...], extra: int) -> None:
    house = replace(problem(), weights=replace(problem().weights, bakes_a_week=1, extra_bake=4000))
    of = Plan(bakes=tuple(replace(plan().bakes[0], day=day) for day in days))
    assert rhythm.score(house, of) == 4000 * extra
    begun = Plan(bakes=tuple(replace(bake, under_way="begun") for bake in of.bakes))
    assert rhythm.score(house, begun) == 0


def test_a_bake_under_way_is_paid_for() -> None:
    costs = dict(scores(*begun("oven")))
    assert (costs["bakes"], costs["heat_ups"]) == (0, 0)
    assert costs["hands"] < dict(scores(*begun("shape")))["hands"]


def test_terms_have_names_of_their_own() -> None:
    names = sorted(term.NAME for term in TERMS)
    assert all(first != second for first, second in pairwise(names))
