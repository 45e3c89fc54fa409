"""One plan among equals: of all plans that cost as little, the one that comes first by an order of all that is shown.

Of two plans, the one with less in the first place where they differ comes first: wishes dropped; bakes by day, bread,
process and oven; when each is ready and put away; its pieces; what is taken out and finished; loaves bought; what each
meal eats of what, and goes short; what is thrown away (`fields`); then the minutes (`solve/earliest.py`). So what can
be left for later is left, and the rest begins early. Lots, and what two bakes ready at one moment feed, are dealt out
by rules, the oldest first, and are no choice.

Place by place, the search of the proof is asked once more: is there a plan that costs no more, has the same in all
places before, and less here? Mostly the relaxation says no at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from rotation.choices import Choices
from rotation.model import Term
from rotation.solve.answer import Faulty, tell
from rotation.solve.best import Best
from rotation.solve.cuts import Cut
from rotation.solve.earliest import earliest
from rotation.solve.held import Held
from rotation.solve.lessons import minutes_of
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.tasks import ask
from rotation.solve.timing import Timed
from rotation.solve.tree import Tree
from rotation.tasks import Task

Place = tuple[Any, ...]
"""Where something stands in the order: the number of its kind, then what it is of."""

Fields = dict[Place, list[Term]]
"""What a choice of days shows, in the order in which it is compared: sums of variables."""

TIMED = 0.05
"""Work that stands for one timing."""


class Open(Exception):
    """Whether there is anything before it is not known: no work is left, or no minutes and no lesson were found."""


def fields(choices: Choices) -> Fields:
    """Return what is compared of a choice of days, in order."""
    found: dict[Place, list[Term]] = defaultdict(list)
    for number, variable in enumerate(choices.dropped.values()):
        found[0, number].append((1, variable))
    for index, run in enumerate(choices.runs):
        slot = (run.day, run.bread, run.process, run.oven, run.under_way or "")
        ready, put = (-1 if of is None else of for of in (run.ready, run.put_day))
        found[1, *slot].append((1, choices.run[index]))
        found[2, *slot, ready, put, run.wish or ""].append((1, choices.run[index]))
    for (index, treatment), variable in choices.pieces.items():
        run = choices.runs[index]
        found[3, run.day, run.bread, run.process, run.oven, run.under_way or "", treatment].append((1, variable))
    for index, way in enumerate(choices.ways):
        key = (way.take_day, way.bread, way.route, way.oven or "", way.ready, way.wish or "")
        found[4, *key].append((1, choices.units[index]))
    for closes, variable in zip(choices.problem.shop.closes, choices.loaves, strict=True):
        found[5, closes].append((1, variable))
    for place, variable in _table(choices):
        found[6, *place].append((1, variable))
    for (bread, form, day), variable in choices.discards.items():
        found[7, day, bread, form].append((1, variable))
    return {place: found[place] for place in sorted(found)}


def _table(choices: Choices) -> Iterator[tuple[Place, int]]:
    """Yield what each meal eats: fresh, thawed or finished, as toast, of the bread box, bought; and goes short."""
    at = {meal.id: (meal.at, meal.id) for meal in choices.problem.meals}
    for (node, meal), variable in choices.eaten.items():
        yield (*at[meal], 0, *node), variable
    for (bread, route, meal), variable in choices.toast.items():
        yield (*at[meal], 1, bread, route), variable
    for (item, meal), variable in choices.boxed.items():
        yield (*at[meal], 2, item), variable
    for (closing, meal), variable in choices.bought.items():
        yield (*at[meal], 3, closing), variable
    for meal, variable in choices.short.items():
        yield (*at[meal], 4), variable


class Ties:
    """The search for the first of the plans as good as the best. work: how much may be done, in deterministic units."""

    def __init__(self, best: Best, held: Held, work: float) -> None:
        assert best.plan is not None
        assert best.asked is not None
        self.best, self.held, self.work = best, held, work
        self.plan, self.asked = best.plan, best.asked
        self.seen: dict[object, Timed] = {}
        """Minutes found, by what they hang on: most that eats otherwise is baked and finished at the same minutes."""

    def settle(self) -> bool:
        """Replace the best plan by the first of its equals, if that is proven; say whether it is."""
        try:
            self._days()
            self._minutes()
        except Open:
            return False
        except Faulty as fault:
            tell(self.best.path, str(fault))
            return False
        self.best.plan, self.best.asked = self.plan, self.asked
        return True

    # days -----------------------------------------------------------------------------------------------------------

    def _days(self) -> None:
        """Make field after field as small as it can be."""
        choices = self.held.choices
        named = [(terms, self._column(terms)) for terms in fields(choices).values()]
        self.cutoff = self.plan.total + 1 - self.held.constant
        root = self.held.tree(self.plan.total + 1)
        self.hot = Relaxation(choices.model, self.held.goal, root.root, root.relaxation.warm())
        self.hot.work = root.work
        self._none_lost()
        for terms, column in named:
            low, value = self.hot.lower[column], self._value(terms)
            if value > low and not self._less(column, low):
                low += 1
                while value > low and self._less(column, value - 1):
                    value = self._value(terms)
            self._hold(column, self._value(terms))
        self._none_lost()

    def _none_lost(self) -> None:
        """Give up where the relaxation has lost the plan that it should hold: it cannot be believed."""
        if self.hot.surely(self.cutoff) > self.cutoff - 1 + EXACT:
            raise Open

    def _column(self, terms: list[Term]) -> int:
        """Return a variable that is a sum of others."""
        if len(terms) == 1:
            return terms[0][1]
        model = self.held.choices.model
        column = model.flow(0, sum(model.bounds[variable][1] for _, variable in terms), "shown")
        model.row(0, [*terms, (-1, column)], 0)
        return column

    def _value(self, terms: list[Term]) -> int:
        return sum(coefficient * self.asked.values[variable] for coefficient, variable in terms)

    def _hold(self, column: int, value: int) -> None:
        """Keep a field at its least value from now on."""
        self.held.choices.model.bounds[column] = (value, value)
        if self.hot.lower[column] < self.hot.upper[column]:
            self.hot.within(column, value, value)

    def _less(self, column: int, most: float) -> bool:
        """Look for a plan with no more than `most` in a field, and take it; return False if there is none."""
        if self.hot.work > self.work:
            raise Open
        low, high = float(self.hot.lower[column]), float(self.hot.upper[column])
        model, bounds = self.held.choices.model, self.held.choices.model.bounds[column]
        self.hot.within(column, low, most)
        model.bounds[column] = (bounds[0], round(most))
        try:
            if self.hot.surely(self.cutoff) > self.cutoff - 1 + EXACT:
                return False
            return self._search()
        finally:
            model.bounds[column] = bounds
            self.hot.within(column, low, high)

    def _search(self) -> bool:
        """Look for a plan within the bounds that hold now, and take the first there is."""
        box = self.hot.lower.copy(), self.hot.upper.copy()
        tree = Tree(self.held.choices.model, self.held.goal, self.held.ranks, self.cutoff, box, self.hot.warm())
        try:
            while (leaf := tree.leaf(self.work - self.hot.work)) is not None:
                learnt = self._timed(self.held.whole(leaf.values))
                if learnt is None:
                    return True
                for cut in learnt:
                    self.held.taught.add(cut)
                tree.again(leaf)
        finally:
            self.hot.work += tree.work
            self.hot.grow()
        if tree.open:
            raise Open
        return False

    def _timed(self, values: tuple[int, ...]) -> list[Cut] | None:
        """Time a choice of days; take its plan if it is as good, else return what is to be learnt from it."""
        choices, lessons = self.held.choices, self.best.lessons
        asked = ask(choices, values)
        tasks: list[Task] = [*asked.bakes, *asked.ways]
        key = minutes_of(choices, asked)
        if key not in self.seen:
            self.hot.work += TIMED
            try:
                timed = lessons.timed(tasks, choices, asked)
            except TimeoutError:
                raise Open from None
            if timed is None:
                return sure([lessons.conflict(tasks, choices, asked)])
            self.seen[key] = timed
        plan = self.best.dealt(choices, asked, self.seen[key])
        if self.best.rank(plan) > self.best.rank(self.plan):
            return sure(lessons.dearer(tasks, choices))
        self.plan, self.asked = plan, asked
        return None

    # minutes --------------------------------------------------------------------------------------------------------

    def _minutes(self) -> None:
        """Make the minutes of the best choice of days as early as they can be."""
        bakes = sorted(self.asked.bakes, key=lambda bake: (bake.run.day, bake.run.bread, bake.run.process, bake.id))
        ways = sorted(self.asked.ways, key=lambda of: (of.way.take_day, of.node, of.id))
        tasks: list[Task] = [*bakes, *ways]
        timing = self.best.lessons.timer.timing(tasks, False, self.held.choices, self.asked)
        timed = earliest(timing, max(self.work - self.hot.work, TIMED))
        if timed is None:
            raise Open
        plan = self.best.dealt(self.held.choices, self.asked, timed)
        if self.best.rank(plan) != self.best.rank(self.plan):
            raise Open
        self.plan = plan


def sure(learnt: list[Cut]) -> list[Cut]:
    """Return what was learnt, if it is something, and sure."""
    if not learnt or not all(cut.sure for cut in learnt):
        raise Open
    return learnt
