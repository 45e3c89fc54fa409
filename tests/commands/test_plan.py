from __future__ import annotations

import json
import signal
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from shutil import copytree, ignore_patterns
from zoneinfo import ZoneInfo

import pytest
from jsonschema import Draft202012Validator

from calendars.store import open_store
from rotation import week
from rotation.errors import StorageError
from rotation.ledger import Ledger
from rotation.plan import Plan, Serving
from rotation.problem import Problem
from rotation.show.schema import plan_schema
from rotation.solve import solve
from tests.commands.conftest import Run
from tests.commands.test_errors import environment

EXAMPLES = Path(__file__).parents[2] / "examples"
DAY = "2027-03-06"
"""A Saturday with guests, which the freezer can feed: one day is solved at once."""


def words(home: Path, *more: str) -> list[str]:
    return ["plan", "--household", str(home), "--from", DAY, "--days", "1", *more]


def kept(home: Path) -> str | None:
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return ledger.kept_plan()


def test_prints_a_checked_plan_and_keeps_it(rotation: Run, home: Path) -> None:
    ran = rotation(*words(home))
    assert ran.code == 0
    title, household, checked, *rest = ran.out.splitlines()
    assert title == "Home: Saturday 6 Mar 2027"
    assert household == f"household {home} (from --household)"
    assert checked.startswith("checked: every rule holds. 1 day; ")
    assert any(line.startswith("SATURDAY 6 MARCH") for line in rest)
    assert any(line.startswith("WHAT IT COSTS") for line in rest)
    assert ran.err.startswith(f"household {home} (from --household): planning 1 day\n")
    assert json.loads(kept(home) or "{}")["household"] == "Home"


def test_more_or_less_work_may_be_asked_for_in_words(rotation: Run, home: Path) -> None:
    assert rotation(*words(home, "--work", "quick")).out.splitlines()[2].startswith("checked: every rule holds.")
    wrong = rotation(*words(home, "--work", "much"))
    assert (wrong.code, wrong.out) == (2, "")
    assert "quick" in wrong.err


def test_planning_moves_nothing_so_the_opening_stock_may_still_be_mended(rotation: Run, home: Path) -> None:
    assert rotation(*words(home)).code == 0
    stock = home / "stock.toml"
    stock.write_text(stock.read_text(encoding="utf-8").replace("units = 16", "units = 15"), encoding="utf-8")
    ran = rotation("freezer", "list", "--household", home, "--now", DAY)
    assert "15 tin, sliced" in ran.out


def test_json_is_the_kept_plan_and_the_same_on_every_run(rotation: Run, home: Path) -> None:
    first = rotation(*words(home, "--json"))
    assert first.code == 0
    assert first.out == kept(home)
    assert rotation(*words(home, "--json")).out == first.out
    whole = json.loads(rotation(*words(home, "--json", "--with-problem")).out)
    Draft202012Validator(plan_schema()).validate(whole)
    assert {key: whole[key] for key in whole if key != "problem"} == json.loads(first.out)


def test_json_alone_is_on_the_output_of_a_fresh_process(home: Path) -> None:
    command = [sys.executable, "-m", "rotation", *words(home, "--json")]
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=environment())
    assert json.loads(done.stdout)["checked"] is True
    assert "Traceback" not in done.stderr


def test_entries_can_be_read_as_a_calendar(rotation: Run, home: Path, tmp_path: Path) -> None:
    out = tmp_path / "bread.ics"
    assert rotation(*words(home, "--out", str(out))).code == 0
    window = (datetime(2027, 3, 1, tzinfo=UTC), datetime(2027, 4, 1, tzinfo=UTC))
    reading = open_store("file", str(out), "bread").read(window, ZoneInfo("Europe/Berlin"))
    plan = json.loads(kept(home) or "")
    thaws = [thaw for thaw in plan["thaws"] if thaw["gives"] != "toast"]
    assert len(reading.events) == len(plan["bakes"]) + len(thaws) + len(plan["finishes"]) > 0
    assert all(event.transparent for event in reading.events)


