"""From a problem to a proven plan: choose the days, time the minutes, learn from what did not fit, again.

The day level (rotation/choices.py) is a relaxation: every plan is one of its solutions, at a cost no higher. So its
bound holds for all plans on the grid. The timing (rotation/solve/timing.py) turns a solution into a plan or into a cut.
When a plan costs what the bound says, no plan is better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rotation.chains import FREE, WARM, Run, runs, undominated
from rotation.choices import Choices, choose
from rotation.costs import scores
from rotation.errors import NothingPlanned
from rotation.grid import Grid
from rotation.model import Model, Term
from rotation.moments import Moments
from rotation.plan import Plan, Tier
from rotation.problem import Problem
from rotation.solve import cuts, shelves
from rotation.solve.answer import Answer, Faulty, RowSolver
from rotation.solve.cpsat import CpSat
from rotation.solve.cuts import Cut
from rotation.solve.day_level import rows
from rotation.solve.dealing import deal
from rotation.solve.highs import Highs
from rotation.solve.tasks import Asked, BakeTask, Task, ask
from rotation.solve.timing import ANY_DAY, Timed, Timing
from rotation.thaws import Way, ways

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Limits:
    """How much work may be done, in deterministic units (about a second each on a small machine), never in time.

    quick: for a first plan, and for a mend; days: for each solve of the whole day level; minutes: for each timing; mends, rounds: how often the days are
    chosen anew for the first plan, and for the best; gap: the
    share below which the rest is left open (0: to the proof). solver: "highs" or "cp-sat", tried first.
    """

    quick: float = 0.05
    days: float = 2.0
    minutes: float = 2.0
    mends: int = 12
    rounds: int = 3
    gap: float = 0.0
    solver: str = "highs"


@dataclass(frozen=True)
class Goals:
    """The tiers before cost, as rows of the day level, and what is known of them."""

    dropped: int = 0
    short: int = 0


def solve(problem: Problem, limits: Limits | None = None, progress: Progress | None = None) -> Plan:
    """Return the best plan found, with its cost by term, its bound and how it was come by.

    Raises NothingPlanned if not even an empty plan fits: a bake under way that no hands can go on with.
    """
    return Planner(problem, limits or Limits(), progress or (lambda _: None)).solve()


class Planner:
    """One solve."""

    def __init__(self, problem: Problem, limits: Limits, progress: Progress) -> None:
        self.problem, self.limits, self.progress = problem, limits, progress
        self.grid, self.moments = Grid(problem), Moments(problem)
        self.runs = undominated(list(runs(problem, self.grid, self.moments)))
        self.ways = list(ways(problem, self.grid, self.moments))
        self.cuts: list[Cut] = []
        self.path: list[str] = []
        self.best: Plan | None = None
        self.best_asked: Asked | None = None
        self.goals = Goals()
        self.bound = -(10**12)

    def solve(self) -> Plan:
        """Return the best plan: a quick one over the likeliest runs and ways, then the best over all of them."""
        everything = (self.runs, self.ways)
        self.runs, self.ways = likely(self.runs, self.ways)
        self._rounds(self.limits.mends, quick=True)
        self.runs, self.ways = everything
        self.cuts = [cut for cut in self.cuts if cut.sure]
        self._rounds(self.limits.rounds, quick=False)
        if self.best is None:
            raise NothingPlanned(
                "No plan fits: " + ("; ".join(self.path) or "nothing was found within the limit") + "."
            )
        return self._finished(self.best)

    def _rounds(self, rounds: int, *, quick: bool) -> None:
        """Choose days and time them, until a plan is as good as the bound, or nothing more is learnt."""
        around: tuple[Asked, frozenset[int]] | None = None
        for _ in range(rounds):
            choices, answer = self._choose(quick, around)
            if answer.values is None:
                if around is None:
                    return
                around = None
                continue
            asked = ask(choices, answer.values)
            timed, learnt = self._time(choices, asked)
            if timed is not None:
                self._keep(choices, asked, timed)
            self._tell()
            if self._done() or not learnt or (quick and timed is not None):
                return
            self.cuts += learnt
            around = (asked, learnt[0].days) if timed is None else None

    # days ---------------------------------------------------------------------------------------------------------

    def _choose(self, quick: bool, around: tuple[Asked, frozenset[int]] | None) -> tuple[Choices, Answer]:
        """Return the day level with all that was learnt, and its best solution, the tiers before cost held.

        quick: over a part of the runs and ways, so its bound says nothing. around: keep what was asked but near days.
        """
        choices = self._choices()
        model = self._held(choices, self.goals)
        if around is not None:
            _keep_far(choices, *around)
        answer = self._answer(model, _cost(model), self.limits.quick if quick or around else self.limits.days)
        if (
            answer.impossible
            and around is None
            and (choices.dropped or any(meal.strict for meal in self.problem.meals))
        ):
            self.goals = self._settle()
            choices = self._choices()
            model = self._held(choices, self.goals)
            answer = self._answer(model, _cost(model), self.limits.quick if quick else self.limits.days)
        if not quick and around is None and not answer.impossible and all(cut.sure for cut in self.cuts):
            self.bound = max(self.bound, answer.bound + sum(model.constants.values()))
        return choices, answer

    def _choices(self) -> Choices:
        """Return a fresh day level with all cuts."""
        choices = choose(self.problem, self.moments, self.runs, self.ways)
        rows(choices, self.grid)
        cuts.add(choices, choices.model, self.cuts)
        return choices

    def _settle(self) -> Goals:
        """Return the fewest wishes dropped, and under that the fewest strict portions short."""
        choices = self._choices()
        least = self._answer(choices.model, _wishes(choices), self.limits.days)
        dropped = self._sum(_wishes(choices), least)
        choices.model.row(None, _wishes(choices), dropped)
        strict = _strict(self.problem, choices)
        short = self._sum(strict, self._answer(choices.model, strict, self.limits.days))
        return Goals(dropped, short)

    def _sum(self, terms: Sequence[Term], answer: Answer) -> int:
        if answer.values is None:
            raise NothingPlanned("No plan fits: a bake under way cannot be gone on with by anybody's free hands.")
        return sum(coefficient * answer.values[variable] for coefficient, variable in terms)

    def _held(self, choices: Choices, goals: Goals) -> Model:
        """Return the model with the tiers before cost held at their values."""
        choices.model.row(None, _wishes(choices), goals.dropped)
        choices.model.row(None, _strict(self.problem, choices), goals.short)
        return choices.model

    def _answer(self, model: Model, goal: list[Term], work: float, start: dict[int, int] | None = None) -> Answer:
        """Return the answer of the first solver that gives one to trust."""
        order: list[RowSolver] = [Highs(), CpSat(), CpSat(presolve=False)]
        if self.limits.solver == "cp-sat":
            order = [order[1], order[0], order[2]]
        for solver in order:
            try:
                answer = solver(model, goal, work=work, gap=self.limits.gap, start=start)
            except Faulty as fault:
                self.path.append(str(fault))
                continue
            if answer.values is not None or answer.proven:
                return answer
            self.path.append(f"{solver.name} found nothing within its limit")
        return Answer(None, -(10**12), False)

    # minutes ------------------------------------------------------------------------------------------------------

    def _time(self, choices: Choices, asked: Asked) -> tuple[Timed | None, list[Cut]]:
        """Return the minutes of a choice, and what was learnt if they cost more than its runs say, or there are none."""
        tasks: list[Task] = [*asked.bakes, *asked.ways]
        timed = self._timed(tasks, choices, asked)
        if timed is None:
            return None, [self._conflict(tasks, choices, asked)]
        expected = self._expected(choices, asked)
        if timed.bound > expected:
            return timed, [cut for cluster in cuts.clusters(tasks) for cut in self._dearer(choices, cluster)]
        return timed, []

    def _dearer(self, choices: Choices, tasks: list[Task]) -> list[Cut]:
        """Return that some tasks cost more together than their runs say, as few as cost all of it; none if they do not."""
        extra, core = self._extra(tasks, choices), tasks
        if extra <= 0:
            return []
        for task in tasks:
            trial = [other for other in core if other is not task]
            if trial and self._extra(trial, choices) >= extra:
                core = trial
        return [Cut(tuple(core), frozenset(), extra, cuts.days_of(core))]

    def _extra(self, tasks: Sequence[Task], choices: Choices) -> int:
        """Return what tasks cost at least beyond what the day level counts for them."""
        timed = self._timed(tasks, choices, None)
        return 0 if timed is None else timed.bound - least_effort(choices, tasks)

    def _timed(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None) -> Timed | None:
        """Return the cheapest minutes of some tasks, with the freezer's rules where `asked` is given."""
        timing = Timing(self.problem, self.grid, tasks)
        if asked is not None:
            shelves.add(timing, choices, asked, tasks)
        return timing.solve(self.limits.minutes)

    def _conflict(self, tasks: Sequence[Task], choices: Choices, asked: Asked) -> Cut:
        """Return that some tasks exclude each other, none of which can be spared, said of as many runs as it holds for."""
        freezer = self._timed(tasks, choices, None) is not None
        also = asked if freezer else None
        core = list(tasks)
        for cluster in cuts.clusters(tasks):
            if self._timed(cluster, choices, also) is None:
                core = cluster
                break
        for task in list(core):
            trial = [other for other in core if other is not task]
            if self._timed(trial, choices, also) is None:
                core = trial
        alike: set[str] = set()
        for task in core:
            if isinstance(task, BakeTask) and not freezer:
                trial = [_eased(t) if t is task or t.id in alike else t for t in core]
                if self._timed(trial, choices, None) is None:
                    alike.add(task.id)
        return Cut(tuple(core), frozenset(alike), None, cuts.days_of(core), sure=not freezer)

    def _expected(self, choices: Choices, asked: Asked) -> int:
        """Return what the day level counts for hands and heat-ups of a choice."""
        costs = choices.model.costs
        terms = [*costs.get("hands", []), *costs.get("heat_ups", [])]
        return sum(coefficient * asked.values[variable] for coefficient, variable in terms)

    def _keep(self, choices: Choices, asked: Asked, timed: Timed) -> None:
        """Keep a plan if it is the best so far."""
        plan = deal(choices, asked, timed)
        plan = replace(plan, terms=scores(self.problem, plan))
        if self.best is None or plan.total < self.best.total:
            self.best, self.best_asked = plan, asked

    # end ----------------------------------------------------------------------------------------------------------

    def _done(self) -> bool:
        """Say whether the best plan is as good as the bound, or near enough."""
        if self.best is None:
            return False
        return self.best.total - self.bound <= max(0, self.limits.gap * abs(self.best.total))

    def _tell(self) -> None:
        best = "no plan yet" if self.best is None else f"best {self.best.total / 1000:.1f}"
        bound = f", none below {self.bound / 1000:.1f}" if self.bound > -(10**12) else ""
        self.progress(f"{best}{bound} effort minutes; {len(self.cuts)} things learnt")

    def _finished(self, plan: Plan) -> Plan:
        """Return the plan with its tiers, status and path."""
        short = sum(meal.portions for meal in self.problem.meals if meal.strict)
        strict = {meal.id for meal in self.problem.meals if meal.strict}
        short -= sum(serving.portions for serving in plan.servings if serving.meal in strict)
        dropped = sum(1 for wish in plan.wishes if not wish.kept)
        proven = plan.total <= self.bound and (dropped, short) == (self.goals.dropped, self.goals.short)
        tiers = (
            Tier("wishes dropped", dropped, self.goals.dropped),
            Tier("strict portions short", short, self.goals.short),
            Tier("cost", plan.total, min(self.bound, plan.total)),
        )
        return replace(plan, status="optimal" if proven else "feasible", tiers=tiers, path=tuple(self.path))


