"""What goes into the freezer and what leaves it, in a choice of days."""

from __future__ import annotations

from rotation.choices import Choices
from rotation.model import Term
from rotation.problem import Form, Lot, Problem


def opening(problem: Problem, bread: str, form: str) -> list[Lot]:
    """Return the lots of a form at the start, oldest first."""
    lots = [lot for lot in problem.lots if (lot.bread, lot.form) == (bread, form)]
    return sorted(lots, key=lambda lot: (problem.day_of(lot.bagged), lot.bagged, lot.id))


def put_in(made: Choices, bread: str, form: Form) -> list[tuple[int, int, Term]]:
    """Return what the runs freeze of a form: put-in day, earliest minute frozen through, units."""
    found = []
    for (index, id_), variable in made.pieces.items():
        run = made.runs[index]
        if run.bread == bread and id_ == form.id:
            assert run.put_day is not None
            assert run.through is not None
            found.append((run.put_day, run.through, (form.units_per_piece, variable)))
    return found


def leaving(made: Choices, bread: str, form: Form) -> list[tuple[int, int, Term]]:
    """Return what leaves the freezer of a form: local day, last minute at which it may, units; discards end a day."""
    problem, found = made.problem, []
    meals = {meal.id: meal.at for meal in problem.meals}
    for index, way in enumerate(made.ways):
        if (way.bread, way.form) == (bread, form.id):
            found.append((way.take_day, way.latest, (1, made.units[index])))
    for (of, route, meal), variable in made.toasted.items():
        if of == bread and problem.bread(of).route(route).form == form.id:
            found.append((problem.day_of(meals[meal]), meals[meal], (1, variable)))
    for day in range(problem.days):
        found.append((day, problem.midnights[day + 1] - 1, (1, made.discards[bread, form.id, day])))
    return found