def test_a_plan_that_breaks_a_rule_is_never_shown(rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def faulty(problem: Problem, *_: object, **__: object) -> Plan:
        found = solve(problem)
        return replace(found, servings=(*found.servings, Serving(problem.meals[0].id, "nothing", 1)))

    monkeypatch.setattr("rotation.replanning.solve", faulty)
    ran = rotation(*words(home))
    assert (ran.code, ran.out) == (4, "")
    assert "breaks" in ran.err
    assert kept(home) is None


def test_a_plan_that_cannot_be_kept_is_printed_all_the_same(
    rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise StorageError("the disk may only be read.")

    monkeypatch.setattr(week, "keep", refuse)
    ran = rotation(*words(home))
    assert ran.code == 5
    assert "checked: every rule holds" in ran.out
    assert ran.err.endswith("the disk may only be read.\n")


def test_entries_for_a_folder_that_is_not_there(rotation: Run, home: Path, tmp_path: Path) -> None:
    for place in (tmp_path / "none" / "bread.ics", tmp_path, home / "household.toml" / "bread.ics"):
        ran = rotation(*words(home, "--out", str(place)))
        assert (ran.code, ran.out) == (2, "")
        assert ran.err.startswith(f"--out: {place}: is ")
        assert len(ran.err.splitlines()) == 1


def heed_ctrl_c() -> None:
    """What a shell puts into the background ignores Ctrl-C, and so would all that it starts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_stopped_while_solving_the_plan_before_stays(rotation: Run, home: Path) -> None:
    assert rotation(*words(home)).code == 0
    before = kept(home)
    command = [sys.executable, "-m", "rotation", "plan", "--household", str(home), "--from", DAY, "--days", "84"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment(), text=True, preexec_fn=heed_ctrl_c
    ) as running:
        assert running.stderr is not None
        assert running.stdout is not None
        assert "planning 84 days" in running.stderr.readline()
        running.send_signal(signal.SIGINT)
        assert running.stdout.read() == ""
        assert running.stderr.read().splitlines()[-1] == "Stopped. What was planned before stays."
        assert running.wait() == 130
    assert kept(home) == before


LATE_STOP = """
import os, signal, sys, time
from rotation import week
from rotation.commands import run

def stop(*_):
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(5)

week.prove = stop
sys.exit(run(sys.argv[1:]))
"""


def test_stopped_after_a_solver_has_run(home: Path) -> None:
    """A solver's library may take Ctrl-C for itself; it has to give it back."""
    command = [sys.executable, "-c", LATE_STOP, *words(home)]
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, env=environment(), preexec_fn=heed_ctrl_c
    )
    assert done.returncode == 130, done.stderr
    assert done.stderr.splitlines()[-1] == "Stopped. What was planned before stays."
    assert kept(home) is None


def test_dough_that_has_waited_too_long_is_baked_as_soon_as_hands_are_there(rotation: Run, tmp_path: Path) -> None:
    home = copytree(EXAMPLES / "two-bakers", tmp_path / "home", ignore=ignore_patterns(".rotation"))
    ran = rotation("plan", "--household", home, "--from", "2027-03-03", "--days", "1")
    assert ran.code == 0, ran.err
    assert "Late: oven of the Dark loaf is overdue. As soon as you can; planned for Wed 3 Mar" in ran.out


@pytest.mark.parametrize("time", ["00:05", "12:10", "17:40", "23:50"])
def test_a_plan_begins_at_any_time_of_day(rotation: Run, home: Path, time: str) -> None:
    ran = rotation("plan", "--household", home, "--from", f"{DAY}T{time}", "--days", "1")
    assert ran.code == 0, ran.err
    assert "checked: every rule holds. 1 day; " in ran.out
