"""What is remembered of timings: it saves work and changes nothing."""

from __future__ import annotations

import pytest

from rotation.solve import solve
from rotation.solve.lessons import Lessons
from tests.solve.homes import any_home
from tests.solve.test_plans import as_text


def test_a_plan_is_the_same_whether_timings_are_remembered_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = any_home(2, days=3)
    remembered = as_text(problem, solve(problem))
    honest = Lessons.timed

    def forgetful(self: Lessons, *tasks: object, **more: object) -> object:
        self.seen.clear()
        return honest(self, *tasks, **more)  # type: ignore[arg-type]  # handed on as they come

    monkeypatch.setattr(Lessons, "timed", forgetful)
    assert as_text(problem, solve(problem)) == remembered
