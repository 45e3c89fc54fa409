"""What to do now and next, in three lines, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.at_hand import AtHand, Task
from rotation.household.reading import Home
from rotation.show.fit import fit
from rotation.words import clock, count, date_words, listed, named_pieces, weekday

SCHEMA = "rotation/now/1"
"""Name and version of what `rotation now --json` prints."""

NO_PLAN = "No plan is kept. Make one: rotation plan"


def lines(hand: AtHand, home: Home, now: datetime, width: int) -> Iterator[str]:
    """Yield three lines: what is due, what comes next, and what then."""
    said = Words(home, now.astimezone(home.zone))
    for title, tasks in (("NOW", hand.now), ("NEXT", hand.next), ("THEN", hand.then)):
        more = said.unsaid(hand) if title == "NOW" else ""
        yield from fit(f"{title:<5} {said.all(tasks) or said.nothing(title, hand)}{more}", 6, width)


def now_json(hand: AtHand | None, home: Home, now: datetime) -> dict[str, Any]:
    """Return the same as plain JSON values; all lists are empty where no plan is kept."""
    said = Words(home, now.astimezone(home.zone))
    tasks: Mapping[str, Sequence[Task]] = {"now": (), "next": (), "then": (), "unsaid": ()}
    if hand is not None:
        tasks = {"now": hand.now, "next": hand.next, "then": hand.then, "unsaid": hand.unsaid}
    return {
        "schema": SCHEMA,
        "household": clean(home.settings.name),
        "at": now.isoformat(timespec="minutes"),
        "until": None if hand is None else hand.until.isoformat(timespec="minutes"),
        **{name: [_task(said, task, home.zone) for task in several] for name, several in tasks.items()},
    }


def _task(said: Words, task: Task, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "at": task.at.astimezone(zone).isoformat(timespec="minutes"),
        "kind": task.kind,
        "who": task.who or None,
        "bread": task.bread or None,
        "pieces": task.pieces,
        "step": task.step or None,
        "short": task.short or None,
        "says": said.what(task),
    }


class Words:
    """Says what tasks are, in family words, as seen at one moment of the household (`now`, in its zone)."""

    def __init__(self, home: Home, now: datetime) -> None:
        self.home, self.today, self.zone = home, now, home.zone
        self.ovens = {oven.id: oven for oven in home.settings.ovens}

    def all(self, tasks: Sequence[Task]) -> str:
        """Return tasks of one moment, their time said once; of several that are due, each with its own."""
        said, before = [], None
        for task in tasks:
            at = self.begins(task)
            who = f"{clean(task.who, 40)}: " if task.who else ""
            short = f" [{clean(task.short, 40)}]" if task.short else ""
            said.append(f"{'' if at in ('', before) else at + ' '}{who}{self.what(task)}.{short}")
            before = at
        return " ".join(said)

    def begins(self, task: Task) -> str:
        """Return when a task begins; "" for what may be bought all day: by when is said with it."""
        return "" if task.kind == "buy" else self.time(task.at)

    def nothing(self, title: str, hand: AtHand) -> str:
        """Return what stands where there is nothing to do."""
        if title == "NOW":
            return "Nothing."
        ends = hand.until.astimezone(self.zone) - timedelta(minutes=1)
        over = f"Nothing more until the plan ends, {weekday(ends)[:3]} {date_words(ends)}."
        return over if title == "NEXT" or hand.next else "Plan on: rotation plan"

    def unsaid(self, hand: AtHand) -> str:
        """Return which steps nobody spoke of."""
        names = [clean(task.short, 40) for task in hand.unsaid]
        return f" Not said yet: {listed(names)}. All as planned? rotation done all" if names else ""

    def what(self, task: Task) -> str:
        """Return what to do, without who and when."""
        bread, meals = self.bread(task), f", for {listed(map(clean, task.meals[:3]))}" if task.meals else ""
        bags = f", {listed(f'bag {clean(bag, 3)}' if bag else 'a bag still to be baked' for bag in task.bags)}"
        if task.kind == "buy":
            return f"BUY {count(task.pieces, 'loaf', 'loaves')} by {self.time(task.until)}{meals}"
        if task.kind == "on":
            return f"OVEN ON {self.heat(task)}"
        if task.kind == "feed":
            return f"FEED STARTER{': ' if task.step else ''}{clean(task.step, 200)}"
        if task.kind == "thaw":
            place = f", freezer to {clean(task.place, 40)}" if task.place != "none" else ""
            return f"BREAD OUT {bread}{bags}{place}{meals}"
        if task.kind == "meal":
            return f"{bread}{bags}, straight from the freezer{meals}"
        if task.kind in ("finish", "oven"):
            return f"IN: {bread}, {self.heat(task)}"
        if task.kind in ("finished", "out"):
            eat = f", stand, EAT {self.time(task.until)}" if task.kind == "finished" else ""
            return f"OUT: {bread}{eat}{meals}"
        if task.kind == "turn":
            return f"{self._turn(task)}: {bread}"
        if task.step.startswith("fold"):
            return f"{clean(task.step, 40).upper()}, {bread}"
        title = "FEED STARTER for" if task.step == "feed" else clean(task.step, 40).upper()
        return f"{title} {bread}"

    def _turn(self, task: Task) -> str:
        """Return "LID OFF + 220 (fan 200)", what is done at an oven between in and out."""
        parts = (part.removeprefix("set ") for part in clean(task.step, 60).split(" + "))
        said = (self.heat(replace(task, degc=int(part))) if part.isdigit() else part.upper() for part in parts)
        return " + ".join(said)

    def bread(self, task: Task) -> str:
        """Return "2 Country loaves" or "6 slices of Milk tin loaf"."""
        known = self.home.known.get(task.bread)
        name = clean(known.name if known else task.bread, 40)
        if not task.pieces:
            return name
        return f"{count(task.pieces, 'slice')} of {name}" if task.sliced else named_pieces(name, task.pieces)

    def heat(self, task: Task) -> str:
        """Return "220 (fan 200)" of the task's oven."""
        oven, display = self.ovens.get(task.oven), self.home.settings.shown.display
        fan = f" (fan {display.oven(task.degc - oven.fan_lower_degc)})" if oven is not None and oven.fan else ""
        return f"{display.oven(task.degc)}{' degF' if display.temperature == 'degF' else ''}{fan}"

    def time(self, at: datetime) -> str:
        """Return "17:30", with its weekday where it is another day, with its date where that is far."""
        local = at.astimezone(self.zone)
        days = (local.date() - self.today.date()).days
        if not days:
            return clock(local)
        far = f" {date_words(local)}" if abs(days) > 6 else ""
        return f"{weekday(local)[:3]}{far} {clock(local)}"
