"""Toast and lunchbox slices are taken at the meal they are eaten at, without a trip of their own."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import TOAST, Problem
from rotation.rules.broken import Broken

NAME = "toast"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the slices taken at another time than their one meal."""
    minutes = {meal.id: meal.at for meal in problem.meals}
    for out in plan.take_outs:
        if facts.route_of(problem, out).gives != TOAST:
            continue
        meals = [serving.meal for serving in plan.servings if serving.source == out.id]
        if len(meals) != 1:
            yield Broken(NAME, out.id, f"serves {len(meals)} meals, not one")
        for meal in meals:
            if not out.at == out.ready == minutes[meal]:
                yield Broken(NAME, out.id, f"is taken at {out.at} for the meal at {minutes[meal]}")
        if out.who is not None or out.trip:
            yield Broken(NAME, out.id, f"is somebody's trip ({out.who}, '{out.trip}')")
