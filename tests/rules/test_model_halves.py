"""Without its half in the model a rule is broken, or a choice costs less than it can; so with the terms of the cost."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import ModuleType

import pytest

from rotation import costs
from rotation.problem import Published
from rotation.rules.checked import broken
from rotation.rules.table import RULES, Cold, Daily, Serving, Timely
from rotation.solve.tasks import ask
from rotation.solve.timing import Timing
from tests.rules.forces import FORCED
from tests.rules.halves import HOMES, Days, can_be, days, pushed

HALVES = {"serves": Serving, "days": Daily, "minutes": Timely, "freezer": Cold}
OF_DAYS = {
    ("accepted", "serves"): "thaws",
    ("allergens", "serves"): "allergic",
    ("dates", "days"): "strict dates",
    ("finishes", "days"): "hungry",
    ("freezer_room", "days"): "little room",
    ("freezing_rate", "days"): "slow freezer",
    ("frozen_through", "days"): "too soft",
    ("hands", "days"): "thaws",
    ("heat", "days"): "busy",
    ("keeping", "days"): "two at once",
    ("keeping", "serves"): "busy",
    ("one_mix", "days"): "worth much",
    ("pieces", "days"): "busy",
    ("portions", "days"): "busy",
    ("stock", "days"): "busy",
    ("together", "days"): "two ovens",
    ("under_way", "days"): "begun",
    ("wishes", "days"): "a fixed step",
    ("wishes", "serves"): "no finish",
}
"""A home in which a choice of days costs less without the rule's half than the best one with it."""

OF_MINUTES = {
    ("cooled", "minutes"): "plain",
    ("freezer_room", "freezer"): "thaws",
    ("hands", "minutes"): "busy",
    ("keeping", "minutes"): "little room",
    ("thawed", "minutes"): "little room",
    ("waits", "minutes"): "busy",
}
"""A home in which some minutes, without the rule's half, make a plan that the checker says breaks it."""

OF_COST = {
    "age": "busy",
    "bakes": "busy",
    "bought": "busy",
    "changes": "priced",
    "frozen": "busy",
    "hands": "busy",
    "heat_ups": "busy",
    "past_date": "old bags",
    "reserve": "reserved",
    "rhythm": "priced",
    "stock": "busy",
    "unmet": "busy",
    "wasted": "thaws",
}
"""A home in which the choice of days costs something else without the term."""

WITHOUT = {
    "references": "names are made from what there is",
    "grid": "a start is made as a multiple of five minutes",
    "horizon": "a start is made inside it, and no oven is open before it (`closed`)",
    "turns": "the turns of a task are those of its pieces (rotation/oven_turns.py)",
    "rested": "when bread is ready is counted from the oven, not chosen",
    "filled": "a household with a filled bread on the worktop is refused; two hours to the bag are in `cooled`",
    "fifo": "pieces are counted together and dealt out oldest first (rotation/solve/dealing.py)",
    "toast": "slices are taken at their meal by what the variable means",
    "buying": "loaves are counted by closing",
    "starter": "feeds are put where a finished plan leaves hands (rotation/starter.py)",
}
"""Rules that add nothing to the model, and why."""

SLOW = {"plain", "thaws", "guests", "allergic", "strict dates", "old bags"}
"""Homes whose best choice of days takes seconds."""


def told(cases: dict[tuple[str, str], str]) -> list[object]:
    """Return the cases as parameters, the slow ones marked."""
    slow = {key: [pytest.mark.long] if home in SLOW else [] for key, home in cases.items()}
    return [pytest.param(*key, home, marks=slow[key], id=f"{key[0]} {key[1]}") for key, home in cases.items()]


@cache
def best(name: str) -> Days:
    return days(HOMES[name])


def module(name: str) -> ModuleType:
    found = next(rule for rule in RULES if name == rule.NAME)
    assert isinstance(found, ModuleType)
    return found


