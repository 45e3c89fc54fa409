"""The freezer: bags by bread and form, one bag, the count, what goes in and out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Form, Path, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from calendars.text import clean
from rotation import by_hand
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.ledger import Movement, Note
from rotation.on_paper import bag_labels
from rotation.page.bags import bag_named, history, kinds
from rotation.page.forms import Once, Short
from rotation.page.kitchen import Kitchen, KitchenOf
from rotation.page.plain import plain
from rotation.page.said import Said, tapped
from rotation.page.sight import look
from rotation.page.view import OWN_PATH, view
from rotation.show.stock import moved
from rotation.words import FORM_WORDS, count

router = APIRouter()

_Move = Callable[[Home, Note], by_hand.Told]

Back = Annotated[str, Form(pattern=OWN_PATH, max_length=200)]
Named = Annotated[str, Path(max_length=120)]


@router.get("/freezer")
def freezer(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show the freezer by bread and form, the oldest bag first."""
    sight = look(kitchen)
    return view(
        request,
        "freezer.html",
        "Freezer",
        kinds=sight.once("kinds", lambda: list(kinds(sight))),
        history=sight.once("history", lambda: history(sight)),
    )


@router.get("/freezer/bag/{named}")
def bag(request: Request, kitchen: KitchenOf, named: Named) -> HTMLResponse:
    """Show one bag, by its letter or by its id."""
    sight = look(kitchen)
    try:
        state = bag_named(sight, named)
    except BadInput:
        letter = clean(named, 20)
        past = history(sight, letter.upper())
        return view(request, "no_bag.html", f"Bag {letter}", status=404, letter=letter, history=past)
    lot, home = state.lot, sight.home
    recipe = home.known.get(lot.bread)
    return view(
        request,
        "bag.html",
        f"Bag {lot.letter}",
        bag=next(one for kind in kinds(sight) for one in kind.bags if one.id == lot.id),
        name=clean(recipe.name if recipe else lot.bread, 60),
        form=FORM_WORDS.get(lot.form, lot.form),
        label=kitchen.remembered(f"label {lot.id}", lambda: bag_labels(home, sight.now, [lot.id])[0], sight.now.date()),
        history=history(sight, lot.letter),
        sliced=lot.form == "sliced",
    )


@router.post("/freezer/take")
def take(
    request: Request, kitchen: KitchenOf, once: Once, kind: Short, units: Short = "1", back: Back = "/freezer"
) -> Response:
    """Take bread out to eat it: of a bread and form, the oldest first."""
    bread, _, form = kind.partition("|")
    number = _whole(units, 1)
    return _moving(request, kitchen, once, back, lambda home, note: by_hand.take(home, bread, number, note, form))


@router.post("/freezer/bag/{named}/take")
def take_from(
    request: Request, kitchen: KitchenOf, once: Once, named: Named, units: Short = "1", because: Short = "",
    back: Back = "/freezer",
) -> Response:  # fmt: skip
    """Take bread out of one bag; out of one that is not the oldest only with a word why."""
    return _moving(
        request, kitchen, once, back,
        lambda home, note: by_hand.take(home, _letter(kitchen, named), _whole(units, 1), note), because,
    )  # fmt: skip


@router.post("/freezer/bag/{named}/discard")
def discard(
    request: Request, kitchen: KitchenOf, once: Once, named: Named, because: Short = "", units: Short = "",
    back: Back = "/freezer",
) -> Response:  # fmt: skip
    """Throw bread of a bag away, or use it for crumbs."""
    number = _whole(units, 1) if units.strip() else None

    def out(home: Home, note: Note) -> by_hand.Told:
        return by_hand.Told(by_hand.discard(home, _letter(kitchen, named), number, note))

    return _moving(request, kitchen, once, back, out, because)


@router.post("/freezer/bag/{named}/count")
def count_bag(
    request: Request, kitchen: KitchenOf, once: Once, named: Named, units: Short, back: Back = "/freezer"
) -> Response:
    """Say how much is really in one bag; nothing: it is not there."""
    letter = _letter(kitchen, named)
    return _moving(
        request,
        kitchen,
        once,
        back,
        lambda home, note: by_hand.count(home, letter, _whole(units, 0), note),
        replan=True,
    )


