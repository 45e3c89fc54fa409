"""What is said of steps while the program is killed at any point: a record and what it moved are there, or neither."""

from __future__ import annotations

import json
import random
import shutil
import sqlite3
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import datetime, timedelta
from itertools import count, islice
from pathlib import Path

import pytest

from rotation import by_hand, doing
from rotation.errors import BadInput
from rotation.household.reading import read_home
from rotation.ledger import Note, storage
from rotation.steps import known_steps
from rotation.stockroom import freezer
from tests.lives import killed, lived


def go_on(tell: Callable[[str], None], folder: Path, seed: int, most: int | None = None) -> None:
    """Say one thing after the other of the plan's steps, for ever or so many; tell each request once it is recorded."""
    chance, home = random.Random(seed), read_home(folder)
    now = datetime(2027, 3, 5, 12, tzinfo=home.zone)
    with freezer(home, now, readonly=True) as ledger:
        names = sorted(known_steps(ledger, home.zone))
    for number in islice(count(), most):
        name, id_ = chance.choice(names), f"life{seed}-{number}"
        acts = (
            lambda name=name, id_=id_: doing.done(home, name, now, id_=id_),
            lambda name=name, id_=id_: doing.done(home, name, now, id_=id_),
            lambda name=name, id_=id_: doing.undo(home, name, now, id_=id_),
            lambda name=name, id_=id_: doing.skip(home, name, now, id_=id_),
            lambda id_=id_: by_hand.count(home, "tin", chance.randint(0, 20), Note(now=now, id=id_), "sliced"),
        )
        try:
            chance.choice(acts)()
        except BadInput:
            continue
        tell(id_)


def sound(folder: Path) -> tuple[set[str], int]:
    """Hold rows and movements against each other, past the program; return the requests recorded, and how many rows."""
    with closing(sqlite3.connect(folder / ".rotation" / storage.FILE)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        kinds = dict(connection.execute("SELECT id, kind FROM movement"))
        undone = {id_ for (id_,) in connection.execute("SELECT undoes FROM movement WHERE undoes IS NOT NULL")}
        rows = connection.execute("SELECT id, movements FROM happened WHERE undoes IS NULL").fetchall()
        back = {id_ for (id_,) in connection.execute("SELECT undoes FROM happened WHERE undoes IS NOT NULL")}
        moved: list[str] = []
        for id_, movements in rows:
            moved += json.loads(movements)
            for movement in json.loads(movements):
                assert movement in kinds, "a step is recorded, and what it moved is not"
                assert (movement in undone) == (id_ in back), "taken back by half"
        assert len(moved) == len(set(moved))
        alone = {id_ for id_, kind in kinds.items() if kind in ("baked", "taken")} - set(moved)
        assert not alone, "moved, and the step is not recorded"
        running: dict[str, int] = {}
        for lot, units in connection.execute("SELECT lot, units FROM share ORDER BY movement"):
            running[lot] = running.get(lot, 0) + units
            assert running[lot] >= 0
        requests = {id_ for (id_,) in connection.execute("SELECT id FROM request")}
        return requests | set(kinds), len(rows)


@pytest.mark.parametrize("kills", [4, pytest.param(200, marks=pytest.mark.long)])
def test_a_step_and_what_it_moves_are_there_or_neither(week: Path, tmp_path: Path, kills: int) -> None:
    folder, chance, told = Path(shutil.copytree(week, tmp_path / "home")), random.Random(20270305), set[str]()
    for life in range(kills):
        told |= set(killed(chance, 12, go_on, folder, life))
        if not told:
            continue
        recorded, rows = sound(folder)
        assert told <= recorded, "told as recorded, and lost"
    assert rows >= 3
    home = read_home(folder)
    later = datetime(2027, 3, 5, 12, tzinfo=home.zone) + timedelta(minutes=5)
    doing.as_planned(home, later)  # and it goes on
    sound(folder)


@pytest.mark.parametrize(("programs", "acts"), [(3, 8), pytest.param(8, 60, marks=pytest.mark.long)])
def test_programs_at_once_agree_on_what_happened(week: Path, tmp_path: Path, programs: int, acts: int) -> None:
    folder = Path(shutil.copytree(week, tmp_path / "home"))
    with ThreadPoolExecutor(programs + 1) as pool:  # the first one's requests are made twice, at once
        told = list(pool.map(lambda seed: lived(go_on, folder, seed, acts), [*range(programs), 0]))
    recorded, rows = sound(folder)
    assert {id_ for each in told for id_ in each} <= recorded
    assert rows >= programs
