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


def rescued(rotation: Run, home: Path, take: int, seed: int, acts: int) -> None:
    """Mix on Saturday, find the dough not ready, choose a way out, ask guests in, and let anything happen after."""
    rng, minute = random.Random(seed), 16 * 60 + 55

    def say(*words: str, ok: tuple[int, ...] = (0,)) -> str:
        now = f"{DAY}T{minute // 60:02}:{minute % 60:02}"
        ran = rotation(*words, "--household", home, "--now", now)
        assert ran.code in ok, (words, now, ran.err)
        planned = rotation("plan", "--household", home, "--from", now, "--work", "quick")
        assert planned.code == 0, (words, now, planned.err)
        assert "checked: every rule holds." in planned.out
        return ran.out

    assert rotation("plan", "--household", home, "--from", f"{DAY}T12:00", "--work", "quick").code == 0
    say("done", "sat-mix", "--at", f"{DAY}T15:20")
    say("later", "sat-shape", "--take", str(take))
    for _ in range(acts):
        minute = min(minute + rng.randint(10, 90), 23 * 60)
        step = rng.choice(("sat-shape", "sat-shape", "sat-oven", "sat-out", "sun-shape", "sun-bag", "sat-feed"))
        words = rng.choice(
            (
                ("done", step), ("done", step), ("done", "all"), ("done", step, "--undo"), ("skip", step),
                ("later", step, "--take", str(rng.randint(1, 4))), ("done", "starter"),
                ("guests", "Sun 17:00", str(rng.randint(2, 9)), "--write"),
            )
        )  # fmt: skip
        say(*words, ok=(0, 2))


def test_every_plan_after_a_rescue_holds(rotation: Run, fed_home: Path) -> None:
    rescued(rotation, fed_home, 4, 1, 2)


@pytest.mark.long
@pytest.mark.parametrize("take", range(1, 6))
@pytest.mark.parametrize("seed", range(2, 5))
def test_every_plan_after_any_rescue_holds(rotation: Run, fed_home: Path, take: int, seed: int) -> None:
    rescued(rotation, fed_home, take, seed, 5)