@pytest.mark.parametrize(("name", "half", "home"), told(OF_DAYS))
def test_without_its_half_the_days_cost_less_than_they_can(
    name: str, half: str, home: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    least = best(home).total
    monkeypatch.delattr(module(name), half)
    assert days(HOMES[home], work=5, proven=False).total < least


@pytest.mark.parametrize("home", ["busy", pytest.param("plain", marks=pytest.mark.long), "slow freezer", "soft bags"])
def test_whatever_minutes_the_rules_allow_make_a_plan_that_holds(home: str) -> None:
    plans = list(pushed(best(home)))
    assert plans
    assert [found for plan in plans for found in (broken(HOMES[home], plan) if plan else ["no plan"])] == []


@pytest.mark.parametrize(("name", "half", "home"), told(OF_MINUTES))
def test_without_its_half_some_minutes_break_the_rule(
    name: str, half: str, home: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    of = best(home)
    monkeypatch.delattr(module(name), half)
    assert any(name in {found.rule for found in broken(HOMES[home], plan)} for plan in pushed(of) if plan)


@pytest.mark.parametrize("case", sorted(FORCED))
def test_only_the_half_of_its_rule_keeps_minutes_from_what_it_forbids(
    case: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    forced = FORCED[case]
    of = best(forced.home)
    assert not can_be(of, forced.force)
    monkeypatch.delattr(module(case.partition(",")[0]), forced.half)
    assert can_be(of, forced.force)


@pytest.mark.parametrize(("name", "half", "home"), told({(name, "days"): home for name, home in OF_COST.items()}))
def test_without_a_term_the_days_cost_something_else(
    name: str, half: str, home: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    of = best(home)
    term = next(term for term in costs.TERMS if name == term.NAME)
    monkeypatch.setattr(term, half, lambda *_: None)
    without = days(HOMES[home], work=5, proven=False).total
    assert without > of.total if name == "stock" else without < of.total


@pytest.mark.parametrize(("together", "lowest_of"), [(7, [range(5)]), (2, [range(2), range(2, 5)]), (3, [range(5)])])
def test_the_days_price_what_is_missing_of_the_reserve_each_night_and_at_the_lowest_of_each_week(
    together: int, lowest_of: list[range], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A price too high would be a bound too high, and no plan would show it. Weeks as short as the home's five days."""
    monkeypatch.setattr(costs.reserve, "NIGHTS", together)
    (kept,) = (replace(kept, portions=200) for kept in HOMES["reserved"].reserve)
    problem = replace(HOMES["reserved"], reserve=(kept,))
    of, of_day = days(problem), [[meal for meal in problem.meals if problem.day_of(meal.at) == d] for d in range(5)]
    assert problem.days == 5
    each = {(bread.id, form.id): form.portions_per_unit for bread in problem.breads for form in bread.forms}
    stock = of.choices.stock
    nights = [sum(each[form] * of.values[stock[*form, day]] for form in kept.forms) for day in range(problem.days)]
    gone = [(meal, v) for meal, v in of.choices.short.items()] + [(m, v) for (_, m), v in of.choices.bought.items()]
    everyday = [{meal.id for meal in meals if not meal.strict} for meals in of_day]
    hungry = [sum(of.values[v] for meal, v in gone if meal in meals) for meals in everyday]
    missing = [max(0, kept.portions + sum(hungry[: d + 1]) - nights[d]) for d in range(5)]
    assert max(missing) > 0
    counted = sum(milli * of.values[variable] for milli, variable in of.choices.model.costs["reserve"])
    lowest = sum(max(missing[night] for night in nights) for nights in lowest_of)
    assert counted == kept.milli * sum(missing) + kept.lowest * lowest


@pytest.mark.parametrize("name", ["hands", "heat_ups", "changes"])
def test_without_a_term_the_minutes_cost_less(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    of = best("busy")
    asked = ask(of.choices, of.values)
    told = tuple(
        Published(task.run.bread, task.run.process, task.run.day, 700, (("mix", 7),), 300) for task in asked.bakes
    )
    house = replace(of.choices.problem, published=told)  # off the grid: nobody can keep the minute
    term = next(term for term in costs.TERMS if name == term.NAME)

    def cost() -> int:
        timed = Timing(house, of.grid, [*asked.bakes, *asked.ways]).solve(10)
        assert timed is not None
        return timed.cost

    with_it = cost()
    monkeypatch.delattr(term, "minutes")
    assert cost() < with_it


def test_every_half_there_is_is_taken_away_once_and_what_has_none_has_a_reason() -> None:
    there = {(rule.NAME, half) for rule in RULES for half, kind in HALVES.items() if isinstance(rule, kind)}
    forced = {(case.partition(",")[0], forced.half) for case, forced in FORCED.items()}
    assert there == set(OF_DAYS) | set(OF_MINUTES) | forced
    assert {rule.NAME for rule in RULES} == {name for name, _ in there} | set(WITHOUT)
    assert not {name for name, _ in there} & set(WITHOUT)
    assert {term.NAME for term in costs.TERMS} == set(OF_COST)
    assert {term.NAME for term in costs.TERMS if isinstance(term, costs.Timely)} == {"hands", "heat_ups", "changes"}
