"""From a problem to a proven plan."""

from rotation.solve.planner import Limits, solve

__all__ = ["Limits", "solve"]
