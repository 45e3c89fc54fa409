"""What keeping a wish costs, against solving the home without it to the proof."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.problem import Wish
from rotation.reasons.wish_costs import with_costs
from rotation.rehearsal.window import without
from rotation.rules.checked import broken
from rotation.solve import solve
from tests.homes import DAY
from tests.solve.test_wishes import PROOF, TUESDAY, small


@pytest.mark.parametrize("at", [840, DAY + 720, DAY + 1000, 2 * DAY + 840])
def test_keeping_a_moved_step_costs_the_difference_of_two_proven_plans(at: int) -> None:
    made = small(Wish("moved", "fixed", "wheat", at, at + 1, step="mix"))
    with_it, without = solve(made, PROOF), solve(small(), PROOF)
    (answer,) = with_costs(made, with_it).wishes
    assert answer.kept
    assert answer.cost == with_it.total - without.total > 0


def test_a_step_moved_out_of_free_hours_is_priced_too() -> None:
    """Without the wish nobody has hands then: the plan with it is no plan, and its cost no bound."""
    taken = (TUESDAY - 5, TUESDAY + 30)
    people = tuple(replace(p, free=without(p.free, *taken), quick=without(p.quick, *taken)) for p in small().people)
    made = small(people=people)
    wish = Wish("moved", "fixed", "wheat", TUESDAY, TUESDAY + 1, step="mix")
    with_it, free = solve(replace(made, wishes=(wish,)), PROOF), solve(made, PROOF)
    assert "hands" in {one.rule for one in broken(made, replace(with_it, wishes=()))}
    (answer,) = with_costs(replace(made, wishes=(wish,)), with_it).wishes
    assert (answer.kept, answer.cost) == (True, max(0, with_it.total - free.total))


def test_a_wish_that_changes_nothing_costs_nothing() -> None:
    plan = solve(small(), PROOF)
    (bake, *_) = plan.bakes
    mix = next(step for step in bake.steps if step.name == "mix")
    as_planned = Wish("as planned", "fixed", bake.bread, mix.start, mix.start + 1, step="mix")
    made = small(as_planned)
    kept = with_costs(made, solve(made, PROOF))
    assert [answer.cost for answer in kept.wishes] == [0]
    assert broken(made, kept) == ()


def test_what_is_dropped_has_no_price() -> None:
    never = Wish("never", "fixed", "wheat", 5, 6, step="oven")
    made = small(never)
    (answer,) = with_costs(made, solve(made, PROOF)).wishes
    assert (answer.kept, answer.cost) == (False, None)
