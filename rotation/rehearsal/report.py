"""What a rehearsal comes to: figures side by side, differences in pairs and how sure they are, and the marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean

from rotation.rehearsal.measures import Figures, Week, figures

RESAMPLES = 2000
SHARE = 0.95


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

    known: days of which is known what was eaten, of `days` (weeks that are over); seconds: of a processor for a plan.
    """

    report: Report
    rules: dict[str, str]
    known: int
    days: int
    seconds: float


def report(scenario: str, lived: Mapping[str, tuple[Week, ...]], planner: str, portions: float) -> Report:
    """Return the report of runs under one chance, by policy."""
    rows = [Compared(name, figures(weeks, portions), weeks) for name, weeks in lived.items()]
    first = next(row for row in rows if row.name == planner)
    rest = sorted((row for row in rows if row is not first), key=lambda row: (row.figures.effort, row.name))
    return Report(scenario, portions, (first, *rest))


@dataclass(frozen=True)
class Mark:
    """One thing the planner is to reach against the best rule. reached: whether it does; said: with figures."""

    said: str
    reached: bool


def more_or_fewer(less: float) -> str:
    """Return by how much something is less, as a share, in words."""
    return f"{abs(100 * less):.0f} % {'fewer' if less >= 0 else 'more'}"


def marks(of: Report) -> tuple[Mark, ...]:
    """Return what the planner was to reach (the marks were set before any run), and what it did."""
    ours, theirs = of.planner.figures, of.best.figures
    less = 1 - ours.hands / theirs.hands if theirs.hands else 0.0
    return (
        Mark(f"unmet: {ours.unmet:.1f} of 100 slices, {theirs.unmet:.1f} by the rule (0.2 more at most)",
             ours.unmet <= theirs.unmet + 0.2),
        Mark(f"waste: {ours.wasted:.2f} loaves a week, {theirs.wasted:.2f} by the rule (0.05 more at most)",
             ours.wasted <= theirs.wasted + 0.05),
        Mark(f"age: {ours.age:.2f} days, {theirs.age:.2f} by the rule (0.1 more at most)",
             ours.age <= theirs.age + 0.1),
        Mark(f"hands: {more_or_fewer(less)} hours than by the rule (10 % fewer at least)", less >= 0.1),
        Mark(f"changes: {ours.changes:.1f} a week (under 0.5)", ours.changes < 0.5),
    )  # fmt: skip
