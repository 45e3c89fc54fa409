"""A rule of thumb at its best: its figures are moved one at a time, on training seeds, while the effort falls."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from rotation.errors import CheckFailed
from rotation.rehearsal.habits import FIXED, FORTNIGHT, SHORT, UP_TO, Figures, Habit
from rotation.rehearsal.runs import HABIT_DAYS, Stage, run
from rotation.rehearsal.scenarios import TRAINING_SEEDS, Scenario

FIRST = {
    UP_TO: Figures(3, 7),
    SHORT: Figures(1, 6),
    FIXED: Figures(7, 7),
    FORTNIGHT: Figures(7, 10),
}
"""Where the search begins."""

LOWS = {
    UP_TO: (1.0, 2.0, 3.0, 4.0, 5.0, 7.0),
    SHORT: (0.0, 1.0, 2.0, 3.0),
    FIXED: (2.0, 3.5, 7.0, 14.0),
    FORTNIGHT: (3.0, 5.0, 7.0),
}
HIGHS = (3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 16.0)
TRAINING_WARM, TRAINING_WEEKS = 2, 8
UNFIT = 10.0**12


def tuned(
    stage: Stage, scenario: Scenario, kind: str, seeds: tuple[int, ...] = TRAINING_SEEDS, rounds: int = 2,
    tried: Callable[[Figures, float], None] | None = None,
) -> Habit:  # fmt: skip
    """Return a rule of thumb with the figures that cost least effort over the training seeds."""
    warm = min(stage.warm, TRAINING_WARM)
    training = replace(stage, warm=warm, weeks=min(TRAINING_WEEKS, stage.warm + stage.weeks - warm))
    known: dict[Figures, float] = {}

    def cost(figures: Figures) -> float:
        if figures not in known:
            try:
                lived = (run(training, scenario, seed, Habit(kind, figures), HABIT_DAYS) for seed in seeds)
                known[figures] = sum(week.effort for each in lived for week in each)
            except CheckFailed:
                known[figures] = UNFIT
            if tried is not None:
                tried(figures, known[figures])
        return known[figures]

    best = FIRST[kind]
    for _ in range(rounds):
        before = best
        for options in _options(kind):
            best = min((best, *options(best)), key=cost)
        if best == before:
            break
    return Habit(kind, best)


def _options(kind: str) -> Iterator[Callable[[Figures], list[Figures]]]:
    """Yield the ways to move each figure."""
    yield lambda at: [replace(at, high=high) for high in HIGHS if kind != UP_TO or high > at.low]
    yield lambda at: [replace(at, low=low) for low in LOWS[kind] if kind != UP_TO or low < at.high]
    yield lambda at: [replace(at, sliced=not at.sliced)]
    yield lambda at: [replace(at, spare=spare) for spare in (0, 1, 2)]
