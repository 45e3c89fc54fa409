"""Whether dough that is begun can go on in time, alone: hands at each step, an oven that may be hot and watched."""

from __future__ import annotations

from dataclasses import replace

from rotation.going_on import GoingOn
from rotation.problem import Problem
from tests.rules.house import NIGHT, SAT, SUN, at, problem


def alone(house: Problem | None = None) -> GoingOn:
    house = house or problem()
    return GoingOn(house, NIGHT, SAT, 2, house.ovens[0], 80, 40, (20, 40, 80))


def test_the_oven_is_hot_only_where_somebody_can_switch_it_on() -> None:
    assert alone().can("oven", at(SUN, 8, 15), at(SUN, 8, 30))
    assert not alone().can("oven", at(SUN, 8), at(SUN, 8, 10)), "nobody has hands between 7:15 and 7:30"


def test_nor_where_it_is_closed_or_nobody_is_at_home() -> None:
    assert not alone().can("oven", at(SUN, 16, 30), at(SUN, 17, 30)), "closed from 17:00"
    away = tuple(replace(p, inside=((at(SUN, 6), at(SUN, 9)),)) for p in problem().people)
    assert not alone(replace(problem(), people=away)).can("oven", at(SUN, 8, 15), at(SUN, 8, 30))


def test_a_step_is_in_time_only_where_what_follows_is() -> None:
    """Shaped on Saturday at 20:00 it may stand for 8 to 24 hours less the 40 minutes to the last load."""
    assert alone().can("shape", at(SAT, 20), at(SAT, 20))
    busy = tuple(replace(p, free=((at(SAT, 8), at(SAT, 21)),), quick=()) for p in problem().people)
    assert not alone(replace(problem(), people=busy)).can("shape", at(SAT, 20), at(SAT, 20))
    assert not alone().can("shape", at(SAT, 22), at(SAT, 23)), "nobody has hands"
