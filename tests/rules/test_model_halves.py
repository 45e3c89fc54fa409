"""Without its half in the model a rule is broken, or a choice costs less than it can."""

from __future__ import annotations

from functools import cache

import pytest

from rotation.rules.checked import broken
from rotation.rules.table import RULES, Cold, Daily, Rule, Serving, Timely
from tests.rules.halves import HOMES, Days, days, pushed

HALVES = {Serving: "serves", Daily: "days", Timely: "minutes", Cold: "freezer"}
OF_DAYS = {
    "accepted": "guests",
    "allergens": "allergic",
    "dates": "strict dates",
    "freezer_room": "little room",
    "hands": "thaws",
    "pieces": "plain",
}
"""A home in which the best choice of days costs more than it would without the rule's half."""

OF_MINUTES = {"cooled": "plain", "hands": "busy", "keeping": "plain", "waits": "busy"}
"""A home in which some minutes, without the rule's half, make a plan that the checker says breaks it."""

WITHOUT = {
    "references": "names are made from what there is",
    "grid": "a start is made as a multiple of five minutes",
    "turns": "the turns of a task are those of its pieces (rotation/oven_turns.py)",
    "rested": "when bread is ready is counted from the oven, not chosen",
    "filled": "a household with a filled bread on the worktop is refused; two hours to the bag are in `cooled`",
    "fifo": "pieces are counted together and dealt out oldest first (rotation/solve/dealing.py)",
    "toast": "slices are taken at their meal by what the variable means",
    "buying": "loaves are counted by closing",
}
"""Rules that add nothing to the model, and why."""


@cache
def best(name: str) -> Days:
    return days(HOMES[name])


def rule(name: str) -> Rule:
    return next(rule for rule in RULES if name == rule.NAME)


def remove(monkeypatch: pytest.MonkeyPatch, name: str, *halves: str) -> None:
    for half in halves:
        monkeypatch.delattr(rule(name), half, raising=False)


@pytest.mark.parametrize("name", sorted(OF_DAYS))
def test_without_its_half_the_days_cost_less_than_they_can(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    least = best(OF_DAYS[name]).total
    remove(monkeypatch, name, "serves", "days")
    assert days(HOMES[OF_DAYS[name]]).total < least


@pytest.mark.parametrize("home", ["busy", "plain"])
def test_whatever_minutes_the_rules_allow_make_a_plan_that_holds(home: str) -> None:
    plans = list(pushed(best(home)))
    assert plans
    assert [found for plan in plans for found in broken(HOMES[home], plan)] == []


@pytest.mark.parametrize("name", sorted(OF_MINUTES))
def test_without_its_half_some_minutes_break_the_rule(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    home = OF_MINUTES[name]
    of = best(home)
    remove(monkeypatch, name, "minutes", "freezer")
    assert any(name in {found.rule for found in broken(HOMES[home], plan)} for plan in pushed(of))


def test_every_rule_has_a_half_or_a_reason() -> None:
    with_half = {rule.NAME for rule in RULES if isinstance(rule, tuple(HALVES))}
    assert with_half | set(WITHOUT) == {rule.NAME for rule in RULES}
    assert not with_half & set(WITHOUT)
