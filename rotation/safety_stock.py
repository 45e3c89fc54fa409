"""How much bread to keep for bad days: what the news-vendor's ratio of costs asks for, over the time nobody can bake.

A stock that covers demand with the probability unmet / (unmet + kept) costs least, where `unmet` is the price of a
portion too few and `kept` that of one too many (Arrow, Harris and Marschak 1951; any textbook of inventory).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, exp, sqrt
from statistics import NormalDist


def ratio(kept: float, unmet: float) -> float:
    """Return the share of times that demand should be covered. kept, unmet: prices, above zero, in one unit."""
    return unmet / (unmet + kept)


def base_stock(mean: float, sd: float, kept: float, unmet: float) -> float:
    """Return the stock that costs least where demand is normal. sd: standard deviation; at zero it is the mean."""
    return mean + NormalDist().inv_cdf(ratio(kept, unmet)) * sd


def base_stock_of_few(mean: float, kept: float, unmet: float) -> int:
    """Return the same where demand is a small number of single things (Poisson)."""
    wanted, chance, number = ratio(kept, unmet), exp(-mean), 0
    covered = chance
    while covered < wanted:
        number += 1
        chance *= mean / number
        covered += chance
    return number


def reorder_point(mean: float, sd: float, share_short: float) -> float:
    """Return the stock at which to order, so that at most this share of cycles runs short. mean, sd: over the wait."""
    return mean + NormalDist().inv_cdf(1 - share_short) * sd


@dataclass(frozen=True)
class Reserve:
    """A stock for bad days: portions, the whole loaves these are, and where they come from.

    sd: by how much a day's eating misses what was expected, in portions; gap_days: the longest time between two
    possible bakes; covered: the share of such times in which the reserve is enough.
    """

    portions: int
    loaves: int
    exact: float
    sd: float
    gap_days: float
    covered: float


def reserve(sd: float, gap_days: float, kept_a_day: float, unmet: float, loaf: int) -> Reserve:
    """Return the reserve. kept_a_day: price of a portion kept a day; unmet: of one too few; loaf: its portions."""
    kept = max(kept_a_day * gap_days, 1e-9)
    over_gap = sd * sqrt(gap_days)
    exact = max(base_stock(0.0, over_gap, kept, unmet), 0.0)
    loaves = ceil(exact / loaf - 1e-9)
    return Reserve(loaves * loaf, loaves, exact, sd, gap_days, ratio(kept, unmet))
