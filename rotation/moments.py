"""Classes of moments at which bread can get ready: within one class it can feed the same meals at the same age price.

Ages are counted in quarters of a day, so a bread ready at any minute of a class costs the same at every later meal. A
class ends right after a meal that accepts the bread and where a quarter of a day begins.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from rotation.grid import Ints
from rotation.problem import Meal, Problem

Node = tuple[str, str, int]
"""Ready bread alike: bread id, route id ("" for a bake's table pieces), moment class."""


class Moments:
    """The classes of each bread of a problem."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.meals = cache(self._meals)
        self.edges = cache(self._edges)

    def _meals(self, bread: str) -> tuple[Meal, ...]:
        meals = (meal for meal in self.problem.meals if any(accept.bread == bread for accept in meal.accepts))
        return tuple(sorted(meals, key=lambda meal: (meal.at, meal.id)))

    def _edges(self, bread: str) -> Ints:
        starts = {0}
        for first, last in zip(self.problem.midnights, self.problem.midnights[1:], strict=False):
            starts |= {first, *(first + k * 360 for k in (1, 2, 3) if first + k * 360 < last)}
        starts |= {meal.at + 1 for meal in self.meals(bread)} | {self.problem.end}
        return np.array(sorted(start for start in starts if start >= 0), dtype=np.int64)

    def classes(self, bread: str, minutes: Ints) -> Ints:
        """Return the class of each minute."""
        return np.searchsorted(self.edges(bread), minutes, "right").astype(np.int64) - 1

    def class_of(self, bread: str, minute: int) -> int:
        """Return the class of one minute."""
        return int(self.classes(bread, np.array([minute], dtype=np.int64))[0])

    def span(self, bread: str, of: int) -> tuple[int, int]:
        """Return the first and the last minute of a class."""
        edges = self.edges(bread)
        last = int(edges[of + 1]) - 1 if of + 1 < len(edges) else self.problem.end + 2880
        return int(edges[of]), last
