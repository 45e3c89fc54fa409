"""Whatever happens, in whatever order, every plan that is printed keeps every rule."""

from __future__ import annotations

import random
import re
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.publishing.clients import Family, FolderClient

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


class Story:
    """A family that does whatever it likes with a household and its calendar, from Friday evening on."""

    def __init__(self, rotation: Run, home: Path, seed: int) -> None:
        self.rotation, self.home = rotation, home
        self.chance = random.Random(seed)
        self.now = datetime(2027, 3, 5, 17, 30, tzinfo=UTC)
        self.family = Family(FolderClient(home / "calendars" / "bread"))
        self.steps: list[str] = []
        self.recorded: Counter[str] = Counter()
        self.planned()

    def run(self, *words: str, ok: tuple[int, ...] = (0, 2)) -> str:
        """Say something; it is taken, or refused in words."""
        when = "--from" if words[0] == "plan" else "--now"
        ran = self.rotation(*words, "--household", self.home, when, f"{self.now:%Y-%m-%dT%H:%M}")
        assert ran.code in ok, (words, self.now, ran.err)
        assert ran.code == 0 or ran.err, words
        self.recorded[words[0]] += ran.code == 0
        return ran.out

    def planned(self) -> None:
        """Plan; what is printed was found to keep every rule. Now and then it is written into the calendar."""
        out = self.run("plan", "--work", "quick", ok=(0,))
        assert "checked: every rule holds." in out
        self.steps = sorted(set(re.findall(r"\[([a-z0-9-]+)\]", out)))
        if self.chance.random() < 0.5:
            self.run("publish", "--yes")

    def act(self) -> None:
        """Let some time pass, and one thing happen."""
        chance, bag = self.chance, self.chance.choice("ABC")
        self.now += timedelta(minutes=chance.randint(15, 300))
        if not 7 <= self.now.hour < 21:  # at night they sleep
            self.now += timedelta(hours=(31 - self.now.hour) % 24)
        step = chance.choice(self.steps or ["sat-mix"])
        feels, bread = chance.choice(("hard", "icy", "cold", "warm")), chance.choice(("country", "milk"))
        acts: tuple[tuple[str, ...], ...] = (
            ("done", step), ("done", step), ("done", step, "--undo"), ("done", "all"), ("skip", step),
            ("done", step, "--count", str(chance.randint(0, 2))),
            ("done", "starter"), ("done", "starter", "--undo"),
            ("later", step, "--take", str(chance.randint(1, 5))),
            ("guests", "Sun 17:00", str(chance.randint(2, 9)), "--write"),
            ("freezer", "take", bread), ("freezer", "take", bag), ("freezer", "undo"),
            ("freezer", "add", "country", str(chance.randint(1, 3))),
            ("freezer", "count", bag, str(chance.randint(0, 4))),
            ("freezer", "discard", bag, "--because", "burnt"),
            ("freezer", "power-cut", "--hours", str(chance.choice((5, 30, 90))), "--record"),
            ("freezer", "open-lid", f"{bag}={feels}", "--record"),
            ("buy", "--bought"), ("buy", "--undo"),
            ("entry", "move"), ("entry", "move"), ("entry", "tick"), ("entry", "delete"),
        )  # fmt: skip
        words = chance.choice(acts)
        if words[0] == "entry":
            self.edit(words[1])
        else:
            self.run(*words)
        self.planned()

    def edit(self, how: str) -> None:
        """Move, tick off or delete an entry in the calendar, if there is one."""
        there = self.family.uids()
        if not there:
            return
        uid = self.chance.choice(there)
        if how == "move":
            start = self.now + timedelta(minutes=5 * self.chance.randint(1, 300))
            end = start + timedelta(minutes=5 * self.chance.randint(1, 12))
            self.family.move(uid, f"{start:%Y%m%dT%H%M%SZ}", f"{end:%Y%m%dT%H%M%SZ}")
        elif how == "tick":
            self.family.tick(uid)
        else:
            self.family.delete(uid)
        self.recorded[f"entry {how}"] += 1


def test_every_plan_after_whatever_a_family_does_holds(rotation: Run, fed_home: Path) -> None:
    story = Story(rotation, fed_home, 1)
    for _ in range(4):
        story.act()
    assert story.recorded["plan"] == 5


@pytest.mark.long
@pytest.mark.parametrize("seed", [*range(2, 12), 53, 63, 83, 139, 169])  # the last five once ended without a plan
def test_every_plan_after_much_of_what_a_family_does_holds(rotation: Run, fed_home: Path, seed: int) -> None:
    story = Story(rotation, fed_home, seed)
    for _ in range(12):
        story.act()
    assert story.recorded["plan"] == 13
    assert sum(times for what, times in story.recorded.items() if what != "plan") >= 4
