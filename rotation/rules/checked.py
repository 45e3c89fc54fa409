"""The proof of a plan: every rule, checked by code that the solver has no part in."""

from __future__ import annotations

from collections.abc import Sequence

from rotation.errors import CheckFailed
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken
from rotation.rules.table import RULES


def broken(problem: Problem, plan: Plan) -> tuple[Broken, ...]:
    """Return every place where a plan breaks a rule, in the order of the rules; empty for a plan that holds.

    Where a plan names what is not there, only that is returned: nothing else can be judged.
    """
    references, *others = RULES
    lost = tuple(references.check(problem, plan))
    return lost or tuple(found for rule in others for found in rule.check(problem, plan))


def prove(problem: Problem, plan: Plan) -> None:
    """Check a plan against every rule and its cost, by code apart from the solver. Raises CheckFailed."""
    refuse(broken(problem, plan), "The plan found")


def refuse(found: Sequence[Broken], what: str) -> None:
    """Raise CheckFailed if anything was found broken. what: "The plan found"."""
    if found:
        said = "\n".join(f"  {one}" for one in found[:20])
        raise CheckFailed(
            f"{what} breaks {len(found)} rule(s), so it is not shown. This is a fault of the program; "
            f"please report it:\n{said}"
        )
