"""The family's edits of our entries, read as wishes for the next plan."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from calendars.sync import Edit
from calendars.text import clean
from rotation.asked import FED_THEN, Asked, Meant
from rotation.happened import NOT_THERE, Happened, What
from rotation.intake.notes import Notes
from rotation.intake.time import Clock
from rotation.naming import THAW
from rotation.plan import Plan
from rotation.problem import FINISHED, FIXED, GRID, TOAST, Bread, Problem, Route, Wish

AROUND = timedelta(hours=12)
"""A deleted bake is meant with all that would be mixed so near to it."""

MINUTE = timedelta(minutes=1)

TAKEN_BACK, OVERTAKEN = "taken back", "another bake was moved there"
SECOND, DONE = "another step of it is held", "it is done"
"""Why a wish is over before its time."""


@dataclass(frozen=True)
class Ticked:
    """An entry the family ticked off. whole: all of its thing is done; step: else the step that is; at: when."""

    thing: str
    step: str
    whole: bool
    at: datetime
    title: str


@dataclass(frozen=True)
class Understood:
    """What edits came to: wishes, what is done, and what the family should know of it."""

    asked: tuple[Asked, ...] = ()
    ticked: tuple[Ticked, ...] = ()
    said: tuple[str, ...] = ()


def understood(edits: Iterable[Edit], meant: Mapping[str, Meant], now: datetime, zone: ZoneInfo) -> Understood:
    """Return what the edits mean. meant: what the entries stand for, by UID; of others nothing is known any more.

    A moved entry fixes the step it begins with, on the planning grid; one made longer or shorter fixes its start, and
    its length is said; a deleted one wants no such bake, or none for those meals. One ticked off is done, wherever it
    stands. Notes and colours are the family's.
    """
    edits = tuple(edits)
    done = {edit.uid for edit in edits if edit.kind == "done"}
    asked: list[Asked] = []
    ticked: list[Ticked] = []
    said: list[str] = []
    for edit in edits:
        of = meant.get(edit.uid)
        if of is None:
            if edit.kind in ("moved", "resized", "deleted"):
                said.append("An entry that is in no plan any more was edited: that is not counted.")
        elif edit.kind in ("moved", "resized") and of.step and of.mix is None:
            said.append(f"“{clean(of.title, 80)}” was moved, but its bake has begun: it goes on as the dough wants.")
        elif edit.kind in ("moved", "resized") and edit.now is not None and edit.uid not in done:
            asked.append(_fixed(edit, of, zone))
        elif edit.kind == "deleted":
            if wishes := tuple(_none(of, zone)):
                asked += wishes
            else:
                said.append(_restored(of, zone))
        elif edit.kind == "done":
            ticked.append(Ticked(of.thing, of.step, of.whole, min(edit.at or max(of.at, edit.was[0]), now), of.title))
    return Understood(tuple(asked), tuple(ticked), tuple(dict.fromkeys(said)))


def _fixed(edit: Edit, of: Meant, zone: ZoneInfo) -> Asked:
    """Return the wish that the step stays where the family put it."""
    assert edit.now is not None
    start = edit.now[0]
    if edit.all_day:  # moved to a day, without an hour: the hour stays
        day = start.astimezone(zone).date()
        start = of.start.astimezone(zone).replace(year=day.year, month=day.month, day=day.day)
    at = _on_grid(start + (of.at - of.start))
    kind = {"thaw": "fixed thaw", "finish": "fixed finish", "feed": FED_THEN}.get(
        of.kind, "fixed" if of.step else "fixed finish"
    )
    change = f"moved to {_when(start, zone)}"
    if edit.kind == "resized":
        minutes = round((edit.now[1] - edit.now[0]) / MINUTE)
        change = f"made {minutes} min long, so it stays at {_when(start, zone)}"
    said = f"“{clean(of.title, 80)}” {change}"
    return Asked(
        id=edit.uid, thing=of.thing, belongs=of.belongs, kind=kind, bread=of.bread, step=of.step, since=at,
        until=at + MINUTE, said=said,
    )  # fmt: skip


def _none(of: Meant, zone: ZoneInfo) -> Iterator[Asked]:
    """Yield the wishes that a deleted entry stands for: none for an oven's reservation, or a bake already mixed."""
    said = f"“{clean(of.title, 80)}” of {_when(of.start, zone)} deleted"
    if of.kind == "bake" and of.mix is not None:
        yield Asked(
            id=of.uid, thing=of.thing, belongs=of.belongs, kind="no bake", bread=of.bread, step="",
            since=of.mix - AROUND, until=of.mix + AROUND, said=said,
        )  # fmt: skip
    kind = "no finish" if of.gives == FINISHED else "no thaw"
    for number, meal in enumerate(of.feeds if of.kind in ("thaw", "finish") else ()):
        id_ = of.uid if not number else f"{of.uid}/{number}"
        yield Asked(
            id=id_, thing=of.thing, belongs=of.belongs, kind=kind, bread=of.bread, step="", since=meal,
            until=meal + MINUTE, said=said,
        )  # fmt: skip


