"""What a week is judged by, worked out a second time from the plan of all that was done, as the planner's costs are."""

from __future__ import annotations

import pytest

from rotation.costs import scores
from rotation.household.reading import Home
from rotation.problem import Problem
from rotation.rehearsal.habits import Habit
from rotation.rehearsal.living import Life
from rotation.rehearsal.measures import HOUR_KWH, SOAK_KWH, VESSEL_KWH, figures, weeks
from rotation.rehearsal.record import lived
from tests.rehearsal.conftest import WEEKS
from tests.rehearsal.test_living import HABITS, HARD, world

DAY = 1440


@pytest.mark.parametrize("habit", [HABITS[0], HABITS[3]], ids=lambda habit: habit.name)
def test_weeks_add_up_to_what_was_done(bakers: Home, weeks_ahead: Problem, habit: Habit) -> None:
    """Hands, bakes and heat-ups cost what the terms of the plan say; bread and its age are those of the servings."""
    where, luck = world(bakers, weeks_ahead, 101, HARD)
    life = Life(where, luck, habit)
    record = life.live()
    problem, plan = lived(where.true, record, life.variants), record.plan()
    made = weeks(problem, record, 0, WEEKS + 1)  # what was begun on the last day ends in the week after
    total = {name: sum(getattr(week, name) for week in made) for name in made[0].__dataclass_fields__}
    terms = dict(scores(problem, plan))
    bread = sum(2 * meal.unmet if meal.meal.strict else meal.unmet for meal in record.meals)
    wasted = sum(portions for _, portions in record.wasted)
    binned = sum(1000 * minutes for _, _, minutes in record.binned)
    prices = problem.weights
    assert total["effort"] == pytest.approx(
        terms["hands"] + terms["bakes"] + terms["rhythm"] + terms["heat_ups"] + binned
        + bread * prices.unmet_portion + wasted * prices.wasted_portion
    )  # fmt: skip
    assert total["bakes"] == len(plan.bakes)
    stays = [*(bake.stay for bake in plan.bakes), *(finish.stay for finish in plan.finishes)]
    cold = [stay for stay in stays if stay.heat == "cold"]
    assert total["heat_ups"] == len(cold)
    assert total["kwh"] == pytest.approx(
        sum(VESSEL_KWH if stay.vessel else SOAK_KWH for stay in cold)
        + sum(HOUR_KWH * (stay.end - stay.start) / 60 for stay in stays)
    )
    ready = {item.id: item.ready for item in problem.box} | {bake.id: bake.ready for bake in plan.bakes}
    ready |= {finish.take_out: finish.ready for finish in plan.finishes}
    at = {meal.meal.id: meal.meal.at for meal in record.meals}
    ages = [(s.portions, at[s.meal] - ready[s.source]) for s in plan.servings if s.source in ready]
    assert total["eaten"] == sum(portions for portions, _ in ages)
    assert total["age"] == sum(portions * minutes for portions, minutes in ages)
    assert total["fresh"] == sum(portions for portions, minutes in ages if minutes <= DAY)
    assert total["wanted"] == sum(meal.wanted for meal in record.meals)
    assert total["unmet_guests"] == sum(meal.unmet for meal in record.meals if meal.meal.strict)
    assert total["changes"] == sum(change.total for change in record.changes)
    assert 0 <= figures(made, 14).bad_hands <= figures(made, 14).hands


def test_a_meal_counts_in_the_week_it_is_eaten(bakers: Home, weeks_ahead: Problem) -> None:
    """Weeks begin at midnight of the household's zone, after the warm-up."""
    where, luck = world(bakers, weeks_ahead, 101, HARD)
    life = Life(where, luck, HABITS[0])
    record = life.live()
    problem = lived(where.true, record, life.variants)
    (second,) = weeks(problem, record, 7, 1)
    first = problem.date_of(7)
    mine = [meal for meal in record.meals if 0 <= (problem.instant(meal.meal.at).date() - first).days < 7]
    assert second.wanted == sum(meal.wanted for meal in mine)
    assert second.unmet == sum(meal.wanted - meal.home for meal in mine)
