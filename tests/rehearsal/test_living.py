"""A life: bread is conserved, rules are kept, chance is the same for all, and nobody sees what is to come."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

import pytest

from rotation.errors import NothingPlanned
from rotation.household.reading import Home
from rotation.plan import Plan
from rotation.problem import TABLE, Meal, Problem, Wait, value_at
from rotation.rehearsal.chance import STILL, Luck, Rates, drawn
from rotation.rehearsal.habits import FIXED, FORTNIGHT, SHORT, UP_TO, Figures, Habit
from rotation.rehearsal.larder import EATEN, Unbalanced
from rotation.rehearsal.living import Life
from rotation.rehearsal.planned import Planner, small
from rotation.rehearsal.policy import Policy, Seen
from rotation.rehearsal.record import faults
from rotation.rehearsal.setting import ahead
from rotation.rehearsal.world import World
from rotation.solve import solve
from tests.rehearsal.conftest import SHOWN, WEEKS

HARD = Rates(guests=1, oven=0.5)
HABITS = (
    Habit(UP_TO, Figures(3, 7)),
    Habit(FIXED, Figures(3.5, 4)),
    Habit(SHORT, Figures(1, 5, sliced=False)),
    Habit(FORTNIGHT, Figures(7, 9, spare=1)),
)


def world(home: Home, problem: Problem, seed: int, rates: Rates = HARD, days: int = 7 * WEEKS) -> tuple[World, Luck]:
    """Return a world of some days, and what chance does there."""
    known, news = drawn(problem, rates, seed)
    return World(known, home.settings, days, SHOWN, ahead(problem), news), Luck(seed, rates, days)


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.long), pytest.param(3, marks=pytest.mark.long)])
def test_bread_is_conserved_and_every_rule_kept(bakers: Home, weeks_ahead: Problem, habit: Habit, seed: int) -> None:
    """What was baked was eaten, wasted or is there, by the larder's account and by the record's own."""
    where, luck = world(bakers, weeks_ahead, seed)
    life = Life(where, luck, habit)
    record = life.live()
    life.larder.balance()
    assert record.bakes
    assert not faults(where.true, record, life.variants)
    plan = record.plan()
    baked = sum(
        bake.total * where.true.bread(bake.bread).portions for bake in plan.bakes if bake.id in life.larder.made
    )
    began = sum(life.larder.portions(lot) for lot in where.problem.lots)
    began += sum(item.portions for item in where.problem.box)
    eaten = sum(portions for (_, what), portions in life.larder.spent.items() if what == EATEN)
    bought = {one.id for one in plan.bought}
    assert eaten == sum(s.portions for s in plan.servings if s.source not in bought)
    assert eaten == sum(meal.home for meal in record.meals)
    other = sum(portions for (_, what), portions in life.larder.spent.items() if what != EATEN)
    assert baked + began == eaten + other + sum(life.larder.there().values())


def test_a_lost_slice_is_noticed(bakers: Home, weeks_ahead: Problem) -> None:
    """The account does not balance by itself."""
    where, luck = world(bakers, weeks_ahead, 1)
    life = Life(where, luck, HABITS[0])
    life.live()
    first = next(iter(life.larder.lots.values()))
    life.larder.lots[first.id] = replace(first, units=first.units + 1)
    with pytest.raises(Unbalanced, match=first.id.split(":")[0]):
        life.larder.balance()


def test_the_same_seed_gives_the_same_life(bakers: Home, weeks_ahead: Problem) -> None:
    """Everything that happens is the same again, and something else with another seed."""
    lives = [Life(*world(bakers, weeks_ahead, seed), HABITS[0]) for seed in (1, 1, 2)]
    one, again, other = (life.live() for life in lives)
    assert one == again
    assert one.plan() != other.plan()


def test_chance_is_the_same_for_all(bakers: Home, weeks_ahead: Problem) -> None:
    """Two policies meet the same guests and the same appetite."""
    lives = [Life(*world(bakers, weeks_ahead, 3), habit) for habit in HABITS[:2]]
    one, other = ({each.meal.id: each.wanted for each in life.live().meals} for life in lives)
    assert one == other
    assert any(each.meal.id.startswith("guests") for each in lives[0].record.meals)


@dataclass
class Foresight:
    """A rule of thumb that peeps: it bakes less where fewer will eat in the end."""

    world: World
    luck: Luck
    name: str = "foresight"
    habit: Habit = field(default_factory=lambda: HABITS[0])

    def plan(self, seen: Seen) -> Plan | None:
        """Return what the rule would do with figures taken from the future."""
        to_come = (meal for meal in self.world.true.meals if meal.at > self.world.morning(seen.day))
        hungry = sum(self.luck.appetite(meal, self.world.true.day_of(meal.at)) for meal in to_come)
        return Habit(UP_TO, Figures(0.5 + hungry % 9, 10)).plan(seen)


@dataclass(frozen=True)
class Turning(Luck):
    """Chance that is another from a day on."""

    turns: int = 0
    other: int = 0

    def appetite(self, meal: Meal, day: int) -> int:
        """Return the appetite of one seed, then of the other."""
        return Luck(self.other if day >= self.turns else self.seed, self.rates, self.days).appetite(meal, day)


def _until(life: Life, day: int) -> tuple[object, ...]:
    """Return what was begun before a day."""
    end = life.world.morning(day)
    plan = life.record.plan()
    bakes = [(b.bread, b.process, b.pieces, b.steps[0].start) for b in plan.bakes if b.steps[0].start < end]
    return (tuple(bakes), tuple((out.bread, out.units, out.at) for out in plan.take_outs if out.at < end))


@pytest.mark.parametrize("peeps", [False, True])
def test_who_looks_ahead_is_caught(bakers: Home, weeks_ahead: Problem, peeps: bool) -> None:
    """Up to the day on which chance turns, an honest policy does the same in both worlds; one that peeps does not."""
    day, acts = 8, []
    for other in (4, 5):
        known, news = drawn(weeks_ahead, HARD, 4)
        _, later = drawn(weeks_ahead, HARD, other)
        turned = weeks_ahead.midnights[day]
        mixed = tuple([one for one in news if one.known < turned] + [one for one in later if one.known >= turned])
        where = World(known, bakers.settings, 7 * WEEKS, SHOWN, ahead(weeks_ahead), mixed)
        luck = Turning(4, HARD, 7 * WEEKS, turns=day, other=other)
        policy: Policy = Foresight(where, luck) if peeps else HABITS[0]
        life = Life(where, luck, policy)
        life.live()
        acts.append(_until(life, day))
    assert (acts[0] == acts[1]) is not peeps


def test_what_is_not_told_yet_is_not_shown(bakers: Home, weeks_ahead: Problem) -> None:
    """Of guests nothing is seen before they are announced."""
    where, luck = world(bakers, weeks_ahead, 3)
    guests = [one for one in where.news if one.meal is not None and one.known > 1440]
    assert guests
    for one in guests:
        assert one.meal is not None
        for at, told in ((one.known - 5, False), (one.known, True)):
            seen = Life(where, luck, HABITS[0]).seen(at)
            shown = one.meal.at - at < seen.problem.midnights[seen.problem.shown_days]
            assert any(meal.id == one.meal.id for meal in seen.problem.meals) is (told and shown)


def test_the_planner_lives_too(bakers: Home, weeks_ahead: Problem) -> None:
    """A week by the planner: bread is conserved, every plan and what came of it keeps the rules."""
    where, luck = world(bakers, weeks_ahead, 1, days=5)
    life = Life(where, luck, Planner(bakers.settings, small(0.2)))
    record = life.live()
    assert record.plans >= 2
    assert not faults(where.true, record, life.variants)
    assert sum(Counter(bake.count(TABLE) for bake in record.bakes.values()).values()) == len(record.bakes)


def test_nothing_happens_where_nothing_may(bakers: Home, weeks_ahead: Problem) -> None:
    """Without chance meals want what the habit says."""
    where, luck = world(bakers, weeks_ahead, 1, STILL)
    record = Life(where, luck, HABITS[0]).live()
    assert all(each.wanted == each.meal.portions for each in record.meals)
    assert not luck.loaves_gone(3)
    assert not luck.late("dark", 3)


def test_dough_keeps_the_pace_of_the_day_it_was_mixed_on(bakers: Home, weeks_ahead: Problem) -> None:
    """Where Mondays are warmer than other days, and all dough is late, what is done still keeps the waits."""

    def changing(wait: Wait) -> Wait:
        low, high = wait.bounds[0]
        return replace(wait, bounds=tuple((low + 15 * (day % 7 > 0), high + 30 * (day % 7 > 0)) for day in range(60)))

    breads = (
        replace(
            bread,
            processes=tuple(replace(process, waits=tuple(map(changing, process.waits))) for process in bread.processes),
        )
        for bread in weeks_ahead.breads
    )
    problem = replace(weeks_ahead, breads=tuple(breads))
    for late in (0.0, 1.0):
        where, luck = world(bakers, problem, 1, replace(HARD, late=late))
        life = Life(where, luck, HABITS[0])
        record = life.live()
        assert len(record.bakes) > 2
        assert not faults(where.true, record, life.variants)


def test_a_freezer_too_full_has_room_for_what_is_in_it(bakers: Home, weeks_ahead: Problem) -> None:
    """Less was eaten than was meant: a plan is found all the same; where no room is made, that is said in words."""
    where, luck = world(bakers, weeks_ahead, 1, days=5)
    life = Life(where, luck, HABITS[0])
    first = max(life.larder.lots.values(), key=life.larder.portions)
    room = value_at(where.problem.kitchen.freezer_dl, 0)
    many = room // life.larder.form(first).unit_dl + 1
    life.larder.lots[first.id] = replace(first, units=many)
    life.larder.made[first.id] = life.larder.portions(life.larder.lots[first.id])
    full = life.seen(0).problem
    assert value_at(full.kitchen.freezer_dl, 0) > room
    assert not faults(where.true, life.live(), life.variants)
    held = sum(lot.units * life.larder.form(lot).unit_dl for lot in where.problem.lots)
    tight = replace(where.problem.kitchen, freezer_dl=((0, held - 1),))
    with pytest.raises(NothingPlanned):
        solve(replace(Life(where, luck, HABITS[0]).seen(0).problem, kitchen=tight), small(0.2))
