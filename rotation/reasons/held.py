"""Shapes: what else plans must be like that are looked at, as rows and bounds of a choice of days."""

from __future__ import annotations

from collections.abc import Collection

from rotation.choices import Choices
from rotation.model import Term
from rotation.moments import Moments
from rotation.plan import Bake, Plan, TakeOut
from rotation.problem import TABLE, Meal, Problem
from rotation.runs import Run
from rotation.solve import Shape
from rotation.thaws import Way


def all_of(*shapes: Shape) -> Shape:
    """Return the shape of plans that are of all these shapes."""

    def rows(choices: Choices) -> None:
        for one in shapes:
            one.lay(choices)

    def allows(moments: Moments, item: Run | Way) -> bool:
        return all(one.allows is None or one.allows(moments, item) for one in shapes)

    mixed = [one.mixed for one in shapes if one.mixed is not None]
    return Shape(rows, allows, frozenset.intersection(*mixed) if mixed else None)


def nothing_new(plan: Plan, days: Collection[int], bread: str | None = None) -> Shape:
    """Return the shape of plans that bake and take out to thaw or finish, but on some days, nothing a plan does not.

    days: local days of the mix, and of leaving the freezer; bread: only this one may be other on them. What the plan
    does may be left out, or be of other pieces. The plan's minutes are those of the problem.
    """

    def allows(moments: Moments, item: Run | Way) -> bool:
        day = item.day if isinstance(item, Run) else item.take_day
        return (day in days and bread in (None, item.bread)) or planned(moments, plan, item)

    return Shape(allows=allows, mixed=frozenset(days) | {bake.day for bake in plan.bakes})


def planned(moments: Moments, plan: Plan, item: Run | Way) -> bool:
    """Say whether a run or a way may stand for something of a plan, or for a bake under way."""
    if isinstance(item, Run):
        return item.under_way is not None or any(is_of(moments, item, bake) for bake in plan.bakes)
    return any(is_out(moments, item, plan, out) for out in plan.take_outs)


def only(plan: Plan, chosen: Collection[Run | Way]) -> Shape:
    """Return the shape of plans that do what a plan does, or what some runs and ways do: breads and days alike."""
    slots = {_slot(item) for item in chosen}
    days = {item.day for item in chosen if isinstance(item, Run)} | {bake.day for bake in plan.bakes}

    def allows(moments: Moments, item: Run | Way) -> bool:
        return _slot(item) in slots or planned(moments, plan, item)

    return Shape(allows=allows, mixed=frozenset(days))


def either(plan: Plan, other: Plan) -> Shape:
    """Return the shape of plans that bake and take out nothing that none of two plans does."""

    def allows(moments: Moments, item: Run | Way) -> bool:
        return planned(moments, plan, item) or planned(moments, other, item)

    return Shape(allows=allows, mixed=frozenset(bake.day for one in (plan, other) for bake in one.bakes))


def _slot(item: Run | Way) -> tuple[object, ...]:
    if isinstance(item, Run):
        return item.bread, item.process, item.day, item.oven, item.put_day
    return item.bread, item.route, item.take_day, item.oven


def no_worse(problem: Problem, plan: Plan, meal: Meal) -> Shape:
    """Return the shape of plans that drop no more wishes, and leave no other meals shorter in all, than a plan."""
    most = [(ids, wanting(problem, plan, ids)) for ids in others(problem, meal)]
    dropped = sum(not wish.kept for wish in plan.wishes)

    def rows(choices: Choices) -> None:
        for ids, short in most:
            choices.model.row(None, [(1, choices.short[id_]) for id_ in sorted(ids)], short)
        choices.model.row(None, [(1, variable) for variable in choices.dropped.values()], dropped)

    return Shape(rows)


def others(problem: Problem, meal: Meal) -> tuple[frozenset[str], frozenset[str]]:
    """Return the ids of the other meals with guests, and of all other meals."""
    rest = [one for one in problem.meals if one.id != meal.id]
    return frozenset(one.id for one in rest if one.strict), frozenset(one.id for one in rest)


def wanting(problem: Problem, plan: Plan, meals: Collection[str]) -> int:
    """Return the portions that some meals are short of in all."""
    wanted = sum(meal.portions for meal in problem.meals if meal.id in meals)
    return wanted - sum(serving.portions for serving in plan.servings if serving.meal in meals)


