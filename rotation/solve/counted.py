"""What a choice of days counts for the hands and the heat of tasks: what a timing of them is held against."""

from __future__ import annotations

from collections.abc import Sequence

from rotation.choices import Choices, Heat, Hot, stays
from rotation.hot import FREE
from rotation.solve.cuts import planned
from rotation.tasks import BakeTask, Task


class Counted:
    """The prices of one choice of days, looked up once."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.priced = {variable: milli for milli, variable in choices.model.costs.get("hands", [])}
        self.stays: dict[object, Hot] = {}
        items = {variable: choices.runs[index] for index, variable in enumerate(choices.run)}
        ways = {variable: choices.ways[index] for index, variable in enumerate(choices.way)}
        for hot in stays(choices):
            self.stays[items.get(hot.variable) or ways[hot.variable]] = hot

    def all(self, tasks: Sequence[Task], hot: bool) -> int:
        """Return what is counted for tasks alone; without heat in ovens that are hot anyway."""
        return self.effort(tasks) + (0 if hot else self.heating(tasks))

    def effort(self, tasks: Sequence[Task]) -> int:
        """Return what is counted for the hands of tasks and for their trips to the freezer."""
        total, trips = 0, set[int]()
        for task in tasks:
            if isinstance(task, BakeTask):
                total += task.run.cost + task.run.per_piece * task.total + task.run.per_frozen * task.frozen
            else:
                total += task.way.cost
                trips.add(task.way.take_day)
        return total + sum(self.priced.get(self.choices.trips[day], 0) for day in trips)

    def heating(self, tasks: Sequence[Task]) -> int:
        """Return what is counted for heating up for tasks alone."""
        there = [self.stays[planned(task)] for task in tasks if planned(task) in self.stays]
        cold = set[Heat]()
        for session in dict.fromkeys(hot.session for hot in there):
            oven, inside = self.choices.problem.oven(session[0]), [hot for hot in there if hot.session == session]
            needy = [hot for hot in inside if hot.heat != FREE]
            alone = [
                hot for hot in needy if not any(o.alike != hot.alike and o.stay.heats(hot.stay, oven) for o in inside)
            ]
            cold |= {hot.key for hot in alone}
            if needy and not alone and len(needy) == len(inside):
                cold.add(needy[0].key)
        heat_up, heated = self.choices.problem.weights.heat_up, self.choices.heated
        return sum(heat_up + self.priced.get(heated[key], 0) for key in cold)
