"""A house of one day and one loaf, so plain that what binds and what cures is known by hand.

A bake is 10 minutes of mixing, 60 to 120 of waiting, 2 of loading, an hour in the oven, 2 of taking out, a switch that
takes 1 minute 15 before it, and 20 of rest: 15 minutes of hands, and bread 2 h 32 after the mix begins at the soonest.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from rotation.plan import Plan
from rotation.problem import (
    FRESH,
    TABLE,
    Accept,
    Bread,
    Meal,
    Person,
    Problem,
    Process,
    Programme,
    Shop,
    Stage,
    Treatment,
    Wait,
    Weights,
)
from rotation.reasons.again import best
from rotation.solve import Limits
from tests.homes import DAY, kitchen, oven, person

HANDS = 15
EIGHT, TEN, SIX = 480, 600, 1080
WORK = Limits(days=2.0, minutes=2.0)


def loaf() -> Bread:
    """Return the loaf: four portions, one or two at a time."""
    stages, wait = (Stage("mix", 10), Stage("oven", 2), Stage("bag", 1)), Wait("mix", "oven", ((60, 120),))
    process = Process(
        "day", "by day", stages, (wait,), (),
        Programme(230, 0, 1, 2), (Treatment(TABLE, 60, 20),), (1, 2), 0,
    )  # fmt: skip
    return Bread("loaf", "Loaf", 4, 500, DAY, False, frozenset({"wheat"}), (process,), (), ())


def baker(**changes: Any) -> Person:
    """Return who bakes: in all day, free from eight to half past eleven."""
    return replace(person("jo", ((0, DAY),), ((EIGHT, 690),)), **changes)


def supper(**changes: Any) -> Meal:
    """Return the supper at six: four portions for two."""
    meal = Meal(
        "supper",
        "",
        "Supper",
        SIX,
        2,
        4,
        False,
        (Accept("loaf", frozenset({FRESH}), DAY),),
        frozenset(),
        0,
        bought=False,
    )
    return replace(meal, **changes)


def house(**changes: Any) -> Problem:
    """Return the house."""
    problem = Problem(
        datetime(2027, 3, 1, tzinfo=UTC), ZoneInfo("UTC"), (0, DAY), 1, (baker(),), (oven(()),), kitchen(100, 1000),
        (loaf(),), (supper(),), (), (), (), Shop((), 16, DAY, 25000, frozenset({"?"})),
        Weights(3000, 50000, 50000, 0, 0, 0),
    )  # fmt: skip
    return replace(problem, **changes)


def planned(problem: Problem, *, proven: bool = True) -> Plan:
    """Return its best plan. proven: it has to be."""
    plan = best(problem, work=WORK)
    assert plan is not None
    assert plan.status == "optimal" or not proven
    return plan
