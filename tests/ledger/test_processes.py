"""Several programs at once, and programs killed in the middle: nothing lost, nothing doubled, nothing below zero."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

import rotation
from rotation.ledger import Kind, Ledger, Note, storage
from tests.lives import lived

ROOT = Path(rotation.__file__).parents[1]
WORKER = Path(__file__).with_name("worker.py")


def start(folder: Path, name: str, count: int) -> subprocess.Popen[str]:
    command = [sys.executable, str(WORKER), str(folder), name, str(count)]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.Popen(command, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def sound(folder: Path) -> None:
    """Look into the file past the ledger: the pages are whole, no lot ever was below zero, no id is there twice."""
    with closing(sqlite3.connect(folder / storage.FILE)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        running: Counter[str] = Counter()
        for lot, units in connection.execute("SELECT lot, units FROM share ORDER BY movement"):
            running[lot] += units
            assert running[lot] >= 0
        letters = [letter for lot, letter in connection.execute("SELECT id, letter FROM lot") if running[lot]]
        assert len(letters) == len(set(letters))


@pytest.mark.parametrize(("programs", "movements"), [(4, 20), pytest.param(8, 250, marks=pytest.mark.long)])
def test_programs_at_once_lose_and_double_nothing(folder, now, programs, movements):
    names = [f"program{number}" for number in range(programs)]
    running = [start(folder, name, movements) for name in names]  # they race to make the file, too
    running += [start(folder, names[0], movements)]  # every request of the first is made twice, at once
    outcomes = [program.communicate() for program in running]
    assert [error for _, error in outcomes if error] == []
    with Ledger.open(folder) as ledger:
        history = ledger.history()
        added = -(-movements // 4)
        assert Counter(movement.kind for movement in history) == {
            Kind.ADDED: programs * added,
            Kind.TAKEN: programs * (movements - added),
        }
        expected = {f"{name}-{number}" for name in names for number in range(movements)}
        assert {movement.id for movement in history} == expected
        assert sum(state.left for state in ledger.lots(now)) == programs * (3 * added - (movements - added))
    sound(folder)


@pytest.mark.parametrize("kills", [5, pytest.param(200, marks=pytest.mark.long)])
def test_a_program_killed_at_any_point_loses_nothing_it_had_told(folder, now, kills):
    chance = random.Random(20270301)
    told: set[str] = set()
    for kill in range(kills):
        program = start(folder, f"life{kill}", 0)
        assert program.stdout is not None
        assert program.stderr is not None
        said = [program.stdout.readline() for _ in range(chance.randrange(12))]  # 0: perhaps before the file is there
        program.kill()
        rest, error = program.stdout.read(), program.stderr.read()  # communicate() would lose what is read ahead
        program.wait()
        assert error == ""
        told |= {line.strip() for line in (*said, *rest.splitlines(keepends=True)) if line.endswith("\n")}
        with Ledger.open(folder) as ledger:
            recorded = {movement.id for movement in ledger.history()}
            assert told <= recorded
            assert len(recorded - told) <= kill + 1  # at most the one each life could not tell any more
            total = sum(movement.units for movement in ledger.history())
            assert total == sum(state.left for state in ledger.lots(now)) >= 0
            told = recorded
        sound(folder)
    assert told


def bring_up_to_date(tell: Callable[[int], None], folder: Path, last: int) -> None:
    """Bring the file up to date, and be killed before a certain statement; tell how many there were otherwise."""
    ready, seen = storage._ready, 0

    def count(_: str) -> None:
        nonlocal seen
        seen += 1
        if seen == last:
            os.kill(os.getpid(), signal.SIGKILL)

    def watched(connection: sqlite3.Connection) -> sqlite3.Connection:
        connection.set_trace_callback(count)
        return ready(connection)

    storage._ready = watched
    Ledger.open(folder).close()
    tell(seen)


@pytest.mark.parametrize("step", [20, pytest.param(1, marks=pytest.mark.long)])
def test_a_program_killed_while_the_format_changes_leaves_all_that_was_there(tmp_path, now, lot, note, step):
    versions, last, finished = set[int](), 3, False
    while not finished:  # before every statement there is
        folder = tmp_path / f"home{last}" / ".rotation"
        folder.mkdir(parents=True)
        old = storage.connect(folder / storage.FILE, migrations=storage.MIGRATIONS[:1])
        with closing(Ledger(old, folder)) as ledger:
            ledger.add(lot(4, id="bake-7"), note)
            ledger.take("sourdough", "part-baked", 1, note)
        finished = bool(lived(bring_up_to_date, folder, last))
        with closing(sqlite3.connect(folder / storage.FILE)) as connection:
            versions.add(connection.execute("PRAGMA user_version").fetchone()[0])
        with Ledger.open(folder) as ledger:
            assert [(state.lot.id, state.left) for state in ledger.lots(now)] == [("bake-7", 3)]
            ledger.take("sourdough", "part-baked", 1, note)
        sound(folder)
        last += step
    assert step > 1 or versions == set(range(1, len(storage.MIGRATIONS) + 1))


def test_a_retry_after_a_kill_counts_once(folder, now, note, lot):
    with Ledger.open(folder) as ledger:
        ledger.add(lot(4), note)
        ledger.take("sourdough", "part-baked", 1, Note(now=now, id="tap-1"))
    with Ledger.open(folder) as ledger:
        ledger.take("sourdough", "part-baked", 1, Note(now=now, id="tap-1"))
        assert ledger.lots(now)[0].left == 3
