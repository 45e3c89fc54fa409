"""Whatever happens, in whatever order, every plan that is printed keeps every rule."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.commands.conftest import Run

DAY = "2027-03-06"


def story(rotation: Run, home: Path, seed: int, acts: int) -> int:
    """Let things happen at random through Saturday, planning after each; return how many were recorded."""
    rng, minute, recorded = random.Random(seed), 7 * 60, 0
    steps = ("sat-thaw", "sat-mix", "sat-shape", "sat-oven", "sat-out", "sat-finish")
    for _ in range(acts):
        minute = min(minute + rng.randint(20, 150), 23 * 60)
        now = f"{DAY}T{minute // 60:02}:{minute % 60:02}"
        step, when = rng.choice(steps), ("--household", home, "--now", now)
        words = rng.choice((("done", step), ("done", step), ("done", "all"), ("skip", step), ("done", step, "--undo")))
        if rng.random() < 0.3:
            words = ("freezer", "take", "country")
        if step == "sat-out" and words[0] == "done" and len(words) == 2:
            words = (*words, "--count", str(rng.randint(0, 1)))
        ran = rotation(*words, *when)
        assert ran.code in (0, 2), ran.err
        recorded += ran.code == 0
        planned = rotation("plan", "--household", home, "--from", now, "--work", "quick")
        assert planned.code == 0, (words, now, planned.err)
        assert "checked: every rule holds." in planned.out
    return recorded


@pytest.mark.parametrize("seed", [1, 2])
def test_every_plan_after_anything_holds(rotation: Run, home: Path, seed: int) -> None:
    assert story(rotation, home, seed, 3) > 0


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3, 11))
def test_every_plan_after_more_of_anything_holds(rotation: Run, home: Path, seed: int) -> None:
    assert story(rotation, home, seed, 5) > 0
