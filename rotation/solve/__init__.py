"""From a problem to a proven plan."""

from rotation.solve.days import Limits, Shape
from rotation.solve.least import effort, least
from rotation.solve.planner import STOPPED, solve
from rotation.solve.work import limits

__all__ = ["STOPPED", "Limits", "Shape", "effort", "least", "limits", "solve"]
