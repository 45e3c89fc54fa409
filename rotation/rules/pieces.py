"""A bake has a total its process allows, in treatments of the process, and makes one lot of each form it freezes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rotation.choices import Choices
from rotation.plan import Plan
from rotation.problem import TABLE, Problem
from rotation.rules.broken import Broken

NAME = "pieces"


def days(c: Choices) -> None:
    """A run has a total its process allows if it is chosen, with pieces for all it stands for; else it has none."""
    of_run: dict[int, dict[str, int]] = defaultdict(dict)
    for (index, id_), variable in c.pieces.items():
        of_run[index][id_] = variable
    for index, run in enumerate(c.runs):
        counts = [(1, variable) for variable in of_run[index].values()]
        c.model.row(None, [*counts, (-run.most, c.run[index])], 0)
        c.model.row(0, [*counts, (-run.least, c.run[index])], None)
        if run.ready is not None and run.put_day is not None:
            c.model.row(0, [(1, c.pieces[index, TABLE]), (-1, c.run[index])], None)
            frozen = [(1, variable) for id_, variable in of_run[index].items() if id_ != TABLE]
            c.model.row(0, [*frozen, (-1, c.run[index])], None)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the bakes with a wrong number of pieces, wrong treatments or wrong lots."""
    for bake in plan.bakes:
        process = problem.bread(bake.bread).process(bake.process)
        if bake.under_way is None and bake.total not in process.pieces:
            yield Broken(NAME, bake.id, f"{bake.total} pieces, allowed are {', '.join(map(str, process.pieces))}")
        ordered = tuple(treatment.id for treatment in process.treatments if bake.count(treatment.id))
        if tuple(id_ for id_, _ in bake.pieces) != ordered or any(count < 1 for _, count in bake.pieces):
            yield Broken(NAME, bake.id, f"pieces {bake.pieces} are not each treatment once, in order, above zero")
        frozen = tuple(id_ for id_ in ordered if id_ != TABLE)
        if bake.lots != tuple((form, f"{bake.id}:{form}") for form in frozen):
            yield Broken(NAME, bake.id, f"lots {bake.lots} are not one of each form frozen")
        if (bake.put_in is not None) != bool(frozen):
            yield Broken(NAME, bake.id, f"put in at {bake.put_in}, but {len(frozen)} forms are frozen")
