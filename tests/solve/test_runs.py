"""The runs of a bake: no timing is cheaper than its run says, and the run's cost is that of some timing."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from rotation import facts
from rotation.chains import runs
from rotation.grid import Grid
from rotation.hot import COLD, FREE
from rotation.moments import Moments
from rotation.problem import TABLE, Problem, value_at
from rotation.solve import Limits, solve
from tests.outside.listed import Listed, Pattern
from tests.outside.tiny_homes import tiny_home
from tests.solve.homes import at_home, home

HEATS = {"cold": COLD, "hot": FREE, "beside": FREE}
Key = tuple[str, int, int, int | None, int | None]


def plain(seed: int) -> Problem:
    """Return a tiny home in which table and freezer want the same minutes of oven, and the bag the same hands."""
    problem = tiny_home(seed)
    bread = problem.breads[0]
    processes = []
    for process in bread.processes:
        treatments = tuple(replace(t, uncovered=60) for t in process.treatments)
        bag = replace(process.stages[2], hands_per_piece=0)
        processes.append(replace(process, treatments=treatments, stages=(*process.stages[:2], bag)))
    return replace(problem, breads=(replace(bread, processes=tuple(processes)),))


def hands(listed: Listed, pattern: Pattern) -> int:
    """Return the least that the hands of a pattern cost, each job by itself, without the switch-on."""
    jobs = pattern.jobs[:-1] if pattern.heat[0] == "cold" else pattern.jobs
    return sum(min(job[0] * value_at(p.price, job[1]) for p in listed._who(job, True)) for job in jobs)


@cache
def by_listing(seed: int) -> dict[Key, int]:
    """Return the least cost of each kind of run over all timings that heat the oven by themselves or find it hot."""
    problem = plain(seed)
    moments = Moments(problem)
    listed, least = Listed(problem), defaultdict(lambda: 10**9)
    for pattern in listed.patterns:
        if pattern.process and pattern.heat[0] in HEATS and pattern.stay[0] < problem.end:
            ready = int(moments.classes("loaf", np.array([pattern.ready]))[0]) if pattern.table else None
            put = problem.day_of(pattern.put_in) if pattern.put_in is not None else None
            day = problem.day_of(pattern.first)
            key = (pattern.process.id, day, HEATS[pattern.heat[0]], ready, put)
            least[key] = min(least[key], hands(listed, pattern))
    return dict(least)


def by_chains(problem: Problem, moments: Moments) -> dict[Key, int]:
    least: dict[Key, int] = defaultdict(lambda: 10**9)
    for run in runs(problem, Grid(problem), moments):
        if run.heat in (COLD, FREE):
            key = (run.process, run.day, run.heat, run.ready, run.put_day)
            cost = min(run.cost + run.per_piece * n for n in range(run.least, run.most + 1))
            least[key] = min(least[key], cost + (run.per_frozen if run.put_day is not None else 0))
    return dict(least)


@pytest.mark.parametrize("seed", range(16))
def test_a_run_costs_what_the_cheapest_timing_does(seed: int) -> None:
    problem = plain(seed)
    assert by_chains(problem, Moments(problem)) == by_listing(seed)


def test_the_homes_have_runs_of_every_kind() -> None:
    kinds = {key[2:] for seed in range(16) for key in by_listing(seed)}
    assert {heat for heat, _, _ in kinds} == {COLD, FREE}
    assert any(ready is not None and put is not None for _, ready, put in kinds)


def test_no_bake_of_a_plan_costs_less_than_its_run() -> None:
    """Two loaves for the table and one part-baked want hands less often than one and two do."""
    lots = home(3, 1, tail=1, lots=3, guests=False, seed=4).lots
    problem = at_home(replace(home(3, 1, tail=1, guests=False, seed=4), lots=lots))
    problem = replace(problem, shop=replace(problem.shop, closes=()))
    plan, moments = solve(problem, Limits(days=1)), Moments(problem)
    mixed = [bake for bake in plan.bakes if len(bake.pieces) > 1]
    assert mixed
    for bake in mixed:
        jobs = [job for job in facts.jobs(problem, plan) if job.where == bake.id and job.step != "oven on"]
        cost = sum(job.minutes * value_at(problem.person(job.person or "").price, job.start) for job in jobs)
        total, of = sum(count for _, count in bake.pieces), (bake.bread, bake.process, bake.day)
        ready = moments.class_of(bake.bread, bake.ready)
        put = problem.day_of(bake.put_in or 0)
        alike = [
            run.cost + run.per_piece * total + run.per_frozen * (total - dict(bake.pieces)[TABLE])
            for run in runs(problem, Grid(problem), moments)
            if (run.bread, run.process, run.day, run.ready, run.put_day) == (*of, ready, put)
            and run.least <= total <= run.most
        ]
        assert min(alike) <= cost
