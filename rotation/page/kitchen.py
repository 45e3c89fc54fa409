"""The household behind the page, read once and kept in memory as long as nothing of it changes."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Annotated, Any, TypeVar, cast

from fastapi import Depends, Request

from rotation.errors import BadInput, RotationError
from rotation.household.reading import BREADS, SETTINGS, STOCK, Home, read_home
from rotation.keys import Keys
from rotation.ledger import Ledger, Told
from rotation.ledger.watch import Watch
from rotation.stockroom import STATE

Made = TypeVar("Made")
Stamp = tuple[tuple[int, int, int], ...]


class Broken(RotationError):
    """The household cannot be understood; `str(error)` says what `rotation check` says, with files named within it."""


class Kitchen:
    """One household for many requests at once. clock: the moment it is, aware; keys: what its page keeps secret."""

    def __init__(self, folder: Path, clock: Callable[[], datetime]) -> None:
        self.folder = folder
        self.clock = clock
        self.keys = Keys(folder / STATE)
        self._watch = Watch(folder / STATE)
        self._lock = Lock()
        self._breads, self._files = str(folder / BREADS), (str(folder / SETTINGS), str(folder / STOCK))
        self._listed: tuple[object, tuple[str, ...]] | None = None
        self._read: tuple[Stamp, Home | Broken] | None = None
        self._making: dict[str, Lock] = {}
        self._remembered: dict[str, tuple[object, Any]] = {}

    def moment(self) -> datetime:
        """Return the moment it is, by the household's clocks."""
        return self.clock().astimezone(self.home().zone)

    def home(self) -> Home:
        """Return the household, read anew once a file of it changed. Raises Broken, StorageError."""
        stamp = self._stamp()
        with self._lock:
            if self._read is None or self._read[0] != stamp:
                self._read = stamp, self._understood()
            read = self._read[1]
        if isinstance(read, Broken):
            raise Broken(str(read))
        return read

    def remembered(self, name: str, make: Callable[[], Made], *more: object) -> Made:
        """Return what `make` returned last time, unless files of the household or its ledger changed since, or `more`.

        more: whatever else the answer hangs on, as the minute it is. For answers that cost too much for each request.
        """
        with self._lock:
            mine = self._making.setdefault(name, Lock())
        with mine:  # who asks for the same meanwhile waits for it instead of making it, too
            key = (self._stamp(), self._watch.version(), more)
            kept = self._remembered.get(name)
            if kept is None or kept[0] != key:
                kept = key, make()
                self._remembered[name] = kept
            return cast(Made, kept[1])

    def without_place(self, said: str) -> str:
        """Return words for a page: files are named as the household knows them, not where it lies on this machine."""
        return said.replace(f"{self.folder}/", "").replace(str(self.folder), "the household")

    def feeds(self) -> tuple[str | None, datetime]:
        """Return what those read that only subscribe, and since when; also of a household that is broken."""
        with Ledger.open(self.folder / STATE, readonly=True) as ledger:
            return Told(ledger).feeds() or (None, datetime(2000, 1, 1, tzinfo=UTC))

    def close(self) -> None:
        """Let go of the ledger."""
        self._watch.close()

    def _understood(self) -> Home | Broken:
        try:
            return read_home(self.folder)
        except BadInput as error:
            return Broken(self.without_place(str(error)))

    def _stamp(self) -> Stamp:
        """Return what tells one state of the household's files from another. Asked several times for each request."""
        breads = _about(self._breads)
        if self._listed is None or self._listed[0] != breads:
            found = sorted(str(path) for path in Path(self._breads).glob("*.toml"))
            self._listed = breads, (*self._files, *found)
        return (breads, *(_about(file) for file in self._listed[1]))


def _about(path: str) -> tuple[int, int, int]:
    """Return what tells one state of a file or folder from another; zeros where it is not there."""
    try:
        about = os.stat(path)  # noqa: PTH116 ten times as quick as a Path
    except OSError:
        return 0, 0, 0
    return about.st_mtime_ns, about.st_size, about.st_ino


async def kitchen_of(request: Request) -> Kitchen:
    """Return the kitchen of the app that was asked. Async: what is this short needs no thread of its own."""
    return cast(Kitchen, request.app.state.kitchen)


KitchenOf = Annotated[Kitchen, Depends(kitchen_of)]
"""What a view takes to get at the household."""
