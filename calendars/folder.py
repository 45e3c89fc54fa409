"""Calendars in the file system: one .ics file, or a folder of them."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from calendars.canonical import same
from calendars.event import Oddity, Reading
from calendars.files import beside
from calendars.scan import LARGEST_FILE_BYTES
from calendars.store import CalendarError, Changed, Held, MissingCalendar, UnreadableCalendar, is_safe
from calendars.text import clean

MOST_FILES = 20_000


def bytes_of(path: Path) -> bytes:
    """Return what the file holds, or say in a family's words why it cannot be had."""
    try:
        if path.is_dir():
            raise UnreadableCalendar(f"{path} is a folder, not an .ics file; give the file, or the kind “folder”")
        if not path.exists():
            raise MissingCalendar(f"{path}: there is no such file; check the path, or export the calendar again")
        if not path.is_file():
            raise UnreadableCalendar(f"{path} is not a plain file")
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise UnreadableCalendar(
                f"{path} has {path.stat().st_size / 1e6:.0f} MB; at most {LARGEST_FILE_BYTES // 1_000_000} are read. "
                "Export fewer years"
            )
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise CalendarError(f"{path} cannot be read: {reason}") from error


@dataclass(frozen=True)
class IcsFile:
    """One .ics file."""

    location: str
    name: str

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events of the file that touch the window; see `Store.read`."""
        from calendars.reading import read_parts

        path = Path(self.location)
        return read_parts([(str(path), bytes_of(path))], source=self.name, zone=zone, window=window)


@dataclass(frozen=True)
class IcsFolder:
    """A folder of .ics files, read and written as one calendar, a file a resource.

    Reading reports a file that cannot be read, which harms no other; `held` raises for it, lest it look deleted. Files
    appear and change whole or not at all. Between looking at a tag and writing under it, another program has some
    microseconds to come between: file systems know no conditional write.
    """

    location: str
    name: str

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events of all files that touch the window; see `Store.read`."""
        from calendars.reading import read_parts

        paths = self._paths()
        parts: list[tuple[str, bytes]] = []
        failed: list[CalendarError] = []
        for path in paths:
            try:
                parts.append((path.name, bytes_of(path)))
            except CalendarError as error:
                failed.append(error)
        if failed and not parts:
            raise failed[0]
        reading = read_parts(parts, source=self.name, zone=zone, window=window)
        oddities = [Oddity(self.name, "", str(error)) for error in failed]
        if not paths:
            oddities.append(Oddity(self.name, "", f"{self.location} holds no .ics file yet"))
        return reading + Reading(oddities=tuple(oddities))

    def held(self) -> tuple[Held, ...]:
        """Return what every file holds, by name; see `Writable.held`."""
        return tuple(_held(path.name, bytes_of(path)) for path in self._paths())

    def get(self, resource: str) -> Held | None:
        """Return what the file of this name holds; see `Writable.get`."""
        path = self._path(resource)
        try:
            return _held(resource, bytes_of(path))
        except MissingCalendar:
            return None

    def put(self, resource: str, data: bytes, etag: str | None) -> Held:
        """Write the file of this name; see `Writable.put`."""
        path = self._path(resource)
        if etag is None and not is_safe(resource):
            raise CalendarError(f"{self.name}: a new file cannot be called {clean(resource)!r}. Nothing was written")
        there = self.get(resource)
        if there is not None and there.etag != etag and same(there.data, data):
            return there
        try:
            with beside(path, data) as temporary:
                if etag is None:
                    os.link(temporary, path)  # unlike a rename, fails where there is one already
                else:
                    self._check(resource, etag, "it was written anew or taken away since it was last looked at")
                    temporary.replace(path)
        except FileExistsError as error:
            raise Changed(f"{path} is there already. Nothing was written") from error
        except OSError as error:
            raise CalendarError(f"{path} cannot be written: {error.strerror or error}. Nothing was changed") from error
        return _held(resource, data)

    def delete(self, resource: str, etag: str) -> None:
        """Delete the file of this name; see `Writable.delete`."""
        path = self._path(resource)
        if self.get(resource) is None:
            return
        self._check(resource, etag, "it was written anew since it was last looked at")
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            raise CalendarError(f"{path} cannot be deleted: {error.strerror or error}") from error

    def _paths(self) -> list[Path]:
        """Return the .ics files in the folder, by name."""
        folder = Path(self.location)
        try:
            if folder.is_file():
                raise UnreadableCalendar(f"{folder} is a file, not a folder; give the folder, or the kind “file”")
            if not folder.is_dir():
                raise MissingCalendar(f"{folder}: there is no such folder; check the path")
            paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".ics")
        except OSError as error:
            raise CalendarError(f"{folder} cannot be read: {error.strerror}") from error
        if len(paths) > MOST_FILES:
            raise UnreadableCalendar(f"{folder} holds {len(paths)} .ics files; at most {MOST_FILES} are read")
        return paths

    def _path(self, resource: str) -> Path:
        """Return where the file of this name is. The name cannot lead out of the folder, and the folder is there."""
        folder = Path(self.location)
        if not resource or resource != Path(resource).name or "\x00" in resource:
            raise CalendarError(f"{self.name}: {clean(resource)!r} is no name of a file in {folder}")
        if not folder.is_dir():
            raise MissingCalendar(f"{folder}: there is no such folder; check the path")
        return folder / resource

    def _check(self, resource: str, etag: str, otherwise: str) -> None:
        """Raise Changed unless the file is as the tag says."""
        found = self.get(resource)
        if found is None or found.etag != etag:
            raise Changed(f"{Path(self.location) / resource} is not as it was: {otherwise}. Nothing was changed")


def _held(resource: str, data: bytes) -> Held:
    return Held(resource, hashlib.sha256(data).hexdigest(), data)
