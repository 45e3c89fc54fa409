"""A bake is exactly its process's stages in order, each as long as its hands need, on the day of its mix."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.minutes import Minutes
from rotation.plan import Bake, Plan
from rotation.problem import TABLE, Problem, Process, Stage
from rotation.rules.broken import Broken

NAME = "stages"


def minutes(m: Minutes) -> None:
    """A bake is mixed on its day."""
    for task in m.bakes:
        if "mix" not in m.done(task):
            m.day(m.starts[task.id, "mix"], task.run.day)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the steps that are missing, out of order, too short or too long, and wrong days."""
    for bake in plan.bakes:
        process = problem.bread(bake.bread).process(bake.process)
        stages = tuple(stage for stage in process.stages if stage.name != "bag" or _frozen(bake))
        if tuple(step.name for step in bake.steps) != tuple(stage.name for stage in stages):
            yield Broken(NAME, bake.id, f"steps {[step.name for step in bake.steps]} are not the stages of the process")
            continue
        done = facts.done_steps(problem, bake)
        for stage, step in zip(stages, bake.steps, strict=True):
            minutes = _minutes(process, stage, bake)
            if step.name not in done and step.end - step.start != minutes:
                yield Broken(NAME, f"{bake.id} {step.name}", f"{step.end - step.start} min of hands, not {minutes}")
            if step.name == "oven" and step.start != bake.stay.start:
                yield Broken(NAME, bake.id, f"loaded at {step.start}, but the stay starts at {bake.stay.start}")
            if step.name == "mix" and problem.day_of(step.start) != bake.day:
                yield Broken(NAME, bake.id, f"mixed on day {problem.day_of(step.start)}, not {bake.day}")


def _minutes(process: Process, stage: Stage, bake: Bake) -> int:
    """Return the minutes of hands of one stage of a bake."""
    if stage.name == "oven":
        return process.programme.handling
    return stage.hands + stage.hands_per_piece * (_frozen(bake) if stage.name == "bag" else bake.total)


def _frozen(bake: Bake) -> int:
    """Return the pieces that go into the freezer."""
    return bake.total - bake.count(TABLE)
