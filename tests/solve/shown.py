"""What a plan shows, place by place, in the order by which one plan among equals is chosen; read off the plan alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from rotation import facts
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import TABLE, TOAST, Problem

Places = Mapping[tuple[object, ...], int]


def shown(problem: Problem, plan: Plan) -> Places:
    """Return what stands in each place that is not 0, without wishes of the family for steps.

    Places are compared in their sorted order."""
    moments, found = Moments(problem), Counter[tuple[object, ...]]()
    for number, wish in enumerate(plan.wishes):
        found[0, number] = int(not wish.kept)
    for bake in plan.bakes:
        slot = (bake.day, bake.bread, bake.process, bake.stay.oven, bake.under_way or "")
        ready = moments.class_of(bake.bread, bake.ready) if bake.count(TABLE) else -1
        put = -1 if bake.put_in is None else problem.day_of(bake.put_in)
        found[1, *slot] = found[2, *slot, ready, put, ""] = 1
        for id_, count in bake.pieces:
            found[3, *slot, id_] = count
    nodes: dict[str, tuple[object, ...]] = {}
    for out in plan.take_outs:
        route, finish = facts.route_of(problem, out), facts.finish_of(plan, out)
        of = moments.class_of(out.bread, finish.ready if finish else out.ready)
        nodes[out.id] = (1, out.bread, out.route) if route.gives == TOAST else (0, out.bread, out.route, of)
        if route.gives != TOAST:
            oven = finish.stay.oven if finish else ""
            found[4, problem.day_of(out.at), out.bread, out.route, oven, of, ""] += out.units
    for bake in plan.bakes:
        nodes[bake.id] = (0, bake.bread, "", moments.class_of(bake.bread, bake.ready))
    for bought in plan.bought:
        nodes[bought.id] = (3, problem.shop.closes.index(bought.buy_by))
        found[5, bought.buy_by] = bought.loaves
    at = {meal.id: meal.at for meal in problem.meals}
    for meal in problem.meals:
        found[6, meal.at, meal.id, 4] = meal.portions
    for serving in plan.servings:
        found[6, at[serving.meal], serving.meal, *nodes.get(serving.source, (2, serving.source))] += serving.portions
        found[6, at[serving.meal], serving.meal, 4] -= serving.portions
    lots = facts.batches(problem, plan)
    for gone in plan.discards:
        found[7, problem.day_of(gone.at), lots[gone.lot].bread, lots[gone.lot].form] += gone.units
    return {place: value for place, value in found.items() if value}


def minutes(problem: Problem, plan: Plan) -> list[int]:
    """Return the starts and then the people of plans that share all else, in the order they are compared."""
    moments, starts, who = Moments(problem), list[int](), list[str | None]()
    bakes = sorted(plan.bakes, key=lambda bake: (bake.day, bake.bread, bake.process))
    outs = [out for out in plan.take_outs if facts.route_of(problem, out).gives != TOAST]
    finishes = {finish.take_out: finish for finish in plan.finishes}
    ready = {out.id: finishes[out.id].ready if out.id in finishes else out.ready for out in outs}
    outs.sort(
        key=lambda out: (problem.day_of(out.at), out.bread, out.route, moments.class_of(out.bread, ready[out.id]))
    )
    for bake in bakes:
        starts += [step.start for step in bake.steps]
        who += [step.who for step in (*bake.steps, *bake.stay.events)]
    for out in outs:
        starts += [out.at, *([finishes[out.id].stay.start] if out.id in finishes else [])]
    for out in outs:
        if out.id in finishes:
            finish = finishes[out.id]
            who += [finish.who_in, *(step.who for step in finish.stay.events), finish.who_out]
    order = [person.id for person in problem.people]
    return starts + [-1 if one is None else order.index(one) for one in who]
