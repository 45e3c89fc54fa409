"""What goes into the freezer is what came out of the oven, less what stays on the table."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.ledger import Kind, Ledger
from tests.commands.conftest import Run
from tests.doing.conftest import EXAMPLE

Bagged = Callable[..., list[int]]


@pytest.fixture(scope="module")
def frozen(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household with a plan kept that bakes two tin loaves on Wednesday, both for the freezer."""
    from rotation.commands import run

    home = Path(shutil.copytree(EXAMPLE, tmp_path_factory.mktemp("made") / "home"))
    with (home / "household.toml").open("a", encoding="utf-8") as file:
        file.write("\n[weights]\nreserve_lowest = 0\nstocked_lowest = 0\n[reserve]\nstocked_weeks = 0\n")
    assert run(["plan", "--household", str(home), "--from", "2027-03-01", "--days", "4", "--work", "quick"]) == 0
    return home


@pytest.fixture
def bagged(rotation: Run, frozen: Path, tmp_path: Path) -> Bagged:
    """Say something of Wednesday's two tin loaves; return the slices that were bagged."""
    home = Path(shutil.copytree(frozen, tmp_path / "home"))

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
