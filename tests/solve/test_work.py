"""How much work a solve may do, in words."""

from __future__ import annotations

from itertools import pairwise

import pytest

from rotation.commands.options import Work
from rotation.solve import Limits, limits, solve
from tests.solve.homes import home


def test_every_kind_of_work_that_may_be_asked_for_is_known_and_each_is_more_than_the_last() -> None:
    kinds = [limits(kind) for kind in Work]
    assert kinds[1] == Limits()
    for less, more in pairwise(kinds):
        assert less.days < more.days
        assert less.rounds <= more.rounds
        assert less.minutes <= more.minutes
        assert less.mends <= more.mends


@pytest.mark.long
def test_more_work_finds_no_worse_plan_and_no_worse_bound() -> None:
    made = home(7, 2, 1, seed=2, tail=2)
    least, most = solve(made, limits(Work.QUICK)), solve(made, limits(Work.THOROUGH))
    assert most.total <= least.total
    assert least.gap is not None
    assert most.gap is not None
    assert most.gap <= least.gap
