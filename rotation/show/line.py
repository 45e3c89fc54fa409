"""One line of a plan in print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rotation.naming import Key


@dataclass(frozen=True)
class Line:
    """One line: minute it belongs to, times as printed, the person's name or "", what to do.

    name: what a person calls it to say that it is done (rotation/naming.py), or ""; key: of which thing which step.
    kind: "do", "eat" or "note"; caution: what to mind at it, or "".
    """

    minute: int
    times: str
    who: str
    what: str
    name: str = ""
    key: Key = ("", "")
    kind: Literal["do", "eat", "note"] = "do"
    caution: str = ""
