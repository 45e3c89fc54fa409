"""What was assumed, ignored or odd while a household was understood, in words for the family."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from calendars.text import clean


@dataclass(frozen=True)
class Note:
    """One thing the family should know. about: what it concerns ("people", "meals", "oven", ...); count: how often."""

    about: str
    text: str
    count: int = 1

    def __str__(self) -> str:
        """Return `about: text`, and how often if more than once."""
        return f"{self.about}: {self.text}" + (f" ({self.count} times)" if self.count > 1 else "")


class Notes:
    """Notes as they come up; the same one again is counted. Calendar text is made harmless."""

    def __init__(self) -> None:
        self._seen: dict[tuple[str, str], Note] = {}

    def add(self, about: str, text: str) -> None:
        """Take a note."""
        text = clean(text)
        known = self._seen.get((about, text))
        self._seen[about, text] = replace(known, count=known.count + 1) if known else Note(about, text)

    def extend(self, about: str, texts: Iterable[object]) -> None:
        """Take several notes."""
        for text in texts:
            self.add(about, str(text))

    def all(self) -> tuple[Note, ...]:
        """Return the notes in the order they first came up."""
        return tuple(self._seen.values())


def some(names: Iterable[str], most: int = 3) -> str:
    """Return "a, b, c and 4 more"."""
    listed = list(dict.fromkeys(names))
    rest = len(listed) - most
    return ", ".join(listed[:most]) + (f" and {rest} more" if rest > 0 else "")
