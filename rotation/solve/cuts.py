"""What the minutes teach the days: tasks that exclude each other, tasks that together cost more than each alone.

Both are said over "at least this many pieces", since more never makes a timing easier or cheaper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rotation.choices import Choices
from rotation.model import Model, Term
from rotation.tasks import BakeTask, Task


@dataclass(frozen=True)
class Cut:
    """`extra` None: the tasks cannot all be; else together they cost at least so much more (milli) than their runs say.

    alike: ids of bakes of which every run of the slot is meant; of the others, the runs ready and put in at the same
    time. sure: whether it is proven for all plans; one that is not only helps to find a plan.
    """

    tasks: tuple[Task, ...]
    alike: frozenset[str]
    extra: int | None
    days: frozenset[int]
    sure: bool = True


def days_of(tasks: Sequence[Task]) -> frozenset[int]:
    """Return the local days on which tasks want hands, the oven or room."""
    days: set[int] = set()
    for task in tasks:
        if isinstance(task, BakeTask):
            first = task.run.day - (task.process.stages[0].name != "mix")
            last = max(task.run.day + 1, task.run.put_day or 0)
        else:
            first, last = task.way.take_day, task.way.take_day + (task.route.thaw[1] > 360)
        days |= set(range(first, last + 1))
    return frozenset(days)


def clusters(tasks: Sequence[Task]) -> list[list[Task]]:
    """Return the tasks in groups that share no day: what one does leaves the others' minutes alone."""
    groups: list[tuple[frozenset[int], list[Task]]] = []
    for task in tasks:
        days, members = days_of([task]), [task]
        for group in [group for group in groups if group[0] & days]:
            groups.remove(group)
            days, members = days | group[0], [*group[1], *members]
        groups.append((days, members))
    return [members for _, members in groups]


def add(choices: Choices, model: Model, cuts: Sequence[Cut]) -> None:
    """Add cuts to a model. Extra costs that share a day are one charge, the dearest; so nothing is counted twice."""
    literals: dict[tuple[int, int], int] = {}
    groups: list[tuple[frozenset[int], list[Cut]]] = []
    for cut in cuts:
        if cut.extra is None:
            terms = [
                term for task in cut.tasks for term in _holds(choices, model, task, task.id in cut.alike, literals)
            ]
            size = sum(_size(task) for task in cut.tasks)
            model.row(None, terms, size - 1)
            continue
        joined, days = [cut], cut.days
        for group in [group for group in groups if group[0] & days]:
            groups.remove(group)
            joined, days = [*group[1], *joined], days | group[0]
        groups.append((days, joined))
    for number, (_, members) in enumerate(groups):
        most = max(cut.extra or 0 for cut in members)
        charge = model.flow(0, most, f"extra {number}")
        model.cost("hands", [(1, charge)])
        for cut in members:
            extra = cut.extra or 0
            terms = [
                term for task in cut.tasks for term in _holds(choices, model, task, task.id in cut.alike, literals)
            ]
            size = sum(_size(task) for task in cut.tasks)
            model.row(extra - extra * size, [(1, charge), *((-extra * c, v) for c, v in terms)], None)


def _size(task: Task) -> int:
    """Return how many literals say that a task is there, as large as it is."""
    return len(task.pieces) if isinstance(task, BakeTask) else 1


def _holds(choices: Choices, model: Model, task: Task, alike: bool, literals: dict[tuple[int, int], int]) -> list[Term]:
    """Return the literals, one for each treatment, that a task is there with at least its pieces."""
    if not isinstance(task, BakeTask):
        return [
            (1, _at_least(model, literals, choices.units[index], task.units))
            for index, way in enumerate(choices.ways)
            if (way.bread, way.route, way.oven, way.take_day, way.ready, way.wish)
            == (task.way.bread, task.way.route, task.way.oven, task.way.take_day, task.way.ready, task.way.wish)
        ]
    slot, key = task.run.slot, (task.run.oven, task.run.ready, task.run.put_day)
    runs = [
        i
        for i, run in enumerate(choices.runs)
        if run.slot == slot and run.wish == task.run.wish and (alike or (run.oven, run.ready, run.put_day) == key)
    ]
    return [
        (1, _at_least(model, literals, choices.pieces[index, id_], count))
        for index in runs
        for id_, count in task.pieces
        if (index, id_) in choices.pieces
    ]


def _at_least(model: Model, literals: dict[tuple[int, int], int], variable: int, count: int) -> int:
    """Return a literal that is 1 if a variable is at least `count`."""
    key = (variable, count)
    if key not in literals:
        literal = model.binary(f"{model.names[variable]} >= {count}")
        most = model.bounds[variable][1]
        model.row(None, [(1, variable), (-(most - count + 1), literal)], count - 1)
        literals[key] = literal
    return literals[key]
