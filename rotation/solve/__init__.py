"""From a problem to a proven plan."""

from rotation.solve.answer import Stopped
from rotation.solve.days import Limits, Shape
from rotation.solve.least import effort, excluded, least
from rotation.solve.planner import solve
from rotation.solve.work import limits

__all__ = ["Limits", "Shape", "Stopped", "effort", "excluded", "least", "limits", "solve"]
