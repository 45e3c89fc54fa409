"""Every failure a person can meet, with its exit code. Nothing else in the package prints an error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


class RotationError(Exception):
    """Something a person must know. `str(error)` is the whole message; `exit_code` is what the program ends with.

    Exit codes, also in the README: 0 done, 2 bad input, 3 nothing could be planned, 4 a plan failed its check,
    5 the household's files or ledger cannot be read or written, 70 something unforeseen, 130 stopped by Ctrl-C,
    141 whoever read the output has gone.
    """

    exit_code: ClassVar[int] = 2


@dataclass(frozen=True)
class Mistake:
    """One thing wrong in a file a person wrote.

    file: the path as the person would type it; line: 1-based, or None where the file as a whole is meant;
    setting: dotted name ("people.0.name"), or ""; wrong: what is wrong; instead: an example of what is right.
    """

    file: str
    line: int | None
    setting: str
    wrong: str
    instead: str

    def __str__(self) -> str:
        """Return one line: file:line: setting: what is wrong. What to write instead."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        setting = f"{self.setting}: " if self.setting else ""
        tail = f" {self.instead}" if self.instead else ""
        return f"{place}: {setting}{self.wrong}{tail}"


class BadInput(RotationError):
    """A file or an argument a person can mend. Carries all the mistakes of a file at once."""

    def __init__(self, *mistakes: Mistake) -> None:
        self.mistakes = mistakes
        super().__init__("\n".join(str(mistake) for mistake in mistakes))


class NothingPlanned(RotationError):
    """The solver could not give any plan, and why."""

    exit_code = 3


class CheckFailed(RotationError):
    """A finished plan breaks a rule. It is never shown as a plan."""

    exit_code = 4


class StorageError(RotationError):
    """The household's files or ledger cannot be read or written."""

    exit_code = 5