def is_of(moments: Moments, run: Run, bake: Bake) -> bool:
    """Say whether a run may stand for a planned bake."""
    problem = moments.problem
    if (run.bread, run.process, run.day, run.under_way) != (bake.bread, bake.process, bake.day, bake.under_way):
        return False
    ready = moments.class_of(bake.bread, bake.ready) if bake.count(TABLE) else None
    put_day = None if bake.put_in is None else problem.day_of(bake.put_in)
    frozen = {id_ for id_, _ in bake.pieces if id_ != TABLE}
    return (run.oven, run.ready, run.put_day) == (bake.stay.oven, ready, put_day) and frozen <= set(run.forms)


def is_out(moments: Moments, way: Way, plan: Plan, out: TakeOut) -> bool:
    """Say whether a way may stand for a planned take-out."""
    if (way.bread, way.route, way.take_day) != (out.bread, out.route, moments.problem.day_of(out.at)):
        return False
    finish = next((finish for finish in plan.finishes if finish.take_out == out.id), None)
    oven, ready = (None, out.ready) if finish is None else (finish.stay.oven, finish.ready)
    return (way.oven, way.ready) == (oven, moments.class_of(out.bread, ready))


def baked_as_told(problem: Problem) -> Shape:
    """Return the shape of plans that bake what the family was told, and nothing else, on the days it counts on.

    These are the days on which a change costs its whole price. Pieces and treatments are free.
    """
    prices = problem.weights.changed_by_day
    days = {day for day, price in enumerate(prices) if price and price == prices[0]}
    told = {(entry.bread, entry.process, entry.day) for entry in problem.published or () if entry.day in days}

    def allows(_: Moments, item: Run | Way) -> bool:
        if isinstance(item, Way) or item.under_way is not None or item.day not in days:
            return True
        return (item.bread, item.process, item.day) in told

    def rows(choices: Choices) -> None:
        same: dict[tuple[str, str, int], list[Term]] = {key: [] for key in told}
        for index, run in enumerate(choices.runs):
            key = run.bread, run.process, run.day
            if run.under_way is not None:
                same.pop(key, None)  # it is begun
            elif key in same:
                same[key].append((1, choices.run[index]))
        for runs in same.values():
            choices.model.row(1, runs, None)

    return Shape(rows, allows)


def baked_on(day: int, bread: str | None = None) -> Shape:
    """Return the shape of plans with something mixed on a local day, or some of one bread."""

    def rows(choices: Choices) -> None:
        begun = {run.under_way for run in choices.runs if run.under_way is not None and run.day == day}
        here = [
            (1, choices.run[index])
            for index, run in enumerate(choices.runs)
            if run.day == day and run.under_way is None and bread in (None, run.bread)
        ]
        if not begun:
            choices.model.row(1, here, None)

    return Shape(rows)


def not_at(meal: str, bread: str, route: str) -> Shape:
    """Return the shape of plans in which a meal gets no bread by a route, "" for what is baked for it."""

    def rows(choices: Choices) -> None:
        gone: list[Term] = [
            (1, v) for (node, of), v in choices.eaten.items() if of == meal and node[:2] == (bread, route)
        ]
        gone += [(1, v) for (of, by, at), v in choices.toast.items() if (of, by, at) == (bread, route, meal)]
        choices.model.row(0, gone, 0)

    return Shape(rows)


def fed(meals: Collection[str]) -> Shape:
    """Return the shape of plans in which some meals are not short."""

    def rows(choices: Choices) -> None:
        choices.model.row(0, [(1, choices.short[id_]) for id_ in choices.short if id_ in meals], 0)

    return Shape(rows)


def not_bought(closing: int) -> Shape:
    """Return the shape of plans that buy nothing before one closing of the shop."""

    def rows(choices: Choices) -> None:
        choices.model.bounds[choices.loaves[closing]] = (0, 0)

    return Shape(rows)


def kept(wish: str) -> Shape:
    """Return the shape of plans that keep a wish that asks for something."""

    def rows(choices: Choices) -> None:
        if wish in choices.dropped:
            choices.model.bounds[choices.dropped[wish]] = (0, 0)

    return Shape(rows)


def not_given(meal: str, source: str) -> Shape:
    """Return the shape of plans in which a meal gets nothing of an item of the bread box, or nothing bought."""

    def rows(choices: Choices) -> None:
        gone: list[Term] = [(1, v) for (item, of), v in choices.boxed.items() if (of, item) == (meal, source)]
        if source.startswith("bought-"):
            gone += [(1, v) for (_, of), v in choices.bought.items() if of == meal]
        choices.model.row(0, gone, 0)

    return Shape(rows)
