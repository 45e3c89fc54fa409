from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from rotation import week
from tests.commands.conftest import NOW, Run


@pytest.mark.parametrize("words", [["plan", "--bogus"], ["plan", "--days"], ["freezer", "take"], ["bake"]])
def test_a_wrong_argument_ends_with_2(rotation: Run, words: list[str]) -> None:
    ran = rotation(*words)
    assert ran.code == 2
    assert "Error:" in ran.err
    assert ran.out == ""


@pytest.mark.parametrize("command", [["plan"], ["check"], ["freezer", "list"]])
def test_a_household_that_is_not_one(rotation: Run, tmp_path: Path, command: list[str]) -> None:
    file = tmp_path / "file"
    file.write_text("x", encoding="utf-8")
    for folder, said in (
        (tmp_path / "none", "there is no such folder"),
        (file, "is a file"),
        (tmp_path, "no household"),
    ):
        ran = rotation(*command, "--household", folder)
        assert (ran.code, ran.out) == (2, "")
        assert said in ran.err or "is not a household" in ran.err


@pytest.mark.parametrize(
    "when", ["yesterday", "2027-13-01", "2027-03-01T25:00", "0001-01-01", "9999-12-31T23:59-14:00", ""]
)
def test_a_moment_that_is_none(rotation: Run, home: Path, when: str) -> None:
    ran = rotation("check", "--household", home, "--from", when)
    assert (ran.code, ran.out) == (2, "")
    assert "--from" in ran.err
    assert "Write 2027-03-01, or 2027-03-01T17:30." in ran.err


@pytest.mark.parametrize("content", [b"", b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\n", bytes(range(256)) * 9])
def test_a_calendar_that_cannot_be_read(rotation: Run, home: Path, content: bytes) -> None:
    calendar = next((home / "calendars").glob("*.ics"))
    calendar.write_bytes(content)
    ran = rotation("check", "--household", home, "--from", NOW)
    assert (ran.code, ran.out) == (2, "")
    assert calendar.name in ran.err
    assert len(ran.err.splitlines()) == 1


def test_all_mistakes_of_a_household_at_once(rotation: Run, home: Path) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "\n[kitchn]\nbowls = -1\n", encoding="utf-8")
    bread = home / "breads" / "tin.toml"
    bread.write_text(bread.read_text(encoding="utf-8").replace("portions = ", "portions = -"), encoding="utf-8")
    ran = rotation("plan", "--household", home)
    assert ran.code == 2
    assert "kitchn" in ran.err
    assert "tin.toml" in ran.err


def test_a_ledger_of_a_newer_program(rotation: Run, home: Path) -> None:
    assert rotation("freezer", "take", "tin", "--household", home, "--now", NOW).code == 0
    connection = sqlite3.connect(home / ".rotation" / "ledger.sqlite")
    connection.execute("PRAGMA user_version = 99")
    connection.commit()
    connection.close()
    ran = rotation("check", "--household", home, "--from", NOW)
    assert (ran.code, ran.out) == (5, "")
    assert len(ran.err.splitlines()) == 1


def test_state_that_cannot_be_written(rotation: Run, home: Path) -> None:
    (home / ".rotation").write_text("a file where a folder should be", encoding="utf-8")
    ran = rotation("freezer", "take", "tin", "--household", home, "--now", NOW)
    assert (ran.code, ran.out) == (5, "")
    assert ".rotation" in ran.err


def test_what_nobody_foresaw_is_one_message(rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(folder: Path) -> None:
        raise ZeroDivisionError(f"in {folder.name}\x1b[31m")

    monkeypatch.setattr(week, "load", broken)
    ran = rotation("check", "--household", home)
    assert (ran.code, ran.out) == (70, "")
    assert "ZeroDivisionError: in home" in ran.err
    assert "Please report it" in ran.err
    assert "\x1b" not in ran.err
    assert "Traceback" in rotation("--debug", "check", "--household", home).err


@pytest.mark.parametrize(
    ("error", "code"), [(KeyboardInterrupt(), 130), (PermissionError(13, "Permission denied", "x"), 5)]
)
def test_stopped_or_refused_by_the_system(
    rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, code: int
) -> None:
    def raises(folder: Path) -> None:
        raise error

    monkeypatch.setattr(week, "load", raises)
    ran = rotation("check", "--household", home)
    assert (ran.code, ran.out) == (code, "")
    assert len(ran.err.splitlines()) == 1


def test_a_reader_that_goes_away_is_no_error(home: Path) -> None:
    words = ["check", "--household", str(home), "--from", NOW, "--json", "--days", "84"]
    command = [sys.executable, "-m", "rotation", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 141


def test_the_household_is_found_and_named(rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ROTATION_HOUSEHOLD", raising=False)
    monkeypatch.chdir(home)
    assert rotation("check", "--from", NOW).out.splitlines()[0] == f"household {home} (the current folder)"
    monkeypatch.setenv("ROTATION_HOUSEHOLD", str(home))
    assert rotation("check", "--from", NOW).out.splitlines()[0] == f"household {home} (from ROTATION_HOUSEHOLD)"


def environment() -> dict[str, str]:
    """Return the environment of a fresh process that finds this checkout."""
    return {**os.environ, "PYTHONPATH": str(Path(week.__file__).parents[1])}


def test_options_that_go_together(rotation: Run, home: Path) -> None:
    ran = rotation("plan", "--household", home, "--with-problem")
    assert (ran.code, ran.out) == (2, "")
    assert "--with-problem" in ran.err
    assert "goes with --json" in ran.err


def test_check_says_the_same_to_people_and_programs(rotation: Run, home: Path) -> None:
    people = rotation("check", "--household", home, "--from", NOW, "--days", "3")
    programs = rotation("check", "--household", home, "--from", NOW, "--days", "3", "--json")
    assert (people.code, programs.code) == (0, 0)
    document = json.loads(programs.out)
    assert document["schema"] == "rotation/problem/1"
    assert document["problem"]["shown_days"] == 3
    for person in document["problem"]["people"]:
        assert f"{person['name'].upper()} (" in people.out
    for note in document["notes"]:
        assert note["text"] in " ".join(people.out.split())
