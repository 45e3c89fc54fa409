"""One step of the plan: what it asks for, and everything a family may say of it."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Annotated

from fastapi import APIRouter, Form, Path, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from rotation import buying, by_hand, doing, later, taking_over
from rotation.at_hand import Task, every
from rotation.errors import BadInput, Mistake
from rotation.happened import What
from rotation.intake.rescues import RESCUES
from rotation.ledger import Note
from rotation.naming import OUT, THAW
from rotation.page import work
from rotation.page.forms import Once, Short
from rotation.page.kitchen import Kitchen, KitchenOf
from rotation.page.plain import plain
from rotation.page.said import Said, tapped
from rotation.page.sight import Sight, look
from rotation.page.step_words import called, noted_words, otherwise_words
from rotation.page.today import card
from rotation.page.view import OWN_PATH, view
from rotation.page.working import begin
from rotation.problem import STARTER
from rotation.recording import CLOCKS, Noted
from rotation.show.buying import recorded
from rotation.show.stock import moved
from rotation.show.told import Told

router = APIRouter()

Name = Annotated[str, Path(max_length=120)]
Back = Annotated[str, Form(pattern=OWN_PATH, max_length=200)]
Several = Annotated[list[str], Form(default_factory=list, max_length=60)]

COUNTED = {OUT: "Loaves out of the oven", "bag": "Loaves bagged", THAW: "Taken out"}
"""Steps at which it matters how many there were, and what is asked."""


@router.get("/step/{name}")
def step(request: Request, kitchen: KitchenOf, name: Name) -> HTMLResponse:
    """Show what a step asks for, and what may be said of it."""
    sight = look(kitchen)
    one = _told(sight, name)
    task = one.task
    asks = COUNTED.get(task.key[1], "")
    others = [
        {"name": other.task.short, "lead": sight.words.what(other.task), "time": sight.words.time(other.task.at)}
        for other in _all(sight)
        if other.task.key[0] == task.key[0] and other.task.short and other.task.short != name
    ]
    at = sight.words.time(one.at) if one.at is not None else ""
    return view(
        request, "step.html", card(sight, one).lead, card=card(sight, one), asks=asks, usual=task.pieces, at=at,
        others=others, until=sight.words.time(task.until) if task.until > task.at else "",
    )  # fmt: skip


@router.post("/step/{name}/done")
def done(
    request: Request, kitchen: KitchenOf, once: Once, name: Name, count: Short = "", at: Short = "", back: Back = "/"
) -> Response:
    """Record that a step is done."""

    def act() -> Said:
        number = _number(count)
        noted = doing.done(kitchen.home(), name, kitchen.moment(), _at(at, kitchen.moment()), number, once)
        return _noted(look(kitchen), noted)

    return tapped(request, once, back, act)


@router.post("/step/{name}/as-planned")
def as_planned(request: Request, kitchen: KitchenOf, once: Once, name: Name, back: Back = "/") -> Response:
    """Record that a step was done at its planned minute."""

    def act() -> Said:
        planned = _told(look(kitchen), name, asked=True).task.at
        noted = doing.done(kitchen.home(), name, kitchen.moment(), min(planned, kitchen.moment()), None, once)
        return _noted(look(kitchen), noted)

    return tapped(request, once, back, act)


@router.post("/step/{name}/skip")
def skip(request: Request, kitchen: KitchenOf, once: Once, name: Name, back: Back = "/") -> Response:
    """Record that a step will not be done."""

    def act() -> Said:
        noted = doing.skip(kitchen.home(), name, kitchen.moment(), once)
        return Said(tuple(noted_words(look(kitchen), noted)), () if noted.known else (name,), replan=True)

    return tapped(request, once, back, act)


@router.post("/step/{name}/not-there")
def not_there(request: Request, kitchen: KitchenOf, once: Once, name: Name, back: Back = "/") -> Response:
    """Record that what was to come out of the freezer is not in it."""

    def act() -> Said:
        noted = doing.not_there(kitchen.home(), name, kitchen.moment(), once)
        lines = (f"Not there: {called(look(kitchen), noted)}.", *(f"Freezer: {moved(one)}" for one in noted.moved))
        return Said(tuple(map(plain, lines)), (name,), replan=True)

    return tapped(request, once, back, act)


@router.post("/step/{name}/later")
def not_yet(request: Request, kitchen: KitchenOf, once: Once, name: Name) -> Response:
    """Look what can be done with dough that is not there yet; each way is planned."""
    one = card(look(kitchen), _told(look(kitchen), name))
    doing.begun(kitchen.home(), name, kitchen.moment(), f"{once} begun")  # what is not yet there was begun
    about = {"title": "Not yet", "name": name, "lead": one.lead}
    return begin(request, once, "later", about, work.later, kitchen.folder, kitchen.moment(), name)


@router.post("/step/{name}/why")
def why(request: Request, kitchen: KitchenOf, once: Once, name: Name) -> Response:
    """Look why a step is planned so."""
    return begin(
        request, once, "why", {"title": "Why?", "name": name}, work.why, kitchen.folder, kitchen.moment(), name
    )


@router.post("/step/{name}/take")
def take(request: Request, kitchen: KitchenOf, once: Once, name: Name, rescue: Short) -> Response:
    """Go on in the way chosen, and plan again."""
    chosen = next((one for one in RESCUES if one.id == rescue), None)
    if chosen is None:
        raise BadInput(Mistake("later", None, "", "that was not offered.", "Say “Not yet” again."))

    def act() -> Said:
        later.take(kitchen.home(), name, chosen, kitchen.moment(), once)
        return Said((f"Noted: {chosen.words}.",))

    request.app.state.taps.once(once, act)
    return plan_again(request, kitchen, once)


def plan_again(request: Request, kitchen: Kitchen, once: str, work_: str = "usual") -> RedirectResponse:
    """Begin to plan, and lead to the page that tells how it goes on."""
    return begin(request, once, "plan", {"title": "Planning"}, work.plan, kitchen.folder, kitchen.moment(), work_)


@router.post("/take-back")
def take_back(
    request: Request,
    kitchen: KitchenOf,
    once: Once,
    step: Several,
    movement: Several,
    shopping: Short = "",
    settings: Short = "",
    back: Back = "/",
) -> Response:
    """Take back what was just said: steps, the last first, then movements of the freezer, then what was bought, then
    settings that were taken over.
    """

    def act() -> Said:
        home, now, lines = kitchen.home(), kitchen.moment(), list[str]()
        for number, name in enumerate(step):
            if name == STARTER:
                fed = doing.starter_not_fed(home, now, f"{once} {number}")
                lines.append(f"Taken back: starter fed, {look(kitchen).words.time(fed)}.")
                continue
            undone = doing.undo(home, name, now, f"{once} {number}")
            lines.append(f"Taken back: {called(look(kitchen), undone)}.")
        for number, id_ in enumerate(reversed(movement)):
            back_in = by_hand.undo(home, id_, Note(now=now, id=f"{once} bag {number}"))
            lines.append(f"Freezer: {moved(back_in)}")
        if shopping:
            back_out = {one.name: one.grams for one in buying.taken_back(home, now, f"{once} shopping")}
            lines.append(recorded("Taken back", back_out, home))
        if settings:
            taking_over.take_back(home, settings)
            lines.append("Taken back: the household's file says what it said before, and the next plan goes by it.")
        return Said(tuple(map(plain, lines)) or ("There was nothing to take back.",), replan=bool(settings))

    return tapped(request, once, back, act)


def _noted(sight: Sight, noted: Noted) -> Said:
    """Return what was noted of a step, and where it went otherwise than planned, that a new plan may help."""
    thing = noted.target.thing.partition("@")[0]
    other = [one for one in sight.otherwise if (one.thing.partition("@")[0], one.step) == (thing, noted.target.step)]
    lines = [*noted_words(sight, noted), *(otherwise_words(sight, one) for one in other)]
    return Said(tuple(lines), () if noted.known else (noted.target.name,), replan=bool(other))


def _all(sight: Sight) -> list[Told]:
    return list(sight.told)


def _told(sight: Sight, name: str, *, asked: bool = False) -> Told:
    """Return a step of the kept plan by its name; asked: or of a bake that was asked about."""
    found = next((one for one in _all(sight) if one.task.short == name), None)
    if found is None and asked:
        row = next((row for row in sight.happened if row.what is What.ASKED and row.name == name), None)
        if row is not None and row.start is not None:
            return Told(Task(row.start, row.start, "step", short=name), "", False)
    if found is None:
        if sight.plan is not None and any(task.short == name for task in every(sight.plan)):
            wrong = "fewer came out than planned, so nothing is left for that step."
            raise BadInput(Mistake("step", None, "", wrong, "Plan again; see Today."))
        wrong = "that step is not in the plan any more."
        raise BadInput(Mistake("step", None, "", wrong, "The plan was made anew since; see Today."))
    return found


def _number(said: str) -> int | None:
    if not said.strip():
        return None
    if not said.strip().isdigit() or len(said.strip()) > 4:
        raise BadInput(Mistake("count", None, "", f"“{said[:20]}” is no number.", "Write a whole number, as 2."))
    return int(said)


def _at(said: str, now: datetime) -> datetime | None:
    """Return the moment a clock last showed the time that was written; None where none was."""
    if not said.strip():
        return None
    try:
        clock = time.fromisoformat(said.strip())
    except ValueError:
        wrong = f"“{said[:20]}” is no time."
        raise BadInput(Mistake("at", None, "", wrong, "Write when it began, as 15:20.")) from None
    today = now.replace(hour=clock.hour, minute=clock.minute, second=0, microsecond=0)
    return today if today <= now + CLOCKS else today - timedelta(days=1)
