"""After a power cut or an open lid: how each bag is found, what the usual guidance says of it, and what was done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response

from calendars.text import clean
from rotation import outage
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.keeping import Found
from rotation.ledger import LotState, Note
from rotation.page.bags import Bag, kinds
from rotation.page.forms import Once, Short
from rotation.page.kitchen import KitchenOf
from rotation.page.plain import plain
from rotation.page.said import Said, tapped
from rotation.page.sight import look
from rotation.page.view import view
from rotation.recording import past
from rotation.show.outage import CAUTION, LID, cut_words
from rotation.show.stock import moved
from rotation.stockroom import freezer, held

router = APIRouter()

Asked = Annotated[str, Query(max_length=200)]
What = Literal["cut", "lid"]

FOUND = {found.name.lower(): found for found in Found}
"""How a bag is found, by what a form says: hard, icy, cold, warm."""

ACTS = {"discard": "Bin it", "toast": "Frozen again, for toast", "eat": "Out, for today", "": "Leave it in"}
"""What is done with a bag, by what is recorded of it."""

MOST_HOURS = 2000


@dataclass(frozen=True)
class Happened:
    """What happened to the freezer. hours: without power; full: how full it was, 0 to 1, or None; warm: hours over 4
    degC, as far as known; found: how bags were found, by letter.
    """

    what: What
    hours: float
    full: float | None
    warm: float | None
    found: Mapping[str, Found]

    @property
    def because(self) -> str:
        """What is recorded as the reason."""
        return f"power cut, {self.hours:g} h" if self.what == "cut" else "open lid"

    def judged(self, home: Home, lots: tuple[LotState, ...]) -> tuple[tuple[outage.Judged, ...], str]:
        """Return what is said of each bag, and what the hours mean. Raises BadInput."""
        if self.what == "lid":
            return outage.after_lid(home, lots, self.found, self.warm), LID
        share = outage.full_share(home, lots) if self.full is None else self.full
        said = cut_words(self.hours, share, measured=self.full is not None)
        return outage.after_cut(home, lots, self.hours, share, self.found, self.warm), said


@router.get("/freezer/outage")
def ask(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Ask what happened, and how each bag is found."""
    sight = look(kitchen)
    return view(request, "outage.html", "Power cut or open lid", kinds=list(kinds(sight)), found=FOUND)


@router.get("/freezer/outage/advice")
def advice(
    request: Request, kitchen: KitchenOf, what: What = "lid", hours: Asked = "", full: Asked = "", warm: Asked = ""
) -> HTMLResponse:
    """Say what the usual guidance says of each bag. Nothing is recorded."""
    sight = look(kitchen)
    said = {name: value for name, value in request.query_params.multi_items() if name.startswith("bag ") and value}
    happened = _happened(what, hours, full, warm, said)
    judged, words = happened.judged(sight.home, sight.held)
    bags = {bag.id: bag for kind in kinds(sight) for bag in kind.bags}
    verdicts: dict[tuple[str, str], list[tuple[Bag, Found | None]]] = {}
    for one in sorted(judged, key=lambda one: list(ACTS).index(one.act)):
        verdicts.setdefault((one.act, one.advice.words), []).append((bags[one.state.lot.id], one.found))
    letters = {one.state.lot.letter for one in judged}
    return view(
        request,
        "advice.html",
        "What to do with each bag",
        words=plain(words),
        caution=CAUTION,
        verdicts=[(ACTS[act], act, says, each) for (act, says), each in verdicts.items()],
        unseen=[bag for bag in bags.values() if bag.letter not in letters],
        acts=any(one.act for one in judged),
        fields={"what": what, "hours": hours, "full": full, "warm": warm, "at": kitchen.moment().isoformat(), **said},
    )


@router.post("/freezer/outage")
async def done(
    request: Request, kitchen: KitchenOf, once: Once, what: Short, at: Short, hours: Short = "", full: Short = "",
    warm: Short = "",
) -> Response:  # fmt: skip
    """Record that it was done so: what was binned, taken out, or frozen again. at: when it was looked at."""
    form = await request.form()
    said = {name: str(value) for name, value in form.multi_items() if name.startswith("bag ") and value}

    def act() -> Said:
        home, now = kitchen.home(), kitchen.moment()
        happened = _happened("cut" if what == "cut" else "lid", hours, full, warm, said)
        note = Note(now=now, at=_when(at, now))
        with freezer(home, now, moving=True) as ledger, ledger.together():
            lots = held(home, ledger, now)
            there = {state.lot.letter for state in lots}  # what is out by now, as by the same tap before, is done
            found = {letter: how for letter, how in happened.found.items() if letter in there}
            acts = Happened(happened.what, happened.hours, happened.full, happened.warm, found).judged(home, lots)[0]
            made = outage.record(home, ledger, [one for one in acts if one.act], happened.because, note)
        lines = [plain(moved(one)) for one in made] or ["Nothing more had to be recorded."]
        return Said(tuple(lines), (), tuple(one.id for one in made if one.shares), replan=bool(made))

    return await run_in_threadpool(tapped, request, once, "/freezer", act)


def _happened(what: What, hours: str, full: str, warm: str, bags: Mapping[str, str]) -> Happened:
    found = {}
    for name, how in bags.items():
        if how not in FOUND:
            raise _wrong(f"“{clean(how, 20)}” does not say how a bag was found.", "Write hard, icy, cold or warm.")
        found[name.removeprefix("bag ").upper()] = FOUND[how]
    cut = _number("hours without power", hours, MOST_HOURS) if what == "cut" else 0.0
    if cut is None:
        raise _wrong("it is not said how long the power was off.", "Write the hours, as 9.")
    percent = _number("percent", full, 100)
    return Happened(what, cut, None if percent is None else percent / 100, _number("hours", warm, MOST_HOURS), found)


def _number(what: str, said: str, most: float) -> float | None:
    """Return a number from 0 up, None where none was written."""
    if not said.strip():
        return None
    try:
        number = float(said.strip().replace(",", "."))
    except ValueError:
        number = -1.0
    if not 0 <= number <= most:  # not a number either
        raise _wrong(f"“{clean(said, 20)}” {what} cannot be.", f"Write 0 to {most:g}.")
    return number


def _when(said: str, now: datetime) -> datetime:
    try:
        at = datetime.fromisoformat(said)
    except ValueError:
        at = None
    if at is None or at.tzinfo is None:
        raise _wrong("it is not said when that was looked at.", "Say again how the bags are found.")
    return past(at, now)


def _wrong(wrong: str, instead: str) -> BadInput:
    return BadInput(Mistake("freezer", None, "", wrong, instead))
