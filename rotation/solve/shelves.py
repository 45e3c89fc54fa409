"""The freezer in a timing model: nothing leaves before it is frozen through, room and rating hold at every minute.

Most weeks leave slack; a constraint is added only for a bread, or a day, where it could bind.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from ortools.sat.python import cp_model

from rotation.choices import Choices
from rotation.problem import TABLE
from rotation.solve.tasks import Asked, BakeTask, Task
from rotation.solve.timing import Timing

Move = tuple[cp_model.LinearExprT, int]
"""A minute and a change of stock."""


def add(timing: Timing, choices: Choices, asked: Asked, tasks: Sequence[Task]) -> None:
    """Add the freezer's rules for the tasks in a model; all that is asked and not among them keeps its day."""
    problem = choices.problem
    room: list[Move] = []
    loads: list[tuple[cp_model.LinearExprT, int]] = []
    for bread in problem.breads:
        for form in bread.forms:
            through, held = _moves(timing, choices, asked, tasks, bread.id, form.id)
            room += [(at, change * form.unit_dl) for at, change in held]
            if any(not isinstance(at, int) for at, _ in through):
                timing.model.add_reservoir_constraint([a for a, _ in through], [c for _, c in through], 0, 10**7)
    for task in tasks:
        if isinstance(task, BakeTask) and task.frozen:
            put_in = timing.starts[task.id, "bag"] + task.hands("bag")
            grams = sum(
                task.bread.form(id_).load_grams * task.bread.form(id_).units_per_piece * count
                for id_, count in task.pieces
                if id_ != TABLE
            )
            loads.append((put_in, grams))
    _room(timing, room)
    _rating(timing, loads)


def _moves(
    timing: Timing, choices: Choices, asked: Asked, tasks: Sequence[Task], bread: str, form: str
) -> tuple[list[Move], list[Move]]:
    """Return what is frozen through and what leaves, and what is put in and what leaves, of one bread and form."""
    problem, values = choices.problem, asked.values
    meals = {meal.id: meal.at for meal in problem.meals}
    through: list[Move] = []
    held: list[Move] = []
    for lot in problem.lots:
        if (lot.bread, lot.form) == (bread, form):
            through.append((max(lot.through, 0), lot.units))
            held.append((0, lot.units))
    for (of, day_form, day), variable in choices.discards.items():
        if (of, day_form) == (bread, form) and values[variable]:
            move = (problem.midnights[day + 1] - 1, -values[variable])
            through.append(move)
            held.append(move)
    for (of, route, meal), variable in choices.toast.items():
        kept = problem.bread(of).form(problem.bread(of).route(route).form)
        if of == bread and kept.id == form and values[variable]:
            move = (meals[meal], -(-(-values[variable] // kept.portions_per_unit)))
            through.append(move)
            held.append(move)
    inside = {task.id for task in tasks}
    for bake in asked.bakes:
        count = sum(c for id_, c in bake.pieces if id_ == form)
        if bake.bread.id == bread and count:
            units = count * bake.bread.form(form).units_per_piece
            if bake.id in inside:
                put_in = timing.starts[bake.id, "bag"] + bake.hands("bag")
                through.append((put_in + bake.process.treatment(form).freeze, units))
                held.append((put_in, units))
            else:
                through.append((0, units))
    for way in asked.ways:
        if (way.way.bread, way.way.form) == (bread, form) and way.id in inside:
            through.append((timing.starts[way.id, "out"], -way.units))
            held.append((timing.starts[way.id, "out"], -way.units))
    return through, held


def _room(timing: Timing, moves: list[Move]) -> None:
    """Keep the freezer within its room at every minute; dated exceptions are things put in and taken out."""
    steps = timing.problem.kitchen.freezer_dl
    most = max(value for _, value in steps)
    low = 0
    for at, value in steps:
        moves.append((max(at, 0), (most - value) - low))
        low = most - value
    peak = sum(change for _, change in moves if change > 0)
    if peak > most:
        moves = [(at, change) for at, change in moves if change]
        timing.model.add_reservoir_constraint([at for at, _ in moves], [change for _, change in moves], -(10**7), most)


def _rating(timing: Timing, loads: list[tuple[cp_model.LinearExprT, int]]) -> None:
    """Keep what is put in during any 24 hours within the freezer's rating."""
    problem, steps = timing.problem, timing.problem.kitchen.freezing_grams_24h
    most = max(value for _, value in steps)
    fixed: dict[int, int] = defaultdict(int)
    for lot in problem.lots:
        if -1440 < lot.bagged <= 0:
            fixed[lot.bagged] += problem.bread(lot.bread).form(lot.form).load_grams * lot.units
    if sum(grams for _, grams in loads) + sum(fixed.values()) <= min(value for _, value in steps):
        return
    intervals = [timing.model.new_fixed_size_interval_var(at, 1440, "") for at, _ in loads]
    amounts = [grams for _, grams in loads]
    for at, grams in fixed.items():
        intervals.append(timing.model.new_fixed_size_interval_var(at, 1440, ""))
        amounts.append(min(grams, most))
    ends = [at for at, _ in steps[1:]] + [problem.end + 10**5]
    for (at, value), end in zip(steps, ends, strict=True):
        if value < most:
            intervals.append(timing.model.new_fixed_size_interval_var(at, end - at, ""))
            amounts.append(most - value)
    timing.model.add_cumulative(intervals, amounts, most)
