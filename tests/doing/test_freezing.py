"""A bag put in by hand, or by a step, is frozen through when the planner would have it, not after a custom's hours."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from rotation import by_hand, outage
from rotation.household.reading import Home, read_home
from rotation.keeping import Found
from rotation.ledger import Ledger, Note
from rotation.stockroom import freezer, held
from tests.commands.conftest import Run
from tests.publishing.homes import lay_out


def at(house: Home) -> datetime:
    return datetime(2027, 3, 6, 9, tzinfo=house.zone)


def planned_wait(rotation: Run, home: Path) -> timedelta:
    """Return how long the planner has a part-baked country loaf freeze."""
    ran = rotation("check", "--household", home, "--from", "2027-03-06T09:00", "--json")
    (country,) = [bread for bread in json.loads(ran.out)["problem"]["breads"] if bread["id"] == "country"]
    (process,) = country["processes"]
    (frozen,) = [one for one in process["treatments"] if one["id"] == "part-baked"]
    return timedelta(minutes=frozen["freeze"])


def test_by_hand_and_after_a_power_cut_as_the_planner_has_it(rotation: Run, home: Path) -> None:
    wait, house = planned_wait(rotation, home), read_home(home)
    assert wait != timedelta(hours=12), "else this says nothing"
    (share,) = by_hand.add(house, "country", 2, Note(now=at(house)), "part-baked").shares
    assert share.lot.through - share.lot.bagged == wait
    note = Note(now=at(house) + timedelta(days=3))
    with freezer(house, note.now, moving=True) as ledger:
        lots = held(house, ledger, note.now)
        judged = outage.after_lid(house, lots, {share.lot.letter: Found.COLD})
        made = outage.record(house, ledger, [one for one in judged if one.act], "open lid", note)
    again = [one.lot for movement in made for one in movement.shares if one.units > 0]
    assert [lot.through - note.now for lot in again] == [wait], "hard again after as long"


@pytest.mark.parametrize("hours", [7, 12])
def test_what_a_family_wrote_counts(tmp_path: Path, hours: int) -> None:
    home = lay_out(tmp_path / "home", "")
    file = home / "breads" / "country.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("[forms.part-baked]", f"[forms.part-baked]\nfreeze_hours = {hours}"), encoding="utf-8")
    house = read_home(home)
    (share,) = by_hand.add(house, "country", 2, Note(now=at(house)), "part-baked").shares
    assert share.lot.through - share.lot.bagged == timedelta(hours=hours)
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert len(ledger.lots(at(house))) == 2
