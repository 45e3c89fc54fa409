"""From a problem to a proven plan."""

from rotation.solve.days import Limits
from rotation.solve.planner import solve
from rotation.solve.work import limits

__all__ = ["Limits", "limits", "solve"]
