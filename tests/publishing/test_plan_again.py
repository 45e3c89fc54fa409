"""Planning again: the family's edits are read first, things keep their ids, a calendar that is down stops nobody."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from rotation.ledger import Ledger, Told
from tests.commands.conftest import Run
from tests.publishing.clients import Family, FolderClient
from tests.publishing.homes import NOW, lay_out

LATER = "2027-03-05T18:00"


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household whose plan is in its folder calendars/bread."""
    from rotation.commands import run

    folder = lay_out(tmp_path_factory.mktemp("made") / "home", '[entries]\npath = "calendars/bread"')
    (folder / "calendars" / "bread").mkdir()
    assert run(["plan", "--household", str(folder), "--from", NOW, "--work", "quick"]) == 0
    assert run(["publish", "--household", str(folder), "--now", NOW, "--yes"]) == 0
    return folder


@pytest.fixture
def home(published: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(published, tmp_path / "home"))


def family(home: Path) -> Family:
    return Family(FolderClient(home / "calendars" / "bread"))


def plan(rotation: Run, home: Path, *more: str, at: str = LATER) -> str:
    ran = rotation("plan", "--household", home, "--from", at, *more)
    assert ran.code == 0, ran.err
    return ran.out


def wishes(home: Path) -> list[tuple[str, str]]:
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return [(wish.kind, wish.over) for wish in Told(ledger).last_words().values()]


def test_the_same_things_keep_their_ids_at_a_later_hour(rotation: Run, home: Path) -> None:
    bake, thaw = family(home).named("Milk loaf"), family(home).named("Bread out")
    said = json.loads(plan(rotation, home, "--json"))
    assert f"{said['bakes'][0]['id']}-bake" == bake
    assert f"{said['thaws'][0]['id']}-thaw" == thaw
    again = json.loads(plan(rotation, home, "--json", at="2027-03-05T20:10"))
    for of in ("bakes", "thaws", "finishes", "oven"):
        assert again[of] == said[of], "nothing changed, so nothing moves"


def test_a_calendar_that_cannot_be_reached_is_a_note(rotation: Run, home: Path) -> None:
    family(home).delete(family(home).named("Milk loaf"))
    away = home / "calendars" / "bread"
    away.rename(away.with_name("elsewhere"))
    printed = " ".join(plan(rotation, home).split())
    assert "there is no such folder" in printed
    assert "What you changed in our entries there is not counted." in printed
    assert "MIX 1 Milk loaf" in printed


def test_what_cannot_be_kept_is_said_and_what_is_put_back_is_forgotten(rotation: Run, home: Path) -> None:
    """Taken out when supper is on the table, the bread feeds nobody."""
    jo = family(home)
    thaw = jo.named("Bread out")
    jo.move(thaw, "20270306T173000Z", "20270306T173200Z")
    finish = jo.named("Oven")
    jo.move(finish, "20270306T174500Z", "20270306T181800Z")
    printed = " ".join(plan(rotation, home).split())
    assert "Not possible: “Oven 220: 1 Country loaf” moved to Sat 6 Mar 18:45: no meal would eat of it" in printed
    assert "“Bread out: 1 Country loaf” moved to Sat 6 Mar 18:30: of one bread one hour is held" in printed
    assert sorted(wishes(home)) == [("fixed finish", ""), ("fixed thaw", "another step of it is held")]
    jo.move(thaw, "20270306T064500Z", "20270306T064700Z")
    jo.move(finish, "20270306T163000Z", "20270306T170300Z")
    assert "WISHES" not in plan(rotation, home)
    assert sorted(wishes(home)) == [("fixed finish", "taken back"), ("fixed thaw", "another step of it is held")]
