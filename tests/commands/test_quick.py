"""Help and the freezer are asked for daily: they load neither solver, tables nor calendars."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.conftest import NOW
from tests.commands.test_errors import environment

HEAVY = {"ortools", "pandas", "numpy", "icalendar", "recurring_ical_events", "caldav", "rich"}
PROGRAM = """
import json, sys
from rotation.commands import run
code = run(sys.argv[1:])
print(json.dumps([code, sorted({name.split(".")[0] for name in sys.modules})]), file=sys.stderr)
"""


def loaded(*arguments: str) -> tuple[int, set[str]]:
    """Return the exit code of a command in a fresh process, and the top names of all modules it loaded."""
    command = [sys.executable, "-c", PROGRAM, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment())
    code, names = json.loads(done.stderr.splitlines()[-1])
    return code, set(names)


@pytest.mark.parametrize("words", [["--help"], [], ["freezer"], ["freezer", "take", "--help"], ["plan", "--help"]])
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    code, names = loaded(*words)
    assert code == 0
    assert not names & {*HEAVY, "sqlite3"}


@pytest.mark.parametrize(
    "words", [["list"], ["take", "country"], ["count", "tin", "3"], ["history"], ["power-cut", "--hours", "9"]]
)
def test_the_freezer_loads_neither_solver_nor_calendars(home: Path, words: list[str]) -> None:
    code, names = loaded("freezer", *words, "--household", str(home), "--now", NOW)
    assert code == 0
    assert not names & HEAVY
    assert "sqlite3" in names


def test_check_does_not_load_the_solver(home: Path) -> None:
    code, names = loaded("check", "--household", str(home), "--from", NOW)
    assert code == 0
    assert "ortools" not in names


def test_the_page_begins_without_the_solver_and_tables() -> None:
    code = 'import json, sys, rotation.page.app; print(json.dumps([name.split(".")[0] for name in sys.modules]))'
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment())
    assert not {"ortools", "pandas", "scipy", "highspy"} & set(json.loads(done.stdout))


def test_the_module_runs_like_the_program() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rotation", "--help"], capture_output=True, text=True, check=True, env=environment()
    )
    assert done.stdout.startswith("Usage: rotation ")
