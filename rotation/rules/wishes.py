"""Every wish of the family is answered: one that is kept holds, one that is dropped has a reason."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, Offer
from rotation.clockwork import complement
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import FINISHED, FIXED, THAWED, TOAST, Meal, Problem, Wish
from rotation.rules.broken import Broken

NAME = "wishes"

WAYS = {"no finish": FINISHED, "no thaw": THAWED}
"""Which way to the table a wish forbids."""


def serves(problem: Problem, meal: Meal, offer: Offer) -> bool:
    """Say whether a meal may be served what is finished or thawed: not where the family wants none of it."""
    wishes = (wish for wish in problem.wishes if wish.bread == offer.bread and WAYS.get(wish.kind) == offer.kind)
    return not any(wish.at <= meal.at < wish.until for wish in wishes)


def days(c: Choices) -> None:
    """A fixed step has a run or a way that keeps it, or is dropped; on such a way something is taken out."""
    for wish in c.problem.wishes:
        if wish.kind in FIXED:
            keeps = [(1, c.run[index]) for index, run in enumerate(c.runs) if run.wish == wish.id]
            keeps += [(1, c.way[index]) for index, way in enumerate(c.ways) if way.wish == wish.id]
            c.model.row(1, [*keeps, (1, c.dropped[wish.id])], None)
    for index, way in enumerate(c.ways):
        if way.wish is not None:
            c.model.row(0, [(1, c.units[index]), (-1, c.way[index])], None)


def minutes(m: Minutes) -> None:
    """A step stands where the family put it, and no other bake is mixed where they want none."""
    _ways(m)
    for wish in m.problem.wishes:
        for task in m.bakes:
            if task.run.wish == wish.id and wish.step not in m.done(task):
                m.clock.between(wish.at, m.starts[task.id, wish.step], wish.at)
            if wish.kind == "no bake" and wish.bread == task.bread.id and "mix" not in m.done(task):
                allowed = complement(((wish.at, wish.until),), 0, m.never)
                m.clock.among(m.starts[task.id, "mix"], allowed)


def _ways(m: Minutes) -> None:
    """What the family wants out of the freezer, or in the oven, at a minute, is."""
    for task in m.ways:
        wish = next((wish for wish in m.problem.wishes if wish.id == task.way.wish), None)
        if wish is not None:
            step = "in" if wish.kind == "fixed finish" else "out"
            m.clock.between(wish.at, m.starts[task.id, step], wish.at)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the wishes forgotten, said to be kept but not, or dropped without a word."""
    answers = {answer.wish: answer for answer in plan.wishes}
    for wish in problem.wishes:
        answer = answers.get(wish.id)
        if answer is None:
            yield Broken(NAME, wish.id, "is not answered")
        elif answer.kept and not holds(problem, plan, wish):
            yield Broken(NAME, wish.id, f"'{wish.kind}' of {wish.bread} is called kept and is not")
        elif not answer.kept and not answer.because.strip():
            yield Broken(NAME, wish.id, "is dropped without a reason")


def holds(problem: Problem, plan: Plan, wish: Wish) -> bool:
    """Say whether a plan does what a wish asks for. Raises ValueError for a kind of wish there is not."""
    if wish.kind == "fixed":
        steps = (step for bake in plan.bakes if bake.bread == wish.bread for step in bake.steps)
        return any(step.name == wish.step and step.start == wish.at for step in steps)
    if wish.kind == "no bake":
        new = [bake for bake in plan.bakes if bake.bread == wish.bread and "mix" not in facts.done_steps(problem, bake)]
        mixes = [step.start for bake in new for step in bake.steps if step.name == "mix"]
        return not any(wish.at <= start < wish.until for start in mixes)
    if wish.kind == "fixed thaw":
        outs = (out for out in plan.take_outs if out.bread == wish.bread)
        return any(out.at == wish.at and facts.route_of(problem, out).gives != TOAST for out in outs)
    if wish.kind == "fixed finish":
        breads = {finish.id: facts.taken_for(plan, finish).bread for finish in plan.finishes}
        return any(breads[finish.id] == wish.bread and finish.stay.start == wish.at for finish in plan.finishes)
    if wish.kind in WAYS:
        meals = {meal.id for meal in problem.meals if wish.at <= meal.at < wish.until}
        outs = (out for out in plan.take_outs if out.bread == wish.bread)
        made = {out.id for out in outs if facts.route_of(problem, out).gives == WAYS[wish.kind]}
        return not any(serving.meal in meals and serving.source in made for serving in plan.servings)
    raise ValueError(f"there is no wish of kind '{wish.kind}'")
