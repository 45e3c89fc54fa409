"""CP-SAT alone plans the examples too; what one solver calls possible is no less than the other's bound."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from rotation import week
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import Limits, solve

EXAMPLES = Path(__file__).parents[2] / "examples"


def example(name: str, days: int, folder: Path) -> Problem:
    """Return an example's first days, read from a copy."""
    copy = shutil.copytree(EXAMPLES / name, folder / name)
    home = week.load(copy)
    return week.understand(home, datetime(2027, 3, 1, tzinfo=home.zone), days).problem


def bound(plan: Plan) -> int:
    """Return what is said that any plan costs at least."""
    least = plan.tiers[-1].bound
    assert least is not None
    return least


@pytest.mark.long
@pytest.mark.parametrize("name", ["school-week", "guest-week", "two-bakers", "tight-week"])
def test_each_solver_keeps_to_the_bound_of_the_other(name: str, tmp_path: Path) -> None:
    problem, usual = example(name, 7, tmp_path), Limits()
    tree, rounds = (solve(problem, replace(usual, solver=solver, ties=0)) for solver in ("highs", "cp-sat"))
    assert broken(problem, tree) == broken(problem, rounds) == ()
    assert [tier.value for tier in tree.tiers[:2]] == [tier.value for tier in rounds.tiers[:2]]
    assert max(bound(tree), bound(rounds)) <= min(tree.total, rounds.total)
