"""A rehearsal on one page: figures side by side, what the planner does better or worse, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.rehearsal.measures import Figures
from rotation.rehearsal.report import Difference, Report, marks

ROWS = (
    ("slices unmet, of 100", "unmet", ".1f"),
    ("of guests, slices a week", "guests", ".1f"),
    ("loaves wasted a week", "wasted", ".2f"),
    ("hands, hours a week", "hands", ".1f"),
    ("  of them at bad hours", "bad_hands", ".1f"),
    ("bakes a week", "bakes", ".1f"),
    ("oven heated up, a week", "heat_ups", ".1f"),
    ("kWh a week (assumed)", "kwh", ".1f"),
    ("age when eaten, days", "age", ".2f"),
    ("eaten within a day, of 100", "fresh", ".0f"),
    ("effort minutes a week", "effort", ".0f"),
)
"""What is told of each policy: words, figure, digits."""

WORDS = 28
COLUMN = 15


def page(of: Report, said: str, weeks: int, seeds: int, figures_of: dict[str, str]) -> Iterator[str]:
    """Yield the lines. said: the scenario in words; figures_of: of each rule of thumb, what it was tuned to."""
    runs = "" if seeds == 1 else f", {seeds} times"
    yield f"Rehearsed: {said}, {weeks} weeks{runs}. The same chance for all."
    yield ""
    yield " " * WORDS + "".join(f"{row.name[: COLUMN - 1]:>{COLUMN}}" for row in of.rows)
    for words, name, digits in ROWS:
        yield f"{words:<{WORDS}}" + "".join(f"{_shown(row.figures, name, digits):>{COLUMN}}" for row in of.rows)
    yield ""
    yield from (f"{name}: {said}" for name, said in figures_of.items())
    yield ""
    yield f"Against {of.best.name}, the best rule of thumb here, the planner has a week:"
    for name, unit, per in (
        ("hands", "min of hands", 1.0), ("unmet", "slices unmet", 1.0), ("wasted", "slices wasted", 1.0),
        ("effort", "effort minutes", 1000.0),
    ):  # fmt: skip
        yield f"  {_difference(of.against_best(name), unit, per)}"
    yield ""
    for mark in marks(of):
        yield f"  {'reached' if mark.reached else 'missed ':<8} {mark.said}"
    yield ""
    yield "What was left out: tastes, days off, and what a person sees at a glance. Prices are those of your settings."


def _shown(of: Figures, name: str, digits: str) -> str:
    value = getattr(of, name) * (100 if name == "fresh" else 1)
    return f"{value:{digits}}"


def _difference(of: Difference, unit: str, per: float) -> str:
    low, high = of.low / per, of.high / per
    sure = "" if low * high > 0 else "; that may be chance"
    more = "more" if of.mean >= 0 else "fewer"
    return f"{abs(of.mean) / per:.0f} {more} {unit} (95 %: {low:+.0f} to {high:+.0f}{sure})"
