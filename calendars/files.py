"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

USUAL_MODE = 0o644


@contextmanager
def beside(path: Path, data: bytes, mode: int | None = None) -> Iterator[Path]:
    """Give a file beside `path` with the data safely on the disk, to be put in its place; what is left of it is gone.

    mode: its permissions; else those of the file at `path`, if there is one. Raises OSError.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if mode is None:
            mode = path.stat().st_mode & 0o777 if path.exists() else USUAL_MODE
        temporary.chmod(mode)
        yield temporary
    finally:
        temporary.unlink(missing_ok=True)
