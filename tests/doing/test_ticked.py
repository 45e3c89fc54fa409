"""What is ticked off in a calendar counts as if it were said: the freezer moves by it, once."""

from __future__ import annotations

from pathlib import Path

import pytest

from rotation.ledger import Ledger
from tests.commands.conftest import Run
from tests.doing.conftest import steps
from tests.publishing.clients import Family, FolderClient
from tests.publishing.homes import NOW, lay_out


@pytest.mark.parametrize("again", [1, 2])
def test_a_thaw_ticked_off_takes_its_bag(rotation: Run, tmp_path: Path, again: int) -> None:
    home = lay_out(tmp_path / "home", '[entries]\npath = "calendars/bread"')
    (home / "calendars" / "bread").mkdir()
    assert rotation("plan", "--household", home, "--from", NOW).code == 0
    assert rotation("publish", "--household", home, "--now", NOW, "--yes").code == 0
    jo = Family(FolderClient(home / "calendars" / "bread"))
    jo.tick(jo.named("Bread out"))
    for number in range(again):
        ran = rotation("plan", "--household", home, "--from", f"2027-03-06T0{8 + number}:00", "--work", "quick")
        assert ran.code == 0, ran.err
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert sum(share.units for movement in ledger.history() for share in movement.shares) == 1
    assert ("thaw", True) in steps(home)
    assert rotation("publish", "--household", home, "--now", "2027-03-06T09:00", "--yes").code == 0
