"""Which entries of a plan a household wants, by its settings, in which calendar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rotation.entries import entries, most_a_week, of_oven, of_person
from rotation.entries.explained import Explained
from rotation.household.reading import Home
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.recipes import recipes

NO_TASKS = "{}: this calendar takes no tasks, so its entries are events. Tick one off with ✓ before its title."


def for_bread(home: Home, problem: Problem, plan: Plan) -> tuple[tuple[Explained, ...], list[str]]:
    """Return the entries of the calendar for bread alone, and what to say of how many there are."""
    settings = home.settings.entries
    a_week = settings.a_week if settings.each == "bake" else None  # who wants them finer wants as many as there are
    told, joined, unwritten = entries(
        problem,
        plan,
        recipes(home.known, plan, home.settings.shown.display),
        days=home.settings.plan.publish_days,
        each=settings.each,
        a_week=a_week,
        alarms_a_day=settings.alarms_a_day,
    )
    said = []
    if joined:
        finishes = "One finish stands" if joined == 1 else f"{joined} finishes stand"
        said.append(f"{finishes} in the entry of the thaw, to keep to {a_week} entries a week.")
    if unwritten:
        feeds = "One feed of the starter stands" if unwritten == 1 else f"{unwritten} feeds of the starter stand"
        said.append(f"{feeds} in the plan alone, to keep to {a_week} entries a week.")
    if a_week is not None and (most := most_a_week(problem, told)) > a_week:
        said.append(f"{most} entries in one week: so many bakes, thaws and finishes the plan has.")
    return _as_set(home, told), said


def for_another(home: Home, problem: Problem, plan: Plan, person: str, oven: str) -> tuple[Explained, ...]:
    """Return the entries of the calendar of a person, or of an oven."""
    days = home.settings.plan.publish_days
    if oven:
        return _as_set(home, of_oven(problem, plan, oven, days=days))
    alarms, grams = home.settings.entries.alarms_a_day, recipes(home.known, plan, home.settings.shown.display)
    return _as_set(home, of_person(problem, plan, grams, person, days=days, alarms_a_day=alarms))


def _as_set(home: Home, told: Sequence[Explained]) -> tuple[Explained, ...]:
    """Return the entries as the settings want all of them: blocking, or tasks."""
    set_ = home.settings.entries
    return tuple(replace(one, entry=replace(one.entry, transparent=not set_.blocking, task=set_.tasks)) for one in told)
