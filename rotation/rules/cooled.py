"""What is frozen is cooled through before it is bagged, and bagged before it dries; filled breads within two hours."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rotation import facts
from rotation.minutes import Minutes
from rotation.plan import Bake, Plan
from rotation.problem import COLD_WITHIN, TABLE, Bread, Problem, Process
from rotation.rules.broken import Broken

NAME = "cooled"


def longest_to_bag(bread: Bread, process: Process, pieces: Iterable[tuple[str, int]]) -> int:
    """Return the longest minutes from out of the oven to the bag of what a bake freezes."""
    most = min(process.treatment(id_).bag_by for id_, _ in pieces if id_ != TABLE)
    return min(most, COLD_WITHIN) if bread.filled else most


def minutes(m: Minutes) -> None:
    """The bag waits until the last piece is cold, and comes before the first is dry.

    It may be late for what is out of the oven, or in it, when the plan begins.
    """
    for task in m.bakes:
        if task.frozen:
            frozen = [task.process.treatment(id_) for id_, _ in task.pieces if id_ != TABLE]
            most = longest_to_bag(task.bread, task.process, task.pieces)
            out, bag = m.starts[task.id, "oven"] + task.length, m.starts[task.id, "bag"]
            least = max(treatment.cool for treatment in frozen)
            m.clock.between(least, bag - out, None)
            if out.fixed and _nobody(m.problem, task.hands("bag"), out.constant + least, out.constant + most):
                m.late(f"{task.id} bag", bag, out.constant + most)
            else:
                m.clock.between(None, bag - out, most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the bakes bagged too soon or too late."""
    for bake in plan.bakes:
        bag = bake.step("bag")
        process = problem.bread(bake.bread).process(bake.process)
        frozen = [process.treatment(id_) for id_, _ in bake.pieces if id_ != TABLE]
        if bag is None or not frozen or "bag" in facts.done_steps(problem, bake):
            continue
        least, most = max(treatment.cool for treatment in frozen), min(treatment.bag_by for treatment in frozen)
        if problem.bread(bake.bread).filled:
            most = min(most, COLD_WITHIN)
        waited = bag.start - bake.stay.end
        if waited < least:
            yield Broken(NAME, bake.id, f"bagged {waited} min after the oven, still warm for {least}")
        if "bag" in bake.late and waited <= most:
            yield Broken(NAME, bake.id, "bagging is called late, but is in time")
        if waited > most and not _late(problem, bake, bag.end - bag.start, bake.stay.end + least, bake.stay.end + most):
            yield Broken(NAME, bake.id, f"bagged {waited} min after the oven, at most {most}")


def _late(problem: Problem, bake: Bake, minutes: int, earliest: int, deadline: int) -> bool:
    """Say whether a bake that is out of the oven already could not be bagged in time."""
    if bake.under_way is None or "bag" not in bake.late or not facts.in_oven(problem, bake):
        return False
    return _nobody(problem, minutes, earliest, deadline)


def _nobody(problem: Problem, minutes: int, earliest: int, deadline: int) -> bool:
    """Say whether nobody can bag what is out of the oven in time, whatever else is done."""
    return deadline < 0 or facts.nobody_free(problem, True, minutes, earliest, deadline)
