"""How much work a solve may do, in words: a quick look, the usual, or a thorough search."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rotation.solve.days import Limits

TIMES: Mapping[str, float] = {"quick": 0.25, "usual": 1.0, "thorough": 8.0}
"""How many times the usual work each may do; a quick look twice that for plans, and half for a bound."""


def limits(work: str) -> Limits:
    """Return the limits of a kind of work. Raises KeyError for one there is not."""
    usual, times = Limits(), TIMES[work]
    return replace(
        usual,
        days=usual.days * (times if times >= 1 else times / 2),
        better=usual.better * (times if times >= 1 else times * 2),
        minutes=usual.minutes * max(times, 1.0),  # less would lose plans, not time
        mends=round(usual.mends * max(times / 4, 1.0)),
        rounds=max(round(usual.rounds * times), 1),
        ties=usual.ties * (times if times >= 1 else 0.0),
    )
