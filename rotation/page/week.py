"""The week: the lines of each day of the kept plan, as printed, with what is done, and what is worth knowing of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from calendars.text import clean
from rotation.page.kitchen import KitchenOf
from rotation.page.plain import plain
from rotation.page.sight import Sight, look
from rotation.page.step_words import otherwise_words
from rotation.page.view import view
from rotation.words import clock, date_words, weekday

router = APIRouter()


@dataclass(frozen=True)
class Line:
    """One line of a day. state: what was said of it; over: its time is past."""

    times: str
    who: str
    lead: str
    rest: str
    short: str
    state: str
    over: bool


@dataclass(frozen=True)
class Day:
    """One day. ordinary: there is enough bread; beside: lines that are due at no minute."""

    id: str
    title: str
    today: bool
    bread: str
    ordinary: bool
    lines: tuple[Line, ...]
    beside: tuple[str, ...]
    tonight: str


@router.get("/week")
def week(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show the days of the plan from today on; those that are over can be unfolded."""
    sight = look(kitchen)
    if sight.plan is None:
        return view(request, "no_plan.html", "Week", over=False, day="", lots=len(sight.held))
    days = sight.once("week", lambda: _days(sight))
    today = sight.now.date().isoformat()
    made = datetime.fromisoformat(sight.plan["now"])
    return view(
        request,
        "week.html",
        "Week",
        before=[day for day in days if day.id < today],
        days=[day for day in days if day.id >= today],
        otherwise=[otherwise_words(sight, one) for one in sight.otherwise],
        made=f"{weekday(made)} {date_words(made)} {clock(made)}",
        short=[
            _short(sight, one) for one in sight.plan["shortfalls"] if datetime.fromisoformat(one["start"]) > sight.now
        ],
        wishes=[_wish(one) for one in sight.plan["wishes"] if one["kept"] is not None],
        notes=[plain(one["text"]) for one in sight.plan["notes"]],
    )


def _days(sight: Sight) -> list[Day]:
    assert sight.plan is not None
    states = {one.task.short: one.state for one in sight.told if one.task.short}
    return [_day(sight, day, states) for day in sight.plan.get("days", ())]


def _day(sight: Sight, day: dict[str, Any], states: Mapping[str, str]) -> Day:
    at = date.fromisoformat(day["id"])
    lines = []
    for line in day["lines"]:
        if line["times"]:
            lead, rest = _parted(line["what"])
            short = line["short"] or ""
            over = datetime.fromisoformat(line["start"]) < sight.now
            lines.append(Line(line["times"], line["who"], lead, rest, short, states.get(short, ""), over))
    beside = tuple(plain(line["what"]) for line in day["lines"] if not line["times"])
    midnight = datetime(at.year, at.month, at.day, tzinfo=sight.home.zone)
    title = f"{weekday(midnight)} {date_words(at)}"
    bread = day["bread_today"]
    today = at == sight.now.date()
    return Day(
        day["id"], title, today, bread, not bread.startswith("short"), tuple(lines), beside, day["freezer_tonight"]
    )


def _parted(what: str) -> tuple[str, str]:
    """Return the first words of a line, which say what to do, and the rest of it."""
    for sign in (": ", ", ", ". "):
        head, found, tail = what.partition(sign)
        if found and len(head) > 6:
            return head, tail
    return what, ""


def _short(sight: Sight, one: dict[str, Any]) -> tuple[str, str]:
    """Return which meal is short by how much, and what is in the way."""
    when = sight.words.time(datetime.fromisoformat(one["start"]))
    guests = " (guests)" if one["strict"] else ""
    meal = f"{clean(one['summary'], 60)}{guests}, {when}: short by {one['portions']}"
    return meal, clean("; ".join(one["because"]), 600)


def _wish(one: dict[str, Any]) -> str:
    said = one["said"] or f"{one['kind']} {one['bread']}"
    return clean(f"Kept: {said}." if one["kept"] else f"Not possible: {said}: {one['because']}.", 400)
