"""The kept plan as it went: what is still to come of a bake counts from the real times of what is done of it.

A wait that was planned is one that the dough, the oven and the crumb may have; so what follows a step that was later
or earlier keeps its planned wait. Whose hands are free then, only a new plan knows. Read from the plan as it is shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from rotation.happened import Happened, What
from rotation.naming import FINISH, OUT, THAW
from rotation.units import time_of_day
from rotation.words import WEEKDAYS

Json = dict[str, Any]

A_FEW = timedelta(minutes=5)
"""What is so near to the plan went as planned, but for bread in the oven, where each minute counts."""

OTHER = timedelta(days=1)
"""What is so far from its planned minute was done of another bake of that name: bread and day come again every year."""

_DAYS = tuple(day[:3] for day in WEEKDAYS)
_CLOCK = re.compile(rf"(?:\b({'|'.join(_DAYS)}) )?\b([01]?\d|2[0-3]):([0-5]\d)\b(?: ([ap]m)\b)?")
"""A time of day as instructions have it, with its weekday where it is another day's."""


@dataclass(frozen=True)
class Otherwise:
    """A step that went otherwise than the kept plan has it. late: below zero where it was early; pieces: as planned.

    short: what a person calls it, or ""; came: how many there really were, None where as many as planned.
    """

    thing: str
    step: str
    short: str
    bread: str
    pieces: int
    sliced: bool
    late: timedelta
    came: int | None


def otherwise(plan: Json, happened: Iterable[Happened], now: datetime) -> Iterator[Otherwise]:
    """Yield what of the last day was later, earlier or fewer than planned, so that what follows it is to be planned
    again: the last step of each bake under way, loaves lost, thaws whose finish is still to come.

    happened: all that stands recorded. A plan made since has what really happened, so nothing is other than in it.
    """
    done = _done(happened)
    stays = {stay["id"]: stay for stay in plan["oven"]}
    for bake in plan["bakes"]:
        steps, known = _steps(bake, stays[bake["stay"]]), done.get(_base(bake["id"]), {})
        last = _last(steps, known)
        out = known.get(OUT)
        lost = out is not None and out.count is not None and out.count < bake["pieces"] and _near(out, now)
        if lost and out is not None and _late(out, dict(steps)[OUT]) is not None:
            yield _of_bake(bake, OUT, timedelta(0), out.count)
        open_ = last is not None and last[0] < len(steps) - 1
        if last is not None and open_ and abs(last[1]) >= A_FEW and known[steps[last[0]][0]].sure and not lost:
            yield _of_bake(bake, steps[last[0]][0], last[1], None)
    finished = {finish["thaw"]: FINISH in done.get(_base(finish["id"]), {}) for finish in plan["finishes"]}
    for thaw in plan["thaws"]:
        row = done.get(_base(thaw["id"]), {}).get(THAW)
        late = None if row is None else _late(row, datetime.fromisoformat(thaw["start"]))
        if row is None or late is None or not row.sure or not _near(row, now):
            continue
        fewer = row.count is not None and row.count < thaw["pieces"]
        if fewer or (abs(late) >= A_FEW and not finished.get(thaw["id"], True)):
            yield Otherwise(
                thaw["id"], THAW, thaw.get("short") or "", thaw["bread"], thaw["pieces"], thaw["form"] == "sliced",
                late, row.count if fewer else None,
            )  # fmt: skip


def as_it_went(plan: Json, happened: Iterable[Happened]) -> Json:
    """Return a kept plan with what is still to come of bakes under way at the times it comes to, and of as many loaves
    as came out of the oven. happened: what was said of its steps. What is done stands where it was planned.
    """
    done = _done(happened)
    stays = {stay["id"]: stay for stay in plan["oven"]}
    moved, bakes = dict[tuple[str, str], timedelta](), []
    for bake in plan["bakes"]:
        known, stay = done.get(_base(bake["id"]), {}), stays[bake["stay"]]
        steps = _steps(bake, stay)
        last = _last(steps, known)
        if last is None:
            bakes.append(bake)
            continue
        number, late = last
        if abs(late) >= A_FEW or steps[number][0] == "oven":
            ahead = [name for name, _ in steps[number + 1 :]]
            told = ["oven", *ahead] if steps[number][0] == "oven" else ahead  # until it is out, how it is baked counts
            moved |= {(bake["id"], name): late for name in told}
            bake = bake | {"steps": [_shifted(one, late) if one["name"] in ahead else one for one in bake["steps"]]}
            stays[stay["id"]] = _stay(stay, late, since="oven" not in ahead)
        out = known.get(OUT)
        bakes.append(bake if out is None or out.count is None else _fewer(bake, out.count))
    if not moved and bakes == plan["bakes"]:
        return plan
    how = [
        one | {"text": [_told(line, moved[one["for"], one["step"]]) for line in one["text"]]}
        if moved.get((one["for"], one["step"]))
        else one
        for one in plan.get("instructions", ())
    ]
    return plan | {"bakes": bakes, "oven": [stays[stay["id"]] for stay in plan["oven"]], "instructions": how}


