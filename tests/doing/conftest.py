from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rotation.ledger import Happenings, Ledger
from tests.commands.conftest import Run, rotation
from tests.publishing.homes import COUNTRY, NOW, lay_out

__all__ = ["rotation"]

EXAMPLE = Path(__file__).parents[2] / "examples" / "school-week"
Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household with a plan kept: a loaf to thaw and finish, and one to bake, both on Saturday 6 March."""
    from rotation.commands import run

    folder = lay_out(tmp_path_factory.mktemp("made") / "home", "")
    assert run(["plan", "--household", str(folder), "--from", NOW, "--work", "quick"]) == 0
    return folder


@pytest.fixture(scope="session")
def week(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household with bread in the freezer and a plan kept from 1 March that bakes more and thaws some."""
    from rotation.commands import run

    folder = Path(shutil.copytree(EXAMPLE, tmp_path_factory.mktemp("made") / "home"))
    assert run(["plan", "--household", str(folder), "--from", "2027-03-01", "--days", "4", "--work", "quick"]) == 0
    return folder


@pytest.fixture
def home(planned: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(planned, tmp_path / "home"))


@pytest.fixture
def say(rotation: Run, home: Path) -> Callable[..., str]:
    """Say something to the program at a time of Saturday, or at a whole moment; it must go well."""

    def said(words: str, at: str) -> str:
        ran = rotation(*words.split(), "--household", home, "--now", at if "T" in at else f"2027-03-06T{at}")
        assert ran.code == 0, ran.err
        return " ".join(ran.out.split())

    return said


@pytest.fixture
def plan(rotation: Run, home: Path) -> Plan:
    """Plan again; every plan printed was found to keep every rule, or the program says so and fails."""

    def planned_(at: str) -> dict[str, Any]:
        moment = at if "T" in at else f"2027-03-06T{at}"
        ran = rotation("plan", "--household", home, "--from", moment, "--json", "--work", "quick")
        assert ran.code == 0, ran.err
        document: dict[str, Any] = json.loads(ran.out)
        assert document["checked"] is True
        return document

    return planned_


@pytest.fixture
def fed_home(tmp_path: Path) -> Path:
    """Return a household whose country loaf is raised by a starter that was fed eight days ago."""
    folder = lay_out(tmp_path / "home", '[entries]\npath = "calendars/bread"')
    (folder / "calendars" / "bread").mkdir()
    leaven = '[[formula.preferments]]\nname = "starter"\nflour_percent = 15\nseed_percent = 20\nhold_back_grams = 30\n'
    bread = COUNTRY.replace("[oven]\n", leaven + "[oven]\n", 1).replace(
        "stages = [\n", 'stages = [\n  { name = "feed", hands_minutes = 2, then_minutes = [540, 780] },\n'
    )
    (folder / "breads" / "country.toml").write_text(bread, encoding="utf-8")
    stock = folder / "stock.toml"
    stock.write_text("starter_fed = 2027-02-27T12:00:00\n" + stock.read_text(encoding="utf-8"), encoding="utf-8")
    return folder


def steps(home: Path) -> list[tuple[str, bool]]:
    """Return the steps that stand as done, and whether somebody said so."""
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return [(row.step, row.sure) for row in Happenings(ledger).standing() if row.what == "done"]
