"""What really happened in a rehearsal, as a plan of the whole time that the checker can judge, and as rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from rotation.plan import Bake, Bought, Discard, Finish, Plan, Serving, TakeOut
from rotation.problem import Meal, Problem, Process
from rotation.rules.broken import Broken
from rotation.rules.checked import broken

FAIR = frozenset({"waits", "cooled"})
"""Rules that a bake under way may break where nobody could have been in time: said so by the plan it went on by."""

ONE_PLAN = frozenset({"together", "one_mix"})
"""Rules about what one plan does at once; each plan is held to them, what two plans did one after the other is not."""

NOT_EATEN = frozenset({"freezer_room"})
"""Rules that may be broken by what nobody ate, though a plan counted on it; each plan begins with what really is."""


@dataclass(frozen=True)
class Eaten:
    """A meal that is over. home: portions of the household's own bread; bought: of a shop's.

    ages: portions by minutes since they were ready (toast: none).
    """

    meal: Meal
    wanted: int
    home: int
    bought: int
    ages: tuple[tuple[int, int], ...] = ()

    @property
    def unmet(self) -> int:
        """Portions that none of the household's own bread gave."""
        return self.wanted - self.home


@dataclass(frozen=True)
class Change:
    """What one new plan changed of the bakes of the one before, within the days the family counts on."""

    day: int
    added: int
    dropped: int
    moved: int

    @property
    def total(self) -> int:
        """All of them."""
        return self.added + self.dropped + self.moved


@dataclass
class Record:
    """All that happened, in minutes of the rehearsal."""

    bakes: dict[str, Bake] = field(default_factory=dict)
    outs: list[TakeOut] = field(default_factory=list)
    finishes: list[Finish] = field(default_factory=list)
    bought: list[Bought] = field(default_factory=list)
    discards: list[Discard] = field(default_factory=list)
    servings: list[Serving] = field(default_factory=list)
    meals: list[Eaten] = field(default_factory=list)
    wasted: list[tuple[int, int]] = field(default_factory=list)
    """Portions gone stale or thrown away, by the minute it was found."""
    changes: list[Change] = field(default_factory=list)
    binned: list[tuple[int, str, int]] = field(default_factory=list)
    """Doughs given up: the minute, the bread, minutes of hands that went into them."""
    thrown: set[str] = field(default_factory=set)
    """What left the freezer and was never finished, and so thrown away."""
    plans: int = 0
    """How many plans were made."""

    def plan(self) -> Plan:
        """Return all that was done as one plan."""
        eaten: dict[tuple[str, str], int] = {}
        for serving in self.servings:
            key = serving.meal, serving.source
            eaten[key] = eaten.get(key, 0) + serving.portions
        lost = tuple(Discard(*part, out.at) for out in self.outs if out.id in self.thrown for part in out.lots)
        return Plan(
            bakes=tuple(self.bakes.values()),
            take_outs=tuple(out for out in self.outs if out.id not in self.thrown),
            finishes=tuple(self.finishes),
            bought=tuple(self.bought),
            discards=(*self.discards, *lost),
            servings=tuple(Serving(meal, source, portions) for (meal, source), portions in eaten.items()),
        )


def lived(problem: Problem, record: Record, variants: Mapping[str, Iterable[Process]]) -> Problem:
    """Return the problem that was really lived: as true, with what was really eaten and how dough really rose.

    variants: by bread, the processes of dough that was late.
    """
    wanted = {eaten.meal.id: eaten.wanted for eaten in record.meals}
    meals = (replace(meal, portions=wanted[meal.id]) for meal in problem.meals if wanted.get(meal.id))
    breads = (replace(bread, processes=(*bread.processes, *variants.get(bread.id, ()))) for bread in problem.breads)
    return replace(problem, meals=tuple(meals), breads=tuple(breads))


def faults(problem: Problem, record: Record, variants: Mapping[str, Iterable[Process]]) -> tuple[Broken, ...]:
    """Return where what was done breaks a rule of the plan, but for steps that were rightly late."""
    late = {bake.id for bake in record.bakes.values() if bake.late}
    found = broken(lived(problem, record, variants), record.plan())
    return tuple(
        one
        for one in found
        if one.rule not in ONE_PLAN | NOT_EATEN
        and not (one.rule in FAIR and any(one.where.startswith(id_) for id_ in late))
    )
