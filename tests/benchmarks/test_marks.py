"""The marks of speed, as medians over homes of one to three breads and two adults, with and without a reserve.

Seconds of one processor, columns and all: a week to its proof, two weeks to within 2 % and to the proof, four weeks to
within 5 %, twelve (a sketch beyond the fourth) to the end. Near is measured against the bound a solve ends with; what
is not reached counts as longer than the whole solve (>). The reserve is the one that a household has by default
(`intake/worth.py`). Printed, never asserted; importing the libraries is printed beside it as a yardstick. Half an hour:
`pytest -n 0 -m benchmark -s tests/benchmarks/test_marks.py`; `ROTATION_MARKS_SEEDS` (3) is how many homes of each.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from statistics import median

import pytest

from tests.benchmarks.measure import IMPORTS, fresh

pytestmark = pytest.mark.benchmark

SEEDS = range(1, 1 + int(os.environ.get("ROTATION_MARKS_SEEDS", "3")))
BREADS = (1, 2, 3)
SOLVED = """
import json, time
from dataclasses import replace
from pathlib import Path
from rotation.far import after
from rotation.household.reading import read_home
from rotation.intake import worth
from rotation.solve.sketching import sketch
from tests.benchmarks.solving import watched
from tests.solve.homes import home
settings = read_home(Path("examples/school-week")).settings
def made(days):
    of = home(days, {breads}, seed={seed}, tail=4)
    kept = worth.reserve(of.breads, settings, of.meals, (), of.days) if {reserve} else ()
    return replace(of, reserve=kept)
problem = made(min({days}, 28))
steps, plan, seconds = watched(problem)
begin = time.process_time()
if {days} > 28:
    sketch(after(made({days}), problem, plan), 28)
print(json.dumps([steps, plan.tiers[-1].bound, seconds + time.process_time() - begin, plan.status == "optimal"]))
"""


@dataclass(frozen=True)
class Solved:
    """(seconds, cost) of each better plan, the bound at the end, all seconds, whether it is proven."""

    steps: list[tuple[float, int]]
    bound: int
    seconds: float
    proven: bool

    def within(self, share: float) -> float | None:
        """Return the seconds until a plan was so near to the bound."""
        return next((at for at, cost in self.steps if cost - self.bound <= share * abs(cost)), None)

    @property
    def proof(self) -> float | None:
        """The seconds until it was proven."""
        return self.seconds if self.proven else None

    @property
    def gap(self) -> float:
        """The share of the cost that is open."""
        return (self.steps[-1][1] - self.bound) / abs(self.steps[-1][1])


def _median(reached: list[float | None], solved: list[Solved]) -> str:
    """Return the middle one of the seconds, "> " before it where that one was not reached."""
    kept = sorted((one.seconds if at is None else at, at is None) for at, one in zip(reached, solved, strict=True))
    seconds, missed = kept[len(kept) // 2]
    return f"{'> ' if missed else ''}{seconds:.1f} s ({sum(at is not None for at in reached)} of {len(kept)})"


@pytest.mark.parametrize("reserve", [False, True], ids=["no reserve", "a reserve"])
@pytest.mark.parametrize("days", [7, 14, 28, 84])
def test_marks(days: int, reserve: bool) -> None:
    solved = []
    for breads in BREADS:
        for seed in SEEDS:
            code = SOLVED.format(days=days, breads=breads, seed=seed, reserve=reserve)
            solved.append(Solved(*json.loads(fresh(code).said[-1])))
            one = solved[-1]
            print(
                f"\n{days} days, {breads} bread(s), seed {seed}: {one.seconds:.1f} s, gap {one.gap:.1%}",
                end="",
                flush=True,
            )
    marks: dict[str, list[float | None]] = {
        "first plan": [one.steps[0][0] for one in solved],
        "within 5 %": [one.within(0.05) for one in solved],
        "within 2 %": [one.within(0.02) for one in solved],
        "proven": [one.proof for one in solved],
        "end": [one.seconds for one in solved],
    }
    said = ", ".join(f"{name} {_median(reached, solved)}" for name, reached in marks.items())
    print(
        f"\n{days} days, {'a' if reserve else 'no'} reserve, medians: {said}; gap {median(o.gap for o in solved):.1%}"
    )
    print(f"importing the libraries: {fresh(IMPORTS, times=3).seconds:.2f} s")
