"""Two rivals on the same homes, in the same run: seconds of processors until a plan is within 5 % of the best bound.

One flat model with optional intervals in CP-SAT (tests/rivals/flat.py, eight workers) and a time-indexed programme in
HiGHS (tests/rivals/indexed.py, quarters of an hour), each begun from "nothing is baked", each plan held to our checker
and priced by our costs; ours at its usual work. The bound is the best of ours and of CP-SAT's. A plan counts from when
it was found, building the model included. Printed, never asserted.

`ROTATION_RIVALS_SECONDS` is what each rival may use of processors (120), `ROTATION_RIVALS_AT_ONCE` how many processes
work beside each other (1): `pytest -n 0 -m benchmark -s tests/benchmarks/test_rivals.py`.
"""

from __future__ import annotations

import json
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import pytest

from tests.benchmarks.measure import fresh

pytestmark = pytest.mark.benchmark

HOMES = [(days, breads) for days in (7, 14) for breads in (1, 2, 3)]
TAIL, NEAR = 4, 0.05

OURS = """
import json
from rotation.rules.checked import broken
from tests.benchmarks.solving import watched
from tests.solve.homes import home
problem = home({days}, {breads}, tail={tail})
steps, plan, seconds = watched(problem)
print(json.dumps([steps, plan.tiers[-1].bound, seconds, len(broken(problem, plan)), plan.total]))
"""
RIVAL = """
import json
from rotation.rules.checked import broken
from tests.rivals.{by} import solved
from tests.solve.homes import home
problem = home({days}, {breads}, tail={tail})
found = solved(problem, {seconds})
faults, total = (len(broken(problem, found.plan)), found.plan.total) if found.plan else (0, None)
print(json.dumps([found.steps, found.bound, found.seconds, faults, total]))
"""
CODES = {"ours": OURS, "CP-SAT": RIVAL.replace("{by}", "by_cpsat"), "HiGHS": RIVAL.replace("{by}", "by_highs")}


@dataclass(frozen=True)
class Row:
    """What one solver came to: (seconds, cost) of each better plan, its bound, all seconds, rules broken, its cost."""

    steps: list[tuple[float, int]]
    bound: int | None
    seconds: float
    faults: int
    total: int | None
    mb: float

    def within(self, bound: int) -> float | None:
        """Return the seconds until a plan was near enough to a bound."""
        return next((at for at, cost in self.steps if cost - bound <= NEAR * abs(cost)), None)


def _row(days: int, breads: int, name: str) -> Row:
    seconds = os.environ.get("ROTATION_RIVALS_SECONDS", "120")
    measured = fresh(CODES[name].format(days=days, breads=breads, tail=TAIL, seconds=seconds))
    row = Row(*json.loads(measured.said[-1]), measured.mb)
    print(f"\n{name}, {days} days, {breads} breads: {row}", flush=True)
    return row


def test_rivals() -> None:
    asked = [(days, breads, name) for days, breads in HOMES for name in CODES]
    with ThreadPoolExecutor(int(os.environ.get("ROTATION_RIVALS_AT_ONCE", "1"))) as pool:
        rows = dict(zip(asked, pool.map(lambda of: _row(*of), asked), strict=True))
    print(f"\nseconds of processors to {NEAR:.0%} of the best bound, and what was left at the end")
    for days, breads in HOMES:
        of = {name: rows[days, breads, name] for name in CODES}
        bound = max(row.bound for row in of.values() if row.bound is not None)
        ours = of["ours"].within(bound)
        said = []
        for name, row in of.items():
            at = row.within(bound)
            gap = "no plan" if row.total is None else f"{(row.total - bound) / max(1, abs(row.total)):.1%}"
            when = f"not in {row.seconds:.0f} s" if at is None else f"{at:.1f} s"
            times = f", {(at or row.seconds) / ours:.0f} x" if ours and name != "ours" else ""
            said.append(f"{name} {when}{times} (end {row.seconds:.0f} s: {gap}, {row.mb:.0f} MB, {row.faults} faults)")
        print(f"{days} days, {breads} breads, bound {bound}: {'; '.join(said)}", flush=True)
