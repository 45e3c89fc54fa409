"""What decides: a rule of thumb or the planner. It is shown what is known by now, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from rotation.carried import Carried
from rotation.plan import Plan
from rotation.problem import Problem

PLANNER, INFORMED = "planner", "informed"
"""Names in results: of the planner, and of the reference that knows what comes."""


@dataclass(frozen=True)
class Seen:
    """What a policy is shown at a moment.

    problem: the days ahead, as known, with all that is in the house; day: of the rehearsal; before: the plan that is
    followed so far, or None; fresh: what has happened since the policy was asked last, in words.
    """

    problem: Problem
    day: int
    before: Carried | None
    fresh: tuple[str, ...]


class Policy(Protocol):
    """Decides day by day. It may remember what it was shown."""

    @property
    def name(self) -> str:
        """What it is called in results."""

    def plan(self, seen: Seen) -> Plan | None:
        """Return the plan to follow from now, in the minutes of `seen.problem`; None: the one before.

        It keeps every rule (rotation/rules), or it is not followed.
        """
