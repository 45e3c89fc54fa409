"""A solve of ours that is watched, for benchmarks that run it in a process of its own."""

from __future__ import annotations

import time

from rotation.plan import Plan
from rotation.problem import Problem
from rotation.solve import limits
from rotation.solve.planner import Planner


def watched(problem: Problem) -> tuple[list[tuple[float, int]], Plan, float]:
    """Return (seconds, cost) of each better plan, the last of them, and all seconds: of processors, columns and all."""
    begin, steps = time.process_time(), list[tuple[float, int]]()

    def tell(_: str) -> None:
        plan = planner.best.plan
        if plan is not None and (not steps or plan.total < steps[-1][1]):
            steps.append((time.process_time() - begin, plan.total))

    planner = Planner(problem, limits("usual"), tell)
    plan = planner.solve()
    return steps, plan, time.process_time() - begin
