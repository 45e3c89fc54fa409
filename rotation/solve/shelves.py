"""The freezer in a timing: what of a choice of days goes in and out at which minute, some of them still open."""

from __future__ import annotations

from collections.abc import Sequence

from rotation.choices import Choices, forms
from rotation.clockwork import Sum
from rotation.minutes import Freezer
from rotation.problem import TABLE
from rotation.rules import freezing_rate, table
from rotation.solve.timing import Timing
from rotation.tasks import Asked, BakeTask, Task

Changes = list[tuple[Sum, int]]


def add(timing: Timing, choices: Choices, asked: Asked, tasks: Sequence[Task]) -> None:
    """Add the freezer's rules for the tasks in a model; all that is asked and not among them keeps its day."""
    through: dict[tuple[str, str], Changes] = {(bread, form.id): [] for bread, form in forms(choices.problem)}
    held: dict[tuple[str, str], Changes] = {key: [] for key in through}
    for lot in choices.problem.lots:
        through[lot.bread, lot.form].append((Sum((), max(lot.through, 0)), lot.units))
        held[lot.bread, lot.form].append((Sum((), 0), lot.units))
    for key, at, units in leaving(choices, asked):
        for changes in (through[key], held[key]):
            changes.append((Sum((), at), -units))
    inside = {task.id for task in tasks}
    loads: Changes = []
    for bake in asked.bakes:
        for id_, count in bake.pieces:
            if id_ != TABLE:
                form, key = bake.bread.form(id_), (bake.bread.id, id_)
                units = count * form.units_per_piece
                if bake.id not in inside:
                    through[key].append((Sum((), 0), units))
                    continue
                put_in = timing.minutes.end(bake, "bag")
                through[key].append((put_in + bake.process.treatment(id_).freeze, units))
                held[key].append((put_in, units))
                loads.append((put_in, units * form.load_grams))
    for way in asked.ways:
        if way.id in inside:
            for changes in (through[way.way.bread, way.way.form], held[way.way.bread, way.way.form]):
                changes.append((timing.minutes.starts[way.id, "out"], -way.units))
    table.freezer(timing.minutes, Freezer(through, held, loads))


def loads(timing: Timing, tasks: Sequence[Task]) -> None:
    """Add what the freezer can freeze in 24 hours, of some tasks alone; it holds whatever else is put in."""
    put_in: Changes = []
    for bake in (task for task in tasks if isinstance(task, BakeTask)):
        for id_, count in bake.pieces:
            if id_ != TABLE:
                form = bake.bread.form(id_)
                put_in.append((timing.minutes.end(bake, "bag"), count * form.units_per_piece * form.load_grams))
    freezing_rate.freezer(timing.minutes, Freezer({}, {}, put_in))


def leaving(choices: Choices, asked: Asked) -> list[tuple[tuple[str, str], int, int]]:
    """Return what leaves at a minute that is known: bread and form, minute, units; thrown away, or eaten as toast."""
    problem, values, found = choices.problem, asked.values, []
    meals = {meal.id: meal.at for meal in problem.meals}
    for (bread, form_id, day), variable in choices.discards.items():
        if values[variable]:
            found.append(((bread, form_id), problem.midnights[day + 1] - 1, values[variable]))
    for (bread, route, meal), variable in choices.toasted.items():
        if values[variable]:
            found.append(((bread, problem.bread(bread).route(route).form), meals[meal], values[variable]))
    return found
