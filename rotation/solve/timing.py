"""The minutes of a choice of days: who does what when, and how the oven gets hot. Found by CP-SAT."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from rotation import costs
from rotation.clockwork import Hold, Literal, Sum
from rotation.grid import Grid
from rotation.problem import Problem, Spans
from rotation.rules import table
from rotation.solve.answer import Faulty
from rotation.solve.constraints import Constraints, affine
from rotation.tasks import Task
from rotation.timetable import open_minutes

QUICKLY: dict[str, Any] = {
    "linearization_level": 1,
    "max_presolve_iterations": 1,
    "cp_model_probing_level": 0,
    "symmetry_level": 0,
}
"""Parameters of CP-SAT: a timing is small, and half the time would go into simplifying it."""


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

    @staticmethod
    def together(parts: Sequence[Timed]) -> Timed:
        """Return the minutes of tasks that were timed apart."""
        return Timed(
            {key: at for part in parts for key, at in part.starts.items()},
            {key: person for part in parts for key, person in part.who.items()},
            {task: how for part in parts for task, how in part.heats.items()},
            {task: other for part in parts for task, other in part.trips.items()},
            sum(part.cost for part in parts),
            sum(part.bound for part in parts),
        )


class Clock:
    """A `Clockwork` over CP-SAT."""

    def __init__(self) -> None:
        self.model = Constraints()
        self.bounds: list[tuple[int, int]] = []
        self.preferred: list[Sum] = []
        self.costs: list[Sum] = []

    def integer(self, low: int, high: int, name: str) -> Sum:
        """Add a variable; no value at all makes the model impossible."""
        if low > high:
            self.any_of([])
        self.bounds.append((low, max(low, high)))
        return Sum(((1, self.model.variable(*self.bounds[-1])),))

    def literal(self, name: str) -> Literal:
        """Add a variable that is 0 or 1."""
        self.bounds.append((0, 1))
        return self.model.variable(0, 1)

    def between(self, low: int | None, total: Sum, high: int | None, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within bounds, both included."""
        least, most = self._within(total)
        first, last = (least if low is None else max(low, least)), (most if high is None else min(high, most))
        if first > last:
            self.any_of([~literal for literal in when])
        elif (first, last) != (least, most):
            self.model.linear(total.terms, (first - total.constant, last - total.constant), when)

    def among(self, total: Sum, spans: Spans, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within one of some half-open spans."""
        low, high = self._within(total)
        inside = sorted([(start, end) for start, end in spans if start < end and start <= high and end > low])
        ends: list[int] = []
        for start, end in inside:
            if ends and start <= ends[-1] + 1:
                ends[-1] = max(ends[-1], end - 1)
            else:
                ends += (start, end - 1)
        if not ends:
            self.any_of([~literal for literal in when])
        elif len(ends) > 2 or ends[0] > low or ends[1] < high:
            self.model.linear(total.terms, [end - total.constant for end in ends], when)

    def _within(self, total: Sum) -> tuple[int, int]:
        """Return bounds of a sum."""
        low = high = total.constant
        for coefficient, variable in total.terms:
            least, most = self.bounds[variable]
            if coefficient > 0:
                low, high = low + coefficient * least, high + coefficient * most
            else:
                low, high = low + coefficient * most, high + coefficient * least
        return low, high

    def any_of(self, literals: Iterable[Literal]) -> None:
        """Make at least one literal true."""
        self.model.literals("bool_or", literals)

    def one_of(self, literals: Iterable[Literal], of: Literal | None = None) -> None:
        """Make exactly one literal true; none where `of` is false."""
        self.model.literals("exactly_one", literals if of is None else [*literals, ~of])

    def apart(self, holds: Sequence[Hold]) -> None:
        """Let no two of them share a minute."""
        intervals = ",".join([str(self._interval(hold)) for hold in holds])
        self.model.add(f"no_overlap{{intervals:[{intervals}]}}")

    def room(self, holds: Sequence[Hold], most: int) -> None:
        """Keep the amounts held at any minute within `most`."""
        if holds:
            intervals = ",".join([str(self._interval(hold)) for hold in holds])
            demands = "".join([f"demands{{offset:{hold.amount}}}" for hold in holds])
            self.model.add(f"cumulative{{capacity{{offset:{most}}}intervals:[{intervals}]{demands}}}")

    def level(self, changes: Sequence[tuple[Sum, int]], low: int, high: int) -> None:
        """Keep the sum of all changes made so far within bounds at every minute."""
        times = "".join([f"time_exprs{affine(at.terms, at.constant)}" for at, _ in changes])
        amounts = "".join([f"level_changes{{offset:{amount}}}" for _, amount in changes])
        self.model.add(f"reservoir{{min_level:{low} max_level:{high} {times}{amounts}}}")

    def prefer(self, total: Sum) -> None:
        """Add what is made small before all cost."""
        self.preferred.append(total)

    def cost(self, total: Sum) -> None:
        """Add to what is made small, in milli."""
        self.costs.append(total)

    def _interval(self, hold: Hold) -> int:
        """Return the index of a hold as an interval, of a size that is open if its ends are."""
        length = hold.end - hold.start
        size = length if length.fixed else self.integer(0, 10**6, "")
        ends = (("start", hold.start), ("size", size), ("end", hold.end))
        what = "".join([f"{name}{affine(at.terms, at.constant)}" for name, at in ends])
        return self.model.add(f"interval{{{what}}}", () if hold.present is None else (hold.present,))

    def solve(self, work: float, *, again: bool = False) -> tuple[Sequence[int], int, int] | None:
        """Return the best values, their cost and the bound; None if nothing is possible. again: another way.

        Raises TimeoutError if nothing was found and nothing proven within the limit, Faulty if no answer makes sense.
        """
        if self.preferred:
            first = self._minimize(self.preferred, work, again=again)
            if first is None:
                return None
            self.between(None, summed(self.preferred), first[1])
        return self._minimize(self.costs, work, again=again)

    def _minimize(self, goal: Sequence[Sum], work: float, *, again: bool) -> tuple[Sequence[int], int, int] | None:
        """Return the best values for a goal, what it comes to and its bound; None if nothing is possible."""
        total = summed(goal)
        how = QUICKLY | {"cp_model_presolve": not again}
        found = self.model.solve(total.terms, total.constant, work, **how)
        if found.values is not None:
            cost, bound = round(found.objective), round(found.bound)
            if cost != total.constant + sum(c * found.values[v] for c, v in total.terms) or bound > cost:
                raise Faulty("CP-SAT gave minutes that do not cost what it said")
            return found.values, cost, bound
        if not found.proven:
            raise TimeoutError(found.status)
        return None


def summed(sums: Sequence[Sum]) -> Sum:
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

    def solve(self, work: float, *, again: bool = False) -> Timed | None:
        """Return the cheapest minutes, None if there are none. `work`: deterministic limit; again: another way.

        Raises TimeoutError if nothing was found and nothing proven within the limit, Faulty if no answer makes sense.
        """
        found = self.clock.solve(work, again=again)
        return None if found is None else self.read(*found)

    def read(self, values: Sequence[int], cost: int, bound: int) -> Timed:
        """Return the minutes that values of the clock's variables say."""
        made = self.minutes

        def true(literal: Literal) -> bool:
            return bool(values[literal])

        starts = {
            key: start.constant + sum(c * values[v] for c, v in start.terms) for key, start in made.starts.items()
        }
        who = {(job.owner, job.name): person for job in made.jobs for person, does in job.who.items() if true(does)}
        heats = {stay.task.id: way.how for stay in made.stays for way in stay.heatings if true(way.literal)}
        trips = {task: other for task, shared in made.trips.items() for other, same in shared.items() if true(same)}
        return Timed(starts, who, heats, trips, cost, bound)
