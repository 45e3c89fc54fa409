"""A meal in a rehearsal."""

from __future__ import annotations

from dataclasses import replace

from rotation.problem import Problem
from rotation.rehearsal.larder import Larder
from rotation.rehearsal.record import Record
from rotation.rehearsal.table import serve


def test_a_meal_eats_of_each_loaf_no_more_than_was_bought_for_it(weeks_ahead: Problem) -> None:
    """Two loaves of two days: neither gives what is the other's."""
    meal = replace(next(meal for meal in weeks_ahead.meals if meal.bought and not meal.strict), portions=6)
    larder, record = Larder(replace(weeks_ahead, lots=(), box=())), Record()
    larder.bought[meal.id] = {"loaf 1": 2, "loaf 2": 3}
    eaten = serve(larder, record, meal, 4, {"loaf 1": 2, "loaf 2": 3}, {})
    assert eaten.bought == 4
    assert [(serving.source, serving.portions) for serving in record.servings] == [("loaf 1", 2), ("loaf 2", 2)]
    assert not larder.bought
