"""From a problem to a proven plan."""

from rotation.solve.day_level import rows
from rotation.solve.days import Limits, Shape
from rotation.solve.least import effort, least
from rotation.solve.planner import solve
from rotation.solve.work import limits

__all__ = ["Limits", "Shape", "effort", "least", "limits", "rows", "solve"]
