"""What a rehearsal is judged by, week by week: bread, waste, hands, ovens, age, changes, and the effort of it all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from statistics import median

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.rehearsal.record import Record

DAY = 1440

SOAK_KWH, HOUR_KWH, VESSEL_KWH = 0.6, 0.7, 1.0
"""kWh of a heat-up, of an hour at heat, and of a heat-up with hot iron inside: assumptions, between a standard cycle's
0.82 kWh (F05, from memory) and the 0.8 to 1.5 kWh of a long preheat (F08, common practice, no published source)."""


@dataclass(frozen=True)
class Week:
    """One week of one household with one policy.

    wanted, unmet, unmet_guests, wasted: portions; hands, bad_hands: minutes, and those of them at hours that cost more
    than is usual; heat_ups, bakes, changes, plans: numbers; kwh; eaten, age, fresh: portions eaten that were not toast,
    their minutes since ready, and those within a day of it; effort: milli effort of hands, bakes, heat-ups, what was
    unmet or bought, and waste, at the household's prices.
    """

    wanted: float = 0
    unmet: float = 0
    unmet_guests: float = 0
    bought: float = 0
    wasted: float = 0
    hands: float = 0
    bad_hands: float = 0
    bakes: float = 0
    heat_ups: float = 0
    kwh: float = 0
    eaten: float = 0
    age: float = 0
    fresh: float = 0
    changes: float = 0
    plans: float = 0
    effort: float = 0


NAMES = tuple(field.name for field in fields(Week))


def weeks(problem: Problem, record: Record, first: int, number: int) -> tuple[Week, ...]:
    """Return so many weeks from a day on. problem: as it was lived (`record.lived`)."""
    sums = [dict.fromkeys(NAMES, 0.0) for _ in range(number)]

    def add(at: int, name: str, amount: float) -> None:
        week = (problem.day_of(at) - first) // 7
        if 0 <= week < number:
            sums[week][name] += amount

    prices = problem.weights
    for eaten in record.meals:
        at = eaten.meal.at
        add(at, "wanted", eaten.wanted)
        add(at, "unmet", eaten.unmet)
        add(at, "bought", eaten.bought)
        add(at, "unmet_guests", eaten.unmet if eaten.meal.strict else 0)
        add(at, "effort", eaten.unmet * (2 if eaten.meal.strict else 1) * prices.unmet_portion)
        for portions, minutes in eaten.ages:
            add(at, "eaten", portions)
            add(at, "age", portions * minutes)
            add(at, "fresh", portions if minutes <= DAY else 0)
    for at, portions in record.wasted:
        add(at, "wasted", portions)
        add(at, "effort", portions * prices.wasted_portion)
    for at, _, minutes in record.binned:
        add(at, "hands", minutes)
        add(at, "effort", minutes * 1000)
    _work(problem, record.plan(), add)
    for change in record.changes:
        add(problem.midnights[change.day], "changes", change.total)
        add(problem.midnights[change.day], "plans", 1)
    return tuple(Week(**each) for each in sums)


def _work(problem: Problem, plan: Plan, add: Callable[[int, str, float], None]) -> None:
    """Add what hands and ovens did."""
    usual = {p.id: median([value_at(p.price, at) for at, _ in p.free] or [1000]) for p in problem.people}
    for job in facts.jobs(problem, plan):
        if job.person is not None:
            price = value_at(problem.person(job.person).price, job.start)
            add(job.start, "hands", job.minutes)
            add(job.start, "bad_hands", job.minutes if price > usual[job.person] else 0)
            add(job.start, "effort", job.minutes * price)
    for bake in plan.bakes:
        mixed = bake.step("mix")
        if mixed is not None:
            add(mixed.start, "bakes", 1)
            process = problem.bread(bake.bread).process(bake.process)
            add(mixed.start, "effort", process.mixed_on(bake.day))
    for stay in facts.planned_stays(problem, plan):
        cold = stay.heat == "cold"
        add(stay.start, "heat_ups", cold)
        add(stay.start, "effort", cold * problem.weights.heat_up)
        heating = (VESSEL_KWH if stay.vessel else SOAK_KWH) if cold else 0
        add(stay.start, "kwh", heating + HOUR_KWH * (stay.end - stay.start) / 60)


@dataclass(frozen=True)
class Figures:
    """What a household reads, each a mean. unmet: of a hundred portions; guests: portions a week; wasted: loaves a
    week; hands, bad_hands: hours a week; age: days; fresh: share of what was no toast; effort: minutes a week.
    """

    unmet: float
    guests: float
    wasted: float
    hands: float
    bad_hands: float
    bakes: float
    heat_ups: float
    kwh: float
    age: float
    fresh: float
    changes: float
    effort: float


def figures(of: Sequence[Week], portions: float) -> Figures:
    """Return the figures of some weeks; `portions`: of a loaf."""

    def total(name: str) -> float:
        return float(sum(getattr(week, name) for week in of))

    number = max(len(of), 1)
    eaten = max(total("eaten"), 1)
    return Figures(
        unmet=100 * total("unmet") / max(total("wanted"), 1),
        guests=total("unmet_guests") / number,
        wasted=total("wasted") / number / portions,
        hands=total("hands") / number / 60,
        bad_hands=total("bad_hands") / number / 60,
        bakes=total("bakes") / number,
        heat_ups=total("heat_ups") / number,
        kwh=total("kwh") / number,
        age=total("age") / eaten / DAY,
        fresh=total("fresh") / eaten,
        changes=total("changes") / number,
        effort=total("effort") / number / 1000,
    )


def loaf(problem: Problem) -> float:
    """Return the portions of a usual loaf of a household: of the bread with the most."""
    return float(max((bread.portions for bread in problem.breads), default=1))
