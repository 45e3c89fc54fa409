"""Run a piece of Python in a fresh process: seconds it took, memory at its peak, what it printed."""

from __future__ import annotations

import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
IMPORTS = "import ortools.sat.python.cp_model, icalendar, pydantic, typer"
"""What the program cannot do without: the yardstick of its own share."""

REPORT = "\nimport resource\nprint('peak', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"


@dataclass(frozen=True)
class Measured:
    """seconds: of the clock; mb: most memory held; said: its output."""

    seconds: float
    mb: float
    said: list[str]


def fresh(code: str, times: int = 1) -> Measured:
    """Return the fastest of some runs of a piece of code, each in its own process."""
    return min((_once(code) for _ in range(times)), key=lambda measured: measured.seconds)


def _once(code: str) -> Measured:
    begin = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code + REPORT], cwd=ROOT, capture_output=True, text=True, check=True)
    seconds = time.perf_counter() - begin
    *said, peak = done.stdout.splitlines()
    return Measured(seconds, int(peak.split()[-1]) / 1024, said)
