"""What the minutes teach the days: tasks that exclude each other, tasks that together cost more than each alone.

Both are said over "at least this many pieces", since more never makes a timing easier or cheaper.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rotation.choices import Alike, Choices, Hot, good_from, last_ready, stays
from rotation.hot import FREE
from rotation.model import Term
from rotation.moments import Node
from rotation.problem import TABLE, Problem
from rotation.runs import Run
from rotation.tasks import BakeTask, Task, WayTask
from rotation.thaws import Way


@dataclass(frozen=True)
class Eats:
    """That a meal, and those that want it no sooner, eat more of a node than others than one slot can bake that late.

    slot: of the bake that must be ready late enough for them; () for a way, of which there is one in a node.
    """

    node: Node
    meal: str
    slot: Alike


@dataclass(frozen=True)
class Cut:
    """`cost` None: the tasks cannot all be; else their hands, trips and heat come to so much at least (milli).

    alike: ids of bakes of which every run of the slot is meant; of the others, the runs ready and put in at the same
    time. eats: who must eat of what for it to hold. cold: whether nothing else may be near them in the oven for it to
    hold, and heat is counted. sure: whether it is proven for all plans; one that is not only helps to find a plan.
    """

    tasks: tuple[Task, ...]
    alike: frozenset[str]
    cost: int | None
    days: frozenset[int]
    sure: bool = True
    eats: frozenset[Eats] = frozenset()
    cold: bool = False
    whole: frozenset[str] = frozenset()
    """Ids of bakes, some pieces to the table and some frozen, of which only the pieces in all matter."""


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


def each_more(problem: Problem, task: BakeTask, treatment: str) -> int:
    """Return what one piece more of a bake costs at least, in whatever minutes: longer steps, at the lowest price."""
    rate = min((milli for person in problem.people if person.bakes for _, milli in person.price), default=0)
    return rate * sum(s.hands_per_piece for s in task.process.stages if s.name != "bag" or treatment != TABLE)


def planned(task: Task) -> Run | Way:
    """Return the run or the way of a task."""
    return task.run if isinstance(task, BakeTask) else task.way


def clusters(tasks: Sequence[Task]) -> list[list[Task]]:
    """Return the tasks in groups that share no day, in their order: what one does leaves the others' minutes alone."""
    groups: list[tuple[frozenset[int], set[int]]] = []
    for index, task in enumerate(tasks):
        days, members = days_of([task]), {index}
        for group in [group for group in groups if group[0] & days]:
            groups.remove(group)
            days, members = days | group[0], members | group[1]
        groups.append((days, members))
    return [[tasks[index] for index in sorted(members)] for _, members in groups]


def _size(task: Task) -> int:
    """Return how many literals say that a task is there, as large as it is."""
    return len(task.pieces) if isinstance(task, BakeTask) else 1


Part = tuple[object, ...]
"""What a cost is of: a bake, a way, the trips of a day, the heat of a session. No two parts share any of it."""


