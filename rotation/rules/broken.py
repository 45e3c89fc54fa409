"""What a rule's check says of a finished plan."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Broken:
    """One place where a plan breaks a rule. rule: the module's name; where: id of the thing; why: with figures."""

    rule: str
    where: str
    why: str

    def __str__(self) -> str:
        """Return one line for a person who reports it."""
        return f"{self.rule}: {self.where}: {self.why}"
