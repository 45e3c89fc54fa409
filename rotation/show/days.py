"""The shown days of a plan, each with its lines in the order the hands need them: for print, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from rotation.naming import Key, names_of
from rotation.plan import Plan
from rotation.problem import BOUGHT, Problem
from rotation.show import freezer
from rotation.show.line import Line
from rotation.show.lines import lines_of
from rotation.telling import short, shown, sources

Recipes = Mapping[tuple[str, str], str]
"""Bake id and step name to what goes into it: "20 g starter, 100 g flour, 100 g water"."""


@dataclass(frozen=True)
class Day:
    """A local day. minute: its first, of the plan; bread: whether there is enough; tonight: what the freezer holds."""

    minute: int
    bread: str
    lines: tuple[Line, ...]
    tonight: str


def days(problem: Problem, plan: Plan, recipes: Recipes, named: Mapping[Key, str] | None = None) -> Iterator[Day]:
    """Yield the shown days. The plan is the whole one; named: what its steps are called."""
    seen = shown(problem, plan)
    said = lines_of(problem, seen, recipes, names_of(problem, plan) if named is None else named)
    once = dict.fromkeys(said)  # what is said of two bakes of a day is said once
    lines = sorted(once, key=lambda line: (line.minute, not line.who))
    for day in range(problem.shown_days):
        today = tuple(line for line in lines if problem.day_of(line.minute) == day)
        tonight = freezer.stock_at(problem, seen, problem.midnights[day + 1])
        first = max(problem.midnights[day], 0)
        yield Day(first, _bread_today(problem, seen, day), today, freezer.stock_words(problem, tonight))


def days_json(problem: Problem, plan: Plan, recipes: Recipes, named: Mapping[Key, str]) -> list[dict[str, Any]]:
    """Return the days as plain JSON values; `times` are as a family reads them, "" for what is due at no minute."""
    found = []
    for day in days(problem, plan, recipes, named):
        date = problem.instant(day.minute).date().isoformat()
        lines = [
            {
                "id": f"{date}/{number}",
                "start": problem.instant(line.minute).isoformat(timespec="minutes"),
                "times": line.times,
                "who": line.who,
                "what": line.what,
                "short": line.name or None,
                "for": line.key[0] or None,
                "step": line.key[1] or None,
                "kind": line.kind,
                "caution": line.caution,
            }
            for number, line in enumerate(day.lines, 1)
        ]
        found.append({"id": date, "bread_today": day.bread, "lines": lines, "freezer_tonight": day.tonight})
    return found


def _bread_today(problem: Problem, plan: Plan, day: int) -> str:
    meals = [meal for meal in problem.meals if problem.day_of(meal.at) == day]
    missing = sum(max(short(problem, plan, meal), 0) for meal in meals)
    if not meals:
        return "nobody needs any"
    if missing:
        return f"short by {missing} of {sum(meal.portions for meal in meals)} portions"
    bought = {source.id for source in sources(problem, plan) if source.kind == BOUGHT}
    wanted = {meal.id for meal in meals}
    some = any(serving.source in bought for serving in plan.servings if serving.meal in wanted)
    return "enough, some of it bought" if some else "enough"