def _cost(model: Model) -> list[Term]:
    """Return the cost as one sum."""
    return [(coefficient, variable) for variable, coefficient in sorted(model.objective()[0].items())]


def _wishes(choices: Choices) -> list[Term]:
    """Return the number of wishes dropped."""
    return [(1, variable) for variable in choices.dropped.values()]


def _strict(problem: Problem, choices: Choices) -> list[Term]:
    """Return the strict portions short."""
    return [(1, choices.short[meal.id]) for meal in problem.meals if meal.strict]


def likely(all_runs: list[Run], all_ways: list[Way]) -> tuple[list[Run], list[Way]]:
    """Return the runs and ways most plans are made of: heated from cold or for nothing, the least effort of each kind."""
    best_run: dict[tuple[object, ...], Run] = {}
    for run in all_runs:
        key = (run.slot, run.oven, run.ready, run.put_day is None, run.least, run.most, run.wish)
        if run.heat != WARM and (
            key not in best_run or (run.cost, run.put_day) < (best_run[key].cost, best_run[key].put_day)
        ):
            best_run[key] = run
        if run.under_way is not None:
            best_run[run, 0] = run
    best_way: dict[tuple[object, ...], Way] = {}
    for way in all_ways:
        spot = (way.bread, way.form, way.ready, way.oven)
        if way.heat != WARM and (
            spot not in best_way or (way.cost, -way.take_day) < (best_way[spot].cost, -best_way[spot].take_day)
        ):
            best_way[spot] = way
    runs_, ways_ = set(best_run.values()), set(best_way.values())
    return [run for run in all_runs if run in runs_], [way for way in all_ways if way in ways_]


