"""The meals of the shown days as JSON, each with what it is served, also in words."""

from __future__ import annotations

from typing import Any

from calendars.text import clean
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.show.eating import Eating
from rotation.telling import short, shown_end, sources

Json = dict[str, Any]


def meals_json(problem: Problem, plan: Plan) -> list[Json]:
    """Return the meals of a plan, which is given as `telling.shown` returns it."""
    origin, eating = {source.id: source for source in sources(problem, plan)}, Eating(problem, plan)
    found = []
    for meal in (meal for meal in problem.meals if meal.at < shown_end(problem)):
        missing = short(problem, plan, meal)
        found.append(
            {
                "id": meal.id,
                "uid": meal.uid,
                "summary": clean(meal.summary),
                "start": problem.instant(meal.at).isoformat(timespec="minutes"),
                "heads": meal.heads,
                "portions": meal.portions,
                "served": meal.portions - missing,
                "shortfall": missing,
                "strict": meal.strict,
                "says": eating.said(meal),
                "holds": eating.holds(meal),
                "from": [
                    {
                        "id": f"{meal.id}/{serving.source}",
                        "source": serving.source,
                        "kind": origin[serving.source].kind,
                        "bread": origin[serving.source].bread or None,
                        "portions": serving.portions,
                    }
                    for serving in plan.servings
                    if serving.meal == meal.id
                ],
            }
        )
    return found
