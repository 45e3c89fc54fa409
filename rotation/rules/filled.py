"""Filled breads thaw in the fridge only, keep strict dates and are not kept on the table beyond two hours."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import COLD_WITHIN, TABLE, Problem
from rotation.rules.broken import Broken

NAME = "filled"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield filled breads that stand warm."""
    for out in plan.take_outs:
        bread = problem.bread(out.bread)
        if bread.filled and facts.route_of(problem, out).place == "worktop":
            yield Broken(NAME, out.id, f"{bread.id} is filled and thaws on the worktop")
        if bread.filled and bread.form(out.form).strict is None:
            yield Broken(NAME, out.id, f"{bread.id} is filled and has no strict date as {out.form}")
    for bake in plan.bakes:
        bread = problem.bread(bake.bread)
        if bread.filled and bake.count(TABLE) and bread.keeps > COLD_WITHIN:
            yield Broken(NAME, bake.id, f"{bread.id} is filled and stands for {bread.keeps} min")