def _keep_far(choices: Choices, asked: Asked, near: frozenset[int]) -> None:
    """Hold what was asked on all days but those near by."""
    days = {day + shift for day in near for shift in (-1, 0, 1)}
    kept = {task.run for task in asked.bakes} | {task.way for task in asked.ways}
    for index, run in enumerate(choices.runs):
        if run.day not in days:
            choices.model.bounds[choices.run[index]] = (int(run in kept),) * 2
    for index, way in enumerate(choices.ways):
        if way.take_day not in days:
            choices.model.bounds[choices.way[index]] = (int(way in kept),) * 2


def _eased(task: Task) -> Task:
    """Return a bake that may be ready, and go into the freezer, at any time."""
    assert isinstance(task, BakeTask)
    day = None if task.run.put_day is None else ANY_DAY
    return replace(task, run=replace(task.run, put_day=day), ready=(-(10**6), 10**6))


def least_effort(choices: Choices, tasks: Sequence[Task]) -> int:
    """Return what the day level counts at least for the hands and heat-ups of tasks: runs, ways, trips, sessions."""
    problem, total = choices.problem, 0
    sessions: dict[tuple[str, int], bool] = {}
    trips: set[int] = set()
    for task in tasks:
        if isinstance(task, BakeTask):
            total += task.run.cost + task.run.per_piece * task.total + task.run.per_frozen * task.frozen
            key, free = (task.run.oven, task.run.session), task.run.heat == FREE
        else:
            total += task.way.cost
            trips.add(task.way.take_day)
            key, free = (task.way.oven or "", task.way.session), task.way.heat == FREE or task.way.oven is None
        sessions[key] = sessions.get(key, False) or free
    for index, name in enumerate(choices.model.names):
        kind, _, rest = name.partition(" ")
        if kind == "trip" and int(rest) in trips:
            total += sum(k for k, v in choices.model.costs["hands"] if v == index)
    cold = sum(1 for free in sessions.values() if not free)
    switch_on = min(
        (k for k, v in choices.model.costs.get("hands", []) if choices.model.names[v].startswith("heat ")), default=0
    )
    return total + cold * (problem.weights.heat_up + switch_on)


def _as_asked(choices: Choices, asked: Asked) -> dict[int, int]:
    """Return the values that a choice of days gives to runs, ways, pieces and units."""
    values: dict[int, int] = {}
    bakes = {task.run: task for task in asked.bakes}
    ways_ = {task.way: task for task in asked.ways}
    for index, run in enumerate(choices.runs):
        values[choices.run[index]] = int(run in bakes)
    for (index, id_), variable in choices.pieces.items():
        bake = bakes.get(choices.runs[index])
        values[variable] = 0 if bake is None else sum(count for of, count in bake.pieces if of == id_)
    for index, way in enumerate(choices.ways):
        values[choices.way[index]] = int(way in ways_)
        values[choices.units[index]] = ways_[way].units if way in ways_ else 0
    return values
