"""From a problem to a proven plan: choose the days, time the minutes, learn from what did not fit, again.

The day level (rotation/choices.py) is a relaxation: every plan is one of its solutions, at a cost no higher. So its
bound holds for all plans on the grid. The timing (rotation/solve/timing.py) turns a solution into a plan or into a cut.
When a plan costs what the bound says, no plan is better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.costs import scores
from rotation.errors import NothingPlanned
from rotation.grid import Grid
from rotation.model import Model, Term
from rotation.moments import Moments
from rotation.plan import Plan, Tier
from rotation.problem import FIXED, Problem
from rotation.runs import undominated
from rotation.solve import cuts
from rotation.solve.answer import Answer, Faulty, RowSolver
from rotation.solve.cpsat import CpSat
from rotation.solve.cuts import Cut
from rotation.solve.day_level import rows
from rotation.solve.dealing import deal
from rotation.solve.goals import Goals, cost, strict, wishes
from rotation.solve.highs import Highs
from rotation.solve.lessons import Lessons
from rotation.solve.likely import as_asked, hold_far, hold_nothing, likely
from rotation.solve.tasks import ask
from rotation.tasks import Asked, Task
from rotation.thaws import ways

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Limits:
    """How much work may be done, in deterministic units (about a second each on a small machine), never in time.

    quick: for a first plan, and for a mend; days: for each solve of the whole day level; minutes: for each timing;
    mends, rounds: how often the days are chosen anew for the first plan, and for the best; gap: the share below which
    the rest is left open (0: to the proof). solver: "highs" or "cp-sat", tried first.
    """

    quick: float = 0.05
    days: float = 1.0
    minutes: float = 2.0
    mends: int = 12
    rounds: int = 2
    gap: float = 0.0
    solver: str = "highs"


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
        self.lessons = Lessons(problem, self.grid, limits.minutes)
        self.cuts: list[Cut] = []
        self.path: list[str] = []
        self.best: Plan | None = None
        self.best_asked: Asked | None = None
        self.goals = Goals()
        self.bound: int | None = None

    def solve(self) -> Plan:
        """Return the best plan: a quick one over the likeliest runs and ways, then the best over all of them."""
        everything = (self.runs, self.ways)
        self.runs, self.ways = likely(self.runs, self.ways)
        self._first()
        self.runs, self.ways = everything
        self.cuts, self.goals = [cut for cut in self.cuts if cut.sure], Goals()
        self._better()
        if self.best is None:
            self._nothing()
        assert self.best is not None
        return self._finished(self.best)

    # rounds -------------------------------------------------------------------------------------------------------

    def _first(self) -> None:
        """Find a plan: choose days, time them, mend the days that did not fit."""
        choices, answer = self._choose(self.limits.quick, None)
        if answer.values is not None:
            self._mend(*self._timed(choices, answer.values), self.limits.mends)

    def _better(self) -> None:
        """Choose among all runs and ways, until a plan is as good as the bound, or nothing more is learnt."""
        for _ in range(self.limits.rounds):
            choices, answer = self._choose(self.limits.days, None)
            sure = all(cut.sure for cut in self.cuts)
            if answer.impossible and not sure:
                self.cuts = [cut for cut in self.cuts if cut.sure]
                continue
            if sure and not answer.impossible:
                bound = answer.bound + sum(choices.model.constants.values())
                self.bound = bound if self.bound is None else max(self.bound, bound)
            if self._done() or answer.values is None:
                return
            asked, learnt = self._timed(choices, answer.values)
            if self._done() or not learnt:
                return
            self._mend(asked, learnt, self.limits.mends // 2)

    def _mend(self, asked: Asked, learnt: list[Cut], times: int) -> None:
        """Keep what was learnt; while days do not fit, choose those around the misfit anew and hold the others."""
        self.cuts += learnt
        while times and learnt and learnt[0].extra is None:
            choices, answer = self._choose(self.limits.quick, (asked, learnt[0].days))
            if answer.values is None:
                choices, answer = self._choose(self.limits.quick, None)
            if answer.values is None:
                return
            asked, learnt = self._timed(choices, answer.values)
            self.cuts += learnt
            times -= 1

    def _timed(self, choices: Choices, values: tuple[int, ...]) -> tuple[Asked, list[Cut]]:
        """Return what a solution of the day level asks for, timed, and what was learnt."""
        asked = ask(choices, values)
        return asked, self._time(choices, asked)

    def _nothing(self) -> None:
        """Make the plan that bakes and finishes nothing new: what is there is eaten, the rest bought or short."""
        self.cuts = []
        choices = self._choices()
        hold_nothing(choices)
        goal = [(10**9, v) for _, v in wishes(choices)] + [(10**6, v) for _, v in strict(self.problem, choices)]
        answer = self._answer(choices.model, goal + cost(choices.model), self.limits.days)
        if answer.values is not None:
            self._time(choices, ask(choices, answer.values))
        if self.best is None:
            why = "; ".join(self.path) or "nothing was found within the limit"
            if self.problem.under_way:
                why = f"a bake under way cannot be gone on with by anybody's free hands ({why})"
            raise NothingPlanned(f"No plan fits: {why}.")

    # days ---------------------------------------------------------------------------------------------------------

    def _choose(self, work: float, around: tuple[Asked, frozenset[int]] | None) -> tuple[Choices, Answer]:
        """Return the day level with all that was learnt, and its best solution, the tiers before cost held.

        around: keep what was asked on all but some days.
        """
        choices, answer = self._held(work, around)
        if answer.impossible and around is None and self._tiered():
            self.goals = self._settle()
            choices, answer = self._held(work, around)
        return choices, answer

    def _held(self, work: float, around: tuple[Asked, frozenset[int]] | None) -> tuple[Choices, Answer]:
        """Return the day level with the tiers before cost held at their values, and its solution."""
        choices = self._choices()
        choices.model.row(None, wishes(choices), self.goals.dropped)
        choices.model.row(None, strict(self.problem, choices), self.goals.short)
        start = None
        if around is not None:
            hold_far(choices, *around)
        elif self.best_asked is not None:
            start = as_asked(choices, self.best_asked)
        return choices, self._answer(choices.model, cost(choices.model), work, start)

    def _choices(self) -> Choices:
        """Return a fresh day level with all cuts."""
        choices = choose(self.problem, self.moments, self.runs, self.ways)
        rows(choices, self.grid)
        cuts.add(choices, choices.model, self.cuts)
        return choices

    def _tiered(self) -> bool:
        """Say whether there is anything that comes before cost."""
        return any(meal.strict for meal in self.problem.meals) or any(w.kind in FIXED for w in self.problem.wishes)

    def _settle(self) -> Goals:
        """Return the fewest wishes dropped, and under that the fewest strict portions short; only sure cuts count."""
        kept, self.cuts = self.cuts, [cut for cut in self.cuts if cut.sure]
        choices = self._choices()
        self.cuts = kept
        values, proven = [], True
        for terms in (wishes(choices), strict(self.problem, choices)):
            answer = self._answer(choices.model, terms, self.limits.days)
            found = answer.values
            most = sum(coefficient * choices.model.bounds[variable][1] for coefficient, variable in terms)
            values.append(
                most if found is None else sum(coefficient * found[variable] for coefficient, variable in terms)
            )
            proven = proven and found is not None and answer.bound >= values[-1]
            choices.model.row(None, terms, values[-1])
        return Goals(values[0], values[1], proven)

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

    def _time(self, choices: Choices, asked: Asked) -> list[Cut]:
        """Time a choice and keep the plan if it is the best; return what was learnt where the days were too hopeful."""
        tasks: list[Task] = [*asked.bakes, *asked.ways]
        learnt: list[Cut] = []
        try:
            timed = self.lessons.timed(tasks, choices, asked)
        except TimeoutError:
            self.path.append("the minutes of one choice of days were not found within the limit")
            return [Cut(tuple(tasks), frozenset(), None, cuts.days_of(tasks), sure=False)]
        if timed is None:
            learnt = [self.lessons.conflict(tasks, choices, asked)]
        else:
            plan = deal(choices, asked, timed)
            plan = replace(plan, terms=scores(self.problem, plan))
            if self.best is None or self._rank(plan) < self._rank(self.best):
                self.best, self.best_asked = plan, asked
            if timed.bound > self._expected(choices, asked):
                learnt = self.lessons.dearer(tasks, choices)
        self._tell()
        return learnt

    def _expected(self, choices: Choices, asked: Asked) -> int:
        """Return what the day level counts for hands and heat-ups of a choice."""
        costs = choices.model.costs
        terms = [*costs.get("hands", []), *costs.get("heat_ups", [])]
        return sum(coefficient * asked.values[variable] for coefficient, variable in terms)

    def _rank(self, plan: Plan) -> tuple[int, int, int]:
        """Return what makes a plan better, the least first: wishes dropped, strict portions short, cost."""
        wanted = {meal.id: meal.portions for meal in self.problem.meals if meal.strict}
        served = sum(serving.portions for serving in plan.servings if serving.meal in wanted)
        return sum(not wish.kept for wish in plan.wishes), sum(wanted.values()) - served, plan.total

    # end ----------------------------------------------------------------------------------------------------------

    def _done(self) -> bool:
        """Say whether the best plan is as good as the bound, or near enough."""
        if self.best is None or self.bound is None:
            return False
        dropped, short, total = self._rank(self.best)
        near = total - self.bound <= max(0, self.limits.gap * abs(total))
        return near and (dropped, short) == (self.goals.dropped, self.goals.short)

    def _tell(self) -> None:
        best = "no plan yet" if self.best is None else f"a plan that costs {self.best.total / 1000:.0f} effort minutes"
        bound = "" if self.bound is None else f"; none can cost less than {self.bound / 1000:.0f}"
        self.progress(f"{best}{bound}")

    def _finished(self, plan: Plan) -> Plan:
        """Return the plan with its tiers, status and path."""
        dropped, short, total = self._rank(plan)
        met = (dropped, short) == (self.goals.dropped, self.goals.short) and self.goals.proven
        bound = None if self.bound is None else min(self.bound, total)
        tiers = (
            Tier("wishes dropped", dropped, self.goals.dropped if self.goals.proven else 0),
            Tier("strict portions short", short, self.goals.short if self.goals.proven else 0),
            Tier("cost", total, bound),
        )
        status = "optimal" if met and bound == total else "feasible"
        return replace(plan, status=status, tiers=tiers, path=tuple(self.path))
