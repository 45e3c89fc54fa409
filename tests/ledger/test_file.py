"""The ledger's file: formats, copies before a change, and everything a disk can do wrong."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

import rotation
from rotation.errors import StorageError
from rotation.ledger import Ledger, Told, rows, storage

NEXT = (*storage.MIGRATIONS, ("ALTER TABLE lot ADD COLUMN shelf TEXT NOT NULL DEFAULT 'top'",))
NOBODY = 65534
THIS = len(storage.MIGRATIONS)
"""The format written today; NEXT leads to the one after."""


@pytest.fixture
def filled(folder, lot, note):
    with Ledger.open(folder) as ledger:
        ledger.add(lot(4, id="bake-7"), note)
    return folder / storage.FILE


def version(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute("PRAGMA user_version").fetchone()[0]


def test_a_new_ledger_is_made_with_its_folder_in_write_ahead_mode(ledger, folder):
    assert ledger._connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert ledger._connection.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert [path.name for path in folder.iterdir() if path.suffix == ".sqlite"] == ["ledger.sqlite"]
    assert version(folder / storage.FILE) == THIS


def test_an_empty_file_left_by_a_crash_becomes_a_ledger(folder, lot, now, note):
    folder.mkdir()
    (folder / storage.FILE).touch()
    with Ledger.open(folder) as ledger:
        ledger.add(lot(4), note)
    assert [path.name for path in folder.iterdir()] == [storage.FILE]


def test_a_change_of_format_keeps_a_whole_copy_of_what_was(filled, now):
    with closing(storage.connect(filled, migrations=NEXT)) as connection:
        row = connection.execute("SELECT id, shelf FROM lot").fetchone()
    assert tuple(row) == ("bake-7", "top")
    copy = filled.with_name(f"ledger.sqlite.before-v{THIS + 1}")
    assert (version(filled), version(copy)) == (THIS + 1, THIS)
    restored = filled.parent / "restored"
    restored.mkdir()
    shutil.copy(copy, restored / storage.FILE)
    with Ledger.open(restored) as ledger:
        assert [(state.lot.id, state.left) for state in ledger.lots(now)] == [("bake-7", 4)]


def test_a_feed_is_a_thing_also_in_a_file_of_before_there_were_any(folder, now):
    folder.mkdir()
    storage.connect(folder / storage.FILE, migrations=storage.MIGRATIONS[:4]).close()
    with Ledger.open(folder) as ledger:
        Told(ledger).publish("{}", "{}", "[]", {"a": "feed", "b": "bake"}, now)
        assert set(Told(ledger).states()) == {"a", "b"}
        with pytest.raises(StorageError, match="CHECK"):
            Told(ledger).publish("{}", "{}", "[]", {"c": "nonsense"}, now)
    with closing(sqlite3.connect(folder / storage.FILE)) as file:
        assert file.execute("PRAGMA integrity_check").fetchone()[0] == "ok"


def test_movements_still_in_the_log_are_in_the_copy(folder, lot, now, note):
    with Ledger.open(folder) as ledger:  # stays open: nothing is folded back into the main file
        ledger.add(lot(4, id="bake-7"), note)
        storage.connect(folder / storage.FILE, migrations=NEXT).close()
    with closing(sqlite3.connect(folder / f"ledger.sqlite.before-v{THIS + 1}")) as copy:
        assert copy.execute("SELECT id FROM lot").fetchall() == [("bake-7",)]


def test_a_change_that_fails_changes_nothing_and_leaves_the_copy(filled, now):
    broken = (*storage.MIGRATIONS, ("ALTER TABLE lot ADD COLUMN shelf TEXT", "ALTER TABLE nowhere ADD COLUMN x"))
    with pytest.raises(StorageError, match="no such table"):
        storage.connect(filled, migrations=broken)
    assert version(filled) == version(filled.with_name(f"ledger.sqlite.before-v{THIS + 1}")) == THIS
    with Ledger.open(filled.parent) as ledger:
        assert ledger.lots(now)[0].left == 4


def test_programs_that_find_an_old_format_at_once_change_it_once(filled, now):
    def change(_: int) -> int:
        with closing(storage.connect(filled, migrations=NEXT)) as connection:
            return connection.execute("SELECT COUNT(shelf) FROM lot").fetchone()[0]

    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(change, range(12))) == [1] * 12
    assert (version(filled), version(filled.with_name(f"ledger.sqlite.before-v{THIS + 1}"))) == (THIS + 1, THIS)


def test_programs_that_seed_at_once_record_the_opening_stock_once(folder, lot, now):
    def seed(number: int) -> bool:
        with Ledger.open(folder) as ledger:
            return ledger.seed([lot(4)], f"digest-{number}", now)

    with ThreadPoolExecutor(6) as pool:
        assert sorted(pool.map(seed, range(12))) == [False] * 11 + [True]
    with Ledger.open(folder) as ledger:
        assert [state.left for state in ledger.lots(now)] == [4]


def test_ctrl_c_in_the_middle_records_nothing_and_the_next_write_works(ledger, lot, now, note, monkeypatch):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr(rows, "insert_movement", stop)
        with pytest.raises(KeyboardInterrupt):
            ledger.add(lot(4, id="bake-7"), note)
    ledger.add(lot(4, id="bake-7"), note)
    assert [(state.lot.id, state.left) for state in ledger.lots(now)] == [("bake-7", 4)]


def test_two_steps_keep_two_copies(filled):
    later = (*NEXT, ("ALTER TABLE lot ADD COLUMN row TEXT",))
    storage.connect(filled, migrations=later).close()
    assert version(filled) == THIS + 2
    copies = [filled.with_name(f"ledger.sqlite.before-v{number}") for number in (THIS + 1, THIS + 2)]
    assert [version(copy) for copy in copies] == [THIS, THIS + 1]


def test_a_newer_ledger_is_refused_untouched(filled):
    storage.connect(filled, migrations=NEXT).close()
    before = filled.read_bytes()
    for readonly in (False, True):
        with pytest.raises(
            StorageError, match=rf"newer version .* \(format {THIS + 1}, this one knows {THIS}\)\. Update"
        ):
            Ledger.open(filled.parent, readonly=readonly)
    assert filled.read_bytes() == before


def test_another_programs_database_is_refused_untouched(folder):
    folder.mkdir()
    with closing(sqlite3.connect(folder / storage.FILE)) as other:
        other.execute("CREATE TABLE songs (title TEXT)")
        other.commit()
    before = (folder / storage.FILE).read_bytes()
    with pytest.raises(StorageError, match="another program"):
        Ledger.open(folder)
    assert (folder / storage.FILE).read_bytes() == before


@pytest.mark.parametrize("readonly", [False, True])
@pytest.mark.parametrize("content", [b"bread = 3\n" * 200, b"\x00\xff" * 4000, b"SQLite format 3\x00" + b"\x01" * 4080])
def test_what_is_not_a_database_is_refused_untouched(folder, content, readonly):
    folder.mkdir()
    (folder / storage.FILE).write_bytes(content)
    with pytest.raises(StorageError, match=r"ledger\.sqlite: it is (not a ledger|damaged)"):
        Ledger.open(folder, readonly=readonly)
    assert (folder / storage.FILE).read_bytes() == content


def test_a_truncated_ledger_is_told_as_damaged(filled, now):
    os.truncate(filled, 4096 * 3)
    with pytest.raises(StorageError, match="damaged"), Ledger.open(filled.parent) as ledger:
        ledger.history()


@pytest.mark.parametrize("readonly", [False, True])
def test_a_folder_where_the_file_should_be(folder, readonly):
    (folder / storage.FILE).mkdir(parents=True)
    with pytest.raises(StorageError, match="there is a folder"):
        Ledger.open(folder, readonly=readonly)


def test_a_file_where_the_folder_should_be(folder):
    folder.write_text("not a folder")
    with pytest.raises(StorageError, match="there is a file"):
        Ledger.open(folder)
    with pytest.raises(StorageError, match="Not a directory"):
        Ledger.open(folder / "deeper")


def test_a_household_that_is_not_there(tmp_path):
    with pytest.raises(StorageError, match="No such file or directory"):
        Ledger.open(tmp_path / "nowhere" / ".rotation")


def test_a_ledger_somebody_is_writing_to(filled, lot, now, note):
    with closing(sqlite3.connect(filled, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with Ledger.open(filled.parent, busy_seconds=0.05) as ledger:
            assert ledger.lots(now)[0].left == 4
            with pytest.raises(StorageError, match="another program is writing"):
                ledger.take_from("A", 1, note)
        other.execute("ROLLBACK")
    with Ledger.open(filled.parent) as ledger:
        assert ledger.lots(now)[0].left == 4


def test_a_full_disk_records_nothing(filled, lot, now, note):
    with Ledger.open(filled.parent) as ledger:
        ledger._connection.execute("PRAGMA max_page_count = 1")  # no page more than there are: the disk is full
        with pytest.raises(StorageError, match="disk is full, and nothing was recorded"):
            ledger.keep_plan('"' + "x" * 100_000 + '"', now)
        assert ledger.kept_plan() is None
        ledger._connection.execute("PRAGMA max_page_count = 10000")
        ledger.take_from("A", 1, note)
        assert ledger.lots(now)[0].left == 3


def test_reading_only_reads_and_leaves_no_trace(filled, lot, now, note):
    before = {path.name: path.read_bytes() for path in filled.parent.iterdir()}
    with Ledger.open(filled.parent, readonly=True) as ledger:
        assert ledger.lots(now)[0].left == 4
        assert len(ledger.history()) == 1
        assert not ledger.seed([lot(9)], "digest", now)
        with pytest.raises(StorageError, match="may only be read"):
            ledger.take_from("A", 1, note)
        with pytest.raises(StorageError, match="may only be read"):
            ledger.keep_plan("{}", now)
    after = {path.name: path.read_bytes() for path in filled.parent.iterdir()}
    assert after["ledger.sqlite"] == before["ledger.sqlite"]


def test_reading_where_nothing_is_yet_makes_nothing(folder, lot, now):
    with Ledger.open(folder, readonly=True) as ledger:
        assert ledger.lots(now) == ()
        assert ledger.seed([lot(4)], "digest", now)
        assert ledger.lots(now)[0].left == 4
    assert not folder.exists()


def test_an_older_format_is_read_without_changing_it(filled):
    before = filled.read_bytes()
    with closing(storage.connect(filled, migrations=NEXT, readonly=True)) as connection:
        assert connection.execute("SELECT shelf FROM lot").fetchone()[0] == "top"
    assert filled.read_bytes() == before
    assert not list(filled.parent.glob("*before*"))


READ = f"""
import os, sys
from datetime import datetime
from pathlib import Path
from rotation.errors import StorageError
from rotation.ledger import Ledger, Note
if os.geteuid() == 0:  # root may write anywhere: become somebody who may not
    os.setgid({NOBODY}); os.setuid({NOBODY})
