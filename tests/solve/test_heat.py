"""How the oven gets hot: a roast's heat for nothing, one heat-up for two stays, none at all where nobody watches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rotation.grid import Grid
from rotation.hot import COLD, FREE, stay_heats
from rotation.plan import Plan
from rotation.problem import FRESH, Accept, Booking, Meal, Problem, Spans
from rotation.solve import Limits
from tests.homes import DAY
from tests.rules import house
from tests.solve.homes import at_home, home, milk_tin, rolls, wheat_loaf
from tests.solve.test_plans import judged

PROOF = Limits(days=30, minutes=10, rounds=20)
NO_SHOP: tuple[int, ...] = ()


def day(*bookings: Booking, meals: tuple[Meal, ...], both: bool = False) -> Problem:
    """Return two days at home with rolls, and a milk tin beside them; an hour of hands costs little, heating a lot."""
    made = at_home(home(2, 1, tail=0, lots=0, guests=False))
    oven = replace(made.ovens[0], bookings=bookings, closed=())
    breads = tuple(replace(bread, worth=()) for bread in ((rolls(), milk_tin()) if both else (rolls(),)))
    weights = replace(made.weights, heat_up=20000, unmet_portion=20000)
    shop = replace(made.shop, closes=NO_SHOP)
    return replace(made, ovens=(oven,), breads=breads, meals=meals, weights=weights, shop=shop)


def meal(bread: str, at: int, portions: int) -> Meal:
    accepts = (Accept(bread, frozenset({FRESH}), DAY),)
    return Meal(f"{bread} {at}", "", "supper", at, 4, portions, False, accepts, frozenset(), 0)


def heats(plan: Plan) -> list[str]:
    return sorted(bake.stay.heat.partition(":")[0] for bake in plan.bakes)


def test_a_bake_alone_heats_the_oven_itself() -> None:
    plan = judged(day(meals=(meal("rolls", 1110, 8),)), PROOF)
    assert heats(plan) == ["cold"]
    assert dict(plan.terms)["heat_ups"] == 20000


def test_the_oven_still_hot_from_the_roast_costs_no_heat_up() -> None:
    roast = Booking("roast", 780, 870, 200, 0)
    plan = judged(day(roast, meals=(meal("rolls", 1110, 8),)), PROOF)
    assert [bake.stay.heat for bake in plan.bakes] == ["after:roast"]
    assert 870 <= plan.bakes[0].stay.start <= 900
    assert dict(plan.terms)["heat_ups"] == 0


def warm_starts(made: Problem) -> list[int]:
    """Return the starts of a stay of rolls on a booking's heat."""
    (oven,) = made.ovens
    return [int(at) for at in np.flatnonzero(dict(stay_heats(Grid(made), oven, 220, False, 18, "bakes"))[FREE])]


def test_no_heat_lasts_through_closed_hours_after_the_roast() -> None:
    made = day(Booking("roast", 780, 870, 200, 0), meals=())
    assert warm_starts(made) == list(range(872, 901))
    shut = replace(made.ovens[0], closed=((875, 880),))
    assert warm_starts(replace(made, ovens=(shut,))) == []


def test_a_roast_whose_heat_nobody_watches_to_the_end_lends_none() -> None:
    made = day(Booking("roast", 780, 870, 200, 0), meals=())
    out = tuple(replace(person, inside=((390, 890), (895, 1380))) for person in made.people)
    assert warm_starts(replace(made, people=out)) == []


@pytest.mark.parametrize("inside", [0, 10])
def test_a_watch_may_pass_the_end_of_what_is_planned(inside: int) -> None:
    """The last finish of the last day is over at midnight less ten, the oven cold half an hour later."""
    made = day(meals=())
    at_home = tuple(replace(p, inside=((390, made.end - inside),), free=((390, made.end),)) for p in made.people)
    made = replace(made, people=at_home)
    (oven,) = made.ovens
    heats = dict(stay_heats(Grid(made), oven, 220, False, 18, "finishes"))
    assert bool(heats[COLD][made.end - 30]) == (inside == 0)


def test_a_roast_of_unknown_temperature_lends_no_heat() -> None:
    roast = Booking("roast", 780, 870, None, 0)
    assert heats(judged(day(roast, meals=(meal("rolls", 1110, 8),)), PROOF)) == ["cold"]


