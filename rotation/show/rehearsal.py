"""A rehearsal on one page: figures side by side, what the planner does better or worse, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.rehearsal.report import Compared, Difference, Rehearsed, Report, marks, more_or_fewer

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
    ("changes within 7 days, a week", "changes", ".1f"),
    ("effort minutes a week", "effort", ".0f"),
)
"""What is told of each policy: words, figure, digits."""

FEW = 4
"""Weeks below which nothing is said of how sure a difference is."""

WORDS = 30
COLUMN = 15


def page(came: Rehearsed, said: str, weeks: int, times: int, *, over: bool = False) -> Iterator[str]:
    """Yield the lines. said: the scenario in words; times: how often it was lived; over: the weeks are over."""
    of, runs = came.report, "" if times == 1 else f", {times} times"
    number = f"{weeks} weeks" if weeks > 1 else "one week"
    yield f"Rehearsed: {said}, {'the last ' if over else ''}{number}{runs}. The same chance for all."
    if over:
        yield from _known(came)
    yield ""
    yield from _in_short(of)
    yield ""
    yield " " * WORDS + "".join(f"{row.name[: COLUMN - 1]:>{COLUMN}}" for row in of.rows)
    for words, name, digits in ROWS:
        yield f"{words:<{WORDS}}" + "".join(f"{_shown(row, name, digits):>{COLUMN}}" for row in of.rows)
    yield ""
    yield from (f"{name}: {said}" for name, said in came.rules.items())
    yield ""
    yield f"Against {of.best.name}, the best rule of thumb here, the planner has a week:"
    for name, unit, per in (
        ("hands", "min of hands", 1.0), ("unmet", "slices unmet", 1.0), ("wasted", "slices wasted", 1.0),
        ("effort", "effort minutes", 1000.0),
    ):  # fmt: skip
        yield f"  {_difference(of.against_best(name), unit, per, len(of.planner.weeks))}"
    yield ""
    for mark in marks(of):
        yield f"  {'reached' if mark.reached else 'missed ':<8} {mark.said}"
    yield ""
    yield "What was left out: tastes, days off, and what a person sees at a glance. Prices are those of your settings."


def work(came: Rehearsed) -> str:
    """Return what it took."""
    return f"a plan took the planner {came.seconds:.1f} s of a processor on average, with all that was done by it"


def _known(came: Rehearsed) -> Iterator[str]:
    """Yield what of weeks that are over is as it was, and what is not."""
    yield "Events and guests as your calendars have them; when guests were announced, and late dough, are by chance."
    if came.known:
        yield f"What was really eaten is known of {came.known} of {came.days} days (warm-up too); else it is as usual,"
        yield "with chance. The freezer begins as it was then."
    else:
        yield "The ledger does not know what was eaten then: it is as usual, with chance."


def _in_short(of: Report) -> Iterator[str]:
    """Yield the result in two sentences."""
    ours, theirs = of.planner.figures, of.best.figures
    less = 1 - ours.hands / theirs.hands if theirs.hands else 0.0
    yield (
        f"In short: by the plan bread takes {ours.hands:.1f} hours of hands a week, {more_or_fewer(less)} than by "
        f"“{of.best.name}”,"
    )
    yield (
        f"the best rule here. Of 100 slices wanted {ours.unmet:.1f} are missing, {theirs.unmet:.1f} by the rule; "
        f"wasted are {ours.wasted:.2f} and {theirs.wasted:.2f} loaves a week."
    )


def _shown(of: Compared, name: str, digits: str) -> str:
    if name in ("age", "fresh") and not any(week.eaten for week in of.weeks):
        return "all toasted"
    value = getattr(of.figures, name) * (100 if name == "fresh" else 1)
    return f"{value:{digits}}"


def _difference(of: Difference, unit: str, per: float, weeks: int) -> str:
    low, high = of.low / per, of.high / per
    sure = "; that may be chance" if low < 0 < high else ""
    more = "more" if of.mean >= 0 else "fewer"
    said = f"{abs(of.mean) / per:.0f} {more} {unit}"
    if weeks < FEW:
        return f"{said} (too few weeks to say how sure that is)"
    return f"{said} (95 %: {low:+.0f} to {high:+.0f}{sure})"
