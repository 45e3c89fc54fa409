"""Words of the program as a page says them: what is typed at a terminal is tapped here."""

from __future__ import annotations

import re
from collections.abc import Iterable

from calendars.text import clean
from rotation.errors import BadInput, RotationError

_TAPS = (
    (r"rotation done ([\w-]+) --undo", r"“Take back” on the page of \1"),
    (r"rotation done all", "“All as planned”"),
    (r"rotation done STEP", "“Done” on the page of the step"),
    (r"rotation later STEP", "“Not yet” on the page of the step"),
    (r"rotation done ([\w-]+), or rotation skip \1", "“Yes” or “No” here"),
    (r"rotation done ([\w-]+)", r"“Done” on the page of \1"),
    (r"rotation skip ([\w-]+)", r"“Leave it out” on the page of \1"),
    (r"rotation later ([\w-]+)(?: --take \d)?", r"“Not yet” on the page of \1"),
    (r"rotation freezer count", "Freezer, “Count”"),
    (r"rotation freezer take \w+ --because \"[^\"]*\"", "a few words why"),
    (r"rotation freezer list", "Freezer"),
    (r"rotation buy --there \"[^\"]*\"", "Shopping, “That much is there”"),
    (r"rotation buy", "Shopping"),
    (r"rotation plan --work thorough", "Plan, “Look longer”"),
    (r"rotation publish --forget-edits", "“Write over what was changed”"),
    (r"(?<![\w.])rotation publish(?: again)?", "Plan, “Write into the calendars”"),
    (r"(?<![\w.])rotation plan", "Plan, “Plan again”"),
    (r"Say Plan,", "Plan,"),
    (r"; see rotation freezer", ""),
    (r"\(--full says better\)", "(say how full it was, if you know)"),
)
_COMPILED = tuple((re.compile(pattern), words) for pattern, words in _TAPS)


def plain(text: str, limit: int = 500) -> str:
    """Return a message with what is typed said as what is tapped."""
    for pattern, words in _COMPILED:
        text = pattern.sub(words, text)
    return clean(text, limit)


def plain_error(error: Exception) -> list[str]:
    """Return what went wrong, line by line, without names of files or settings where a person typed none."""
    if isinstance(error, BadInput):
        return [plain(f"{one.wrong[:1].upper()}{one.wrong[1:]} {one.instead}".strip()) for one in error.mistakes]
    if isinstance(error, RotationError):
        return _lines(str(error).splitlines())
    return [plain(str(error))]


def _lines(lines: Iterable[str]) -> list[str]:
    return [plain(line) for line in lines if line.strip()]


def grouped(notes: Iterable[str]) -> list[tuple[str, list[str]]]:
    """Return notes by what they are about, as "meals: ..." says it; what is about nothing of that comes first."""
    found: dict[str, list[str]] = {}
    for note in notes:
        about, colon, rest = note.partition(": ")
        known = bool(colon) and about.isalpha() and about.islower()
        found.setdefault(about if known else "besides", []).append(plain(rest if known else note))
    return sorted(found.items(), key=lambda one: (one[0] == "heat", one[0]))
