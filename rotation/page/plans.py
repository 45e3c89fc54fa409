"""The plan: how good it is, to plan again, and to write it into the calendars."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, get_args
from urllib.parse import urlsplit

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, Response

from calendars.sync import QuestionKind
from calendars.text import clean
from rotation import feed
from rotation.household.people import Place
from rotation.household.reading import Home
from rotation.intended import document
from rotation.ledger import Told
from rotation.page import work
from rotation.page.forms import Once, Short
from rotation.page.kitchen import KitchenOf
from rotation.page.plain import grouped
from rotation.page.sight import look
from rotation.page.steps import plan_again
from rotation.page.view import view
from rotation.page.working import begin
from rotation.stockroom import freezer
from rotation.targets import named
from rotation.words import clock, count, date_words, weekday

router = APIRouter()

Answers = Annotated[list[str], Form(default_factory=list, max_length=40)]
KINDS_ASKED = get_args(QuestionKind)
WORK = {"quick": "quick", "usual": "usual", "thorough": "thorough"}


@router.get("/plan")
def plan(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show what there is of a plan, and what can be done with it."""
    sight = look(kitchen)
    kept = sight.plan
    running = request.app.state.jobs.running()
    made = until = ""
    bakes = finishes = short = 0
    if kept is not None:
        at = datetime.fromisoformat(kept["now"])
        end = datetime.fromisoformat(kept["horizon"]["end"]) - timedelta(minutes=1)
        made, until = _moment(at), f"{weekday(end)} {date_words(end)}"
        bakes, finishes = len(kept["bakes"]), len(kept["finishes"])
        short = sum(one["portions"] for one in kept["shortfalls"])
    return view(
        request,
        "plan.html",
        "Plan",
        made=made,
        until=until,
        over=sight.over,
        summary=f"{count(bakes, 'bake')}, {count(finishes, 'loaf or tray to finish', 'loaves or trays to finish')}",
        short=count(short, "portion") if short else "",
        fed=bool(feed.addresses(kitchen.keys)),
        written=kitchen.remembered("written", lambda: _written(sight.home, sight.now)),
        running=running,
    )


@dataclass(frozen=True)
class Written:
    """Where entries are written, and when they last were. places: each calendar's name and where it is; each: what has
    an entry of its own; at: when, "" for never; newer: planned again since.
    """

    places: tuple[tuple[str, str], ...]
    each: str
    at: str
    newer: bool


EACH = {
    "bake": "One entry for each bake, thaw and finish",
    "part": "One entry for each feed, dough, baking, thaw and finish",
    "step": "One entry for each step",
}


def _written(home: Home, now: datetime) -> Written:
    entries = home.settings.entries
    with freezer(home, now, readonly=True) as ledger:
        last, kept = Told(ledger).last(), document(ledger.kept_plan())
    at = "" if last is None else _moment(last.at.astimezone(home.zone))
    newer = last is not None and kept is not None and datetime.fromisoformat(kept["now"]) > last.at
    places = tuple((clean(name, 80), _where(place)) for name, place in named(home))
    each = f"{EACH[entries.each]}{', as tasks' if entries.tasks else ''}"
    return Written(places, f"{each}; at most {entries.a_week} a week where the plan allows.", at, newer)


def _where(place: Place) -> str:
    """Return where a calendar is: of an address the host alone, as the rest may be a secret."""
    if place.path is not None:
        return f"the folder {clean(place.path, 120)}"
    return (
        f"on {clean(urlsplit(place.url).hostname or '', 80)}" if place.url else "at an address that is kept elsewhere"
    )


def _moment(at: datetime) -> str:
    return f"{weekday(at)} {date_words(at)} {clock(at)}"


@router.post("/plan")
def again(
    request: Request, kitchen: KitchenOf, once: Once, work_: Annotated[str, Form(alias="work")] = "usual"
) -> Response:
    """Plan again."""
    return plan_again(request, kitchen, once, WORK.get(work_, "usual"))


@router.post("/plan/look")
def look_ahead(
    request: Request,
    kitchen: KitchenOf,
    once: Once,
    answered: Answers,
    forget: Short = "",
) -> Response:
    """Look what writing the plan into the calendars would change."""
    yes = tuple(one for one in answered if one in KINDS_ASKED)
    about = {"title": "Looking at the calendars", "answered": yes, "forget": bool(forget)}
    arguments = (kitchen.folder, kitchen.moment(), yes, bool(forget))
    return begin(request, once, "look", about, work.ahead, *arguments)


@router.post("/plan/publish")
def publish(
    request: Request,
    kitchen: KitchenOf,
    once: Once,
    seen: Short,
    answered: Answers,
    forget: Short = "",
) -> Response:
    """Write into the calendars what was shown."""
    yes = tuple(one for one in answered if one in KINDS_ASKED)
    about = {"title": "Writing into the calendars", "answered": yes, "forget": bool(forget)}
    arguments = (kitchen.folder, kitchen.moment(), yes, bool(forget), seen)
    return begin(request, once, "publish", about, work.publish, *arguments)


@router.get("/calendars")
def calendars(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Say what was odd, or assumed, when the plan was made."""
    sight = look(kitchen)
    notes = grouped(one["text"] for one in sight.plan["notes"]) if sight.plan else []
    names = [calendar.name for calendar in sight.home.settings.calendars]
    return view(request, "calendars.html", "Calendars", notes=notes, names=names)


@router.post("/calendars/look")
def read_again(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Read the calendars now, and say what is odd in them."""
    about = {"title": "Reading the calendars"}
    return begin(request, once, "odd", about, work.odd, kitchen.folder, kitchen.moment())
