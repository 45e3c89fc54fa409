"""Guests: how many, when, what they may not have; whether that works, and by when it is to be decided."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, Response

from rotation.allergens import UNKNOWN
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.intake.build import bread_allergens
from rotation.intake.invited import Asked
from rotation.page import work
from rotation.page.forms import Once, Short
from rotation.page.kitchen import KitchenOf
from rotation.page.said import Said, tapped
from rotation.page.sight import look
from rotation.page.view import view
from rotation.page.working import begin
from rotation.words import clock, date_words, listed, weekday

router = APIRouter()

Several = Annotated[list[str], Form(default_factory=list, max_length=40)]
USUAL = ("gluten", "milk", "egg", "nuts", "sesame", "soy")
"""Allergens that are always asked about."""


@router.get("/guests")
def guests(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Ask who comes, and when."""
    sight = look(kitchen)
    saturday = sight.now + timedelta(days=(5 - sight.now.weekday()) % 7)
    return view(
        request,
        "guests.html",
        "Guests",
        day=saturday.date().isoformat(),
        first=sight.now.date().isoformat(),
        last=(sight.now.date() + timedelta(days=27)).isoformat(),
        slices=f"{sight.home.settings.guests.portions_per_head:g}",
        allergens=_asked_about(sight.home),
    )


@router.post("/guests")
def ask(
    request: Request, kitchen: KitchenOf, once: Once, day: Short, at: Short, heads: Short, without: Several,
    slices: Short = "",
) -> Response:  # fmt: skip
    """Work out whether they can be fed. Nothing is written."""
    home = kitchen.home()
    asked = _asked(home, day, at, heads, slices, without)
    about = {
        "title": "Guests",
        "said": _said(asked),
        "fields": {"day": day, "at": at, "heads": heads, "slices": f"{asked.slices:g}"},
        "without": list(asked.without),
    }
    arguments = (kitchen.folder, kitchen.moment(), asked.at, asked.heads, asked.slices, asked.without)
    return begin(request, once, "guests", about, work.guests, *arguments)


@router.post("/guests/agree")
def agree(
    request: Request, kitchen: KitchenOf, once: Once, day: Short, at: Short, heads: Short, without: Several,
    slices: Short = "",
) -> Response:  # fmt: skip
    """Write them into the household's calendar of guests, so that the next plan counts on them."""

    def act() -> Said:
        from rotation.guests import write  # it knows the solver, which pages are begun without

        home = kitchen.home()
        asked = _asked(home, day, at, heads, slices, without)
        write(home, asked, kitchen.moment(), once)
        return Said((f"Counted on: {_said(asked)}.",), replan=True)

    return tapped(request, once, "/plan", act)


def _asked(home: Home, day: str, at: str, heads: str, slices: str, without: list[str]) -> Asked:
    try:
        moment = datetime.fromisoformat(f"{day.strip()}T{at.strip()}").replace(tzinfo=home.zone)
        number, each = int(heads), float(slices.replace(",", ".") or home.settings.guests.portions_per_head)
    except ValueError:
        wrong = "that is no day, time or number."
        raise BadInput(Mistake("guests", None, "", wrong, "Write the day, the time, and how many come.")) from None
    if not 1 <= number <= 200 or not 0.5 <= each <= 20:
        raise BadInput(Mistake("guests", None, "", "that many cannot be.", "Write 1 to 200, with half to 20 slices."))
    known = [one for one in without if one in _asked_about(home)]
    return Asked(moment, number, each, tuple(known))


def _asked_about(home: Home) -> tuple[str, ...]:
    """Return the allergens a family ticks: those of its breads, and those that are often asked about."""
    held = frozenset[str]().union(*(bread_allergens(home, bread) for bread in home.breads.values()))
    return tuple(sorted({*USUAL, *held} - {UNKNOWN}))


def _said(asked: Asked) -> str:
    without = f", without {listed(asked.without)}" if asked.without else ""
    when = f"{weekday(asked.at)} {date_words(asked.at)} {clock(asked.at)}"
    return f"{asked.heads} at the table, {when}, {asked.slices:g} slices each{without}"
