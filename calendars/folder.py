"""Calendars in the file system: one .ics file, or a folder of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from calendars.event import Oddity, Reading
from calendars.scan import LARGEST_FILE_BYTES
from calendars.store import CalendarError, MissingCalendar, UnreadableCalendar

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
    """A folder of .ics files, read as one calendar. A file that cannot be read is reported and harms no other."""

    location: str
    name: str

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events of all files that touch the window; see `Store.read`."""
        from calendars.reading import read_parts

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
            oddities.append(Oddity(self.name, "", f"{folder} holds no .ics file yet"))
        return reading + Reading(oddities=tuple(oddities))
