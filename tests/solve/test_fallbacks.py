"""A solver that fails, lies or finds nothing: another answers, and the plan says how it was come by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from rotation.facts import rank
from rotation.model import Model, Term
from rotation.problem import Kept, Problem, Wish
from rotation.solve import Limits
from rotation.solve.answer import Answer, Faulty, RowSolver, holds
from rotation.solve.cpsat import CpSat
from rotation.solve.highs import Highs
from rotation.solve.planner import STOCKED, Planner
from rotation.solve.relaxation import Relaxation
from tests.outside.test_flat import with_guests
from tests.outside.tiny_homes import tiny_home
from tests.solve.faults import KINDS, Fault, play
from tests.solve.homes import home
from tests.solve.test_plans import PROOF, judged
from tests.solve.test_wishes import TUESDAY, small

SMALL = home(2, 1, tail=1, lots=0)
PROVEN = Limits(days=60, minutes=20, rounds=60, ties=5)
CLASH = tuple(Wish(str(at), "fixed", "wheat", at, at + 1, step="mix") for at in (TUESDAY, TUESDAY + 5))
FEW, MANY = 3, 24
"""At how many calls, spread over all, each fault is played."""

STRUCK = {
    "minutes": lambda: tiny_home(17),
    "two breads": lambda: home(3, 2, tail=1, lots=0),
    "guests": lambda: with_guests(tiny_home(35)),
    "wishes that clash": lambda: small(*CLASH),
}


def knapsack() -> tuple[Model, list[Term]]:
    """Return a model with one best answer: 3 a + 5 b + 7 c >= 13 at the least 2 a + 3 b + 5 c, which is 8."""
    model = Model()
    a, b, c = (model.integer(0, 4, name) for name in "abc")
    model.row(13, [(3, a), (5, b), (7, c)], None)
    return model, [(2, a), (3, b), (5, c)]


@pytest.mark.parametrize("solver", [Highs(), CpSat(), CpSat(presolve=False)])
def test_each_solver_answers_alike(solver: RowSolver) -> None:
    model, goal = knapsack()
    answer = solver(model, goal, work=5, gap=0)
    assert answer.values is not None
    assert holds(model, answer.values)
    assert (sum(k * answer.values[v] for k, v in goal), answer.bound, answer.proven) == (8, 8, True)


@pytest.mark.parametrize("solver", [Highs(), CpSat(), CpSat(presolve=False)])
def test_each_solver_knows_what_cannot_be(solver: RowSolver) -> None:
    model, goal = knapsack()
    model.row(None, [(1, 0), (1, 1), (1, 2)], 1)
    answer = solver(model, goal, work=5, gap=0)
    assert answer.impossible


@pytest.mark.parametrize("solver", [Highs(), CpSat()])
def test_what_needs_no_search_is_proven_too(solver: RowSolver) -> None:
    model = Model()
    only = model.integer(0, 9, "only")
    model.row(4, [(1, only)], None)
    answer = solver(model, [(3, only)], work=5, gap=0)
    assert (answer.values, answer.bound, answer.proven) == ((4,), 12, True)


@pytest.mark.parametrize("values", [(0, 0, 0), (5, 0, 0), (-1, 3, 0)])
def test_values_that_break_a_row_or_a_bound_do_not_hold(values: tuple[int, ...]) -> None:
    model, _ = knapsack()
    assert not holds(model, values)


@pytest.mark.parametrize(("first", "broken_one"), [("highs", Highs), ("cp-sat", CpSat)])
def test_the_other_solver_answers_where_one_fails(
    first: str, broken_one: type[RowSolver], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(self: RowSolver, model: Model, goal: list[Term], **_: object) -> Answer:
        raise Faulty(f"{broken_one.name} fell over")

    def fails_too(self: Relaxation, cutoff: float, steps: int | None) -> float:
        raise Faulty("HiGHS fell over")

    sound = judged(SMALL, PROOF)
    monkeypatch.setattr(broken_one, "__call__", fails)
    if broken_one is Highs:
        monkeypatch.setattr(Relaxation, "glance", fails_too)
    plan = judged(SMALL, type(PROOF)(days=PROOF.days, minutes=PROOF.minutes, rounds=PROOF.rounds, solver=first))
    assert (plan.total, plan.status) == (sound.total, "optimal")
    assert any("fell over" in step for step in plan.path)


def test_values_of_a_library_that_break_a_row_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """HiGHS says one more of everything than it found; every row is held against it in whole numbers."""
    import highspy

    honest = highspy.Highs.getSolution

    def lies(self: highspy.Highs) -> highspy.HighsSolution:
        solution = honest(self)
        solution.col_value = [value + 1 for value in solution.col_value]
        return solution

    sound = judged(SMALL, PROOF)
    monkeypatch.setattr(highspy.Highs, "getSolution", lies)
    plan = judged(SMALL, PROOF)
    assert (plan.total, plan.status) == (sound.total, "optimal")
    assert any("HiGHS gave values that break" in step for step in plan.path)


def test_a_solver_that_finds_nothing_in_time_is_followed_by_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Highs, "__call__", lambda *_, **__: Answer(None, -(10**12), False))
    monkeypatch.setattr(Relaxation, "glance", _stuck)
    plan = judged(SMALL, PROOF)
    assert plan.status == "optimal"
    assert any("HiGHS found nothing" in step for step in plan.path)


def _stuck(self: Relaxation, cutoff: float, steps: int | None) -> float:
    raise Faulty("HiGHS is stuck")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("library", ["HiGHS", "CP-SAT"])
def test_a_fault_at_any_call_makes_no_plan_worse_than_it_says(
    library: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    struck(STRUCK["two breads"](), library, kind, FEW, monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("library", ["HiGHS", "CP-SAT"])
@pytest.mark.parametrize("name", STRUCK)
def test_a_fault_at_any_call_makes_no_plan_worse_than_it_says_at_length(
    name: str, library: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    struck(STRUCK[name](), library, kind, MANY, monkeypatch)


def struck(problem: Problem, library: str, kind: str, times: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hold plans made while one call of a library goes wrong against the one made while none does."""
    fault = Fault()
    play(monkeypatch, fault)
    sound = judged(problem, PROVEN)
    calls = fault.calls[library]
    assert (sound.status, calls > 0) == ("optimal", True)
    for at in range(1, calls + 1, max(1, calls // times)):
        fault.begin(library, kind, at)
        plan = judged(problem, PROVEN)
        assert rank(problem, plan) >= rank(problem, sound), at
        assert plan.status == "feasible" or rank(problem, plan) == rank(problem, sound), at
        assert not plan.canonical or replace(plan, path=sound.path) == sound, at
        if fault.lied and kind in ("invalid", "raises"):
            assert plan.path != (), at


def test_a_first_plan_that_does_not_fit_with_the_price_of_stock_is_looked_for_without(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What is found then is priced with it, and bettered."""
    forms = tuple((bread.id, form.id) for bread in SMALL.breads for form in bread.forms)
    made = replace(SMALL, reserve=(Kept(forms, 40, 300, 900),))
    asked, whole, best = list[Sequence[str]](), Planner._dive, judged(made)

    def dive(planner: Planner, unpriced: Sequence[str]) -> None:
        asked.append(unpriced)
        if unpriced:
            whole(planner, unpriced)

    monkeypatch.setattr(Planner, "_dive", dive)
    assert judged(made).total == best.total
    assert asked == [(), STOCKED]
    assert dict(best.terms)["reserve"] > 0
