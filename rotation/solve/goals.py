"""What is to be made small, in the order of goals: wishes dropped, strict portions short, cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rotation.choices import Choices
from rotation.model import Model, Term
from rotation.plan import Plan, Tier
from rotation.problem import Problem


@dataclass(frozen=True)
class Goals:
    """The tiers before cost: the values the day level is held to, and whether they are proven to be the least."""

    dropped: int = 0
    short: int = 0
    proven: bool = True


def cost(model: Model) -> list[Term]:
    """Return the cost as one sum."""
    return [(coefficient, variable) for variable, coefficient in sorted(model.objective()[0].items())]


def wishes(choices: Choices) -> list[Term]:
    """Return the number of wishes dropped."""
    return [(1, variable) for variable in choices.dropped.values()]


def strict(problem: Problem, choices: Choices) -> list[Term]:
    """Return the strict portions short."""
    return [(1, choices.short[meal.id]) for meal in problem.meals if meal.strict]


def finished(plan: Plan, goals: Goals, rank: tuple[int, int, int], bound: int | None, path: Sequence[str]) -> Plan:
    """Return the plan with its tiers, status and path. rank: what it comes to; bound: of its cost, if one is known."""
    dropped, short, total = rank
    met = (dropped, short) == (goals.dropped, goals.short) and goals.proven
    bound = None if bound is None else min(bound, total)
    tiers = (
        Tier("wishes dropped", dropped, goals.dropped if goals.proven else 0),
        Tier("strict portions short", short, goals.short if goals.proven else 0),
        Tier("cost", total, bound),
    )
    status = "optimal" if met and bound == total else "feasible"
    return replace(plan, status=status, tiers=tiers, path=tuple(path))
