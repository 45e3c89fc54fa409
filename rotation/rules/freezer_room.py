"""At every instant what is in the freezer has room, from the minute it is put in until it is gone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.clockwork import Sum
from rotation.freezer_flow import opening
from rotation.minutes import Freezer, Minutes
from rotation.model import Term
from rotation.plan import Plan
from rotation.problem import GRID, TABLE, Form, Problem, value_at
from rotation.rules.broken import Broken
from rotation.runs import Run
from rotation.thaws import thaw_lag

NAME = "freezer_room"


def days(c: Choices) -> None:
    """In the last minute of a day, before anything is thrown away, what is in the freezer fits, and after it too.

    For room that grows less as the day begins, something may be thrown away the evening before.
    """
    steps = c.problem.kitchen.freezer_dl
    for day in range(c.problem.days):
        midnight = c.problem.midnights[day + 1]
        stays = [(form.unit_dl, c.stock[bread, form.id, day]) for bread, form in forms(c.problem)]
        thrown = [(form.unit_dl, c.discards[bread, form.id, day]) for bread, form in forms(c.problem)]
        c.model.row(None, [*stays, *thrown], value_at(steps, midnight - 1))
        if value_at(steps, midnight) < value_at(steps, midnight - 1):
            c.model.row(None, stays, value_at(steps, midnight))
    _put_in_full(c)


def _put_in_full(c: Choices) -> None:
    """What a bake puts in has room beside what was there the night before and is not gone by then."""
    problem, steps = c.problem, c.problem.kitchen.freezer_dl
    put: dict[tuple[int, Hashable], list[Term]] = defaultdict(list)
    by: dict[tuple[int, Hashable], int] = defaultdict(int)
    for (index, id_), variable in c.pieces.items():
        run = c.runs[index]
        if id_ != TABLE and run.put_day is not None:
            form, key = problem.bread(run.bread).form(id_), (run.put_day, run.slot)
            put[key].append((form.unit_dl * form.units_per_piece, variable))
            by[key] = max(by[key], _latest(problem, run, id_))
    for (day, slot), terms in put.items():
        first, last = problem.midnights[day], problem.midnights[day + 1] - 1
        room = max(value_at(steps, first), *(value for at, value in steps if first <= at <= last), 0)
        c.model.row(None, [*terms, *_kept(c, day, by[day, slot])], room)


def _latest(problem: Problem, run: Run, form: str) -> int:
    """Return the last minute at which pieces of a run may go into the freezer, or a later one."""
    assert run.put_day is not None
    midnight = problem.midnights[run.put_day + 1]
    if run.under_way is not None:
        return midnight
    process = problem.bread(run.bread).process(run.process)
    bag = process.stages[-1]
    hands = bag.hands + bag.hands_per_piece * run.most
    return min(midnight, run.stay.last + run.stay.longest + process.treatment(form).bag_by + hands + 2 * GRID)


def _kept(c: Choices, day: int, by: int) -> list[Term]:
    """Return the room that what was there the night before a day takes, but for what may be gone by a minute of it."""
    terms = list[Term]()
    for bread, form in forms(c.problem):
        gone = [term for at, since, term in _leaving(c, bread, form) if at == day and since <= by]
        before = sum(lot.units for lot in opening(c.problem, bread, form.id)) if day == 0 else 0
        there = [(-1, c.stock[bread, form.id, day - 1])] if day else []
        key = bread, form.id, day, len(gone)
        if key not in c.kept:  # laid again, the rows are of the same variables
            most = c.model.bounds[c.stock[bread, form.id, day]][1]
            c.kept[key] = c.model.flow(0, most, f"kept {bread} {form.id} {day} {len(gone)}")
        c.model.row(before, [(1, c.kept[key]), *there, *gone], None)
        terms.append((form.unit_dl, c.kept[key]))
    return terms


def _leaving(c: Choices, bread: str, form: Form) -> Iterator[tuple[int, int, Term]]:
    """Yield what leaves to be eaten: local day, first minute at which it may, units."""
    problem = c.problem
    for index, way in enumerate(c.ways):
        if (way.bread, way.form) == (bread, form.id):
            since = problem.midnights[way.take_day]
            if way.oven is not None:
                since = max(since, way.stay.first - thaw_lag(problem.bread(bread).route(way.route))[1])
            yield way.take_day, since, (1, c.units[index])
    meals = {meal.id: meal.at for meal in problem.meals}
    for (of, route, meal), variable in c.toasted.items():
        if of == bread and problem.bread(of).route(route).form == form.id:
            yield problem.day_of(meals[meal]), meals[meal], (1, variable)


def freezer(m: Minutes, freezer: Freezer) -> None:
    """At every minute what is held has room; where there is less room, something else fills it."""
    kitchen, changes = m.problem.kitchen, list[tuple[Sum, int]]()
    for bread, form in forms(m.problem):
        changes += [(at, units * form.unit_dl) for at, units in freezer.held[bread, form.id]]
    most, filled = max(value for _, value in kitchen.freezer_dl), 0
    for at, value in kitchen.freezer_dl:
        changes.append((Sum((), max(at, 0)), most - value - filled))
        filled = most - value
    if sum(change for _, change in changes if change > 0) > most:
        m.clock.level([(at, change) for at, change in changes if change], -(10**7), most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes at which the freezer is overfull."""
    batches, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    steps = problem.kitchen.freezer_dl
    for minute in sorted({0} | {move.at for move in moves if move.at > 0} | {at for at, _ in steps if at > 0}):
        held = facts.held(moves, minute).items()
        taken = sum(units * _unit_dl(problem, batches[lot]) for lot, units in held if lot in batches)
        if taken > value_at(steps, minute):
            yield Broken(NAME, facts.when(problem, minute), f"{taken} dl, there is room for {value_at(steps, minute)}")


def _unit_dl(problem: Problem, batch: facts.Batch) -> int:
    return problem.bread(batch.bread).form(batch.form).unit_dl
