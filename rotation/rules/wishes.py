"""Every wish of the family is answered: one that is kept holds, one that is dropped has a reason."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem, Wish
from rotation.rules.broken import Broken

NAME = "wishes"


def days(c: Choices) -> None:
    """A fixed step has a run that keeps it, or is dropped; nothing is finished where the family wants none."""
    for wish in c.problem.wishes:
        if wish.kind == "fixed":
            keeps = [(1, c.run[index]) for index, run in enumerate(c.runs) if run.wish == wish.id]
            c.model.row(1, [*keeps, (1, c.dropped[wish.id])], None)
        if wish.kind == "no finish":
            for index, way in enumerate(c.ways):
                first, _ = c.moments.span(way.bread, way.ready)
                if way.bread == wish.bread and way.oven is not None and wish.at <= first < wish.until:
                    c.model.row(None, [(1, c.way[index])], 0)


def minutes(m: Minutes) -> None:
    """A step stands where the family put it."""
    for wish in m.problem.wishes:
        for task in m.bakes:
            if task.run.wish == wish.id and wish.step not in m.done(task):
                m.clock.between(wish.at, m.starts[task.id, wish.step], wish.at)


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
    if wish.kind == "no finish":
        meals = {meal.id for meal in problem.meals if wish.at <= meal.at < wish.until}
        browned = {out.id for out in plan.take_outs if out.bread == wish.bread and facts.finish_of(plan, out)}
        return not any(serving.meal in meals and serving.source in browned for serving in plan.servings)
    raise ValueError(f"there is no wish of kind '{wish.kind}'")
