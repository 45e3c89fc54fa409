"""A ledger that cannot be written to, and a clock that is wrong: clear words, nothing lost, nothing half done."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from rotation.ledger import storage
from tests.commands.conftest import Run
from tests.doing.conftest import Say

WRITING = (
    "done sat-thaw",
    "done all",
    "done sat-mix --undo",
    "done starter",
    "done starter --undo",
    "skip sat-finish",
    "later sat-shape --take 1",
    "freezer take country",
    "freezer count A 1",
    "freezer add country 2 --form part-baked",
    "freezer discard A --because burnt",
    "freezer undo",
    "freezer power-cut --hours 90 --record",
    "freezer open-lid A=warm --record",
    "buy --bought",
    "buy --there salt=500",
    "guests Sun_17:00 4 --write",
    "plan --work quick",
)
"""All that records something, as a person writes it."""

QUICK = ("done sat-thaw", "freezer take country", "buy --there salt=500")


def each(words: Iterable[str], quick: Collection[str] = QUICK) -> list[object]:
    """Return words to be tried, all but a few in the long suite only."""
    return [one if one in quick else pytest.param(one, marks=pytest.mark.long) for one in words]


AT = "2027-03-06T16:00"


def run(rotation: Run, home: Path, words: str, now: str = AT) -> tuple[int, str]:
    """Run a command; return its exit code and what it says on stderr, which is never a traceback."""
    when = "--from" if words.startswith("plan") else "--now"
    ran = rotation(*(word.replace("_", " ") for word in words.split()), "--household", home, when, now)
    return ran.code, ran.err


def held(home: Path) -> tuple[list[str], dict[Path, bytes]]:
    """Return all that is recorded, and what stands in the household's files."""
    with closing(sqlite3.connect(home / ".rotation" / storage.FILE)) as connection:
        rows = list(connection.iterdump())
    kept = {path: path.read_bytes() for path in home.rglob("*") if path.is_file() and ".rotation" not in path.parts}
    return rows, kept


@contextmanager
def locked(home: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Another program writes, and does not finish."""
    really = storage.connect
    monkeypatch.setattr(storage, "connect", lambda path, **how: really(path, **how | {"busy_seconds": 0.02}))
    with closing(sqlite3.connect(home / ".rotation" / storage.FILE, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@contextmanager
def pragma(monkeypatch: pytest.MonkeyPatch, said: str) -> Iterator[None]:
    """Every connection that is opened to write is under a limit of SQLite's own."""
    really = storage._open

    def limited(path: Path, busy_seconds: float, how: str) -> sqlite3.Connection:
        connection = really(path, busy_seconds, how)
        connection.execute(said)
        return connection

    monkeypatch.setattr(storage, "_open", limited)
    yield


@pytest.fixture
def begun(say: Say, home: Path) -> Path:
    """Return the household with a bake under way and a record of each kind."""
    say("done starter", "08:00")
    say("done sat-mix", "15:35")
    say("freezer add country 1 --form part-baked", "15:36")
    return home


@pytest.mark.parametrize("words", each(WRITING))
def test_nothing_is_half_done_where_nothing_can_be_written(
    rotation: Run, begun: Path, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = held(begun)
    full, fixed = "PRAGMA max_page_count = 1", "PRAGMA query_only = ON"
    for make, wrong, make_full in (
        (lambda: locked(begun, monkeypatch), "another program is writing to it", False),
        (lambda: pragma(monkeypatch, fixed), "may only be read", False),
        (lambda: pragma(monkeypatch, full), "the disk is full, and nothing was recorded", True),
    ):
        with make():
            code, said = run(rotation, begun, words)
        monkeypatch.undo()
        if make_full and code == 0:
            return  # there was room left in a page: it is recorded, wholly
        assert (code, wrong in said) == (5, True), (words, said)
        assert said.rstrip().splitlines()[-1].startswith(str(begun / ".rotation" / storage.FILE))
        assert held(begun) == before, (words, wrong)
    code, said = run(rotation, begun, words)
    assert code == 0, said


@pytest.mark.parametrize("now", ["2027-02-01T10:00", "2031-01-01T00:00"])
@pytest.mark.parametrize("words", each([*WRITING, "now", "buy", "eaten", "freezer list", "publish"], QUICK[:1]))
def test_a_clock_that_is_wrong_is_told_or_does_no_harm(rotation: Run, begun: Path, words: str, now: str) -> None:
    code, said = run(rotation, begun, words, now)
    assert code in (0, 2, 3), said
    assert code == 0 or said
    with closing(sqlite3.connect(begun / ".rotation" / storage.FILE)) as connection:
        assert min(units for (units,) in connection.execute("SELECT SUM(units) FROM share GROUP BY lot")) >= 0
    assert run(rotation, begun, "now")[0] == run(rotation, begun, "freezer list")[0] == 0, "and back again"
    assert run(rotation, begun, "plan --work quick")[0] == 0
