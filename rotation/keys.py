"""What the kitchen page keeps secret: its signing key, the code for pairing, the addresses of feeds.

Each is a file of its own in `page/` of the household's state, written whole or not at all, for its owner's eyes only.
Where the disk may only be read they are kept in memory, and forgotten when the program ends.
"""

from __future__ import annotations

import json
import secrets
from contextlib import suppress
from pathlib import Path
from typing import Any

from calendars.files import beside
from rotation.errors import StorageError

FOLDER = "page"
"""Folder within a household's state."""

KEY, PAIRING, FEEDS = "key.json", "pairing.json", "feeds.json"


class Keys:
    """The secrets of one household's page. A change made by another program is seen at the next look."""

    def __init__(self, state: Path) -> None:
        self._folder = state / FOLDER
        self._seen: dict[str, tuple[tuple[int, ...], dict[str, Any]]] = {}
        self._in_memory: dict[str, dict[str, Any]] = {}
        self.forgetful = ""
        """Why what is new cannot be kept, in words; "" while it can."""

    def signing(self) -> bytes:
        """Return the key that cookies are signed with; the first time one is made."""
        found = self.read(KEY).get("key")
        if not isinstance(found, str) or len(found) < 32:
            return self.renew_signing()
        return found.encode()

    def renew_signing(self) -> bytes:
        """Make a new key: every phone that was paired is forgotten."""
        key = secrets.token_urlsafe(32)
        self.write(KEY, {"key": key})
        return key.encode()

    def read(self, name: str) -> dict[str, Any]:
        """Return what a file holds; nothing where it is not there or was spoiled."""
        if name in self._in_memory:
            return self._in_memory[name]
        path = self._folder / name
        try:
            about = path.stat()
            stamp = (about.st_mtime_ns, about.st_size, about.st_ino)
            if (seen := self._seen.get(name)) is not None and seen[0] == stamp:
                return seen[1]
            if about.st_mode & 0o077:
                with suppress(OSError):  # a disk that may only be read, or somebody else's file
                    path.chmod(0o600)
            read = json.loads(path.read_bytes())
        except (FileNotFoundError, NotADirectoryError):
            return {}
        except OSError as error:
            raise StorageError(f"{path}: cannot be read: {error.strerror or error}.") from None
        except ValueError:
            return {}
        held: dict[str, Any] = read if isinstance(read, dict) else {}
        self._seen[name] = stamp, held
        return held

    def write(self, name: str, held: dict[str, Any]) -> None:
        """Keep values in a file's place; in memory where there is no writing, and `forgetful` says why."""
        path = self._folder / name
        try:
            self._folder.parent.mkdir(exist_ok=True)
            self._folder.mkdir(mode=0o700, exist_ok=True)
            with beside(path, json.dumps(held).encode(), 0o600) as temporary:
                temporary.replace(path)
            self._in_memory.pop(name, None)
        except OSError as error:
            self._in_memory[name] = held
            self.forgetful = f"{path}: {error.strerror or error}"
