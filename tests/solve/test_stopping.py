"""Ctrl-C while a plan is looked for: the best plan until then is proven, and says how far from the best it may be."""

from __future__ import annotations

import pytest

from rotation.rules.checked import broken
from rotation.solve import Limits, Stopped, solve
from rotation.solve.tree import Tree
from tests.solve.homes import home

PROBLEM = home(3, 2, tail=1)


def test_the_best_plan_until_then_holds_and_says_what_is_not_known(monkeypatch: pytest.MonkeyPatch) -> None:
    best = solve(PROBLEM, Limits(days=30))
    assert best.status == "optimal"

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Tree, "leaf", stop)
    with pytest.raises(Stopped) as stopped:
        solve(PROBLEM)
    plan = stopped.value.plan
    assert not broken(PROBLEM, plan)
    assert plan.total >= best.total
    assert (plan.status, plan.tiers[-1].bound, plan.path) == ("feasible", None, ("stopped before it was done",))


def test_stopped_before_there_is_a_plan_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("rotation.solve.planner.dive", stop)
    with pytest.raises(KeyboardInterrupt) as stopped:
        solve(PROBLEM)
    assert not isinstance(stopped.value, Stopped)