def _done(happened: Iterable[Happened]) -> dict[str, dict[str, Happened]]:
    """Return the records of what is done by thing, then by step."""
    found: dict[str, dict[str, Happened]] = {}
    for row in happened:
        if row.what is What.DONE and row.start is not None:
            found.setdefault(_base(row.thing), {})[row.step] = row
    return found


def _steps(bake: Json, stay: Json) -> list[tuple[str, datetime]]:
    """Return the steps of a bake in their order with their planned beginnings, the loaves coming out among them."""
    steps = [(step["name"], datetime.fromisoformat(step["start"])) for step in bake["steps"]]
    out = [(OUT, datetime.fromisoformat(stay["end"]))]
    bag = next((number for number, (name, _) in enumerate(steps) if name == "bag"), len(steps))
    return [*steps[:bag], *out, *steps[bag:]]


def _last(steps: Sequence[tuple[str, datetime]], known: Mapping[str, Happened]) -> tuple[int, timedelta] | None:
    """Return which step is the last that is done, and how much later than planned it was."""
    number = max((number for number, (name, _) in enumerate(steps) if name in known), default=None)
    late = None if number is None else _late(known[steps[number][0]], steps[number][1])
    return None if number is None or late is None else (number, late)


def _late(row: Happened, planned: datetime) -> timedelta | None:
    """Return how much later than planned a step began, in whole minutes; None for one of another year."""
    assert row.start is not None
    late = row.start.replace(second=0, microsecond=0) - planned
    return late if abs(late) < OTHER else None


def _near(row: Happened, now: datetime) -> bool:
    return row.start is not None and now - row.start < OTHER


def _of_bake(bake: Json, step: str, late: timedelta, came: int | None) -> Otherwise:
    known = {one["name"]: one.get("short") for one in bake["steps"]} | {OUT: bake.get("short_out")}
    return Otherwise(bake["id"], step, known.get(step) or "", bake["bread"], bake["pieces"], False, late, came)


def _shifted(thing: Json, by: timedelta, keys: Iterable[str] = ("start", "end")) -> Json:
    """Return something with its times moved."""
    return thing | {key: (datetime.fromisoformat(thing[key]) + by).isoformat(timespec="minutes") for key in keys}


def _stay(stay: Json, by: timedelta, *, since: bool) -> Json:
    """Return a stay in the oven that is moved; since: it has begun, so its heat is not."""
    moved = _shifted(stay, by, ("start", "end") if since else ("heat_from", "start", "end"))
    return moved | {"events": [_shifted(event, by) for event in stay["events"]]}


def _fewer(bake: Json, came: int) -> Json:
    """Return a bake of which fewer loaves came out: what is missing was for the freezer (`intake.course.left`)."""
    missing = bake["pieces"] - came
    bagged = came > 0 and bake.get("to_freezer", bake["pieces"]) > missing
    return bake | {
        "steps": [
            one if one["name"] != "bag" else one | {"pieces": came}
            for one in bake["steps"]
            if bagged or one["name"] != "bag"
        ]
    }


def _told(line: str, by: timedelta) -> str:
    """Return a line of instructions with its clocks moved. Those of meals, which stay, come after "for the table"."""
    most = 1 if " for the table from " in line else 0

    def later(found: re.Match[str]) -> str:
        day, hour, minute, half = found[1], int(found[2]), int(found[3]), found[4]
        hour = hour % 12 + (12 if half == "pm" else 0) if half else hour
        first = datetime(2000, 1, 3, hour, minute, tzinfo=UTC)  # any day will do
        at = first + by
        other = _DAYS[(_DAYS.index(day) + (at.date() - first.date()).days) % 7] + " " if day else ""
        return f"{other}{time_of_day(at)}"

    return _CLOCK.sub(later, line, count=most)


def _base(thing: str) -> str:
    return thing.partition("@")[0]
