"""PDF of a page, by a Chromium browser of this machine. None is started for anything else."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Mapping
from pathlib import Path
from shutil import which
from tempfile import TemporaryDirectory

from rotation.errors import BadInput, Mistake, StorageError

VARIABLE = "ROTATION_BROWSER"
"""The environment variable that names the browser's program, by its path or as it is called."""

NAMES = ("chromium", "chromium-browser", "chrome", "google-chrome", "google-chrome-stable")
"""What the program of a Chromium browser is usually called."""

QUIETLY = (
    "--headless", "--disable-gpu", "--disable-extensions", "--disable-background-networking", "--disable-dev-shm-usage",
    "--no-first-run", "--no-pdf-header-footer",
)  # fmt: skip
"""How the browser is run: without a window, on small machines too, and with nothing of its own on the paper."""

LONGEST = 120
"""Seconds after which a browser that has not printed is given up."""


def find(environment: Mapping[str, str]) -> str | None:
    """Return the path of the browser's program: the one named in the environment, else the first of the usual names.

    Raises BadInput where the one that is named is not there.
    """
    named = environment.get(VARIABLE, "")
    if not named:
        return next(filter(None, map(which, NAMES)), None)
    there = which(named)
    if there is None:
        wrong = f'names "{named[:200]}", which is no program on this machine.'
        raise BadInput(Mistake(VARIABLE, None, "", wrong, "Name the program of a Chromium browser, or leave it out."))
    return there


def needed(environment: Mapping[str, str]) -> str:
    """Return the path of the browser's program. Raises BadInput, with what to do, where there is none."""
    program = find(environment)
    if program is None:
        wrong = "needs a Chromium browser, and there is none."
        instead = f"Install chromium, or name its program in {VARIABLE}; or write --out FILE.html and print that."
        raise BadInput(Mistake("--pdf", None, "", wrong, instead))
    return program


def print_pdf(program: str, html: str, path: Path) -> None:
    """Write a page as PDF, whole or not at all. Its paper and margins are those of its own `@page`.

    Raises StorageError. The browser gets a profile of its own beside the file, which is removed with it: some are not
    let into the folder for temporary files.
    """
    try:
        with TemporaryDirectory(prefix="rotation-print-", dir=path.parent, ignore_cleanup_errors=True) as folder:
            page, made = Path(folder).resolve() / "page.html", Path(folder).resolve() / "page.pdf"
            page.write_text(html, encoding="utf-8")
            profile = f"--user-data-dir={folder}/profile"
            run = [program, *QUIETLY, *_as_root(), profile, f"--print-to-pdf={made}", page.as_uri()]
            done = subprocess.run(run, capture_output=True, timeout=LONGEST, check=False)
            if not made.is_file():
                raise StorageError(f"{program} printed nothing (it ended with {done.returncode}). {_last(done.stderr)}")
            made.replace(path)
    except subprocess.TimeoutExpired:
        raise StorageError(f"{program} did not print within {LONGEST} seconds. Nothing was written") from None
    except OSError as error:
        raise StorageError(f"{path} cannot be written: {error.strerror or error}. Nothing was written") from error


def pages_of(path: Path) -> int:
    """Return how many pages a PDF has that was printed here: a browser leaves the pages' own objects as they are."""
    return len(re.findall(rb"/Type\s*/Page\b", path.read_bytes()))


def _as_root() -> list[str]:
    """Return what the browser must be told where the administrator runs it: it has no sandbox for that user."""
    return ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []


def _last(said: bytes) -> str:
    """Return the last line of what a program said."""
    lines = said.decode(errors="replace").strip().splitlines()
    return lines[-1][:200] if lines else ""
