"""How fast the heat model is: printed, never asserted. Run `pytest -n 0 -m benchmark -s tests/benchmarks`.

The yardstick is the same loaf on the same mesh stepped by the plainest explicit scheme, in the same run: 1 x is
what it takes to thaw a loaf of 620 g for four hours. Its core must come out the same, or the ratio means nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from rotation.heat.answering import answer
from rotation.heat.asked import BakePart, PartBake, Question, Way
from rotation.heat.cache import answers
from rotation.heat.cases import BEST, FINE, body, thawed, through
from rotation.heat.conduction import Body, Stay, run
from rotation.heat.shape import Loaf

pytestmark = pytest.mark.benchmark

LOAF = Loaf("batard", 620)
FOUR_HOURS = Stay(240.0, 21.0, 6.5)
WHOLE = Question(
    Loaf("round", 780),
    ways=(
        Way("worktop", "worktop", ((220, 18),), 15),
        Way("fridge", "fridge", ((220, 18),), 15),
        Way("frozen", "none", ((150, 30), (230, 20)), 30, open=True),
    ),
    part_bake=PartBake((BakePart(230, 20, True), BakePart(230, 240)), 24.0),
)


def explicit(loaf: Body, stay: Stay) -> float:
    """Return the core after a stay, by Euler's steps as long as they may be; degC."""
    tables, mesh, mass = loaf.crumb.tables, loaf.mesh, loaf.crumb.density * loaf.mesh.volumes
    held = loaf.uniform(-18.0)
    slope = (np.diff(tables.integral) / np.diff(tables.enthalpy)).max()
    warming = (np.diff(tables.degc) / np.diff(tables.enthalpy)).max()
    fastest = (-np.diag(mesh.flow) * slope + stay.h * mesh.surfaces * warming) / mass
    steps = int(np.ceil(60 * stay.minutes * fastest.max()))
    seconds = 60 * stay.minutes / steps
    for _ in range(steps):
        degc = np.interp(held, tables.enthalpy, tables.degc)
        gained = mesh.flow @ np.interp(held, tables.enthalpy, tables.integral)
        held = held + seconds * (gained + stay.h * mesh.surfaces * (stay.air_degc - degc)) / mass
    return float(np.interp(held[0], tables.enthalpy, tables.degc))


def taken(what: Callable[[], object], times: int = 3) -> float:
    """Return the fewest seconds of a processor that something took, whatever else runs beside it."""
    seconds = []
    for _ in range(times):
        begin = time.process_time()
        what()
        seconds.append(time.process_time() - begin)
    return min(seconds)


def test_heat(tmp_path: Path) -> None:
    loaf = body(LOAF)
    plain, ours = explicit(loaf, FOUR_HOURS), run(loaf, loaf.uniform(-18.0), [FOUR_HOURS]).core
    assert plain == pytest.approx(ours, abs=0.2), "not the same thing is timed"
    yardstick = taken(lambda: explicit(loaf, FOUR_HOURS), 1)
    print(f"\nheat; 1 x = the plain explicit scheme, four hours of thawing ({yardstick:.2f} s here)")
    hot = [BEST.air("oven", 150, 30), BEST.air("oven", 230, 20)]
    rows: dict[str, Callable[[], object]] = {
        "the same four hours": lambda: run(loaf, loaf.uniform(-18.0), [FOUR_HOURS]),
        "one thaw in the fridge": lambda: thawed(LOAF, -18, "fridge", 6, 0, BEST, FINE),
        "one finish from frozen": lambda: through(LOAF, -18.0, hot, BEST, FINE),
        "all waits of one bread": lambda: answer(WHOLE),
    }
    for name, what in rows.items():
        seconds = taken(what, 1 if "all" in name else 3)
        print(f"{name:28}{seconds / yardstick:10.4f} x  {1000 * seconds:8.1f} ms")
    answers({"loaf": WHOLE}, tmp_path)
    seconds = taken(lambda: answers({"loaf": WHOLE}, tmp_path), 10)
    print(f"{'all waits from the cache':28}{seconds / yardstick:10.4f} x  {1000 * seconds:8.1f} ms")
