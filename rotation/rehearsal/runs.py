"""One run: a household, a scenario, a seed, a policy; its weeks. Results are rows of a CSV, so that runs resume."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from rotation.errors import CheckFailed
from rotation.household.reading import Home
from rotation.problem import Meal, Problem
from rotation.rehearsal.chance import Luck
from rotation.rehearsal.habits import Habit
from rotation.rehearsal.living import Life
from rotation.rehearsal.measures import NAMES, Week, weeks
from rotation.rehearsal.planned import Planner, small
from rotation.rehearsal.policy import INFORMED, PLANNER, Policy
from rotation.rehearsal.record import faults, lived
from rotation.rehearsal.scenarios import Scenario
from rotation.rehearsal.setting import world
from rotation.rehearsal.world import World

HABIT_DAYS, PLANNER_DAYS = 5, 7
"""Days ahead that a rule of thumb looks, and that the planner plans in a rehearsal (the program: 14)."""

Days = Callable[[int], None]


@dataclass(frozen=True)
class Stage:
    """What runs share: a household, its long problem, weeks to warm up and weeks to measure.

    eaten: portions of meals, by id, where what was really eaten is known.
    """

    home: Home
    problem: Problem
    warm: int
    weeks: int
    eaten: Mapping[str, int] = field(default_factory=dict)

    @property
    def days(self) -> int:
        """All days that are lived."""
        return 7 * (self.warm + self.weeks)


def run(
    stage: Stage, scenario: Scenario, seed: int, policy: Policy, shown: int, days: Days | None = None
) -> tuple[Week, ...]:
    """Live through a scenario; return the weeks after the warm-up. days: told the days that are over.

    Raises CheckFailed where what was done breaks a rule.
    """
    where, luck = world(stage.home, scenario.change(stage.problem), stage.days, shown, scenario.rates, seed)
    luck = replace(luck, eaten=stage.eaten)
    if policy.name == INFORMED:
        where, luck = foretold(where, luck)
    life = Life(where, luck, policy)
    record = life.live(days)
    found = faults(where.true, record, life.variants)
    if found:
        said = "; ".join(map(str, found[:5]))
        raise CheckFailed(f"What {policy.name} did breaks {len(found)} rule(s): {said}")
    return weeks(lived(where.true, record, life.variants), record, 7 * stage.warm, stage.weeks)


def planner(home: Home, name: str = PLANNER) -> Planner:
    """Return the planner as it is rehearsed, or, by the name `INFORMED`, as the reference that knows what comes."""
    return Planner(home.settings, small(), name=name)


def foretold(world: World, luck: Luck) -> tuple[World, Luck]:
    """Return a world that tells what will be wanted, who comes and what moves as far as a plan looks ahead."""
    ahead, problem = 1440 * PLANNER_DAYS, world.problem

    def true(meal: Meal) -> Meal:
        return replace(meal, portions=luck.appetite(meal, problem.day_of(meal.at)))

    news = []
    for one in world.news:
        at = one.meal.at if one.meal else min(span[0] for span in (one.busy, one.freed, one.closed) if span)
        meal = None if one.meal is None else true(one.meal)
        news.append(replace(one, known=min(one.known, max(0, at - ahead)), meal=meal))
    meals = tuple(meal for meal in map(true, problem.meals) if meal.portions)
    told = World(replace(problem, meals=meals), world.household, world.days, world.shown, world.tail, tuple(
        sorted((one for one in news if one.meal is None or one.meal.portions), key=lambda one: (one.known, one.said))
    ))  # fmt: skip
    return told, replace(luck, rates=replace(luck.rates, spread=0, drift=0))


def shown(policy: Policy) -> int:
    """Return how many days ahead a policy is shown."""
    return HABIT_DAYS if isinstance(policy, Habit) else PLANNER_DAYS


# results ----------------------------------------------------------------------------------------------------------

Key = tuple[str, str, int]
"""Policy, scenario, seed."""

HEAD = ("policy", "scenario", "seed", "week", *NAMES)


def read(path: Path, number: int | None = None) -> dict[Key, tuple[Week, ...]]:
    """Return the results of a CSV; none where there is no such file.

    number: of weeks of each run; a run with fewer was stopped while it was written, and counts as not lived.
    """
    found: dict[Key, list[Week]] = {}
    if path.exists():
        with path.open(newline="", encoding="utf-8") as file:
            for row in csv.DictReader(file):
                try:
                    key = row["policy"], row["scenario"], int(row["seed"])
                    week = Week(**{name: float(row[name]) for name in NAMES})
                except (KeyError, TypeError, ValueError):  # a line that was not written to its end
                    continue
                found.setdefault(key, []).append(week)
    return {key: tuple(each) for key, each in found.items() if number is None or len(each) == number}


def append(path: Path, key: Key, of: Iterable[Week]) -> None:
    """Add the weeks of one run to a CSV."""
    with path.open("a", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        if not file.tell():
            writer.writerow(HEAD)
        writer.writerows(_rows(key, of))


def mend(path: Path, number: int) -> dict[Key, tuple[Week, ...]]:
    """Leave in a CSV what was written whole, and return it: the last run may have been stopped in the middle."""
    whole = read(path, number)
    if path.exists():
        part = path.with_name(f"{path.name}.part")
        part.unlink(missing_ok=True)
        for key, weeks_ in whole.items():
            append(part, key, weeks_)
        if whole:
            part.replace(path)
        else:
            path.unlink()
    return whole


def _rows(key: Key, of: Iterable[Week]) -> Iterator[tuple[object, ...]]:
    for number, week in enumerate(of, 1):
        yield (*key, number, *(round(float(getattr(week, name)), 3) for name in NAMES))
