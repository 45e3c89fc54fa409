"""The ledger's file: how it is opened, brought up to date and written to, and what goes wrong in plain words."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from rotation.errors import StorageError
from rotation.ledger.formats import APPLICATION, MIGRATIONS, Migration

FILE = "ledger.sqlite"
_WRONG = {
    sqlite3.SQLITE_BUSY: "another program is writing to it and does not finish. Close it, or try again in a minute.",
    sqlite3.SQLITE_LOCKED: "another program is writing to it and does not finish. Close it, or try again in a minute.",
    sqlite3.SQLITE_READONLY: "it, its folder or its disk may only be read. Allow writing there.",
    sqlite3.SQLITE_FULL: "the disk is full, and nothing was recorded. Make room and try again.",
    sqlite3.SQLITE_NOTADB: "it is not a ledger. Move it away. If there is a copy beside it, {name}.before-…, use that.",
    sqlite3.SQLITE_CORRUPT: "it is damaged. Move it away. If there is a copy beside it, {name}.before-…, use that.",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened. Look whether its folder is there and you may read and write in it.",
    sqlite3.SQLITE_PERM: "you may not use it. Look at the permissions of its folder.",
    sqlite3.SQLITE_IOERR: "the disk reports an error. Look whether it is full or failing.",
}


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Turn whatever the disk or the database says about the file at `path` into a StorageError a person can act on."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the low byte is the kind, the rest detail
        wrong = _WRONG.get(code, f"the database says: {error}.")
        raise StorageError(f"{path}: {wrong.format(name=path.name)}") from error
    except OSError as error:
        raise StorageError(f"{path}: {error.strerror or error}.") from error


_WHOLE = "BEGIN IMMEDIATE", "COMMIT", "ROLLBACK"
_PART = "SAVEPOINT part", "RELEASE part", "ROLLBACK TO part"


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Hold the only right to write from the first line to the last; all of it is recorded or nothing.

    Within another one it is a part of that: taken back by itself where it fails, recorded only with the whole.
    """
    part = connection.in_transaction
    begin, commit, back = _PART if part else _WHOLE
    connection.execute(begin)
    try:
        yield
        connection.execute(commit)
    except BaseException:
        if connection.in_transaction:  # a full disk ends it by itself
            connection.execute(back)
            if part:
                connection.execute(commit)
        raise


def connect(
    path: Path, *, readonly: bool = False, busy_seconds: float = 10, migrations: Sequence[Migration] = MIGRATIONS
) -> sqlite3.Connection:
    """Open the ledger at `path`, made or brought up to date as needed; a copy is kept before each change of format.

    readonly: touch nothing on the disk; where there is no ledger yet, an empty one in memory that is forgotten.
    Raises StorageError, also where the file is of a newer program or not a ledger.
    """
    with plain_words(path):
        if path.is_dir():
            raise StorageError(f"{path}: here a file should be, and there is a folder. Move it away.")
        if readonly:
            connection = _open_to_read(path, busy_seconds)
        else:
            _make_folder(path.parent)
            connection = _open(path, busy_seconds, "mode=rwc")
        try:
            version = _own_version(connection, path, len(migrations))
            if version < len(migrations):
                if readonly:
                    connection = _in_memory(connection)
                _migrate(connection, migrations, None if readonly else path)
            if not readonly:
                connection.execute("PRAGMA synchronous = FULL")  # what was told as recorded survives a power cut
                if _pragma(connection, "journal_mode") != "wal":
                    with suppress(sqlite3.OperationalError):  # somebody else is using it: the next to open it will try
                        connection.execute("PRAGMA journal_mode = WAL")
        except BaseException:
            connection.close()
            raise
    return connection


def _open(path: Path, busy_seconds: float, how: str) -> sqlite3.Connection:
    uri = f"{path.absolute().as_uri()}?{how}"
    return _ready(sqlite3.connect(uri, uri=True, timeout=busy_seconds, isolation_level=None))


def _open_to_read(path: Path, busy_seconds: float) -> sqlite3.Connection:
    """Open without writing.

    SQLite reads a write-ahead log only where it may write beside it: on a read-only disk the file is declared fixed or,
    with movements still in the log, both are read from a copy.
    """
    if not path.exists():
        return _in_memory(None)
    connection = _open(path, busy_seconds, "mode=ro")
    try:
        _pragma(connection, "user_version")
    except sqlite3.OperationalError:
        connection.close()
        log = path.with_name(f"{path.name}-wal")
        if not log.exists() or not log.stat().st_size:
            return _open(path, busy_seconds, "mode=ro&immutable=1")
        with TemporaryDirectory() as folder:
            copies = [Path(shutil.copyfile(file, Path(folder, file.name))) for file in (path, log)]
            return _in_memory(_open(copies[0], busy_seconds, "mode=rw"))
    return connection


def _in_memory(source: sqlite3.Connection | None) -> sqlite3.Connection:
    """Return a database in memory with what the source holds; the source is closed."""
    connection = _ready(sqlite3.connect(":memory:", isolation_level=None))
    if source is not None:
        with closing(source):
            source.backup(connection)
    return connection


def _ready(connection: sqlite3.Connection) -> sqlite3.Connection:
    connection.row_factory = sqlite3.Row
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


def _make_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise StorageError(f"{folder}: here a folder should be, and there is a file. Move it away.")
    folder.mkdir(exist_ok=True)


def _own_version(connection: sqlite3.Connection, path: Path, newest: int) -> int:
    """Return the format of the file; refuse one that is not ours or newer than we are."""
    version = int(_pragma(connection, "user_version"))
    used = version or connection.execute("SELECT EXISTS (SELECT * FROM sqlite_master)").fetchone()[0]
    if used and int(_pragma(connection, "application_id")) != APPLICATION:
        raise StorageError(f"{path}: this is a database of another program, not a ledger. Move it away.")
    if version > newest:
        raise StorageError(
            f"{path}: written by a newer version of this program (format {version}, this one knows {newest}). "
            f"Update the program; nothing was changed. A copy from before the change may lie beside it: "
            f"{_copy_of(path, version).name}."
        )
    return version


def _migrate(connection: sqlite3.Connection, migrations: Sequence[Migration], path: Path | None) -> None:
    """Bring the format up to date step by step; the file at `path`, if given, is copied before each step."""
    done, new = False, not int(_pragma(connection, "user_version"))  # of a new file nothing is worth a copy
    while not done:
        with transaction(connection):  # others wait; whoever comes second finds it done
            version = int(_pragma(connection, "user_version"))
            done = version >= len(migrations)
            if not done:
                if path and not new:
                    _copy(path, _copy_of(path, version + 1))
                for statement in migrations[version]:
                    connection.execute(statement)
                connection.execute(f"PRAGMA user_version = {version + 1}")


def _copy(path: Path, copy: Path) -> None:
    """Copy the database as last committed, write-ahead log included; the copy appears whole or not at all."""
    partial = copy.with_name(copy.name + ".partial")
    partial.unlink(missing_ok=True)
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(partial)) as target:
        source.backup(target)
    partial.replace(copy)


def _copy_of(path: Path, version: int) -> Path:
    return path.with_name(f"{path.name}.before-v{version}")


def _pragma(connection: sqlite3.Connection, name: str) -> str:
    return str(connection.execute(f"PRAGMA {name}").fetchone()[0])
