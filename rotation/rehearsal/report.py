"""What a rehearsal comes to: figures side by side, differences in pairs and how sure they are, and the marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from statistics import fmean

from rotation.rehearsal.measures import Figures, Week, figures

RESAMPLES = 2000
SHARE = 0.95

MORE = {"unmet": 0.2, "wasted": 0.05, "age": 0.1}
"""Marks: by how much at most the planner may be worse than the best rule, by figure."""

HANDS, CHANGES = 0.9, 0.5
"""Marks: the part of the best rule's hands the planner may take at most; changes a week it has to stay under."""


@dataclass(frozen=True)
class Difference:
    """A mean difference in pairs, with the ends of its bootstrap interval."""

    mean: float
    low: float
    high: float


def bootstrap(values: Sequence[float], seed: int = 1, resamples: int = RESAMPLES) -> Difference:
    """Return the mean of paired differences, and the percentile interval of 95 % from resampling the pairs.

    Raises ValueError where there are none.
    """
    if not values:
        raise ValueError("no pairs to compare")
    draw, number = Random(seed), len(values)
    means = sorted(fmean(draw.choices(values, k=number)) for _ in range(resamples))
    cut = round((1 - SHARE) / 2 * resamples)
    return Difference(fmean(values), means[cut], means[-1 - cut])


def paired(ours: Sequence[Week], theirs: Sequence[Week], name: str) -> Difference:
    """Return by how much one measure differs, week by week of the same chance."""
    return bootstrap([getattr(a, name) - getattr(b, name) for a, b in zip(ours, theirs, strict=True)])


def mean_of(weeks: Sequence[Week], name: str) -> float:
    """Return the mean of one measure over some weeks."""
    return fmean(getattr(week, name) for week in weeks)


@dataclass(frozen=True)
class Compared:
    """One policy's figures, all of its weeks."""

    name: str
    figures: Figures
    weeks: tuple[Week, ...]


@dataclass(frozen=True)
class Report:
    """What a household reads. rows: the planner first, then rules of thumb, the best of them first."""

    scenario: str
    portions: float
    rows: tuple[Compared, ...]

    @property
    def planner(self) -> Compared:
        """The planner's row."""
        return self.rows[0]

    @property
    def best(self) -> Compared:
        """The rule of thumb that costs least effort."""
        return self.rows[1]

    def against_best(self, name: str) -> Difference:
        """Return by how much the planner differs from the best rule in one measure, a week."""
        return paired(self.planner.weeks, self.best.weeks, name)


@dataclass(frozen=True)
class Rehearsed:
    """What came of a rehearsal. rules: what each rule of thumb was tuned to, in words.

    first: the first day that is counted, after so many weeks to warm up (`warm`); weeks: counted, so many `times`;
    over: they are over; known: days of all of them of which is known what was eaten; seconds: of a processor for a
    plan.
    """

    report: Report
    rules: dict[str, str]
    first: date
    warm: int
    weeks: int
    times: int
    over: bool
    known: int
    seconds: float

    @property
    def days(self) -> int:
        """All days that were lived."""
        return 7 * (self.warm + self.weeks)

    @property
    def last(self) -> date:
        """The last day that is counted."""
        return self.first + timedelta(days=7 * self.weeks - 1)


def report(scenario: str, lived: Mapping[str, tuple[Week, ...]], planner: str, portions: float) -> Report:
    """Return the report of runs under one chance, by policy."""
    rows = [Compared(name, figures(weeks, portions), weeks) for name, weeks in lived.items()]
    first = next(row for row in rows if row.name == planner)
    rest = sorted((row for row in rows if row is not first), key=lambda row: (row.figures.effort, row.name))
    return Report(scenario, portions, (first, *rest))


@dataclass(frozen=True)
class Mark:
    """One thing the planner is to reach against the best rule. name: of a figure; most: what ours may be at most."""

    name: str
    ours: float
    theirs: float
    most: float
    reached: bool


def marks(of: Report) -> tuple[Mark, ...]:
    """Return what the planner was to reach (the marks were set before any run), and what it did."""
    ours, theirs = of.planner.figures, of.best.figures
    most = {
        **{name: getattr(theirs, name) + more for name, more in MORE.items()},
        "hands": HANDS * theirs.hands,
        "changes": CHANGES,
    }

    def mark(name: str) -> Mark:
        value = getattr(ours, name)
        reached = value < most[name] if name == "changes" else value <= most[name]
        return Mark(name, value, getattr(theirs, name), most[name], reached)

    return tuple(map(mark, most))
