"""The set of sixty (tests/solve/sixty.py): first plan, end, gap and memory of each, and how they grow.

Printed, never asserted; times are ratios to importing the libraries in a fresh process of the same run. Takes half an
hour on two cores: `pytest -n 0 -m benchmark -s tests/benchmarks/test_sixty.py`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from statistics import median

import pytest

from tests.benchmarks.measure import IMPORTS, fresh
from tests.solve.sixty import COUNT, Case, case

pytestmark = pytest.mark.benchmark

SOLVED = """
import time
from dataclasses import replace
from rotation.far import after
from rotation.solve import limits, solve
from rotation.solve.sketching import sketch
from tests.solve.sixty import case, problem
of = case({number})
near = problem(replace(of, days=min(of.days, 28)))
first, begin = [], time.perf_counter()
def progress(said):
    if not first and not said.startswith("no plan"):
        first.append(time.perf_counter() - begin)
plan = solve(near, limits("quick"), progress)
if of.days > 28:
    sketch(after(problem(of), near, plan), 28)
print(time.perf_counter() - begin, (first or [0])[0], plan.gap, plan.status)
"""

Row = tuple[Case, float, float, float, float]
"""A case, solving and the first plan in times the imports, the gap, MB."""


def test_sixty() -> None:
    imports, rows = fresh(IMPORTS, times=3), list[Row]()
    print(f"\nwork: quick; 1 x = importing the libraries ({imports.seconds:.2f} s here)")
    for number in range(COUNT):
        of, measured = case(number), fresh(SOLVED.format(number=number))
        seconds, first, gap, status = measured.said[-1].split()
        left = 1.0 if gap == "None" else float(gap)
        rows.append((of, float(seconds) / imports.seconds, float(first) / imports.seconds, left, measured.mb))
        times = f"first {rows[-1][2]:6.1f} x, end {rows[-1][1]:6.1f} x"
        print(f"{of!s:<75} {times}, gap {100 * left:5.1f} %, {measured.mb:4.0f} MB  {status}", flush=True)
    _growth("days", rows, lambda of: of.days)
    _growth("breads", rows, lambda of: of.breads)


def _growth(name: str, rows: list[Row], key: Callable[[Case], int]) -> None:
    """Print the medians by one of the numbers of a case."""
    groups: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        groups[key(row[0])].append(row)
    for value, group in sorted(groups.items()):
        end, first, gap, mb = (median(column) for column in list(zip(*group, strict=True))[1:])
        said = f"first {first:6.1f} x, end {end:6.1f} x, gap {100 * gap:5.1f} %, {mb:4.0f} MB"
        print(f"{name} {value:>3} ({len(group):>2} homes): {said}")
