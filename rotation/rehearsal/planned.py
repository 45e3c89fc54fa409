"""The planner as a policy: plans again when something is new, or every few days, against the plan before."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from rotation.carried import Carried
from rotation.errors import NothingPlanned
from rotation.facts import rank
from rotation.household.settings import Household
from rotation.intake.build import PublishedBake, PublishedThaw, first_planned, told, told_thaws
from rotation.intake.time import Clock
from rotation.plan import Plan
from rotation.problem import Problem, is_thawing
from rotation.rehearsal.policy import Seen
from rotation.replanning import solved
from rotation.solve import Limits, limits
from rotation.standing import still

SMALL = 0.3
"""How much of a quick look's work for a bound each plan of a rehearsal may do; for better plans it does as much."""


def small(times: float = SMALL) -> Limits:
    """Return limits of the solver for plans that are made by the hundred."""
    quick = limits("quick")
    return replace(quick, days=quick.days * times)


@dataclass
class Planner:
    """Plans as the program does. afresh: each time as if nothing had been told."""

    household: Household | None
    limits: Limits
    name: str = "planner"
    every: int = 3
    afresh: bool = False
    last: int = -100

    def plan(self, seen: Seen) -> Plan | None:
        """Return a new plan where something is new, or the last is some days old."""
        if seen.before is not None and not seen.fresh and seen.day - self.last < self.every:
            return None
        self.last = seen.day
        problem, before = seen.problem, seen.before
        if before is None:
            return self._solved(problem, limits("usual"))  # the first of a life
        if self.afresh or self.household is None:
            return self._solved(problem, self.limits)
        problem = published(problem, before, self.household)
        plan, kept = self._solved(problem, self.limits), still(problem, before, problem.zone)
        if kept is not None and kept.total <= plan.total and rank(problem, kept) <= rank(problem, plan):
            return kept
        return plan

    def _solved(self, problem: Problem, work: Limits) -> Plan:
        """Return a plan; with more work where little finds none."""
        try:
            return solved(problem, work)
        except NothingPlanned:
            return solved(problem, limits("quick"))


def published(problem: Problem, before: Carried, household: Household) -> Problem:
    """Return a problem in which the plan before is what the family was told."""
    clock = Clock(problem.zero, problem.zone, problem.midnights)
    begun = {one.id for one in problem.under_way}
    bakes = []
    for bake in before.plan.bakes:
        starts = tuple((s.name, before.instant(s.start)) for s in bake.steps if s.name in ("mix", "oven"))
        mixed = dict(starts)["mix"]
        if bake.under_way is None and bake.id not in begun and mixed >= problem.zero:
            day = mixed.astimezone(problem.zone).date()
            bakes.append(PublishedBake(bake.bread, bake.process, day, starts))
    finishes, thaws = {finish.take_out: finish for finish in before.plan.finishes}, []
    for out in before.plan.take_outs:
        at, finish = before.instant(out.at), finishes.get(out.id)
        if out.who is not None and at >= problem.zero and not is_thawing(out.form):
            into = None if finish is None else before.instant(finish.stay.start)
            ready = before.instant(out.ready if finish is None else finish.ready)
            thaws.append(PublishedThaw(out.bread, out.route, at, into, ready))
    first = before.zero.astimezone(problem.zone).date() + timedelta(days=before.days)
    return replace(
        problem,
        published=told(bakes, household, clock),
        published_ways=told_thaws(thaws, {bread.id: bread for bread in problem.breads}, household, clock),
        weights=first_planned(problem.weights, (first - clock.first).days),
    )
