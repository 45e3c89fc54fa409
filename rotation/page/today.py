"""What to do now and what follows, the whole of today, and what is counting down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from rotation import doing
from rotation.at_hand import AtHand, Task
from rotation.page.forms import Once
from rotation.page.kitchen import KitchenOf
from rotation.page.said import Said, tapped
from rotation.page.sight import Sight, look
from rotation.page.step_words import lines_of, noted_words, otherwise_words
from rotation.page.view import view
from rotation.problem import STARTER
from rotation.show.sheet import eaten
from rotation.show.told import Told, questions, told
from rotation.starter import beside, fed, last_fed
from rotation.words import clock, date_words, weekday

router = APIRouter()

AHEAD = timedelta(hours=16)
"""How far the timers look."""

SOON = 180
"""Minutes within which what comes next by the clock has a place of its own on the first page."""

MIND = ("Careful:", "Filled:")
"""How lines begin that stand at the act, whatever else of it is folded away."""

TIMED = ("on", "oven", "turn", "step", "out", "finish", "finished", "thaw", "feed")
"""Kinds of tasks that hang on a minute."""


@dataclass(frozen=True)
class Card:
    """One thing to do, in words. lead, rest: what, the first of it big; wait, soon: until then, below zero once past.

    time: "" for what is bought at any time of its day; by when stands in `lead`.
    later: dough of it may be not yet there; bags: whether it comes out of bags that may not be;
    caution: what to mind, in one line.
    """

    time: str
    at: str
    wait: int
    soon: str
    who: str
    lead: str
    rest: str
    how: tuple[str | tuple[str, ...], ...]
    short: str
    state: str
    later: bool
    bags: bool
    caution: str


@router.get("/")
def today(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show what to do now, next and then, and the rest of the day."""
    sight = look(kitchen)
    if sight.plan is None or sight.over:
        return view(request, "no_plan.html", "Today", over=sight.over, day=_day(sight.now), lots=len(sight.held))
    all_, hand = sight.told, sight.hand
    by_task = {one.task: one for one in all_}

    def cards(tasks: Sequence[Task]) -> list[Card]:
        return [card(sight, by_task.get(task, Told(task, "", False))) for task in tasks]

    listed = [one for one in all_ if one.task.at.astimezone(sight.home.zone).date() == sight.now.date()]
    return view(
        request,
        "today.html",
        "Today",
        refresh=300,
        day=_day(sight.now),
        clock=clock(sight.now),
        now=cards(hand.now),
        next=cards(hand.next),
        then=cards(hand.then),
        unsaid=cards(hand.unsaid),
        none_next=sight.words.nothing("NEXT", hand),
        asked=[_question(sight, row.name, row.start) for row in questions(sight.happened) if row.start],
        listed=sight.once("listed today", lambda: [card(sight, one) for one in listed]),
        written=_written(sight),
        guests=[meal for meal in eaten(sight.plan, sight.now.date().isoformat()) if meal.heads],
        otherwise=[otherwise_words(sight, one) for one in sight.otherwise],
        fewer=any(one.came is not None for one in sight.otherwise),
        starter=_starter(sight),
        beside=_beside(sight),
        timed=[one for one in _timed(sight, hand, all_) if 0 < one.wait <= SOON][:1],
    )


@router.post("/all-as-planned")
def all_as_planned(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Record that all went as planned until now."""

    def act() -> Said:
        noted = doing.as_planned(kitchen.home(), kitchen.moment(), once)
        lines = [line for one in noted for line in noted_words(look(kitchen), one)]
        if not noted:
            lines = ["Nothing more of the plan was to be done by now."]
        names = tuple(one.target.name for one in reversed(noted))
        return Said((f"All as planned: {len(noted)} noted.", *lines) if noted else tuple(lines), names)

    return tapped(request, once, "/", act)


@router.post("/starter/fed")
def starter_fed(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Record that the starter was fed just now, beside any bake."""

    def act() -> Said:
        at = doing.starter_fed(kitchen.home(), kitchen.moment(), None, once)
        return Said((f"Starter fed, {look(kitchen).words.time(at)}.",), (STARTER,))

    return tapped(request, once, "/", act)


@router.get("/timers")
def timers(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show what is counting down: folds, shaping, the oven."""
    sight = look(kitchen)
    shown: list[Card] = []
    if sight.plan is not None:
        shown = _timed(sight, sight.hand, sight.told)
    ahead = [one for one in shown if one.wait >= 0]
    return view(
        request, "timers.html", "Timers", refresh=30, clock=clock(sight.now), first=ahead[:1], then=ahead[1:8],
        due=[one for one in shown if one.wait < 0], otherwise=[otherwise_words(sight, one) for one in sight.otherwise],
    )  # fmt: skip


def card(sight: Sight, one: Told) -> Card:
    """Return a task in words."""
    task = one.task
    lead, _, rest = sight.words.what(task).partition(", ")
    wait = int((task.at - sight.now).total_seconds() // 60)
    return Card(
        sight.words.begins(task), task.at.isoformat(), wait, soon(wait), task.who, lead, rest, lines_of(task.how),
        task.short, one.state, task.kind in ("step", "oven") and (one.begun or one.later), task.kind == "thaw",
        next((line for line in task.how if line.startswith(MIND)), ""),
    )  # fmt: skip


def soon(minutes: int) -> str:
    """Return "in 12 min", "in 2 h 05" or "5 min ago"."""
    if not minutes:
        return "now"
    many = abs(minutes)
    said = f"{many} min" if many < 100 else f"{many // 60} h {many % 60:02}"
    return f"in {said}" if minutes > 0 else f"{said} ago"


def _timed(sight: Sight, hand: AtHand, all_: Sequence[Told]) -> list[Card]:
    """Return what is due and what comes within some hours, the nearest first; nothing that is done."""
    due = {task for task in hand.now if task.kind in TIMED}
    ahead = [
        one
        for one in all_
        if not one.state
        and one.task.kind in TIMED
        and (one.task in due or sight.now < one.task.at <= sight.now + AHEAD)
    ]
    return [card(sight, one) for one in ahead]


def _question(sight: Sight, name: str, start: datetime) -> dict[str, str]:
    at, bread = sight.words.time(start), ""
    if sight.plan is not None:
        steps = [task for task in told(sight.plan, (), {}) if task.task.short == name]
        bread = sight.words.bread(steps[0].task) if steps else ""
    return {"name": name, "at": at, "bread": bread or name, "known": "yes" if bread else ""}


def _starter(sight: Sight) -> str:
    """Return when the starter was fed last, in words; "" where none is kept."""
    if not any(process.leaven == "starter" for bread in sight.home.breads.values() for process in bread.processes):
        return ""
    last = last_fed(sight.home, sight.happened, sight.now)
    return "not known" if last is None else sight.words.time(last)


def _beside(sight: Sight) -> bool:
    """Return whether the last feed was said here or at a terminal, and no step of the plan: so it can be taken back."""
    row = beside(sight.happened)
    return row is not None and row.start == fed(sight.happened, sight.now)


def _written(sight: Sight) -> dict[str, Any] | None:
    """Return today as it was printed: whether there is enough bread, what is eaten, what the freezer holds tonight."""
    assert sight.plan is not None
    today_ = next((day for day in sight.plan.get("days", ()) if day["id"] == sight.now.date().isoformat()), None)
    if today_ is None:
        return None
    beside = [line["what"] for line in today_["lines"] if not line["times"]]
    return {"bread": today_["bread_today"], "tonight": today_["freezer_tonight"], "eaten": beside}


def _day(now: datetime) -> str:
    return f"{weekday(now)} {date_words(now)}"