@router.get("/freezer/count")
def counting(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Ask how much of each bag is really there."""
    sight = look(kitchen)
    held = list(kinds(sight))
    think = ", ".join(kind.units for kind in held) or "nothing"
    return view(request, "count.html", "Count the freezer", kinds=held, think=think)


@router.post("/freezer/count")
async def counted(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Take what was counted, bag by bag; what is as we thought changes nothing."""
    form = await request.form()
    found = {name.removeprefix("bag "): str(value) for name, value in form.multi_items() if name.startswith("bag ")}

    def act() -> Said:
        home, now = kitchen.home(), kitchen.moment()
        units = {id_: _whole(value, 0) for id_, value in found.items()}
        made: list[Movement] = []
        asked: list[str] = []
        for id_, number in units.items():
            told = by_hand.count(home, id_, number, Note(now=now, id=f"{once} {id_}"[:100]))
            made.append(told.movement)
            asked += told.asked
        changed = [one for one in made if one.shares]
        lines = [moved(one) for one in changed] or [f"All {count(len(made), 'bag')} as we thought."]
        return Said(tuple(map(plain, (*lines, *asked))), (), tuple(one.id for one in changed), replan=bool(changed))

    return await run_in_threadpool(tapped, request, once, "/freezer", act)


@router.get("/freezer/add")
def adding(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Ask what is in a bag that goes in."""
    sight = look(kitchen)
    known = [
        (f"{id_}|{form}", f"{clean(bread.name, 60)}, {FORM_WORDS.get(form, form)}")
        for id_, bread in sight.home.breads.items()
        for form in bread.forms
    ]
    return view(request, "add.html", "Put a bag in", known=known, today=sight.now.date().isoformat())


@router.post("/freezer/add")
def add(
    request: Request, kitchen: KitchenOf, once: Once, kind: Short, units: Short, bagged: Short = "", letter: Short = ""
) -> Response:
    """Put a bag in."""
    bread, _, form = kind.partition("|")

    def act() -> Said:
        home, now = kitchen.home(), kitchen.moment()
        at = _bagged(bagged, now, home)
        note = Note(now=now, id=once)
        made = by_hand.add(home, bread, _whole(units, 1), note, form, at, letter.strip().upper())
        return Said((f"Write on the bag: {made.shares[0].lot.letter}", plain(moved(made))), (), (made.id,))

    return tapped(request, once, "/freezer", act)


def _moving(
    request: Request, kitchen: Kitchen, once: str, back: str, move: _Move, because: str = "", *, replan: bool = False
) -> RedirectResponse:
    def act() -> Said:
        home, now = kitchen.home(), kitchen.moment()
        told = move(home, Note(now=now, reason=because.strip(), id=once))
        made, lines = told.movement, tuple(map(plain, (moved(told.movement), *told.asked)))
        return Said(lines, (), (made.id,) if made.shares else (), replan=replan and bool(made.shares))

    return tapped(request, once, back, act)


def _letter(kitchen: Kitchen, named: str) -> str:
    """Return the id of a bag that is named by its letter or id; of one that is empty by now, what it was named."""
    try:
        return bag_named(look(kitchen), named).lot.id
    except BadInput:
        return named


def _whole(said: str, least: int) -> int:
    if not said.strip().isdigit() or len(said.strip()) > 5 or int(said) < least:
        raise BadInput(Mistake("count", None, "", f"“{clean(said, 20)}” cannot be.", f"Write {least} or more."))
    return int(said)


def _bagged(said: str, now: datetime, home: Home) -> datetime:
    """Return when a bag was filled: now if it was today, else at noon of its day."""
    if not said.strip():
        return now
    try:
        day = datetime.fromisoformat(said.strip()).date()
    except ValueError:
        wrong = f"“{clean(said, 20)}” is no date."
        raise BadInput(Mistake("bagged", None, "", wrong, "Write 2027-03-01.")) from None
    return now if day == now.date() else datetime(day.year, day.month, day.day, 12, tzinfo=home.zone)
