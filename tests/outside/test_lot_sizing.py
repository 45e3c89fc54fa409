"""The planner as a lot-sizing solver, held against published optima (tests/outside/data/instances.json, with sources).

Prices there are whole numbers or tenths; `SCALE` milli stand for one.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import Limits, solve
from tests.outside.lot_sizing import Item, Prices, as_bread, made

SCALE = 1000
DATA = Path(__file__).parent / "data" / "instances.json"
INSTANCES = {instance["id"]: instance for instance in json.loads(DATA.read_text())["instances"]}
PROOF = Limits(days=60, minutes=20, rounds=20)


def instance(id_: str, fewer: int = 1) -> tuple[Problem, int]:
    """Return an instance as a problem, and its optimum in milli. fewer: what to divide quantities and costs by.

    Set-ups are a minute of the day's hands; where there is a purchase price, that is a minute of the day's hands for
    each piece, and the set-up a fixed price.
    """
    found = INSTANCES[id_]
    data: dict[str, Any] = found["data"]
    assert all(units % fewer == 0 for units in data["demand"])
    demand = [units // fewer for units in data["demand"]]
    setup = data.get("setup", data.get("fixed_cost"))
    holding = round(SCALE * data.get("holding", data.get("holding_cost")))
    batches = tuple(range(1, sum(demand) + 1))
    life = data.get("life")
    setups = setup if isinstance(setup, list) else [setup] * len(demand)
    if "purchase_cost" in data:
        item = Item(demand, batches, [round(SCALE * price / fewer) for price in setups], (0, 1), life)
        hands = [SCALE * price for price in data["purchase_cost"]]
    else:
        item = Item(demand, batches, minutes=(1, 0), life=life)
        hands = [round(SCALE * price / fewer) for price in setups]
    return as_bread([item], Prices(hands, holding)), round(SCALE * found["optimum"] / fewer)


@pytest.mark.parametrize(
    ("id_", "fewer"),
    [
        ("ww1958_12", 1),
        ("ww1958_12_life0", 1),
        ("ww1958_12_life2", 1),
        ("ww1958_12_life4", 1),
        ("stockpyl_example_3_9", 1),
        ("stockpyl_problem_3_27", 1),
        ("stockpyl_scmo_ww_hw_c", 100),
        ("silver_peterson_12", 1),
    ],
)
def test_the_optimum_is_the_published_one(id_: str, fewer: int) -> None:
    problem, optimum = instance(id_, fewer)
    plan = solve(problem, PROOF)
    assert broken(problem, plan) == ()
    assert plan.total == optimum
    assert plan.status == "optimal"
    quantities = [units * fewer for units in made(problem, plan)]
    if id_ != "silver_peterson_12":  # data from memory: whether its plan is the only one was not published
        assert quantities == INSTANCES[id_]["optimal_plan"]


def test_a_life_of_one_period_is_what_the_recursion_says() -> None:
    """No optimum is published for a life of one: the recursion gives it, as it gives the published ones."""
    data = INSTANCES["ww1958_12"]["data"]
    item = Item(data["demand"], tuple(range(1, 700)), minutes=(1, 0), life=1)
    plan = solve(problem := as_bread([item], Prices([SCALE * price for price in data["setup"]], SCALE)), PROOF)
    assert broken(problem, plan) == ()
    assert plan.status == "optimal"
    assert plan.total == SCALE * _recursion(data["demand"], data["setup"], 1)
    lives = ((0, "ww1958_12_life0"), (2, "ww1958_12_life2"), (11, "ww1958_12"))
    published = [(_recursion(data["demand"], data["setup"], life), INSTANCES[id_]["optimum"]) for life, id_ in lives]
    assert all(ours == theirs for ours, theirs in published)


def _recursion(demand: list[int], setup: list[int], life: int) -> int:
    """Return the least cost by Wagner and Whitin's recursion: each lot serves its own period and up to `life` after."""
    best = [0]
    for end in range(len(demand)):
        best.append(
            min(
                best[start] + setup[start] + sum((of - start) * demand[of] for of in range(start, end + 1))
                for start in range(max(0, end - life), end + 1)
            )
        )
    return best[-1]
