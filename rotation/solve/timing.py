"""The minutes of a choice of days: who does what when, and how the oven gets hot. Found by CP-SAT."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from rotation import costs
from rotation.clockwork import Hold, Literal, Sum
from rotation.grid import Grid
from rotation.problem import Problem, Spans
from rotation.rules import table
from rotation.tasks import Task
from rotation.timetable import open_minutes


@dataclass(frozen=True)
class Timed:
    """Minutes found. starts: (task, step) -> minute; who: (task, step) -> person; heats: task -> how it gets hot.

    trips: task -> task whose trip to the freezer it shares; cost in milli, bound: the least any timing can cost.
    """

    starts: dict[tuple[str, str], int]
    who: dict[tuple[str, str], str]
    heats: dict[str, str]
    trips: dict[str, str]
    cost: int
    bound: int


class Clock:
    """A `Clockwork` over CP-SAT."""

    def __init__(self) -> None:
        self.model = cp_model.CpModel()
        self.variables: list[cp_model.IntVar] = []
        self.bounds: list[tuple[int, int]] = []
        self.preferred: list[Sum] = []
        self.costs: list[Sum] = []

    def integer(self, low: int, high: int, name: str) -> Sum:
        """Add a variable; no value at all makes the model impossible."""
        if low > high:
            self.model.add_bool_or([])
        self.variables.append(self.model.new_int_var(low, max(low, high), name))
        self.bounds.append((low, max(low, high)))
        return Sum(((1, len(self.variables) - 1),))

    def literal(self, name: str) -> Literal:
        """Add a variable that is 0 or 1."""
        self.variables.append(self.model.new_bool_var(name))
        self.bounds.append((0, 1))
        return len(self.variables) - 1

    def between(self, low: int | None, total: Sum, high: int | None, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within bounds, both included."""
        least, most = (cp_model.INT_MIN if low is None else low), (cp_model.INT_MAX if high is None else high)
        if total.fixed or least > most:
            if not least <= total.constant <= most or least > most:
                self.any_of([~literal for literal in when])
            return
        bound = self.model.add_linear_constraint(self._of(total), least, most)
        bound.only_enforce_if([self._true(literal) for literal in when])

    def among(self, total: Sum, spans: Spans, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within one of some half-open spans."""
        low, high = self._within(total)
        inside = [(start, end - 1) for start, end in spans if start < end and start <= high and end > low]
        if total.fixed or not inside:
            if not any(first <= total.constant <= last for first, last in inside) or not inside:
                self.any_of([~literal for literal in when])
            return
        domain = cp_model.Domain.from_intervals([list(span) for span in inside])
        bound = self.model.add_linear_expression_in_domain(self._of(total), domain)
        bound.only_enforce_if([self._true(literal) for literal in when])

    def _within(self, total: Sum) -> tuple[int, int]:
        """Return bounds of a sum."""
        low = high = total.constant
        for coefficient, variable in total.terms:
            ends = [coefficient * bound for bound in self.bounds[variable]]
            low, high = low + min(ends), high + max(ends)
        return low, high

    def any_of(self, literals: Iterable[Literal]) -> None:
        """Make at least one literal true."""
        self.model.add_bool_or([self._true(literal) for literal in literals])

    def one_of(self, literals: Iterable[Literal], of: Literal | None = None) -> None:
        """Make exactly one literal true; none where `of` is false."""
        chosen = [self._true(literal) for literal in literals]
        self.model.add_exactly_one(chosen if of is None else [*chosen, self._true(~of)])

    def apart(self, holds: Sequence[Hold]) -> None:
        """Let no two of them share a minute."""
        self.model.add_no_overlap([self._interval(hold) for hold in holds])

    def room(self, holds: Sequence[Hold], most: int) -> None:
        """Keep the amounts held at any minute within `most`."""
        if holds:
            self.model.add_cumulative([self._interval(hold) for hold in holds], [hold.amount for hold in holds], most)

    def level(self, changes: Sequence[tuple[Sum, int]], low: int, high: int) -> None:
        """Keep the sum of all changes made so far within bounds at every minute."""
        times, amounts = [self._of(at) for at, _ in changes], [amount for _, amount in changes]
        self.model.add_reservoir_constraint(times, amounts, low, high)

    def prefer(self, total: Sum) -> None:
        """Add what is made small before all cost."""
        self.preferred.append(total)

    def cost(self, total: Sum) -> None:
        """Add to what is made small, in milli."""
        self.costs.append(total)

    def _of(self, total: Sum) -> cp_model.LinearExprT:
        """Return a sum as the library's expression."""
        if total.fixed:
            return total.constant
        if len(total.terms) == 1:
            coefficient, variable = total.terms[0]
            return coefficient * self.variables[variable] + total.constant
        variables, coefficients = [self.variables[v] for _, v in total.terms], [c for c, _ in total.terms]
        return cp_model.LinearExpr.weighted_sum(variables, coefficients) + total.constant

    def _true(self, literal: Literal) -> cp_model.LiteralT:
        """Return a literal as the library's."""
        return self.variables[literal] if literal >= 0 else ~self.variables[~literal]

    def _interval(self, hold: Hold) -> cp_model.IntervalVar:
        """Return a hold as an interval, of a size that is open if its ends are."""
        size, start = hold.end - hold.start, self._of(hold.start)
        if size.fixed and hold.present is None:
            return self.model.new_fixed_size_interval_var(start, size.constant, "")
        if size.fixed and hold.present is not None:
            return self.model.new_optional_fixed_size_interval_var(start, size.constant, self._true(hold.present), "")
        length, end = self.model.new_int_var(0, 10**6, ""), self._of(hold.end)
        if hold.present is None:
            return self.model.new_interval_var(start, length, end, "")
        return self.model.new_optional_interval_var(start, length, end, self._true(hold.present), "")

    def solve(self, work: float) -> tuple[cp_model.CpSolver, int, int] | None:
        """Return a solver that holds the best values, their cost and the bound; None if nothing is possible.

        Raises TimeoutError if nothing was found and nothing proven within the limit.
        """
        if self.preferred:
            first = self._minimize(self.preferred, work)
            if first is None:
                return None
            self.between(None, _total(self.preferred), round(first.objective_value))
        solver = self._minimize(self.costs, work)
        if solver is None:
            return None
        return solver, round(solver.objective_value), round(solver.best_objective_bound)

    def _minimize(self, goal: Sequence[Sum], work: float) -> cp_model.CpSolver | None:
        """Return a solver that holds the best values for a goal."""
        self.model.minimize(self._of(_total(goal)))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.linearization_level = 1
        solver.parameters.max_deterministic_time = work
        status = solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            return None
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise TimeoutError(solver.status_name(status))
        return solver


def _total(sums: Sequence[Sum]) -> Sum:
    """Return the sum of many sums."""
    coefficients: dict[int, int] = {}
    for one in sums:
        for coefficient, variable in one.terms:
            coefficients[variable] = coefficients.get(variable, 0) + coefficient
    return Sum(tuple((c, v) for v, c in coefficients.items()), sum(one.constant for one in sums))


class Timing:
    """The model of one cluster of tasks. Build, add what couples them, solve. hot: in ovens that are hot anyway."""

    def __init__(self, problem: Problem, grid: Grid, tasks: Sequence[Task], *, hot: bool = False) -> None:
        self.problem, self.clock = problem, Clock()
        self.minutes = open_minutes(problem, grid, tasks, self.clock, hot=hot)
        table.minutes(self.minutes)
        costs.minutes(self.minutes)

    def solve(self, work: float) -> Timed | None:
        """Return the cheapest minutes, None if there are none. `work`: deterministic limit.

        Raises TimeoutError if nothing was found and nothing proven within the limit.
        """
        found = self.clock.solve(work)
        if found is None:
            return None
        solver, cost, bound = found
        made, variables = self.minutes, self.clock.variables

        def true(literal: Literal) -> bool:
            return solver.boolean_value(variables[literal])

        starts = {
            key: start.constant + sum(c * solver.value(variables[v]) for c, v in start.terms)
            for key, start in made.starts.items()
        }
        who = {(job.owner, job.name): person for job in made.jobs for person, does in job.who.items() if true(does)}
        heats = {stay.task.id: way.how for stay in made.stays for way in stay.heatings if true(way.literal)}
        trips = {task: other for task, shared in made.trips.items() for other, same in shared.items() if true(same)}
        return Timed(starts, who, heats, trips, cost, bound)
