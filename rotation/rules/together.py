"""What is wanted of one bread and form at one moment leaves the freezer, and is finished, together.

A moment lasts from one meal that takes the bread, or the quarter of a day, to the next: whatever is ready in it feeds
the same meals at the same age. A family puts in once for them. Where one stay does not hold all that the meals in reach
want, each route may serve once.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from rotation import facts
from rotation.choices import Alike, Choices, at_once
from rotation.model import Term
from rotation.plan import Plan, TakeOut
from rotation.problem import FINISHED, TOAST, Bread, Meal, Problem, Route
from rotation.rules.broken import Broken

NAME = "together"

Moment = tuple[int, int]
"""Its first and its last minute."""


def days(c: Choices) -> None:
    """At most one way is chosen of those that stand for the same thing."""
    same: dict[Alike, list[Term]] = defaultdict(list)
    for way, alike in zip(c.way, at_once(c), strict=True):
        same[alike].append((1, way))
    for terms in same.values():
        c.model.row(None, terms, 1)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield what is taken out twice for one moment, though once would do."""
    outs = [out for out in plan.take_outs if facts.route_of(problem, out).gives != TOAST]
    same = Counter(_same(problem, plan, out) for out in outs)
    for (bread, by, (first, _)), number in same.items():
        if number > 1:
            yield Broken(NAME, bread, f"{by} is got ready {number} times after {facts.when(problem, first)}, not once")


def _same(problem: Problem, plan: Plan, out: TakeOut) -> tuple[str, str, Moment]:
    """Return the bread, the moment, and what is taken out for it once: the form if one stay holds all, else a route."""
    bread, route, finish = problem.bread(out.bread), facts.route_of(problem, out), facts.finish_of(plan, out)
    moment = _moment(problem, bread, finish.ready if finish else out.ready)
    if route.oven is None or finish is None:
        return bread.id, out.form, moment
    held = problem.oven(finish.stay.oven).places * route.load_units * bread.form(out.form).portions_per_unit
    wanted = sum(meal.portions for meal in problem.meals if _in_reach(problem, meal, bread, route, moment))
    return bread.id, out.form if held >= wanted else f"{out.form} by {route.id}", moment


def _moment(problem: Problem, bread: Bread, ready: int) -> Moment:
    """Return the moment that holds a minute."""
    starts = [meal.at + 1 for meal in problem.meals if any(accept.bread == bread.id for accept in meal.accepts)]
    for start, end in zip(problem.midnights, problem.midnights[1:], strict=False):
        starts += [quarter for quarter in (start, start + 360, start + 720, start + 1080) if quarter < end]
    starts.append(problem.end)
    first = max((start for start in starts if start <= ready), default=0)
    return max(first, 0), min((start for start in starts if start > max(ready, 0)), default=problem.end + 2880) - 1


def _in_reach(problem: Problem, meal: Meal, bread: Bread, route: Route, moment: Moment) -> bool:
    """Say whether a meal might be served what is ready at some minute of a moment."""
    first, last = moment
    age = max((a.max_age for a in meal.accepts if a.bread == bread.id and route.gives in a.kinds), default=-1)
    if not first <= meal.at or age < 0 or meal.at - last > min(age, route.keeps):
        return False
    if meal.without and ("?" in bread.allergens or meal.without & bread.allergens):
        return False
    cold = (w for w in problem.wishes if w.kind == "no finish" and w.bread == bread.id and w.at <= meal.at < w.until)
    return route.gives != FINISHED or not any(cold)
