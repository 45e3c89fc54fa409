"""The set of sixty (tests/solve/sixty.py): first plan, end, gap and memory of each, and how they grow.

Printed, never asserted. A case is solved in a process of its own, with as much work as `--work quick`, however large
it is. Seconds are of one processor, those of importing the libraries printed beside them as a yardstick. Rows are kept
in `sixty-<work>.csv` in the folder `ROTATION_SIXTY` names (the system's for what may go, if it names none), so that a
run that was broken off goes on where it stood: remove the file to measure anew. `ROTATION_SIXTY_UNTIL=21:40` begins no
case after that time of day. About forty minutes: `pytest -n 0 -m benchmark -s tests/benchmarks/test_sixty.py`.
"""

from __future__ import annotations

import csv
import os
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from statistics import median

import pytest

from tests.benchmarks.measure import IMPORTS, fresh
from tests.solve.sixty import COUNT, Case, case

pytestmark = pytest.mark.benchmark

WORK = "quick"
SOLVED = """
import time
begin = time.process_time()
from dataclasses import replace
from rotation.errors import NothingPlanned
from rotation.far import after
from rotation.solve import limits, solve
from rotation.solve.sketching import sketch
from tests.solve.sixty import case, problem
of = case({number})
near = problem(replace(of, days=min(of.days, 28)))
first, begin = [], time.process_time()
def progress(said):
    if not first and not said.startswith("no plan"):
        first.append(time.process_time() - begin)
plan = solve(near, limits("{work}"), progress)
end = time.process_time() - begin
if of.days > 28:
    sketch(after(problem(of), near, plan), 28)
print((first or [end])[0], end, time.process_time() - begin - end, -1 if plan.gap is None else plan.gap, plan.status)
"""


@dataclass(frozen=True)
class Row:
    """What was measured of a case: seconds of one processor until the first plan, the last, for the sketch after it.

    gap: share of the cost, below zero where no bound is known; mb: most memory held.
    """

    number: int
    first: float
    end: float
    sketch: float
    gap: float
    mb: float
    status: str

    @property
    def case(self) -> Case:
        """The numbers of its home."""
        return case(self.number)

    def __str__(self) -> str:
        """Return one line."""
        seconds = f"first {self.first:6.1f} s, end {self.end:6.1f} s, sketch {self.sketch:5.1f} s"
        return f"{self.case!s:<75} {seconds}, gap {100 * self.gap:6.1f} %, {self.mb:4.0f} MB  {self.status}"


def _kept() -> Path:
    folder = Path(os.environ.get("ROTATION_SIXTY", tempfile.gettempdir()))
    return folder / f"sixty-{WORK}.csv"


def _read(file: Path) -> list[Row]:
    """Return the rows of runs before this one."""
    if not file.exists():
        return []
    with file.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    return [
        Row(int(row["number"]), *(float(row[key]) for key in ("first", "end", "sketch", "gap", "mb")), row["status"])
        for row in rows
    ]


def _write(file: Path, rows: Iterable[Row]) -> None:
    with file.open("w", newline="", encoding="utf-8") as lines:
        out = csv.writer(lines)
        out.writerow(field.name for field in fields(Row))
        out.writerows(astuple(row) for row in rows)


def _measured(number: int) -> Row:
    measured = fresh(SOLVED.format(number=number, work=WORK))
    first, end, sketch, gap, status = measured.said[-1].split()
    return Row(number, float(first), float(end), float(sketch), float(gap), measured.mb, status)


def test_sixty() -> None:
    file, imports = _kept(), fresh(IMPORTS, times=3)
    rows, until = _read(file), os.environ.get("ROTATION_SIXTY_UNTIL", "")
    print(f"\nwork: {WORK}; rows in {file}; importing the libraries takes {imports.seconds:.2f} s of the clock here")
    known = {row.number for row in rows}
    for number in _spread():
        if number in known:
            continue
        if until and time.strftime("%H:%M") >= until:
            print(f"stopped at {until}: {COUNT - len(rows)} cases are left")
            break
        rows.append(_measured(number))
        _write(file, sorted(rows, key=lambda row: row.number))
        print(rows[-1], flush=True)
    for row in sorted(rows, key=lambda row: row.number):
        print(row)
    _growth("days", rows, lambda of: of.days)
    _growth("breads", rows, lambda of: of.breads)
    _growth("people", rows, lambda of: of.people)


def _spread() -> list[int]:
    """Return the cases in an order in which whatever was done first tells of all sizes."""
    return sorted(range(COUNT), key=lambda number: (number % 12, number))


def _growth(name: str, rows: list[Row], key: Callable[[Case], int]) -> None:
    """Print the medians by one of the numbers of a case."""
    groups: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        groups[key(row.case)].append(row)
    for value, group in sorted(groups.items()):
        first, end, sketch, gap, mb = (
            median(column)
            for column in zip(*((row.first, row.end, row.sketch, row.gap, row.mb) for row in group), strict=True)
        )
        worst = max(row.first for row in group)
        said = f"first {first:6.1f} s (at most {worst:5.1f}), end {end:6.1f} s, sketch {sketch:5.1f} s"
        print(f"{name} {value:>3} ({len(group):>2} homes): {said}, gap {100 * gap:5.1f} %, {mb:4.0f} MB")
