"""What was said of steps, in words: done, skipped, taken back, and what that moved."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from rotation.happened import What
from rotation.naming import FINISH, THAW
from rotation.problem import FEED
from rotation.recording import Noted
from rotation.show.stock import moved

_LEFT = {
    THAW: "the bag stays where it is",
    FINISH: "it does not go into the oven then",
    FEED: "the starter is not fed then",
}
"""What comes of skipping a step that is of no bake."""


def done(noted: Noted, zone: ZoneInfo) -> Iterator[str]:
    """Yield what was recorded, and what moved in the freezer."""
    row, target = noted.row, noted.target
    number = "" if row.count is None else f", {row.count} of it"
    at = "" if row.start is None else f", {_when(row.start, zone)}"
    yield f"{'Known already' if noted.known else 'Done'}: {target.name} ({target.bread}){at}{number}."
    for movement in noted.moved:
        yield f"  {moved(movement)}"


def skipped(noted: Noted, zone: ZoneInfo) -> Iterator[str]:
    """Yield what will not be, or that it is done in another way."""
    if noted.row.what is What.DONE:
        yield f"Left out: {noted.target.name} ({noted.target.bread})."
        return
    left = _LEFT.get(noted.target.step, "it is left out")
    what = "the whole bake is off" if noted.target.bake is not None else left
    yield f"{'Known already' if noted.known else 'Skipped'}: {noted.target.name} ({noted.target.bread}), {what}."
    yield "Plan again: rotation plan"


def taken_back(noted: Noted, zone: ZoneInfo) -> str:
    """Return that what was said is taken back."""
    at = "" if noted.row.start is None or noted.row.what is What.SKIPPED else f", {_when(noted.row.start, zone)}"
    return f"Taken back: {noted.target.name} ({noted.target.bread}) {noted.row.what}{at}."


def _when(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b} {local.hour}:{local:%M}"
