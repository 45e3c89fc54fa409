"""Whether a plan made before still stands, and which of two plans is better."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from zoneinfo import ZoneInfo

from rotation.carried import Carried
from rotation.costs import scores
from rotation.facts import rank
from rotation.plan import KeptWish, Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken
from rotation.rules.checked import broken
from rotation.starter import with_feeds

EXCUSES: Mapping[str, str] = {
    "hands": "somebody's hands are no longer free",
    "watch": "nobody is in while the oven is on",
    "oven": "the oven is taken otherwise",
    "closed": "the oven may not be on",
    "stock": "the freezer holds other bags",
    "wishes": "you moved or deleted entries",
}
"""By rule, why a plan made before no longer holds."""


def again(problem: Problem, before: Carried, zone: ZoneInfo) -> Plan:
    """Return a plan made before in the minutes of this problem, without the meals that are over, all wishes kept."""
    days = problem.zero.astimezone(zone).date() - before.zero.astimezone(zone).date()
    plan = before.since(problem.zero, days.days)
    meals = {meal.id for meal in problem.meals}
    return replace(
        plan,
        feedings=tuple(feed for feed in plan.feedings if feed.start >= 0),
        take_outs=tuple(out for out in plan.take_outs if out.who is not None or out.at >= 0),
        servings=tuple(serving for serving in plan.servings if serving.meal in meals),
        wishes=tuple(KeptWish(wish.id, True) for wish in problem.wishes),
    )


def still(problem: Problem, before: Carried, zone: ZoneInfo) -> Plan | None:
    """Return a plan made before as a plan of this problem, with its cost.

    None if it no longer holds: something of it has begun, a rule is broken by now, or a wish is not kept.
    """
    plan = again(problem, before, zone)
    plan = with_feeds(problem, plan, [feed.start for feed in plan.feedings])
    return None if broken(problem, plan) else replace(plan, terms=scores(problem, plan))


def misfits(problem: Problem, carried: Carried, zone: ZoneInfo) -> tuple[Broken, ...]:
    """Return what of a kept plan no longer fits its problem, understood anew; wishes dropped stay so."""
    answers = {answer.wish: answer for answer in carried.plan.wishes}
    plan = again(problem, carried, zone)
    known = tuple(answers.get(wish.id, KeptWish(wish.id, True)) for wish in problem.wishes)
    return broken(problem, replace(plan, wishes=known))


__all__ = ["EXCUSES", "again", "misfits", "rank", "still"]