class Taught:
    """Cuts in a model, one after the other.

    What a part costs beyond what the model counts for it anyway is a variable; a cut says what those of its tasks come
    to. So cuts of different tasks add up, on one day too, and nothing is counted twice.
    """

    def __init__(self, choices: Choices, cuts: Iterable[Cut] = ()) -> None:
        self.choices, self.model = choices, choices.model
        self.literals: dict[tuple[tuple[int, ...], int], int] = {}
        self.extra: dict[Part, int] = {}
        self.stays = stays(choices)
        self.priced = {variable: milli for milli, variable in choices.model.costs.get("hands", [])}
        for cut in cuts:
            self.add(cut)

    def add(self, cut: Cut) -> None:
        """Add one cut."""
        terms, size = self._holds(cut)
        if cut.cost is None:
            self.model.row(None, terms, size - 1)
            return
        counted = [*self._counted(cut), *((1, self._beyond(part)) for part in self._parts(cut))]
        self.model.row(cut.cost - cut.cost * size, [*counted, *((-cut.cost * c, v) for c, v in terms)], None)

    def _beyond(self, part: Part) -> int:
        """Return the variable of what a part costs beyond what is counted for it."""
        if part not in self.extra:
            self.extra[part] = self.model.flow(0, 10**7, f"extra {part}")
            self.model.cost("hands", [(1, self.extra[part])])
        return self.extra[part]

    def _parts(self, cut: Cut) -> list[Part]:
        """Return what the cost of a cut is made of, in a fixed order."""
        parts, chosen = dict[Part, None](), set[int]()
        for task in cut.tasks:
            for index in self._matching(task, cut):
                chosen.add(self._chosen(task, index))
                if isinstance(task, BakeTask):
                    parts["bake", *self.choices.runs[index].slot] = None
                else:
                    way = self.choices.ways[index]
                    parts["way", way.bread, way.route, way.oven, way.take_day, way.ready] = None
                    parts["trips", way.take_day] = None
        if cut.cold:
            parts |= {("heat", *hot.session): None for hot in self.stays if hot.variable in chosen}
        return list(parts)

    def _holds(self, cut: Cut) -> tuple[list[Term], int]:
        """Return literals, and how many say that all of a cut's tasks are there, and none that may help them."""
        terms = [
            (1, literal)
            for task in cut.tasks
            for index in self._matching(task, cut)
            for literal in self._literals(task, index, cut)
        ]
        terms += [(1, self._eats(eaten)) for eaten in sorted(cut.eats, key=str)]
        terms += [(-1, hot.variable) for hot in self._helpers(cut)]
        return terms, sum(1 if task.id in cut.whole else _size(task) for task in cut.tasks) + len(cut.eats)

    def _helpers(self, cut: Cut) -> list[Hot]:
        """Return the stays that may be near those of a cold cut in the oven, and so may heat it for them."""
        chosen = {self._chosen(task, index) for task in cut.tasks for index in self._matching(task, cut)}
        there = [hot for hot in self.stays if hot.variable in chosen] if cut.cold else []
        own, oven = {hot.alike for hot in there}, self.choices.problem.oven
        return [
            hot
            for hot in self.stays
            if hot.alike not in own
            and any(
                hot.session[0] == one.session[0]
                and (hot.stay.heats(one.stay, oven(one.session[0])) or one.stay.heats(hot.stay, oven(one.session[0])))
                for one in there
            )
        ]

    def _counted(self, cut: Cut) -> list[Term]:
        """Return what the model counts for the tasks of a cut: their hands, trips, and heat if the cut does."""
        c, terms, heats = self.choices, list[Term](), set[int]()
        trips = {c.trips[task.way.take_day] for task in cut.tasks if isinstance(task, WayTask)}
        for task in cut.tasks:
            for index in self._matching(task, cut):
                chosen = self._chosen(task, index)
                terms.append((self.priced.get(chosen, 0), chosen))
                if isinstance(task, BakeTask):
                    terms += self._of_pieces(task, index)
                heats |= {
                    c.heated[hot.key] for hot in self.stays if cut.cold and hot.variable == chosen and hot.heat != FREE
                }
        heat_up = c.problem.weights.heat_up
        terms += [(self.priced.get(variable, 0), variable) for variable in sorted(trips)]
        return terms + [(heat_up + self.priced.get(variable, 0), variable) for variable in sorted(heats)]

    def _of_pieces(self, task: BakeTask, index: int) -> list[Term]:
        """Return what the model counts for the pieces of a bake, but what every piece more costs in any minutes."""
        c, terms = self.choices, list[Term]()
        for id_, least in [(t.id, dict(task.pieces).get(t.id, 0)) for t in task.process.treatments]:
            if (index, id_) in c.pieces:
                more = each_more(c.problem, task, id_)
                terms.append((self.priced.get(c.pieces[index, id_], 0) - more, c.pieces[index, id_]))
                terms.append((more * least, c.run[index]))
        return terms

    def _chosen(self, task: Task, index: int) -> int:
        return self.choices.run[index] if isinstance(task, BakeTask) else self.choices.way[index]

    def _matching(self, task: Task, cut: Cut) -> list[int]:
        """Return the runs or ways that are a task as far as a cut says anything of it."""
        c = self.choices
        if not isinstance(task, BakeTask):
            return [
                index
                for index, way in enumerate(c.ways)
                if (way.bread, way.route, way.oven, way.take_day, way.ready, way.wish)
                == (task.way.bread, task.way.route, task.way.oven, task.way.take_day, task.way.ready, task.way.wish)
            ]
        alike, key = task.id in cut.alike, (task.run.oven, task.run.ready, task.run.put_day)
        return [
            index
            for index, run in enumerate(c.runs)
            if run.slot == task.run.slot
            and run.wish == task.run.wish
            and (alike or (run.oven, run.ready, run.put_day) == key)
        ]

    def _literals(self, task: Task, index: int, cut: Cut) -> list[int]:
        """Return the literals, one for each treatment, that a task is there with at least its pieces."""
        c = self.choices
        if not isinstance(task, BakeTask):
            return [self._at_least((c.units[index],), task.units, c.way[index])]
        if task.id in cut.whole:
            of = (variable for (run, _), variable in c.pieces.items() if run == index)
            return [self._at_least(tuple(of), task.total, c.run[index])]
        counts = ((c.pieces[index, id_], count) for id_, count in task.pieces if (index, id_) in c.pieces)
        return [self._at_least((variable,), count, c.run[index]) for variable, count in counts]

    def _at_least(self, variables: tuple[int, ...], count: int, chosen: int) -> int:
        """Return a literal that is 1 if variables come to at least `count`; it is 0 unless its run or way is chosen."""
        key = (variables, count)
        if key not in self.literals:
            literal = self.model.binary(f"{self.model.names[variables[0]]} >= {count}")
            most = max(self.model.bounds[variable][1] for variable in variables)
            terms = [(1, variable) for variable in variables]
            self.model.row(None, [*terms, (-(most - count + 1), literal), (-(count - 1), chosen)], 0)
            self.model.row(None, [(1, literal), (-1, chosen)], 0)
            self.literals[key] = literal
        return self.literals[key]

    def _eats(self, eats: Eats) -> int:
        """Return a literal that is 1 if meals that want it late eat more of a node than others than a slot can bake."""
        c, model = self.choices, self.model
        meals, name = {meal.id: meal for meal in c.problem.meals}, f"{model.names[c.eaten[eats.node, eats.meal]]} >= 1"
        since = good_from(c.problem, eats.node, meals[eats.meal])
        others = (
            (index, run)
            for index, run in enumerate(c.runs)
            if eats.slot and (run.bread, "", run.ready) == eats.node and run.slot != eats.slot
        )
        beside = tuple(c.pieces[index, TABLE] for index, run in others if last_ready(c.problem, run) >= since)
        late = tuple(
            variable
            for (node, meal), variable in c.eaten.items()
            if node == eats.node and good_from(c.problem, node, meals[meal]) >= since
        )
        late = late if beside else (c.eaten[eats.node, eats.meal],)
        key = ((*late, *beside), 0)
        if key not in self.literals:
            self.literals[key] = model.binary(name)
            least = [(-c.problem.bread(eats.node[0]).portions, variable) for variable in beside]
            for some in dict.fromkeys((late, *((variable,) for variable in late))):
                most = sum(model.bounds[variable][1] for variable in some)
                model.row(None, [*((1, variable) for variable in some), *least, (-most, self.literals[key])], 0)
        return self.literals[key]
