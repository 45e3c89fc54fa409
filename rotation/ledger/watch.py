"""Tells whether a ledger was written to, by whomever, without reading it."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path
from threading import Lock

from rotation.ledger import storage


class Watch:
    """Looks at one ledger for as long as a program runs. May be asked from several threads."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / storage.FILE
        self._lock = Lock()
        self._connection: sqlite3.Connection | None = None
        self._opened = 0
        self._inode: int | None = None

    def version(self) -> tuple[int, int]:
        """Return what is another than before once somebody recorded something. Raises StorageError."""
        with self._lock, storage.plain_words(self._path):
            try:
                inode = self._path.stat().st_ino
            except (FileNotFoundError, NotADirectoryError):
                inode = None
            if inode != self._inode or inode is None:
                self._let_go()
            if inode is not None and self._connection is None:
                uri = f"{self._path.absolute().as_uri()}?mode=ro"
                self._connection = sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False)
                self._inode = inode
            if self._connection is None:
                return self._opened, 0
            try:
                return self._opened, int(self._connection.execute("PRAGMA data_version").fetchone()[0])
            except sqlite3.OperationalError:  # a disk that may only be read: nobody writes, but it may be mounted anew
                about = self._path.stat()
                return about.st_mtime_ns, about.st_size

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._let_go()

    def _let_go(self) -> None:
        if self._connection is not None:
            with suppress(sqlite3.Error):
                self._connection.close()
            self._opened += 1
        self._connection, self._inode = None, None
