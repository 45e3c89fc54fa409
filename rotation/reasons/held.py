"""Shapes: what else plans must be like that are looked at, as rows and bounds of a choice of days."""

from __future__ import annotations

from collections.abc import Collection

from rotation.choices import Choices
from rotation.model import Term
from rotation.moments import Moments
from rotation.plan import Bake, Plan, TakeOut
from rotation.problem import TABLE
from rotation.runs import Run
from rotation.solve import Shape
from rotation.thaws import Way


def all_of(*shapes: Shape) -> Shape:
    """Return the shape of plans that are of all these shapes."""

    def shape(choices: Choices) -> None:
        for one in shapes:
            one(choices)

    return shape


def nothing_new(plan: Plan, days: Collection[int]) -> Shape:
    """Return the shape of plans that bake and take out to thaw or finish, but on some days, nothing a plan does not.

    days: local days of the mix, and of leaving the freezer. What the plan does there may be left out, or be of other
    pieces. The plan's minutes are those of the problem.
    """

    def shape(choices: Choices) -> None:
        for index, run in enumerate(choices.runs):
            free = run.day in days or run.under_way is not None
            if not free and not any(is_of(choices.moments, run, bake) for bake in plan.bakes):
                choices.model.bounds[choices.run[index]] = (0, 0)
        for index, way in enumerate(choices.ways):
            if way.take_day not in days and not any(is_out(choices, way, plan, out) for out in plan.take_outs):
                choices.model.bounds[choices.way[index]] = (0, 0)

    return shape


def is_of(moments: Moments, run: Run, bake: Bake) -> bool:
    """Say whether a run may stand for a planned bake."""
    problem = moments.problem
    if (run.bread, run.process, run.day, run.under_way) != (bake.bread, bake.process, bake.day, bake.under_way):
        return False
    ready = moments.class_of(bake.bread, bake.ready) if bake.count(TABLE) else None
    put_day = None if bake.put_in is None else problem.day_of(bake.put_in)
    frozen = {id_ for id_, _ in bake.pieces if id_ != TABLE}
    return (run.oven, run.ready, run.put_day) == (bake.stay.oven, ready, put_day) and frozen <= set(run.forms)


def is_out(choices: Choices, way: Way, plan: Plan, out: TakeOut) -> bool:
    """Say whether a way may stand for a planned take-out."""
    if (way.bread, way.route, way.take_day) != (out.bread, out.route, choices.problem.day_of(out.at)):
        return False
    finish = next((finish for finish in plan.finishes if finish.take_out == out.id), None)
    oven, ready = (None, out.ready) if finish is None else (finish.stay.oven, finish.ready)
    return (way.oven, way.ready) == (oven, choices.moments.class_of(out.bread, ready))


def baked_on(day: int, bread: str | None = None) -> Shape:
    """Return the shape of plans with something mixed on a local day, or some of one bread."""

    def shape(choices: Choices) -> None:
        begun = {run.under_way for run in choices.runs if run.under_way is not None and run.day == day}
        here = [
            (1, choices.run[index])
            for index, run in enumerate(choices.runs)
            if run.day == day and run.under_way is None and bread in (None, run.bread)
        ]
        if not begun:
            choices.model.row(1, here, None)

    return shape


def not_at(meal: str, bread: str, route: str) -> Shape:
    """Return the shape of plans in which a meal gets no bread by a route, "" for what is baked for it."""

    def shape(choices: Choices) -> None:
        gone: list[Term] = [
            (1, v) for (node, of), v in choices.eaten.items() if of == meal and node[:2] == (bread, route)
        ]
        gone += [(1, v) for (of, by, at), v in choices.toast.items() if (of, by, at) == (bread, route, meal)]
        choices.model.row(0, gone, 0)

    return shape


def fed(meals: Collection[str]) -> Shape:
    """Return the shape of plans in which some meals are not short."""

    def shape(choices: Choices) -> None:
        choices.model.row(0, [(1, choices.short[id_]) for id_ in choices.short if id_ in meals], 0)

    return shape


def not_bought(closing: int) -> Shape:
    """Return the shape of plans that buy nothing before one closing of the shop."""

    def shape(choices: Choices) -> None:
        choices.model.bounds[choices.loaves[closing]] = (0, 0)

    return shape


def kept(wish: str) -> Shape:
    """Return the shape of plans that keep a wish that asks for something."""

    def shape(choices: Choices) -> None:
        if wish in choices.dropped:
            choices.model.bounds[choices.dropped[wish]] = (0, 0)

    return shape


def not_given(meal: str, source: str) -> Shape:
    """Return the shape of plans in which a meal gets nothing of an item of the bread box, or nothing bought."""

    def shape(choices: Choices) -> None:
        gone: list[Term] = [(1, v) for (item, of), v in choices.boxed.items() if (of, item) == (meal, source)]
        if source.startswith("bought-"):
            gone += [(1, v) for (_, of), v in choices.bought.items() if of == meal]
        choices.model.row(0, gone, 0)

    return shape
