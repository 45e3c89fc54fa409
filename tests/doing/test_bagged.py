"""What goes into the freezer is what came out of the oven, less what stays on the table."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.ledger import Kind, Ledger
from tests.commands.conftest import Run

Bagged = Callable[..., list[int]]


@pytest.fixture
def bagged(rotation: Run, week: Path, tmp_path: Path) -> Bagged:
    """Say something of Wednesday's two tin loaves, both for the freezer; return the slices that were bagged."""
    home = Path(shutil.copytree(week, tmp_path / "home"))

    def slices(*said: str) -> list[int]:
        for number, words in enumerate(said):
            ran = rotation(*words.split(), "--household", home, "--now", f"2027-03-03T{20 + number}:00")
            assert ran.code == 0, ran.err
        with Ledger.open(home / ".rotation", readonly=True) as ledger:
            return [one.units for one in ledger.history() if one.kind is Kind.BAKED and not one.undone]

    return slices


@pytest.mark.parametrize(("said", "slices"), [
    (["done wed-bag"], [32]),
    (["done wed-out --count 1", "done wed-bag"], [16]),
    (["done wed-out --count 1", "done wed-bag --count 1"], [16]),
    (["done wed-out --count 0", "done wed-bag"], []),
    (["done wed-bag --count 1"], [16]),
    (["done wed-out", "skip wed-bag"], []),
    (["done wed-out --count 1", "done wed-bag", "done wed-bag --undo"], []),
    (["done wed-out --count 1", "done all"], [16]),
])  # fmt: skip
def test_as_many_are_bagged_as_there_were(bagged: Bagged, said: list[str], slices: list[int]) -> None:
    assert bagged(*said) == slices
