"""What a household eats, found from its days: slices by weekday and bread, smoothed from its own estimate on.

Plain figures in and out; pandas sorts them. A day with guests, or on which some were away, is left out; one on which
the bread ran out says only "at least so much" (censored).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import NormalDist

WEIGHT = 0.25
"""How much of what a day says of its weekday's habit is believed. What a household said itself counts for a tenth after
eight such weekdays."""

LIKELY = NormalDist().inv_cdf(0.9)
"""Standard deviations on either side within which four of five fall."""

LEAST_DAYS = 14
"""Days of history below which nothing is offered."""


@dataclass(frozen=True)
class Day:
    """One day. eaten: portions by bread; own: portions of a normal day as the household says; out: bread ran out.

    usual: neither guests came nor was anybody away.
    """

    date: date
    eaten: Mapping[str, float]
    own: float
    usual: bool = True
    out: bool = False


@dataclass(frozen=True)
class Smooth:
    """A habit: portions a day, by how much one day misses it, how uncertain it is itself (both standard deviations).

    days: how many it was found from.
    """

    level: float
    sd: float
    uncertain: float
    days: int

    @property
    def range(self) -> tuple[float, float]:
        """Between which figures it lies in four cases of five."""
        return max(0.0, self.level - LIKELY * self.uncertain), self.level + LIKELY * self.uncertain


@dataclass(frozen=True)
class Found:
    """What is eaten of each bread on each weekday (Monday is 0), and of all breads; own: the household's estimate.

    error: the standard deviation of a day's portions from what was expected of it; left_out, out: days with guests or
    somebody away, and days on which bread ran out.
    """

    by_bread: Mapping[tuple[int, str], Smooth]
    by_weekday: Mapping[int, Smooth]
    own: Mapping[int, float]
    error: float
    days: int
    left_out: int
    out: int

    @property
    def a_week(self) -> Smooth:
        """Portions a week."""
        each = self.by_weekday.values()
        uncertain = sqrt(sum(one.uncertain**2 for one in each))
        return Smooth(sum(one.level for one in each), self.error * sqrt(7), uncertain, self.days)


def smoothed(
    values: Sequence[float], start: float, sd: float, censored: Sequence[bool] = (), weight: float = WEIGHT
) -> tuple[float, list[float]]:
    """Return the level after simple exponential smoothing from `start`, and how far each value missed the one before.

    A censored value counts as what is to be expected of one that is at least that: the mean of the upper part of a
    normal distribution about the level, of standard deviation `sd`.
    """
    level, errors = start, []
    for number, value in enumerate(values):
        seen = at_least(value, level, sd) if number < len(censored) and censored[number] else value
        errors.append(seen - level)
        level += weight * (seen - level)
    return level, errors


def at_least(value: float, mean: float, sd: float) -> float:
    """Return the mean of what is at least `value`, of a normal distribution."""
    if sd <= 0:
        return max(value, mean)
    normal, z = NormalDist(), (value - mean) / sd
    above = 1 - normal.cdf(z)
    return value if above < 1e-9 else mean + sd * normal.pdf(z) / above


def level_sd(sd: float, count: int, weight: float = WEIGHT) -> float:
    """Return the standard deviation of a level after so many values, each with `sd` of its own.

    What the household said counts like a value of its own, with the weight it has left.
    """
    old = (1 - weight) ** (2 * count)
    return sd * sqrt(weight / (2 - weight) * (1 - old) + old)


def found(days: Sequence[Day]) -> Found:
    """Return what is eaten, from days in their order. Raises ValueError where no usual day is among them."""
    import pandas as pd

    usual = [day for day in days if day.usual]
    if not usual:
        raise ValueError("there is no usual day")
    breads = sorted({bread for day in usual for bread, portions in day.eaten.items() if portions})
    rows = [
        {"weekday": day.date.weekday(), "out": day.out, **{b: day.eaten.get(b, 0.0) for b in breads}} for day in usual
    ]
    table = pd.DataFrame(rows)
    table["all"] = table[breads].sum(axis=1)
    everything = float(table["all"].sum())
    share = {bread: float(table[bread].sum()) / everything if everything else 0.0 for bread in breads}
    spread = float((table["all"] - table.groupby("weekday")["all"].transform("mean")).std(ddof=0))
    own = {day.date.weekday(): day.own for day in usual}
    by_weekday, by_bread, errors = {}, {}, []
    for weekday in sorted(own):
        each = table[table["weekday"] == weekday]
        out = [bool(one) for one in each["out"]]
        level, missed = smoothed([float(one) for one in each["all"]], own[weekday], spread, out)
        errors += missed
        by_weekday[weekday] = (level, len(each))
        for bread in breads:
            values = [float(one) for one in each[bread]]
            part, _ = smoothed(values, own[weekday] * share[bread], spread * share[bread], out)
            by_bread[weekday, bread] = (part, len(each))
    error = sqrt(sum(one * one for one in errors) / len(errors))
    return Found(
        {key: _smooth(level, error * sqrt(share[key[1]]), count) for key, (level, count) in by_bread.items()},
        {day: _smooth(level, error, count) for day, (level, count) in by_weekday.items()},
        own, error, len(usual), len(days) - len(usual), sum(day.out for day in usual),
    )  # fmt: skip


def _smooth(level: float, sd: float, count: int) -> Smooth:
    return Smooth(level, sd, level_sd(sd, count), count)
