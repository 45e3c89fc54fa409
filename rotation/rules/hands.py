"""A job lies in one free span of one person who may do it; a person does one thing at a time; one trip is one job."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from rotation import facts, feedings
from rotation.choices import Alike, Choices, at_once
from rotation.clockwork import Hold
from rotation.minutes import Minutes
from rotation.model import Term
from rotation.plan import Plan
from rotation.problem import FEED, FIXED, Problem, covers, free_spans
from rotation.rules.broken import Broken

NAME = "hands"


def days(c: Choices) -> None:
    """On a day on which something is taken out to thaw or to be finished, somebody goes to the freezer."""
    moments: dict[tuple[int, Alike], list[Term]] = defaultdict(list)
    for index, (way, alike) in enumerate(zip(c.ways, at_once(c), strict=True)):
        moments[way.take_day, alike].append((-1, c.way[index]))
    for (day, _), terms in moments.items():
        c.model.row(0, [(1, c.trips[day]), *terms], None)


def minutes(m: Minutes) -> None:
    """Whoever does a job is free for all of it, and does no other; those who share a trip go at one minute.

    A job without minutes takes its person for one.
    """
    busy: dict[str, list[Hold]] = defaultdict(list)
    for job in m.jobs:
        for id_, literal in job.who.items():
            person = m.problem.person(id_)
            spans = person.inside if job.moved else free_spans(person, job.minutes)
            m.clock.among(job.start, tuple((a, b - job.minutes + 1) for a, b in spans), when=[literal])
            busy[id_].append(Hold(job.start, job.start + max(job.minutes, 1), 1, literal))
    for holds in busy.values():
        m.clock.apart(holds)
    for task, shared in m.trips.items():
        for other, literal in shared.items():
            m.clock.between(0, m.starts[task, "out"] - m.starts[other, "out"], 0, when=[literal])
            for others in m.trips[other].values():
                m.clock.any_of([~literal, ~others])


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the jobs of nobody, of the wrong person, outside free hours or two at once."""
    by_person: dict[str, list[facts.Job]] = defaultdict(list)
    moved = _moved_by_family(problem, plan)
    for job in (*facts.jobs(problem, plan), *feedings.upkeep(plan)):
        where = f"{job.where} {job.step}"
        if job.person is None:
            yield Broken(NAME, where, "is nobody's job")
            continue
        person = problem.person(job.person)
        by_person[person.id].append(job)
        if not facts.allowed(person, job.bakes):
            yield Broken(NAME, where, f"{person.id} may not do it")
        put = (job.bread, job.step, job.start) in moved
        own_feed = put and job.step == FEED and not job.bread  # it is no part of a plan that could go without it
        spans = person.inside if put else free_spans(person, job.minutes)
        if not own_feed and not covers(spans, job.start, job.end):
            at = facts.when(problem, job.start)
            yield Broken(NAME, where, f"{person.id} is not free for {job.minutes} min at {at}")
    for who, of_one in by_person.items():
        for first, second in pairwise(sorted(of_one, key=lambda job: (job.start, job.end))):
            if second.start < first.end:
                both = f"{first.where} {first.step} and {second.where} {second.step}"
                yield Broken(NAME, both, f"{who} does both at {facts.when(problem, second.start)}")
    for trip, outs in facts.trips(problem, plan).items():
        if len({(out.at, out.who) for out in outs}) > 1:
            yield Broken(NAME, trip, "one trip, but not one minute and one person")


def _moved_by_family(problem: Problem, plan: Plan) -> set[tuple[str, str, int]]:
    """Return `(bread, step, minute)` of the steps the family moved themselves: whoever moved it is free then."""
    kept = {wish.wish for wish in plan.wishes if wish.kept}
    fixed = [wish for wish in problem.wishes if wish.kind in FIXED and wish.id in kept]
    moved = {(wish.bread, wish.step or "in", wish.at) for wish in fixed if wish.kind != "fixed thaw"}
    moved |= {("", FEED, minute) for minute in (problem.starter.moved if problem.starter else ())}
    return moved | {("", "take out", wish.at) for wish in fixed if wish.kind == "fixed thaw"}
