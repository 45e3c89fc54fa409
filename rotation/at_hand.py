"""What the kept plan asks for now and next, read from the plan as it is shown: no solver, no calendars."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Any

from rotation.happened import Happened, What
from rotation.naming import FINISH, OUT, THAW
from rotation.problem import FEED, is_thawing
from rotation.real_times import as_it_went

Json = dict[str, Any]

OVERDUE = timedelta(hours=1)
"""How long after its end a step that nobody spoke of is still due."""

PASSING = timedelta(minutes=30)
"""How long what nobody has to speak of is due: bread eaten, a lid taken off."""

UNSAID = timedelta(days=1)
"""How long a step that nobody spoke of is asked about."""

PUTS_OFF = (OUT, "bag", THAW)
"""Steps that can be skipped by themselves; where another is, the whole bake is off."""


KINDS = ("step", "on", "oven", "turn", "out", "thaw", "meal", "finish", "finished", "feed", "buy")
"""What a task may be."""


@dataclass(frozen=True)
class Task:
    """One thing to do. who: a name, or ""; short: what it is called to say that it is done, or ""; until: end of it.

    key: the id of its thing and the step of it, ("", "") for what nobody has to speak of; how: what to do, in full.
    kind: "step", "on" (the oven), "oven", "turn" (at the oven, between in and out), "out", "thaw", "meal" (taken out as
    it is eaten), "finish", "finished", "feed" (of the starter; step: what goes in) or "buy"; bread: its id, or "";
    pieces: of it, slices where `sliced`; step: of a bake; degc: of the oven; bags: letters of the bags it is from,
    "" for one that is still to be baked; meals: titles of those it is for.
    """

    at: datetime
    until: datetime
    kind: str
    who: str = ""
    bread: str = ""
    pieces: int = 0
    sliced: bool = False
    step: str = ""
    oven: str = ""
    degc: int = 0
    short: str = ""
    place: str = ""
    bags: tuple[str, ...] = ()
    meals: tuple[str, ...] = ()
    key: tuple[str, str] = ("", "")
    how: tuple[str, ...] = ()

    @property
    def over(self) -> datetime:
        """When it is due no more."""
        if self.kind in ("on", "buy"):
            return self.until
        return self.until + (OVERDUE if self.short else PASSING)


@dataclass(frozen=True)
class AtHand:
    """What is due now, what comes next, and what then, each at one moment; until: the end of the kept plan.

    unsaid: steps of the last day that are over and of which nothing was said; a thaw is taken to be as planned.
    """

    now: tuple[Task, ...]
    next: tuple[Task, ...]
    then: tuple[Task, ...]
    unsaid: tuple[Task, ...]
    until: datetime


def at_hand(
    plan: Json, happened: Iterable[Happened], now: datetime, letters: Mapping[str, str] = MappingProxyType({})
) -> AtHand:
    """Return what is at hand of a kept plan. happened: what was said of its steps, which are asked for no more.

    letters: of bags baked since, by the id the plan gives them. What follows what is done counts from its real time.
    """
    rows = list(happened)
    tasks = every(as_it_went(plan, rows), letters, still_open(rows))
    begun = [task for task in tasks if task.at <= now]
    due = tuple(task for task in begun if now < task.over)
    unsaid = tuple(
        task for task in begun if task.over <= now < task.until + UNSAID and task.short and task.kind != "thaw"
    )
    ahead = [task for task in tasks if task.at > now]
    first = tuple(task for task in ahead if task.at == ahead[0].at)
    rest = ahead[len(first) :]
    then = tuple(task for task in rest if task.at == rest[0].at)
    return AtHand(due, first, then, unsaid, _at(plan["horizon"]["end"]))


def every(
    plan: Json,
    letters: Mapping[str, str] = MappingProxyType({}),
    open_: Callable[[str, str], bool] = lambda thing, step: True,
) -> tuple[Task, ...]:
    """Return all there is to do in a kept plan, in time order. open_: whether a step of a thing is still to be done."""
    return tuple(sorted(_tasks(plan, open_, letters), key=lambda task: (task.at, task.until, task.kind)))


def still_open(rows: list[Happened]) -> Callable[[str, str], bool]:
    """Return what says whether a step of a thing is still to be done. A plan that was never published calls its
    things by bread and day alone; what happened to them is recorded under that and the year.
    """
    said = {(row.thing.partition("@")[0], row.step) for row in rows if row.what in (What.DONE, What.SKIPPED)}
    off = {row.thing.partition("@")[0] for row in rows if row.what is What.SKIPPED and row.step not in PUTS_OFF}
    return lambda thing, step: thing not in off and (thing, step) not in said


def _tasks(plan: Json, open_: Callable[[str, str], bool], baked: Mapping[str, str]) -> Iterator[Task]:
    people = {person["id"]: person["name"] for person in plan["people"]}
    stays = {stay["id"]: stay for stay in plan["oven"]}
    titles = {meal["id"]: meal["summary"] for meal in plan["meals"]}
    letters = {lot["id"]: lot["letter"] for lot in plan["lots"]} | dict(baked)
    how = {(one["for"], one["step"]): tuple(one["text"]) for one in plan.get("instructions", ())}
    for bake in plan["bakes"]:
        for task in _of_bake(bake, stays[bake["stay"]], people, open_):
            yield replace(task, how=how.get(task.key, ()))
    for thaw in plan["thaws"]:
        if open_(thaw["id"], THAW) and not is_thawing(thaw["form"]):
            at = _at(thaw["start"])
            yield Task(
                at, at, "thaw" if thaw["who"] else "meal", people.get(thaw["who"], ""), thaw["bread"], thaw["pieces"],
                thaw["form"] == "sliced", short=thaw.get("short") or "", place=thaw["place"],
                bags=tuple(letters.get(share["id"]) or "" for share in thaw["lots"]), meals=_titles(thaw, titles),
                key=(thaw["id"], THAW), how=how.get((thaw["id"], THAW), ()),
            )  # fmt: skip
    for finish in plan["finishes"]:
        if open_(finish["id"], FINISH) and open_(finish["thaw"], FINISH):
            stay, bread = stays[finish["stay"]], (finish["bread"], finish["pieces"])
            yield from _switched_on(stay, people)
            at, end, ready = (_at(finish[key]) for key in ("start", "end", "ready"))
            meals = _titles(finish, titles)
            key = (finish["id"], FINISH)
            yield Task(at, at, "finish", people.get(finish["who"], ""), *bread, degc=stay["programme"]["degc"],
                       oven=stay["oven"], short=finish.get("short") or "", key=key, how=how.get(key, ()))  # fmt: skip
            for event in stay["events"]:
                at = _at(event["start"])
                who = people.get(event["who"], "")
                yield Task(at, _at(event["end"]), "turn", who, bread[0], step=event["name"], oven=stay["oven"])
            yield Task(end, ready, "finished", people.get(finish["who_out"], ""), *bread, meals=meals)
    for feed in plan.get("feeds", ()):
        if open_(feed["id"], FEED):
            at = _at(feed["start"])
            key = (feed["id"], FEED)
            yield Task(at, _at(feed["end"]), "feed", people.get(feed["who"], ""), step=feed["what"],
                       short=feed["short"] or "", key=key, how=how.get(key, ()))  # fmt: skip
    for bought in plan["bought"]:
        by = _at(bought["buy_by"])
        yield Task(by.replace(hour=0, minute=0), by, "buy", pieces=bought["loaves"], meals=_titles(bought, titles))


def _of_bake(bake: Json, stay: Json, people: Mapping[str, str], open_: Callable[[str, str], bool]) -> Iterator[Task]:
    id_, bread = bake["id"], (bake["bread"], bake["pieces"])
    for step in bake["steps"]:
        if step["who"] and open_(id_, step["name"]):
            oven = step["name"] == "oven"
            degc = stay["programme"]["degc"] if oven else 0
            yield Task(
                _at(step["start"]), _at(step["end"]), "oven" if oven else "step", people.get(step["who"], ""),
                bake["bread"], step.get("pieces", bake["pieces"]),
                step=step["name"], oven=stay["oven"], degc=degc, short=step.get("short") or "",
                key=(id_, step["name"]),
            )  # fmt: skip
    if open_(id_, OUT):
        if open_(id_, "oven"):
            yield from _switched_on(stay, people)
        for event in stay["events"][:-1]:
            at = _at(event["start"])
            yield Task(
                at,
                _at(event["end"]),
                "turn",
                people.get(event["who"], ""),
                bake["bread"],
                step=event["name"],
                oven=stay["oven"],
            )
        end = _at(stay["end"])
        who = people.get(stay["events"][-1]["who"], "") if stay["events"] else ""
        yield Task(end, end, "out", who, *bread, short=bake.get("short_out") or "", key=(id_, OUT))


def _switched_on(stay: Json, people: Mapping[str, str]) -> Iterator[Task]:
    """Yield the switching on of an oven for a stay, which is due until the stay begins."""
    if stay["heat"] == "cold":
        at, until = _at(stay["heat_from"]), _at(stay["start"])
        yield Task(at, until, "on", people.get(stay["who_on"], ""), oven=stay["oven"], degc=stay["programme"]["degc"])


def _titles(thing: Json, titles: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(titles[meal["id"]] for meal in thing["meals"] if meal["id"] in titles))


def _at(said: str) -> datetime:
    return datetime.fromisoformat(said)
