"""How fast, how large, how near to proven: printed, never asserted. Run `pytest -n 0 -m benchmark -s tests/benchmarks`.

Times are ratios to importing the libraries in a fresh process (`measure.IMPORTS`), taken in the same run.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.measure import IMPORTS, Measured, fresh

pytestmark = pytest.mark.benchmark

SCHOOL_WEEK = """
import time
from datetime import datetime
from pathlib import Path
from rotation import week
from rotation.solve import Limits
home = week.load(Path("examples/school-week"))
understood = week.understand(home, datetime(2027, 3, 1, tzinfo=home.zone), {days})
first = []
begin = time.perf_counter()
def progress(said):
    if not first and not said.startswith("no plan"):
        first.append(time.perf_counter() - begin)
plan = week.plan_week(understood, Limits({limits}), progress).plan
print(time.perf_counter() - begin, (first or [0])[0], plan.gap, plan.status)
"""
HOME = """
import time
from rotation.errors import NothingPlanned
from rotation.solve import Limits, solve
from tests.solve.homes import home
problem = home({days}, {breads}, tail=4)
begin = time.perf_counter()
try:
    plan = solve(problem, Limits({limits}))
    print(time.perf_counter() - begin, 0, plan.gap, plan.status)
except NothingPlanned:
    print(time.perf_counter() - begin, 0, 1, "nothing")
"""
WITHOUT_SOLVING = """
import sys
from rotation import solve, week
from rotation.plan import Plan
import rotation.solve.planner
solve.solve = lambda problem, limits=None, progress=None: Plan()
week.keep = lambda *_: None
from rotation.commands import run
run(["plan", "--household", "examples/school-week", "--from", "2027-03-01", "--json"])
print()
"""


@pytest.fixture(scope="module")
def imports() -> Measured:
    return fresh(IMPORTS, times=3)


def _row(name: str, measured: Measured, imports: Measured) -> str:
    seconds, first, gap, status = measured.said[-1].split()
    times = f"{float(seconds) / imports.seconds:8.1f} x"
    soonest = f"{float(first) / imports.seconds:6.1f} x" if float(first) else "       -"
    return f"{name:34}{times}{soonest}{100 * float(gap):8.1f} %  {status:9}{measured.mb:6.0f} MB"


def _head(title: str, imports: Measured) -> None:
    print(f"\n{title}; 1 x = importing the libraries ({imports.seconds:.2f} s here)")
    print(f"{'':34}{'solving':>10}{'first':>8}{'gap':>10}  {'status':9}{'memory':>9}")


@pytest.mark.parametrize("days", [7, 14])
def test_school_week(days: int, imports: Measured) -> None:
    _head(f"school-week, {days} days", imports)
    for solver in ("highs", "cp-sat"):
        measured = fresh(SCHOOL_WEEK.format(days=days, limits=f"solver='{solver}'"))
        print(_row(f"default limits, {solver}", measured, imports))


def test_program_without_solving(imports: Measured) -> None:
    """Everything but the solver's work, on fourteen days: reading, understanding, checking, writing as JSON."""
    measured = fresh(WITHOUT_SOLVING, times=3)
    ratio, memory = measured.seconds / imports.seconds, f"{measured.mb:.0f} MB, the libraries alone {imports.mb:.0f}"
    print(f"\n`rotation plan` without solving: {ratio:.2f} x importing the libraries; {memory}")


def test_growth(imports: Measured) -> None:
    """Time to the proof, or the gap left, as breads and days grow; each also with the other solver tried first."""
    _head("homes of tests/solve/homes.py, default limits", imports)
    for breads in (1, 2, 3):
        for days in (7, 14, 28):
            for solver in ("highs", "cp-sat"):
                code = HOME.format(days=days, breads=breads, limits=f"solver='{solver}'")
                print(_row(f"{breads} breads, {days} days, {solver}", fresh(code), imports), flush=True)
