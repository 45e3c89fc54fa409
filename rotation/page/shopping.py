"""The shopping list for the bakes of the kept plan: what to buy by when, what was bought, what is really there."""

from __future__ import annotations

from datetime import timedelta

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from calendars.text import clean
from rotation import buying
from rotation.errors import BadInput, Mistake
from rotation.page.forms import Once, Short
from rotation.page.kitchen import KitchenOf
from rotation.page.plain import plain
from rotation.page.said import Said, tapped
from rotation.page.sight import look
from rotation.page.view import view
from rotation.show.buying import by_deadline, recorded
from rotation.units import grams
from rotation.words import date_words, listed, weekday

router = APIRouter()

EXAMPLE = {"g": "1.5 kg", "oz": "32 oz", "lb": "2 lb"}
"""How a mass is written, by the unit the household reads."""


@router.get("/shopping")
def shopping(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show what to buy, the soonest first."""
    sight = look(kitchen)
    if sight.plan is None:
        return view(request, "no_plan.html", "Shopping", over=False, day="", lots=len(sight.held))
    home, display = sight.home, sight.home.settings.shown.display
    found = buying.to_buy(home, sight.now)
    known = {one.name: display.weight(one.grams) for one in found.there}
    until = found.until.astimezone(home.zone) - timedelta(minutes=1)
    return view(
        request,
        "shopping.html",
        "Shopping",
        wanted=[(by, plain(what)) for by, what in by_deadline(found, home)],
        any=bool(found.ingredients),
        until=f"{weekday(until)} {date_words(until)}",
        there=sorted((clean(name, 60), mass) for name, mass in known.items()),
        names=sorted({*known, *(one.name for one in found.ingredients)}),
        example=EXAMPLE[display.mass],
        unknown=listed(home.known[id_].name for id_ in found.unknown if id_ in home.known) if found.unknown else "",
    )


@router.post("/shopping/bought")
def bought(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Record that all ingredients of the list were bought."""

    def act() -> Said:
        home = kitchen.home()
        got = buying.bought(home, kitchen.moment(), None, once)
        return Said((plain(recorded("Bought", got, home)),), bought=bool(got))

    return tapped(request, once, "/shopping", act)


@router.post("/shopping/there")
def there(request: Request, kitchen: KitchenOf, once: Once, name: Short, mass: Short) -> Response:
    """Record how much of one ingredient really is there."""

    def act() -> Said:
        home = kitchen.home()
        try:
            amount = grams(mass)
        except ValueError as error:
            raise BadInput(Mistake("mass", None, "", f"“{clean(mass, 20)}” {error}.", "")) from None
        got = buying.counted(home, kitchen.moment(), {name: amount}, once)
        return Said((plain(recorded("There", got, home)),), bought=True)

    return tapped(request, once, "/shopping", act)
