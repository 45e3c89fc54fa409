"""`rotation why` as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rotation.reasons import explain
from tests.commands.conftest import Run
from tests.publishing.homes import NOW


def files(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file() and "sqlite-" not in path.name}


def test_a_bake_is_explained_and_nothing_is_written(rotation: Run, lived: Path) -> None:
    before = files(lived)
    ran = rotation("why", "sat-mix", "--household", lived, "--now", NOW)
    assert ran.code == 0, ran.err
    assert ran.out.startswith("WHY mix ")
    for said in ("It feeds Brunch", "All else as planned, mix may begin", "Without it, and nothing baked instead"):
        assert said in ran.out
    now = files(lived)
    assert [name for name in {*now, *before} if now.get(name) != before.get(name)] == []


def test_json_tells_the_same_in_parts(rotation: Run, lived: Path) -> None:
    ran = rotation("why", "sat-mix", "--json", "--household", lived, "--now", NOW)
    answer = json.loads(ran.out)
    kinds = [part["kind"] for part in answer["parts"]]
    assert kinds[:2] == ["feeds", "slack"]
    assert "without" in kinds
    assert kinds[-1] == "does not bind"
    assert answer["about"]["name"] == "sat-mix"
    assert not answer["stopped"]


def test_a_plan_that_no_longer_fits_is_not_explained(rotation: Run, lived: Path, tmp_path: Path) -> None:
    ran = rotation("why", "sat-mix", "--household", lived, "--now", "2027-03-06T23:00")
    assert ran.code == 0, ran.err  # as it was when it was made
    empty = tmp_path / "empty"
    for path in lived.rglob("*.toml"):
        (empty / path.relative_to(lived)).parent.mkdir(parents=True, exist_ok=True)
        (empty / path.relative_to(lived)).write_bytes(path.read_bytes())
    (empty / "calendars").mkdir(exist_ok=True)
    (empty / "calendars/family.ics").write_bytes((lived / "calendars/family.ics").read_bytes())
    ran = rotation("why", "sat-mix", "--household", empty, "--now", NOW)
    assert ran.code == 2
    assert "Make one: rotation plan" in ran.err


def test_what_there_is_not_is_refused_with_the_nearest_names(rotation: Run, lived: Path) -> None:
    ran = rotation("why", "sat-mxi", "--household", lived, "--now", NOW)
    assert ran.code == 2
    assert '"sat-mix"' in ran.err


def test_ctrl_c_ends_with_what_was_found(rotation: Run, lived: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr(explain, "chosen", stopped)
    ran = rotation("why", "sat-mix", "--household", lived, "--now", NOW)
    assert ran.code == 0
    assert "It feeds Brunch" in ran.out
    assert "Stopped" in ran.err
