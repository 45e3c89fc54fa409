"""The choice of days as models to solve: with all that was learnt, the goals before cost held."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.grid import Grid, Ints
from rotation.model import Model, Term
from rotation.moments import Moments
from rotation.problem import FIXED, Problem
from rotation.runs import Run, undominated
from rotation.solve.answer import Answer, Faulty, RowSolver
from rotation.solve.cpsat import CpSat
from rotation.solve.cuts import Cut, Taught
from rotation.solve.day_level import rows
from rotation.solve.goals import Goals, strict, wishes
from rotation.solve.highs import Highs
from rotation.solve.tracing import trace
from rotation.thaws import Way, ways

T = TypeVar("T", Run, Way)


@dataclass(frozen=True)
class Limits:
    """How much work may be done, in deterministic units (about a second each on a small machine), never in time.

    quick: for a first plan; days: for the search over all choices of days; better: for searches near the best plan;
    minutes: for each timing; mends: how often a choice that does not fit is mended for the first plan; rounds: how
    often the days are chosen anew where there is no search.
    gap: the share below which the rest is left open (0: to the proof). solver: "highs" or "cp-sat", tried first.
    """

    quick: float = 1.0
    days: float = 8.0
    better: float = 3.0
    minutes: float = 2.0
    mends: int = 12
    rounds: int = 2
    ties: float = 1.0
    gap: float = 0.0
    solver: str = "highs"


@dataclass(frozen=True)
class Shape:
    """What else the plans looked at must be like. rows: adds bounds and rows to a choice of days.

    allows: which runs and ways there are at all; mixed: local days on which anything new may be mixed. None: any.
    """

    rows: Callable[[Choices], None] | None = None
    allows: Callable[[Moments, Run | Way], bool] | None = None
    mixed: frozenset[int] | None = None

    def of(self, moments: Moments, found: Iterable[T]) -> list[T]:
        """Return which of some runs or ways there are."""
        return [item for item in found if self.allows is None or self.allows(moments, item)]

    def lay(self, choices: Choices) -> None:
        """Add its bounds and rows."""
        if self.rows is not None:
            self.rows(choices)


class Days:
    """All runs and ways of a problem, and the models made of them. path: how solvers failed, in words."""

    def __init__(
        self, problem: Problem, grid: Grid, moments: Moments, limits: Limits, shape: Shape | None = None
    ) -> None:
        self.problem, self.grid, self.moments, self.limits, self.shape = problem, grid, moments, limits, shape
        of = shape or Shape()
        days = None if of.mixed is None else of.mixed & frozenset(range(problem.days))
        self.runs = undominated(of.of(moments, runs(problem, grid, moments, days)))
        self.ways = of.of(moments, ways(problem, grid, moments))
        self.goals = Goals()
        self.path: list[str] = []

    @property
    def tiered(self) -> bool:
        """Whether there is anything that comes before cost."""
        problem = self.problem
        return any(meal.strict for meal in problem.meals) or any(wish.kind in FIXED for wish in problem.wishes)

    def open(self, cuts: Sequence[Cut] = (), *, traced: bool = False) -> tuple[Choices, Taught]:
        """Return a fresh choice of days with cuts, and what takes more of them."""
        choices = choose(self.problem, self.moments, self.runs, self.ways)
        choices.model.path = self.path
        rows(choices, self.grid)
        if self.shape is not None:
            self.shape.lay(choices)
        if traced:
            trace(choices)
        return choices, Taught(choices, cuts)

    def held(self, cuts: Sequence[Cut] = (), *, traced: bool = False) -> tuple[Choices, Taught]:
        """Return a fresh choice of days, the goals before cost held at their values."""
        choices, taught = self.open(cuts, traced=traced)
        dropped, short = (choices.model.integer(0, 0, f"spare {what}") for what in ("wishes", "portions"))
        choices.spare = dropped, short
        choices.model.row(None, [*wishes(choices), (-1, dropped)], self.goals.dropped)
        choices.model.row(None, [*strict(self.problem, choices), (-1, short)], self.goals.short)
        return choices, taught

    def settle(self, cuts: Sequence[Cut]) -> None:
        """Set the goals: the fewest wishes dropped, and under that the fewest strict portions short."""
        choices, _ = self.open([cut for cut in cuts if cut.sure])
        values, proven = [], True
        for terms in (wishes(choices), strict(self.problem, choices)):
            answer = self.answer(choices.model, terms, self.limits.days)
            found = answer.values
            most = sum(coefficient * choices.model.bounds[variable][1] for coefficient, variable in terms)
            values.append(
                most if found is None else sum(coefficient * found[variable] for coefficient, variable in terms)
            )
            proven = proven and found is not None and answer.bound >= values[-1]
            choices.model.row(None, terms, values[-1])
        self.goals = Goals(values[0], values[1], proven)

    def answer(self, model: Model, goal: list[Term], work: float, start: dict[int, int] | None = None) -> Answer:
        """Return the answer of the first solver that gives one to trust."""
        order: list[RowSolver] = [Highs(), CpSat(), CpSat(presolve=False)]
        if self.limits.solver == "cp-sat":
            order = [order[1], order[0], order[2]]
        doubtful = ""
        for solver in order:
            try:
                answer = solver(model, goal, work=work, gap=self.limits.gap, start=start)
            except Faulty as fault:
                self.path.append(str(fault))
                continue
            if answer.impossible and not doubtful:  # believed if two say so
                doubtful = solver.name
            elif answer.values is not None or answer.proven:
                if doubtful and not answer.impossible:
                    self.path.append(f"{doubtful} called impossible what {solver.name} solved")
                return answer
            else:
                self.path.append(f"{solver.name} found nothing within its limit")
        return Answer(None, -(10**12), False)


def ranks(choices: Choices) -> list[Ints]:
    """Return the whole variables, those that decide most first: bakes so far, runs, ways and heat, the rest."""
    first = [
        sorted(choices.so_far.values()),
        sorted([*choices.run, *choices.dropped.values()]),
        sorted([*choices.way, *choices.heated.values(), *choices.trips.values()]),
    ]
    named = {variable for rank in first for variable in rank} | choices.model.flows
    rest = [variable for variable in range(len(choices.model.bounds)) if variable not in named]
    return [np.array(rank, dtype=np.int64) for rank in (*first, rest)]
