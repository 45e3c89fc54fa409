"""One bread is mixed by one process at most once in a local day; bakes under way are not counted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from rotation.choices import Choices
from rotation.model import Term
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "one_mix"


def days(c: Choices) -> None:
    """Of all the runs of one bread and process on one day at most one is chosen."""
    slots: dict[tuple[object, ...], list[Term]] = defaultdict(list)
    for index, run in enumerate(c.runs):
        if run.under_way is None:
            slots[run.slot].append((1, c.run[index]))
    for terms in slots.values():
        c.model.row(None, terms, 1)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the days on which a bread is mixed twice."""
    mixed = Counter((bake.bread, bake.process, bake.day) for bake in plan.bakes if bake.under_way is None)
    for (bread, process, day), count in mixed.items():
        if count > 1:
            yield Broken(NAME, f"{bread} by {process}", f"is mixed {count} times on {problem.date_of(day)}")
