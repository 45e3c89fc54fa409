"""Minutes of hands, each job at the price of its person at its start."""

from __future__ import annotations

from collections import defaultdict

from rotation import facts
from rotation.choices import Choices
from rotation.clockwork import if_true, pieces
from rotation.grid import Grid
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import TABLE, Problem, value_at

NAME = "hands"


def days(c: Choices, grid: Grid) -> None:
    """Price runs and ways at the least their hands can cost, each switch-on and each day's trip to the freezer too."""
    problem = c.problem
    for index, run in enumerate(c.runs):
        c.model.cost(NAME, [(run.cost, c.run[index])])
        for treatment in problem.bread(run.bread).process(run.process).treatments:
            variable = c.pieces.get((index, treatment.id))
            if variable is not None:
                milli = run.per_piece + (0 if treatment.id == TABLE else run.per_frozen)
                c.model.cost(NAME, [(milli, variable)])
    least: dict[int, int] = {}
    moved = {wish.id: wish.at for wish in problem.wishes if wish.kind == "fixed thaw"}
    for index, way in enumerate(c.ways):
        c.model.cost(NAME, [(way.cost, c.way[index])])
        minutes = problem.bread(way.bread).route(way.route).handling_out
        first, last = max(problem.midnights[way.take_day], 0), problem.midnights[way.take_day + 1]
        trip = grid.job("finishes", minutes)[first:last]
        asked = grid.moved("finishes", minutes, moved[way.wish]) if way.wish in moved else 10**9
        least[way.take_day] = min(int(trip.min()), asked, least.get(way.take_day, 10**9))
    c.model.cost(NAME, [(least[day], trip) for day, trip in c.trips.items()])
    switch_on = int(grid.job("finishes", 1).min())
    c.model.cost(NAME, [(switch_on, heated) for heated in c.heated.values()])


def minutes(m: Minutes) -> None:
    """Price each job by whoever does it, and by when it starts."""
    for job in m.jobs:
        for id_, literal in job.who.items():
            spans: dict[int, list[tuple[int, int]]] = defaultdict(list)
            for first, last, milli in pieces(m.problem.person(id_).price, m.never):
                spans[milli].append((first, last))
            if len(spans) == 1:
                m.clock.cost(if_true(literal, job.minutes * next(iter(spans))))
                continue
            options = {milli: m.clock.literal(f"{job.owner} {job.name} {id_} at {milli}") for milli in sorted(spans)}
            m.clock.one_of(options.values(), literal)
            for milli, option in options.items():
                m.clock.among(job.start, tuple(spans[milli]), when=[option])
                m.clock.cost(if_true(option, job.minutes * milli))


def score(problem: Problem, plan: Plan) -> int:
    """Return what the jobs of a plan cost."""
    return sum(
        job.minutes * value_at(problem.person(job.person).price, job.start)
        for job in facts.jobs(problem, plan)
        if job.person is not None
    )
