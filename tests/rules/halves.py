"""Small homes that stand at the edge of many rules, and what becomes of a choice of days or minutes in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.grid import Grid
from rotation.minutes import Minutes
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import FINISHED, Accept, Kept, Meal, Problem, Published, UnderWay, Wish, union
from rotation.runs import undominated
from rotation.solve import shelves
from rotation.solve.cpsat import CpSat
from rotation.solve.day_level import rows
from rotation.solve.dealing import deal
from rotation.solve.tasks import ask
from rotation.solve.timing import Timing
from rotation.tasks import Asked, Task
from rotation.thaws import ways
from tests.homes import DAY
from tests.outside.tiny_homes import ready_at_once
from tests.solve.homes import at_home, home

BEFORE_COST = 10**7
"""Milli that stand for one strict portion short, or one wish dropped: more than any cost here."""


def weekend(seed: int, breads: int = 2, **changes: object) -> Problem:
    """Return four days of a home where everybody is in and free by day, with a meal that wants a lot on each."""
    made = home(3, breads, 2, seed, tail=1, lots=3, loaves_a_week=9, guests=False)
    free = tuple((DAY * day + 450, DAY * day + 1260) for day in range(made.days))
    inside = tuple((DAY * day + 390, DAY * day + 1380) for day in range(made.days))
    people = tuple(replace(person, inside=inside, free=free, quick=()) for person in made.people)
    return replace(made, people=people, **changes)  # type: ignore[arg-type] # fields of Problem, by name


def _begun(made: Problem) -> Problem:
    """Return a home with a loaf mixed this morning, which nobody eats: it need not be gone on with but for the rule."""
    done = (("feed", -600, -595), ("mix", -30, -15))
    return replace(made, meals=(), lots=(), under_way=(UnderWay("begun", "wheat", "night", 1, done),))


def _hungry(made: Problem, portions: int, **lots: int) -> Problem:
    """Return a home with loaves in the freezer, and guests on the third day who want them just finished."""
    lot = made.lots[0]
    accepts = (Accept(lot.bread, frozenset({FINISHED}), 120),)
    guests = Meal("guests", "", "guests", 2 * DAY + 1140, 9, portions, True, accepts, frozenset(), 10)
    bread = made.bread(lot.bread)
    routes = tuple(replace(route, thaw=(300, 2000)) if route.place else route for route in bread.routes)
    breads = tuple(replace(bread, routes=routes) if one is bread else one for one in made.breads)
    return replace(made, breads=breads, lots=(replace(lot, units=5, **lots),), meals=(guests,))


def _worth_much(made: Problem, rating: int) -> Problem:
    """Return a home that eats nothing and bakes loaves one by one for a freezer that is worth filling."""
    (bread,) = made.breads
    processes = tuple(replace(process, pieces=(1,)) for process in bread.processes)
    bread = replace(bread, processes=processes, worth=((500, 9000),))
    kitchen = replace(made.kitchen, freezing_grams_24h=((0, rating),))
    return replace(made, breads=(bread,), meals=(), lots=(), kitchen=kitchen)


def _awake(made: Problem, first: int, last: int) -> Problem:
    """Return a home where everybody is in, and free, from one minute of each day to another."""
    spans = union((DAY * day + first, DAY * day + last) for day in range(made.days))
    return replace(made, people=tuple(replace(p, inside=spans, free=spans, quick=()) for p in made.people))


def _homes() -> dict[str, Problem]:
    plain, thaws = weekend(1), weekend(1, 1)
    lots = tuple(replace(lot, units=2) for lot in thaws.lots)
    thaws = replace(thaws, lots=lots)
    busy = home(4, 3, 1, 5, tail=1, lots=3, loaves_a_week=9)
    small = at_home(home(2, 1, 2, 4, tail=1, lots=2, loaves_a_week=14, guests=False))
    (oven,) = small.ovens
    hungry, worth = _hungry(small, 70), _worth_much(small, 3000)
    dear = replace(busy.weights, extra_bake=4000, changed_by_day=(900,) * 5)
    fixed = Wish("fixed", "fixed", "wheat", DAY + 900, DAY + 900, step="mix")
    return {
        "plain": plain,
        "busy": busy,
        "thaws": thaws,
        "strict dates": replace(thaws, lots=tuple(replace(lot, strict=DAY) for lot in lots)),
        "little room": replace(thaws, kitchen=replace(plain.kitchen, freezer_dl=((0, 210), (DAY, 100)))),
        "guests": replace(plain, meals=tuple(replace(m, strict=m.id.startswith("supper")) for m in plain.meals)),
        "allergic": replace(plain, meals=tuple(replace(m, without=frozenset({"milk"})) for m in plain.meals)),
        "hungry": hungry,
        "two ovens": replace(hungry, ovens=(oven, replace(oven, id="other"))),
        "early to bed": replace(
            worth, people=tuple(replace(p, inside=((390, 1290), (DAY + 390, 4 * DAY))) for p in small.people)
        ),
        "soft bags": _hungry(small, 28, through=2 * DAY + 960),
        "too soft": _hungry(small, 28, through=3 * DAY),
        "no finish": replace(hungry, wishes=(Wish("cold", "no finish", "wheat", 0, 3 * DAY),)),
        "begun": _awake(_begun(small), 0, 1380),
        "worth much": worth,
        "slow freezer": _worth_much(small, 470),
        "one bowl": replace(worth, kitchen=replace(worth.kitchen, bowls=((0, 1),))),
        "up late": _awake(worth, 450, DAY),
        "a fixed step": replace(worth, wishes=(fixed,)),
        "no bake": replace(worth, wishes=(Wish("none", "no bake", "wheat", DAY, DAY + 800),)),
        "reserved": replace(busy, reserve=(Kept((("rolls", "part-baked"), ("tin", "sliced")), 30, 300, 900),)),
        "two at once": ready_at_once(4),
        "priced": replace(busy, weights=dear, published=(Published("wheat", "day", 3, 700),)),
        "old bags": replace(busy, lots=tuple(replace(lot, toast_after=DAY - 1, units=4) for lot in busy.lots)),
    }


HOMES = _homes()


@dataclass(frozen=True)
class Days:
    """A solved choice of days."""

    choices: Choices
    grid: Grid
    values: tuple[int, ...]
    total: int


def days(problem: Problem, work: float = 20, *, proven: bool = True) -> Days:
    """Return the best choice of days, or one that is good, what comes before cost weighed as more than any cost."""
    grid, moments = Grid(problem), Moments(problem)
    found = undominated(list(runs(problem, grid, moments)))
    choices = choose(problem, moments, found, list(ways(problem, grid, moments)))
    rows(choices, grid)
    total, constant = choices.model.objective()
    first = [choices.short[meal.id] for meal in problem.meals if meal.strict] + list(choices.dropped.values())
    goal = [(total.pop(variable, 0) + BEFORE_COST, variable) for variable in first]
    goal += [(coefficient, variable) for variable, coefficient in sorted(total.items())]
    answer = CpSat()(choices.model, goal, work=work, gap=0)
    assert answer.values is not None
    assert answer.proven or not proven
    return Days(choices, grid, answer.values, constant + sum(c * answer.values[v] for c, v in goal))


def pushed(of: Days) -> Iterator[Plan | None]:
    """Yield the plans of a choice of days with one step after another, and all, as early and as late as they go.

    None for minutes that are no plan at all: a stay that is to share another's heat, and no other is there.
    """
    asked: Asked = ask(of.choices, of.values)
    tasks: Sequence[Task] = [*asked.bakes, *asked.ways]
    grid = of.grid
    names = [key for key, start in Timing(of.choices.problem, grid, tasks).minutes.starts.items() if not start.fixed]
    goals = [[(key, way)] for key in names for way in (1, -1)]
    for goal in [*goals, [(key, 1) for key in names], [(key, -1) for key in names]]:
        timing = Timing(of.choices.problem, grid, tasks)
        shelves.add(timing, of.choices, asked, tasks)
        for key, way in goal:
            timing.clock.prefer(timing.minutes.starts[key] * way)
        timing.clock.costs.clear()
        found = timing.solve(10)
        if found is not None:
            try:
                yield deal(of.choices, asked, found)
            except AssertionError:
                yield None


Force = Callable[[Minutes], None]
"""Adds to a timing what a rule forbids."""


def can_be(of: Days, force: Force) -> bool:
    """Say whether a choice of days has minutes in which what is forced happens."""
    asked = ask(of.choices, of.values)
    tasks = [*asked.bakes, *asked.ways]
    timing = Timing(of.choices.problem, of.grid, tasks)
    shelves.add(timing, of.choices, asked, tasks)
    force(timing.minutes)
    return timing.solve(10) is not None