now = datetime.fromisoformat(sys.argv[2])
with Ledger.open(Path(sys.argv[1]), readonly=True) as ledger:
    print(*(state.left for state in ledger.lots(now)))
try:
    with Ledger.open(Path(sys.argv[1])) as ledger:
        ledger.take_from("A", 1, Note(now=now))
except StorageError as error:
    print(error)
"""


@pytest.mark.parametrize("in_log", [False, True], ids=["closed", "movements still in the log"])
def test_a_folder_that_may_only_be_read(lot, now, note, in_log):
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o755)
        folder, written = Path(place, "fixed"), Path(place, "written")
        with Ledger.open(written) as ledger:
            ledger.add(lot(4), note)
            if in_log:
                ledger.take_from("A", 1, note)
                folder.mkdir()
                for name in (storage.FILE, f"{storage.FILE}-wal"):
                    shutil.copy(written / name, folder / name)
        if not in_log:
            shutil.copytree(written, folder)
        for path in folder.iterdir():
            path.chmod(0o444)
        folder.chmod(0o555)
        command = [sys.executable, "-c", READ, str(folder), now.isoformat()]
        root = Path(rotation.__file__).parents[1]
        try:
            shown = subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)
        finally:
            folder.chmod(0o755)
    assert shown.stderr == ""
    left, wrong = shown.stdout.splitlines()
    assert left == ("3" if in_log else "4")
    assert wrong.startswith(str(folder / storage.FILE))
    assert "may only be read" in wrong or "cannot be opened" in wrong
