"""Read one TOML file a person wrote: its data, and where each setting stands. Never a traceback, whatever is in it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rotation.errors import BadInput, Mistake, StorageError
from rotation.household.lines import Path as Setting
from rotation.household.lines import line_of, lines_of

LARGEST_BYTES = 1_000_000
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")


@dataclass(frozen=True)
class TomlFile:
    """A file as read: `shown` as the person would type it, its data, and the line of each setting."""

    shown: str
    data: Mapping[str, Any]
    lines: Mapping[Setting, int]

    def mistake(self, setting: Setting, wrong: str, instead: str = "") -> Mistake:
        """Return a mistake in one of its settings."""
        return Mistake(self.shown, line_of(dict(self.lines), setting), dotted(setting), wrong, instead)


def dotted(setting: Setting) -> str:
    """Return "people.0.name" for a path; a part that is not a plain key stands in quotes."""
    return ".".join(
        part if isinstance(part, str) and re.fullmatch(r"[\w-]+", part) else str(part) if isinstance(part, int) else
        '"' + printable(part) + '"' for part in setting
    )  # fmt: skip


def printable(text: str, longest: int = 60) -> str:
    """Return text without signs that could steer a terminal, cut to a length."""
    clean = "".join(sign if sign.isprintable() else " " for sign in text)
    return clean if len(clean) <= longest else clean[: longest - 1] + "…"


def read_toml(path: Path) -> TomlFile:
    """Return what a TOML file says. Raises BadInput for what a person can mend, StorageError if it cannot be read."""
    shown = str(path)
    try:
        size = path.stat().st_size
        if not path.is_file():
            wrong = "is a folder, not a file." if path.is_dir() else "is not a plain file."
            raise BadInput(Mistake(shown, None, "", wrong, f"Move it away and write a file {path.name}."))
        if size > LARGEST_BYTES:
            wrong = f"is {size / 1e6:.1f} MB, far more than any settings need."
            raise BadInput(Mistake(shown, None, "", wrong, "Write a text file of settings; `rotation new` shows one."))
        raw = path.read_bytes()
    except FileNotFoundError:
        raise BadInput(Mistake(shown, None, "", "is not there.", "Lay one out with: rotation new DIR")) from None
    except OSError as error:
        raise StorageError(f"{shown}: cannot be read: {error.strerror or error}") from None
    return _parsed(shown, _text(shown, raw))


def _text(shown: str, raw: bytes) -> str:
    if b"\0" in raw:
        raise BadInput(Mistake(shown, None, "", "is not a text file.", "Save it as plain text (UTF-8)."))
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput(
            Mistake(shown, line, "", "has a letter that is not UTF-8.", "Save the file as UTF-8 text in your editor.")
        ) from None


def _parsed(shown: str, text: str) -> TomlFile:
    try:
        return TomlFile(shown, tomllib.loads(text), lines_of(text))
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        place = _PLACE.search(said)
        line = int(place[1]) if place and place[1] else len(text.rstrip("\n").split("\n"))
        said = printable(_PLACE.sub("", said), 200)
        raise BadInput(
            Mistake(shown, line, "", f"is not TOML: {said[:1].lower() + said[1:]}.", _hint(text, line))
        ) from None
    except RecursionError:
        raise BadInput(
            Mistake(shown, None, "", "has brackets in brackets beyond any sense.", "Write plain lists.")
        ) from None


def _hint(text: str, line: int) -> str:
    """Return an example that fits the commonest slips on a line."""
    written = text.split("\n")[line - 1] if line <= text.count("\n") + 1 else ""
    if re.match(r"\s*[\w.-]+\s*:", written):
        return "Write an equals sign between name and value: room_degc = 21"
    if re.match(r"\s*[\w.-]+\s*=\s*[A-Za-z]", written):
        return 'Write texts in quotes: name = "Home"; true and false without.'
    if re.match(r"\s*[\w.-]+\s*=\s*\d+[:.]\d+\s*[-–]", written):
        return 'Write hours in quotes: closed = ["17:00-19:00"]'
    if written.count('"') % 2:
        return 'Close the quotes: name = "Home"'
    if "{" in written and not written.rstrip().rstrip(",").endswith("}"):
        return 'Braces open and close on one line: { name = "mix", hands_minutes = 15 }'
    return 'Write one setting a line, as name = "Home" or room_degc = 21, under a heading such as [kitchen].'