def test_a_bake_stands_beside_a_dish_of_its_own_temperature() -> None:
    dish = Booking("dish", 780, 900, 220, 1)
    plan = judged(day(dish, meals=(meal("rolls", 1110, 8),)), PROOF)
    stay = plan.bakes[0].stay
    assert stay.heat in {"beside:dish", "after:dish"}
    assert dict(plan.terms)["heat_ups"] == 0


def test_two_breads_in_a_row_heat_the_oven_once() -> None:
    """220 degC for the rolls, 190 for the tin: the oven falls 30 degrees in six minutes."""
    meals = (meal("rolls", 1110, 8), meal("tin", 1110, 8))
    plan = judged(day(meals=meals, both=True), PROOF)
    assert heats(plan) == ["after", "cold"]
    assert dict(plan.terms)["heat_ups"] == 20000
    first, second = sorted((bake.stay for bake in plan.bakes), key=lambda stay: stay.start)
    assert second.heat == f"after:{first.id}"
    assert 0 <= second.start - first.end <= 30


def test_two_breads_of_one_temperature_go_in_together() -> None:
    meals = (meal("rolls", 1110, 8), meal("more", 1110, 8))
    made = day(meals=meals)
    more = replace(rolls(), id="more", name="more rolls", worth=())
    plan = judged(replace(made, breads=(*made.breads, more)), PROOF)
    assert dict(plan.terms)["heat_ups"] == 20000
    assert len(plan.bakes) == 2
    assert "cold" in heats(plan)


def test_two_loaves_at_two_temperatures_go_through_one_pot_one_after_the_other() -> None:
    """20 minutes covered at 240 degC and 20 without the lid at 210, then three minutes until it is 240 again."""
    made = day(meals=(meal("wheat", 2 * DAY - 300, 28),))
    bread = replace(wheat_loaf(), worth=())
    (by_day, _) = bread.processes
    turned = replace(by_day, programme=replace(by_day.programme, turns=((20, 210),)), pieces=(2,))
    plan = judged(replace(made, breads=(replace(bread, processes=(turned,)),)), PROOF)
    (stay,) = (bake.stay for bake in plan.bakes)
    assert stay.turns == ((20, 210), (40, 240), (63, 210))
    assert [load.start - stay.start for load in stay.loads] == [0, 43]
    assert stay.end - stay.start == 83


def test_a_finish_at_two_heats_has_hands_at_the_change() -> None:
    """Where nobody has hands as the heat is to be changed, it goes in at another minute."""
    made = house.problem()
    routes = (replace(made.bread("sourdough").route("worktop"), turns=((9, 240),)),)
    breads = tuple(replace(bread, routes=routes) if bread.id == "sourdough" else bread for bread in made.breads)
    plan = judged(replace(made, breads=breads, wishes=()), PROOF)
    assert plan.finishes
    for finish in plan.finishes:
        ((name, at, who),) = [(event.name, event.start - finish.stay.start, event.who) for event in finish.stay.events]
        assert (name, at) == ("set 240", 9)
        assert who in {"jo", "sam"}
    busy = tuple((finish.stay.start + 5, finish.stay.start + 12) for finish in plan.finishes)
    gone = tuple(replace(p, free=without(p.free, busy), quick=()) for p in made.people)
    other = judged(replace(made, breads=breads, wishes=(), people=gone), PROOF)
    assert not {finish.stay.start for finish in plan.finishes} & {finish.stay.start for finish in other.finishes}


def without(spans: Spans, gaps: Spans) -> Spans:
    """Return spans less gaps, each of which lies within one of them."""
    edges = sorted([*(edge for span in spans for edge in span), *(edge for gap in gaps for edge in gap)])
    return tuple(zip(edges[::2], edges[1::2], strict=True))


def test_nothing_is_baked_where_no_adult_watches() -> None:
    made = day(meals=(meal("rolls", 1110, 8),))
    children = tuple(replace(person, adult=False) for person in made.people)
    plan = judged(replace(made, people=children), PROOF)
    assert plan.bakes == ()
    assert plan.status == "optimal"


def test_an_oven_closed_all_day_bakes_nothing() -> None:
    made = day(meals=(meal("rolls", 1110, 8),))
    shut = replace(made.ovens[0], closed=((0, made.end),))
    assert judged(replace(made, ovens=(shut,)), PROOF).bakes == ()