def left_in(
    problem: Problem, bread: Bread | None, route: Route | None, rows: Sequence[Happened], planned: Plan
) -> Iterator[Wish]:
    """Yield what a skipped thaw stands for, as where its entry is deleted: none for the meals it was to feed.

    rows: what is recorded of it; planned: the plan with nothing but it. Where its bag was not there, another may do.
    """
    row = next(row for row in rows if row.what is What.SKIPPED and row.step == THAW)
    if bread is None or route is None or route.gives == TOAST or row.said == NOT_THERE:
        return
    kind, fed = "no finish" if route.gives == FINISHED else "no thaw", {one.meal for one in planned.servings}
    for meal in problem.meals:
        if meal.id in fed:
            said = f"{bread.name} was skipped"
            yield Wish(f"{row.id} {meal.id}", kind, bread.id, meal.at, meal.at + 1, said=said)


def _restored(of: Meant, zone: ZoneInfo) -> str:
    """Say why a deleted entry comes back."""
    name = f"“{clean(of.title, 80)}” of {_when(of.start, zone)}"
    if of.kind == "oven":
        return f"{name} was deleted, and is put back: bread needs the oven then. Is it taken? Book it in its calendar."
    if of.kind == "feed":
        return f"{name} was deleted, and is put back: the starter wants it. Is it fed already? rotation done starter"
    return f"{name} was deleted, but has begun or feeds nobody's meal: it is put back."


def finished(asked: Iterable[Asked], edits: Iterable[Edit]) -> tuple[Asked, ...]:
    """Return the wishes, ended, about entries that are ticked off."""
    done = {edit.uid for edit in edits if edit.kind == "done"}
    return tuple(replace(wish, over=DONE) for wish in asked if wish.id.partition("/")[0] in done)


def alike(one: Asked, other: Asked) -> bool:
    """Say whether two wishes ask for the same, in whatever words."""
    return (one.kind, one.bread, one.step, one.since) == (other.kind, other.bread, other.step, other.since)


def taken_back(
    asked: Iterable[Asked], edits: Sequence[Edit], there: Iterable[str], published: int
) -> tuple[Asked, ...]:
    """Return the wishes, ended, whose edit the family took back before it was in a published plan.

    asked: wishes on record; there: UIDs of our entries in the calendars; published: number of the last one.
    """
    edited = {edit.uid for edit in edits if edit.kind in ("moved", "resized", "deleted")}
    unedited = {*there} - edited
    return tuple(
        replace(wish, over=TAKEN_BACK)
        for wish in asked
        if wish.id.partition("/")[0] in unedited and wish.after == published
    )


def overtaken(asked: Sequence[Asked]) -> tuple[Asked, ...]:
    """Return the wishes for no bake, ended, into whose time the family has since moved a bake of that bread."""
    moved = [wish for wish in asked if wish.kind == "fixed"]
    return tuple(
        replace(wish, over=OVERTAKEN)
        for wish in asked
        if wish.kind == "no bake"
        and any(one.bread == wish.bread and wish.since <= one.since < wish.until for one in moved)
    )


def seconds(asked: Sequence[Asked], new: Collection[str]) -> tuple[Asked, ...]:
    """Return the wishes, ended, that hold a second hour of one bake, or of one thaw and its finish: the rest floats.

    new: ids of the wishes just read; they count before older ones, and of several the oven's, else the first in time.
    """
    held: dict[str, Asked] = {}
    fixed = [wish for wish in asked if wish.kind in FIXED]
    for wish in sorted(fixed, key=lambda wish: (wish.id not in new, wish.kind != "fixed finish", wish.since, wish.id)):
        held.setdefault(wish.belongs, wish)
    return tuple(replace(wish, over=SECOND) for wish in fixed if held[wish.belongs] is not wish)


def wishes(asked: Iterable[Asked], clock: Clock, breads: Iterable[str], notes: Notes) -> tuple[Wish, ...]:
    """Return the wishes that a plan over these days can keep; those of breads that are gone are noted."""
    known, found = {*breads}, list[Wish]()
    for one in (one for one in asked if one.kind != FED_THEN):
        at, until = clock.minute(one.since), clock.minute(one.until)
        if one.bread not in known:
            notes.add("wishes", f"{one.said}: there is no bread “{one.bread}” any more.")
        elif until > 0 and at <= clock.end:
            found.append(Wish(one.id, one.kind, one.bread, at, until, one.step, one.said))
    return tuple(found)


def _on_grid(at: datetime) -> datetime:
    """Return the planned start nearest to a moment."""
    step = GRID * 60
    return datetime.fromtimestamp(round(at.timestamp() / step) * step, at.tzinfo)


def _when(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b} {local.hour}:{local:%M}"
