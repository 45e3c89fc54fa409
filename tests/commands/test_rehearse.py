"""`rotation rehearse`: bad input, the list of scenarios, what goes where; a whole rehearsal in the long suite."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from rotation import rehearsing
from rotation.commands import run
from rotation.rehearsal.scenarios import scenario
from rotation.rehearsing import Asked
from tests.json_checked import checked
from tests.rehearsal.test_report import CAME

EXAMPLE = Path(__file__).parents[2] / "examples" / "two-bakers"


@pytest.mark.parametrize(
    ("arguments", "wrong"),
    [
        (["--weeks", "0"], '--weeks: "0" is not a whole number from 1 to 52. Write --weeks 26.'),
        (["--weeks", "ten"], '"ten" is not a whole number'),
        (["--times", "99"], '"99" is not a whole number from 1 to 30'),
        (["--scenario", "storm"], 'There is no scenario "storm". One of: usual, easy'),
        (["--picture", "nowhere/at/all.svg"], "is in no folder that is there"),
        (["--scenario", "list", "--json"], "--json: prints a rehearsal, not the list."),
    ],
)
def test_bad_input(arguments: list[str], wrong: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What is wrong is said before anything is lived through."""
    assert run(["rehearse", "--household", str(EXAMPLE), *arguments]) == 2
    assert wrong in capsys.readouterr().err


def test_scenarios_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """Each with what it is, and nothing else happens."""
    assert run(["rehearse", "--scenario", "list"]) == 0
    out = capsys.readouterr().out
    assert "small-freezer  half the room in the freezer" in out


def test_data_alone_goes_to_stdout(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """As JSON that keeps to its schema, progress on stderr; what is asked for is what is rehearsed."""
    asked: list[Asked] = []

    def rehearse(home: object, what: Asked, progress: rehearsing.Progress) -> object:
        asked.append(what)
        progress("the planner has lived 1 of 10 weeks")
        return CAME

    monkeypatch.setattr(rehearsing, "rehearse", rehearse)
    options = ["--from", "2027-06-01", "--weeks", "4", "--past", "--scenario", "easy", "--times", "2", "--json"]
    assert run(["rehearse", "--household", str(EXAMPLE), *options]) == 0
    told = capsys.readouterr()
    said = checked(told.out)
    assert (said["household"], said["scenario"]["id"], said["weeks"]) == ("Two bakers", "easy", 4)
    assert "rehearsing 4 weeks that are over, after 6 to warm up" in told.err
    assert "lived 1 of 10 weeks" in told.err
    (one,) = asked
    assert (one.weeks, one.scenario, one.times, one.over) == (4, scenario("easy"), 2, True)
    assert f"{one.moment:%d %b}" == "01 Jun"


@pytest.mark.long
def test_a_rehearsal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A week that is over is rehearsed, told on a page, drawn and written as rows; the household is as it was."""
    home = tmp_path / "home"
    shutil.copytree(EXAMPLE, home)
    before = {path.name for path in home.rglob("*") if ".rotation" not in path.parts}
    picture, rows = tmp_path / "out.svg", tmp_path / "out.csv"
    options = ["--household", str(home), "--from", "2027-06-07", "--past", "--weeks", "1"]
    assert run(["rehearse", *options, "--picture", str(picture), "--rows", str(rows)]) == 0
    told = capsys.readouterr()
    assert "hours of hands a week" in told.out
    weeks = "1 week that is over, Mon 31 May to Sun 6 Jun 2027, after 6 weeks to warm up."
    assert weeks in " ".join(told.out.split())
    assert "The ledger does not know what was eaten then" in told.out
    assert "the planner has lived 7 of 7 weeks" in told.err
    assert "s of a processor" in told.err
    assert picture.read_text().startswith("<svg")
    assert len(rows.read_text().splitlines()) == 1 + 5
    assert {path.name for path in home.rglob("*") if ".rotation" not in path.parts} == before
