"""Worlds to rehearse in, made of an example household: a few weeks, seeds and rates fixed."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from rotation.household.reading import Home, read_home
from rotation.problem import Problem
from rotation.rehearsal.setting import enough, long_problem

WEEKS, SHOWN = 2, 5


@pytest.fixture(scope="session")
def bakers() -> Home:
    """Return a household of several breads."""
    return read_home(Path(__file__).parents[2] / "examples" / "two-bakers")


@pytest.fixture(scope="session")
def weeks_ahead(bakers: Home) -> Problem:
    """Return its long problem."""
    made = long_problem(bakers, datetime(2027, 3, 1, tzinfo=bakers.zone), enough(7 * WEEKS, SHOWN))
    return replace(made, wishes=())
