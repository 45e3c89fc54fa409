"""Which changes to try: from the choice of days with all of them to be had at a price, over the days near a meal.

What a change makes possible, runs and ways that the house as it is does not have, hangs on it; rows that it eases
have a slack that hangs on it. The least price at which the meal is fed names the changes. It is a guide: each run is
looked at alone in the house, and what is said is proven by planning the changed problem.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.grid import Grid
from rotation.model import Model, Row, Term
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.reasons.catalogue import REACH
from rotation.reasons.change import EACH, Change
from rotation.reasons.held import all_of, fed, no_worse, nothing_new
from rotation.rules import freezer_room, freezing_rate, portions
from rotation.runs import Run
from rotation.solve import effort, least
from rotation.solve.day_level import rows
from rotation.thaws import Way, ways

AT_ONCE = 3
"""Changes a cure may have at most."""

OPENING = ("hands", "somebody at home", "an oven hour", "an oven booking")
"""Kinds of changes that make runs and ways possible."""

WORK = 0.6


class Guide:
    """A choice of days with changes for sale. most: what the plan may cost in all (milli); None: whatever it takes."""

    def __init__(self, problem: Problem, plan: Plan, meal: Meal, changes: Sequence[Change], most: int | None) -> None:
        self.problem, self.plan, self.meal, self.changes = problem, plan, meal, changes
        day = problem.day_of(meal.at)
        self.days = range(max(day - REACH, 0), day + 1)
        self.bought: dict[int, Change] = {}
        self.choices = self._choices()
        rows(self.choices, Grid(problem))
        model = self.choices.model
        self._ease()
        if most is not None:
            model.row(None, effort(self.choices), most - sum(model.constants.values()))
        all_of(fed([meal.id]), no_worse(problem, plan, meal)).lay(self.choices)
        self.price = [(1000 * (EACH + change.price), variable) for variable, change in self.bought.items()]
        model.row(None, [(1, variable) for variable in self.bought], AT_ONCE)
        sold = {change.key: variable for variable, change in self.bought.items()}
        for variable, change in self.bought.items():
            if change.after is not None:
                model.row(None, [(1, variable), (-1, sold[change.after])], 0)

    def candidates(self) -> Iterator[tuple[tuple[Change, ...], list[Run | Way]]]:
        """Yield sets of changes, with what is baked and taken out by them, the cheapest first.

        None of them holds another that came before it.
        """
        goal = [*self.price, *effort(self.choices)]
        while True:
            values = least(self.choices, goal, self.bought, WORK)
            if values is None:
                return
            some = [variable for variable in self.bought if values[variable]]
            if some:
                yield tuple(self.bought[variable] for variable in some), self._taken(values)
                self.choices.model.row(None, [(1, variable) for variable in some], len(some) - 1)
            else:  # the days believe it is fed as things are; the minutes know better
                self.choices.model.row(1, [(1, variable) for variable in self.bought], None)

    def _taken(self, values: Sequence[int]) -> list[Run | Way]:
        c = self.choices
        baked = [run for run, variable in zip(c.runs, c.run, strict=True) if values[variable]]
        return [*baked, *(way for way, variable in zip(c.ways, c.way, strict=True) if values[variable])]

    def _choices(self) -> Choices:
        """Return the variables: runs and ways of the house as it is, and of each change alone."""
        problem, moments = self.problem, Moments(self.problem)
        grid, near = Grid(problem), nothing_new(self.plan, self.days)
        planned = {bake.day for bake in self.plan.bakes}
        known = near.of(moments, runs(problem, grid, moments, {*self.days, *planned} & {*range(problem.days)}))
        routes = near.of(moments, ways(problem, grid, moments))
        seen: dict[object, list[Change]] = {_run_key(run): [] for run in known}
        seen.update({_way_key(way): [] for way in routes})
        opened: list[tuple[Run | Way, list[Change]]] = []
        for change in self.changes:
            if change.kind in OPENING:
                for item in self._opened(change):
                    key = _run_key(item) if isinstance(item, Run) else _way_key(item)
                    if key not in seen:
                        seen[key] = by = [change]
                        opened.append((item, by))
                    elif seen[key] and change not in seen[key]:
                        seen[key].append(change)
        more_runs = [item for item, _ in opened if isinstance(item, Run)]
        more_ways = [item for item, _ in opened if isinstance(item, Way)]
        choices = choose(problem, moments, [*known, *more_runs], [*routes, *more_ways])
        sold = {change.key: choices.model.binary(f"change {change.key}") for change in self.changes}
        self.bought = {sold[change.key]: change for change in self.changes}
        for item, by in opened:
            variable = choices.variable(item)
            choices.model.row(None, [(1, variable), *((-1, sold[change.key]) for change in by)], 0)
        return choices

    def _opened(self, change: Change) -> Iterator[Run | Way]:
        """Yield the runs and ways near the meal of the breads it takes, in the house with one change."""
        wanted = {accept.bread for accept in self.meal.accepts}
        other = replace(
            change.apply(self.problem), breads=tuple(b for b in self.problem.breads if b.id in wanted), under_way=(),
        )  # fmt: skip
        grid, moments = Grid(other), Moments(other)
        yield from runs(other, grid, moments, self.days)
        yield from ways(other, grid, moments, self.days)

    def _ease(self) -> None:
        """Give slack to the rows of room, rating and portions, as much as each change gives."""
        fewer: list[Term] = []
        for variable, change in self.bought.items():
            other = change.apply(self.problem)
            if change.kind == "freezer room":
                self._slack(freezer_room.days, other, variable)
            elif change.kind == "freezing":
                self._slack(freezing_rate.days, other, variable)
            elif change.kind in ("a guest fewer", "a loaf bought"):
                meal = next((meal for meal in other.meals if meal.id == self.meal.id), None)
                less = self.meal.portions - (meal.portions if meal else 0)
                fewer += [(less, variable)] if less else []
        model, short = self.choices.model, self.choices.short[self.meal.id]
        at = next(at for at in _rows_of(portions.days, self.choices) if (1, short) in model.rows[at].terms)
        model.rows[at] = Row(self.meal.portions, (*model.rows[at].terms, *fewer), None)

    def _slack(self, rule: Callable[[Choices], None], other: Problem, variable: int) -> None:
        """Let the rows of a rule be as they are in another problem, if a change is bought.

        Rows are the same if they add up the same; what another problem has no row for, it does not limit there.
        """
        eased = replace(self.choices, problem=other, model=_scratch(self.choices))
        rule(eased)
        highs, model = {row.terms: row.high for row in eased.model.rows}, self.choices.model
        for at in _rows_of(rule, self.choices):
            row = model.rows[at]
            if row.high is None:
                continue
            high = highs.get(row.terms)
            easier = sum(max(c * edge for edge in model.bounds[v]) for c, v in row.terms) if high is None else high
            if easier > row.high:
                model.rows[at] = replace(row, terms=(*row.terms, (row.high - easier, variable)))


def _scratch(choices: Choices) -> Model:
    """Return a model of the same variables without rows."""
    return Model(names=list(choices.model.names), bounds=list(choices.model.bounds))


def _rows_of(rule: Callable[[Choices], None], choices: Choices) -> list[int]:
    """Return where in the model the rows of a rule are."""
    alone = replace(choices, model=_scratch(choices))
    rule(alone)
    wanted: dict[Row, int] = {}
    for at, row in enumerate(choices.model.rows):
        wanted.setdefault(row, at)
    return [wanted[row] for row in alone.model.rows]


def _run_key(run: Run) -> tuple[object, ...]:
    return "run", run.bread, run.process, run.day, run.oven, run.ready, run.put_day, run.under_way, run.wish


def _way_key(way: Way) -> tuple[object, ...]:
    return "way", way.bread, way.route, way.oven, way.take_day, way.ready, way.wish
