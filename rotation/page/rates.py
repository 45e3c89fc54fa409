"""Not too often: a bucket for each who asks, that fills at a steady rate."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

MOST_BUCKETS = 4096
"""Of so many different ones is remembered how often they asked; the longest silent is forgotten first."""


@dataclass(frozen=True)
class Rate:
    """at_once: how many in one go; a_minute: how many more each minute."""

    at_once: int
    a_minute: float


class Rates:
    """Counts what is asked under each name. ticks: seconds that only ever rise."""

    def __init__(self, rate: Rate, ticks: Callable[[], float]) -> None:
        self._rate, self._ticks = rate, ticks
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = Lock()

    def allow(self, name: str) -> bool:
        """Say whether one more is allowed, and count it."""
        now = self._ticks()
        with self._lock:
            left, since = self._buckets.pop(name, (float(self._rate.at_once), now))
            left = min(self._rate.at_once, left + (now - since) * self._rate.a_minute / 60)
            allowed = left >= 1
            self._buckets[name] = (left - 1 if allowed else left), now
            while len(self._buckets) > MOST_BUCKETS:
                self._buckets.popitem(last=False)
        return allowed
