"""Every id names one thing, and everything a plan names is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "references"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield what is named twice or not there; other rules are only checked once nothing is."""
    for where, what, id_, known in _named(problem, plan):
        if id_ not in known:
            yield Broken(NAME, where, f"there is no {what} '{id_}'")
    lots = [lot.id for lot in problem.lots] + [lot for bake in plan.bakes for _, lot in bake.lots]
    heat = [stay.id for stay in facts.stays(plan)] + [b.id for oven in problem.ovens for b in oven.bookings]
    finishes = [finish.id for finish in plan.finishes]
    served = [f"{serving.source} at {serving.meal}" for serving in plan.servings]
    feeds = [feed.id for feed in plan.feedings]
    for ids in (_sources(problem, plan), lots, heat, finishes, feeds, served, [wish.wish for wish in plan.wishes]):
        twice = (id_ for id_, count in Counter(ids).items() if count > 1)
        yield from (Broken(NAME, id_, "several things have this id") for id_ in twice)


def _named(problem: Problem, plan: Plan) -> Iterator[tuple[str, str, str, set[str]]]:
    """Yield `(where, what, id, ids there are)` for all that a plan names."""
    breads = {bread.id: bread for bread in problem.breads}
    people, ovens = {person.id for person in problem.people}, {oven.id for oven in problem.ovens}
    lots = {lot.id for lot in problem.lots} | {lot for bake in plan.bakes for _, lot in bake.lots}
    for bake in plan.bakes:
        yield bake.id, "bread", bake.bread, set(breads)
        if bake.under_way is not None:
            yield bake.id, "bake under way", bake.under_way, {begun.id for begun in problem.under_way}
        processes = {process.id: process for process in breads[bake.bread].processes} if bake.bread in breads else {}
        yield bake.id, "process", bake.process, set(processes)
        treatments = {t.id for t in processes[bake.process].treatments} if bake.process in processes else set()
        forms = {form.id for form in breads[bake.bread].forms} if bake.bread in breads else set()
        yield from ((bake.id, "treatment", id_, treatments) for id_, _ in bake.pieces)
        yield from ((bake.id, "form", id_, forms & treatments) for id_, _ in bake.lots)
        yield from ((bake.id, "person", step.who, people) for step in bake.steps if step.who is not None)
    for out in plan.take_outs:
        yield out.id, "bread", out.bread, set(breads)
        bread = breads.get(out.bread)
        yield out.id, "form", out.form, {form.id for form in bread.forms} if bread else set()
        yield out.id, f"route from {out.form}", out.route, _routes(problem, out.bread, out.form)
        yield from ((out.id, "lot", lot, lots) for lot, _ in out.lots)
        if out.who is not None:
            yield out.id, "person", out.who, people
    for finish in plan.finishes:
        yield finish.id, "take-out", finish.take_out, {out.id for out in plan.take_outs}
        yield finish.id, "person", finish.who_in, people
        yield finish.id, "person", finish.who_out, people
    for stay in facts.stays(plan):
        yield stay.id, "oven", stay.oven, ovens
        hands = (stay.who_on, *(event.who for event in stay.events))
        yield from ((stay.id, "person", who, people) for who in hands if who is not None)
    sources = set(_sources(problem, plan))
    for serving in plan.servings:
        yield f"{serving.source} at {serving.meal}", "meal", serving.meal, {meal.id for meal in problem.meals}
        yield f"{serving.source} at {serving.meal}", "source", serving.source, sources
    yield from ((discard.lot, "lot", discard.lot, lots) for discard in plan.discards)
    yield from ((feed.id, "person", feed.who, people) for feed in plan.feedings)
    yield from ((kept.wish, "wish", kept.wish, {wish.id for wish in problem.wishes}) for kept in plan.wishes)


def _routes(problem: Problem, bread: str, form: str) -> set[str]:
    return {route.id for b in problem.breads if b.id == bread for route in b.routes if route.form == form}


def _sources(problem: Problem, plan: Plan) -> list[str]:
    box, baked = [item.id for item in problem.box], [bake.id for bake in plan.bakes]
    return box + baked + [out.id for out in plan.take_outs] + [bought.id for bought in plan.bought]
