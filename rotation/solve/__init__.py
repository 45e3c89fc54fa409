"""From a problem to a proven plan."""

from rotation.solve.planner import Limits, solve
from rotation.solve.work import limits

__all__ = ["Limits", "limits", "solve"]
