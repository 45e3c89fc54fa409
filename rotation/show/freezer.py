"""The freezer over time, bag by bag: what is in it at any minute, and a table of it at the end of each day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calendars.text import clean
from rotation.facts import held, moves
from rotation.plan import Plan
from rotation.problem import Problem, is_thawing, value_at
from rotation.telling import Bag, bags, shown_end
from rotation.words import count, date_words, pieces_of, sliced, weekday


@dataclass(frozen=True)
class Level:
    """Units of one bread and form in the freezer from a minute on."""

    minute: int
    bread: str
    form: str
    units: int


def stock_at(problem: Problem, plan: Plan, minute: int) -> dict[Bag, int]:
    """Return the units of each bag in the freezer just before a minute, oldest first, none that is empty."""
    left = held(moves(problem, plan), max(minute - 1, 0))
    return {bag: left[bag.id] for bag in bags(problem, plan) if left.get(bag.id, 0) and not is_thawing(bag.form)}


def levels(problem: Problem, plan: Plan) -> tuple[Level, ...]:
    """Return how much of each bread and form is there from minute 0, then after each change in the shown days."""
    kind = {bag.id: (bag.bread, bag.form) for bag in bags(problem, plan)}
    now = dict.fromkeys(sorted(set(kind.values())), 0)
    after: dict[tuple[int, str, str], int] = {(0, bread, form): 0 for bread, form in now}
    for move in moves(problem, plan):
        now[kind[move.lot]] += move.units
        after[move.at, *kind[move.lot]] = now[kind[move.lot]]
    end = shown_end(problem)
    return tuple(Level(*key, units) for key, units in sorted(after.items()) if key[0] < end)


def stock_words(problem: Problem, stock: dict[Bag, int]) -> str:
    """Return what is in the freezer in family words: "2 sourdough, 30 slices of tin loaf (1 bag)"."""
    totals: dict[tuple[str, str], list[int]] = {}
    for bag, number in stock.items():
        totals.setdefault((bag.bread, bag.form), []).append(number)
    said = [_said(problem, bread, form, numbers) for (bread, form), numbers in sorted(totals.items())]
    return ", ".join(said) or "empty"


def _said(problem: Problem, bread_id: str, form_id: str, numbers: Iterable[int]) -> str:
    bread = problem.bread(bread_id)
    held = list(numbers)
    if not sliced(bread.form(form_id)):
        return pieces_of(bread, sum(held))
    return f"{count(sum(held), 'slice')} of {clean(bread.name, 40)} ({count(len(held), 'bag')})"


def room_used(problem: Problem, stock: dict[Bag, int]) -> int:
    """Return the decilitres a stock takes."""
    return sum(number * problem.bread(bag.bread).form(bag.form).unit_dl for bag, number in stock.items())


def table(problem: Problem, plan: Plan) -> list[str]:
    """Return the lines of the freezer at the end of each shown day: what is there, and how full it is."""
    lines = ["FREEZER, each evening"]
    for midnight in problem.midnights[1 : problem.shown_days + 1]:
        stock = stock_at(problem, plan, midnight)
        used, room = room_used(problem, stock), value_at(problem.kitchen.freezer_dl, midnight - 1)
        at = problem.instant(midnight - 1)
        day = f"{weekday(at)[:3]} {date_words(at)}"
        full = f"{-(-100 * used // room)} %" if room else "no room"
        bar = "#" * min(-(-10 * used // room), 10) if room else ""
        lines.append(f"  {day:<10} {full:>7} {bar:<10}  {stock_words(problem, stock)}")
    return lines
