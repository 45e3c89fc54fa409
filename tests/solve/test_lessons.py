"""Timings: what is remembered of them, and timing days apart, saves work and changes nothing; what cuts add up to."""

from __future__ import annotations

import pytest

from rotation.grid import Grid
from rotation.moments import Moments
from rotation.solve import Limits, solve
from rotation.solve.best import Best
from rotation.solve.counted import Counted
from rotation.solve.cuts import Cut
from rotation.solve.days import Days
from rotation.solve.goals import cost
from rotation.solve.lessons import Lessons
from rotation.solve.tasks import ask
from rotation.tasks import BakeTask
from tests.solve.homes import any_home, home
from tests.solve.test_plans import as_text, judged


def test_a_plan_is_the_same_whether_timings_are_remembered_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = any_home(2, days=3)
    remembered = as_text(problem, solve(problem))
    honest = Lessons.timed

    def forgetful(self: Lessons, *tasks: object, **more: object) -> object:
        self.seen.clear()
        return honest(self, *tasks, **more)  # type: ignore[arg-type]  # handed on as they come

    monkeypatch.setattr(Lessons, "timed", forgetful)
    assert as_text(problem, solve(problem)) == remembered


@pytest.mark.parametrize("seed", [1, 4])
def test_a_plan_costs_the_same_whether_days_are_timed_apart_or_at_once(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem, proof = any_home(seed, days=3), Limits(days=30, minutes=10, rounds=20, ties=0)
    apart = judged(problem, proof)
    monkeypatch.setattr(Best, "_apart", lambda *_: None)
    at_once = judged(problem, proof)
    assert (apart.status, apart.total) == (at_once.status, at_once.total) == ("optimal", at_once.total)


def test_what_cuts_say_of_different_tasks_adds_up_even_on_one_day() -> None:
    """And what two of them say of one task does not."""
    problem = home(7, 2, tail=1, lots=2)
    days = Days(problem, Grid(problem), Moments(problem), Limits())
    choices, taught = days.open()
    found = days.answer(choices.model, cost(choices.model), 8).values
    assert found is not None
    first, second, *_ = ask(choices, found).bakes
    for variable, value in enumerate(found):
        choices.model.bounds[variable] = (value, value)

    def total(*dearer: tuple[BakeTask, int]) -> int:
        for bake, milli in dearer:
            least = Counted(choices).effort([bake]) + milli
            taught.add(Cut((bake,), frozenset(), least, frozenset({0})))
        answer = days.answer(choices.model, cost(choices.model), 8)
        assert answer.values is not None
        return sum(coefficient * answer.values[variable] for coefficient, variable in cost(choices.model))

    before = total()
    assert total((first, 700)) == before + 700
    assert total((first, 1000)) == before + 1000
    assert total((second, 500)) == before + 1500
