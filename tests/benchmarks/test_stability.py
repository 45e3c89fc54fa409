"""The trial of planning again, whole: eight weeks, three seeds, against planning afresh each time. Takes an hour.

    .venv/bin/pytest -q -n 0 -s -m benchmark tests/benchmarks/test_stability.py

The marks: under 0.5 changes a week, and at most 1 % more slices unmet than afresh.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from rotation.household.reading import read_home
from rotation.rehearsal.scenarios import STABILITY_SEEDS, STABILITY_WEEKS
from rotation.rehearsal.trial import trial

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.benchmark
@pytest.mark.parametrize("seed", STABILITY_SEEDS)
@pytest.mark.parametrize("example", ["school-week", "two-bakers"])
def test_changes_and_bread(example: str, seed: int) -> None:
    """Print what changed and what was unmet, planned against what was told and afresh."""
    home = read_home(EXAMPLES / example)
    start = datetime(2027, 3, 1, tzinfo=home.zone)
    for afresh in (False, True):
        came = trial(home, start, STABILITY_WEEKS, seed, afresh=afresh)
        how = "afresh" if afresh else "as told"
        print(f"\n{example}, seed {seed}, {how}: {came.changes:.2f} changes a week; {came}")
