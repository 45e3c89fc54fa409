"""When a fed starter stands at its peak: the more seed and the warmer, the sooner; and when a bulk is ready."""

from __future__ import annotations

from math import exp, log

from rotation.fermentation.rates import rate

_MINUTES_AT_BEST = 195.0
"""Minutes at the best temperature in which a starter's flour is eaten e-fold: one fed with 20 % seed then stands domed
after eleven hours at 21 degC, one fed with its own weight each of flour and water after about five (common practice, no
published source)."""

SLACK = 0.2
"""A starter may well take a fifth less or more (common practice, no published source)."""


def minutes_to_peak(seed_percent: float, degc: float, seed_flour_share: float = 0.5) -> float:
    """Return the minutes from the feed until a starter is at its peak.

    seed_percent: ripe starter by the fresh flour; seed_flour_share: flour in the seed, half of it at a hydration of
    100 %. It grows by the same factor in the same time until all flour is taken, so the time goes with the logarithm of
    all flour by the seed's. Raises OutsideRange where nothing is known of the temperature, ValueError without seed.
    """
    if seed_percent <= 0:
        raise ValueError("A starter without seed does not rise.")
    all_by_seed = 1 + 100 / (seed_percent * seed_flour_share)
    return _MINUTES_AT_BEST * log(all_by_seed) / rate(degc, "starter")


def rise_percent(degc: float) -> float:
    """Return by how much a bulk of this temperature has risen when it is ready: half, a quarter if it is warm (T08).

    Warm dough goes on while it is shaped. In between, from 22 to 27 degC, in proportion.
    """
    return min(max(50 - 25 * (degc - 22) / 5, 25.0), 50.0)


def seed_for(minutes: float, degc: float, seed_flour_share: float = 0.5) -> float:
    """Return the seed in per cent of the fresh flour for a starter that is to be ripe in so many minutes."""
    return 100 / seed_flour_share / (exp(minutes * rate(degc, "starter") / _MINUTES_AT_BEST) - 1)
