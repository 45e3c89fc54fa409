"""The simulator with its kitchen reduced to problems whose answers others published (instances.json, with sources).

A period is a day; what is short is asked for again the next day, as those problems have it (backorders). Draws are
ours: a mean over days lies within three of its standard errors of the published cost.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from math import exp, sqrt
from pathlib import Path
from random import Random
from statistics import fmean, stdev
from typing import Any

import pytest

from rotation.costs import scores
from rotation.plan import Plan
from rotation.problem import TABLE, Meal, Problem
from rotation.rehearsal.by_hand import ByHand
from rotation.rehearsal.chance import STILL, Luck
from rotation.rehearsal.living import Life
from rotation.rehearsal.policy import Seen
from rotation.rehearsal.record import Record, lived
from rotation.rehearsal.world import World
from rotation.solve import Limits, solve
from tests.outside.lot_sizing import Item, Prices, as_bread
from tests.outside.test_lot_sizing import instance

DATA = Path(__file__).parent / "data" / "instances.json"
INSTANCES = {each["id"]: each for each in json.loads(DATA.read_text())["instances"]}


@dataclass(frozen=True)
class Demand(Luck):
    """Poisson demand; what was short yesterday is wanted once more, if `again`."""

    mean: float = 6.0
    again: bool = False
    record: Record = field(default_factory=Record)

    def appetite(self, meal: Meal, day: int) -> int:
        """Return the demand of a day, and what is owed."""
        drawn, left = 0, exp(-self.mean)
        draw = Random(f"{self.seed} {day}")
        share = draw.random()
        while share > left:
            share *= draw.random()
            drawn += 1
        owed = self.record.meals[-1].unmet if self.again and self.record.meals else 0
        return drawn + owed


@dataclass
class ReorderPoint:
    """Bakes up to `most` when what is there, less what is owed, is `least` or less. form: of its pieces."""

    least: int
    most: int
    form: str
    record: Record
    name: str = "reorder point"

    def plan(self, seen: Seen) -> Plan | None:
        """Return today's bake, if there is one."""
        hands = ByHand(seen.problem, Plan())
        owed = self.record.meals[-1].unmet if self.record.meals and self.form != TABLE else 0
        net = sum(lot.units for lot in seen.problem.lots) - owed
        if net <= self.least:
            bread = seen.problem.breads[0]
            pieces = ((self.form, self.most - net),)
            assert hands.bake("today", bread, bread.processes[0], pieces, 0) is not None
        return hands.plan


def _world(problem: Problem, days: int) -> World:
    return World(problem, None, days, 2, 0)


def _reduced(days: int, mean: int) -> Problem:
    item = Item([mean] * days, tuple(range(1, 80)))
    return as_bread([item], Prices([0] * days, 1000))


def _close(values: list[float], published: float) -> None:
    """Hold a mean to a published one by its standard error, from means of ten days (a day hangs on the one before)."""
    batches = [fmean(values[at : at + 10]) for at in range(0, len(values) - 9, 10)]
    error = stdev(batches) / sqrt(len(batches))
    assert error < 0.09 * published, "too few days to say anything"
    assert abs(fmean(values) - published) < 3 * error


@pytest.mark.parametrize("days", [300, pytest.param(1000, marks=pytest.mark.long)])
def test_newsvendor(days: int) -> None:
    """Fresh bread that is gone at night: the cost of baking the published number each day is the published one."""
    known: dict[str, Any] = INSTANCES["newsvendor_poisson_ex4_7"]
    data, expected = known["data"], known["expected"]
    record = Record()
    luck = Demand(1, STILL, days, mean=data["demand_mean"], record=record)
    policy = ReorderPoint(0, int(expected["base_stock"]), TABLE, record)
    life = Life(_world(_reduced(days + 3, 6), days), luck, policy, record=record)
    life.live()
    over = [max(0, int(expected["base_stock"]) - meal.wanted) for meal in record.meals]
    short = [meal.unmet for meal in record.meals]
    costs = [data["stockout_cost"] * a + data["holding_cost"] * b for a, b in zip(short, over, strict=True)]
    _close([float(each) for each in costs], expected["cost"])
    wasted = sum(portions for _, portions in record.wasted)
    assert wasted == sum(over[:-1])  # the last night is not over


@pytest.mark.parametrize("days", [300, pytest.param(1000, marks=pytest.mark.long)])
def test_reorder_point_and_order_up_to(days: int) -> None:
    """Frozen bread that keeps: the published s and S cost what was published, and other ones more."""
    known: dict[str, Any] = INSTANCES["sS_example_4_7"]
    data, expected = known["data"], known["expected"]
    costs = _reorder(days, int(expected["s"]), int(expected["S"]), data)
    _close(costs, expected["cost"])
    assert fmean(costs) < fmean(_reorder(days, 1, 7, data))


def _reorder(days: int, least: int, most: int, data: dict[str, float]) -> list[float]:
    record = Record()
    luck = Demand(2, STILL, days, mean=data["demand_mean"], again=True, record=record)
    life = Life(_world(_reduced(days + 3, 6), days), luck, ReorderPoint(least, most, "frozen", record), record=record)
    life.live()
    bakes = [0] * days
    made = [0] * days
    for bake in record.bakes.values():
        bakes[bake.day] += 1
        made[bake.day] += bake.total
    costs, there = [], 0
    for day, meal in enumerate(record.meals):
        there += made[day] - meal.home
        costs.append(
            data["fixed_cost"] * bakes[day] + data["holding_cost"] * there + data["stockout_cost"] * meal.unmet
        )
    assert there == sum(life.larder.there().values())
    return costs


@dataclass
class Once:
    """Plans on the first morning and follows it to the end."""

    plans: list[Plan] = field(default_factory=list)
    name: str = "once"

    def plan(self, seen: Seen) -> Plan | None:
        """Return the plan, once."""
        if self.plans:
            return None
        self.plans.append(solve(seen.problem, Limits(days=60, minutes=20, rounds=20)))
        return self.plans[0]


@pytest.mark.parametrize("id_", ["stockpyl_example_3_9", "stockpyl_problem_3_27"])
def test_the_planners_own_cost_comes_out(id_: str) -> None:
    """With certain demand and one bread, what was lived costs what the plan said, which is the published optimum."""
    problem, optimum = instance(id_)
    where, policy = World(problem, None, problem.days, problem.days, 0), Once()
    life = Life(where, Luck(1, STILL, problem.days), policy)
    record = life.live()
    really = lived(where.true, record, life.variants)
    assert sum(cost for _, cost in scores(really, record.plan())) == policy.plans[0].total == optimum
    assert replace(record).plans == 1
