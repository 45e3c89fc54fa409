"""What follows from a finished plan for the starter: when it is fed, and where hands are left to feed it."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import FEED, GRID, Problem, covers, free_spans


def upkeep(plan: Plan) -> Iterator[facts.Job]:
    """Yield the feeds of the starter that belong to no bake, as jobs. They are no part of what a plan costs."""
    for one in plan.feedings:
        yield facts.Job(one.id, FEED, one.who, one.start, one.end, False, "")


def feedings(problem: Problem, plan: Plan) -> list[tuple[int, int | None]]:
    """Return every feed of the starter still to come, in time order: its minute, and of a bake's how long it ripens."""
    found: list[tuple[int, int | None]] = [(one.start, None) for one in plan.feedings]
    for bake in plan.bakes:
        step = bake.step(FEED)
        if step is not None and step.who is not None:
            waits = problem.bread(bake.bread).process(bake.process).waits
            found.append((step.start, min((w.on(bake.day)[0] for w in waits if w.first == FEED), default=0)))
    return sorted(found, key=lambda feed: (feed[0], feed[1] or 0))


def nobody_spare(problem: Problem, plan: Plan, minutes: int, first: int, last: int) -> bool:
    """Say whether nobody could feed the starter at a planned start within `[first, last]`, the plan's jobs given."""
    return next(spare(problem, plan, minutes, first, last), None) is None


def spare(problem: Problem, plan: Plan, minutes: int, first: int, last: int) -> Iterator[tuple[int, str]]:
    """Yield the planned starts within `[first, last]` at which somebody has hands for a feed, and who."""
    taken: dict[str | None, list[tuple[int, int]]] = {}
    for job in (*facts.jobs(problem, plan), *upkeep(plan)):
        taken.setdefault(job.person, []).append((job.start, job.end))
    may = [(p.id, free_spans(p, minutes), taken.get(p.id, [])) for p in problem.people if facts.allowed(p, bakes=False)]
    for start in range(-(-max(first, 0) // GRID) * GRID, last + 1, GRID):
        for who, free, busy in may:
            if covers(free, start, start + minutes) and all(b <= start or start + minutes <= a for a, b in busy):
                yield start, who
