"""A plan day by day, as a family reads it: what to do in the order the hands need it, number first, slack last."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from calendars.text import clean
from rotation.far import After
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.show import costs, freezer
from rotation.show.days import Recipes, days
from rotation.show.fit import WIDTH, fit, fit_all
from rotation.show.notes import Lack, notes, shortfalls
from rotation.show.sketch import sketch_lines
from rotation.telling import shown
from rotation.units import longest_time
from rotation.words import count, date_words, heading, listed, long_time, weekday


def day_by_day(problem: Problem, plan: Plan, recipes: Recipes, width: int = WIDTH) -> list[str]:
    """Return the lines of the shown days, at most `width` characters each. The plan is the whole one."""
    listed_days = list(days(problem, plan, recipes))
    names = max((len(line.who) for day in listed_days for line in day.lines), default=0)
    times = longest_time()
    printed: list[str] = []
    for day in listed_days:
        printed += ["", f"{heading(problem.instant(day.minute)):<28}bread today: {day.bread}"]
        for line in day.lines:
            head = f"{line.times:>{times}} {line.who:<{names}}  " if line.times else ""
            name = f" [{line.name}]" if line.name else ""
            printed += fit(head + line.what + name, 3 + times + names, width)
        printed += fit(f"Freezer tonight: {day.tonight}", 3 + times + names, width)
    return printed[1:]


def beside(problem: Problem, plan: Plan, said: Sequence[str], width: int = WIDTH) -> list[str]:
    """Return what stands beneath the days: shortfalls, wishes, notes, the freezer and the cost."""
    printed: list[str] = []
    printed += _section("SHORT", shortfall_lines(problem, plan), width)
    printed += _section("WISHES", wish_lines(problem, plan), width)
    printed += _section("NOTES", [*notes(problem, plan), *map(clean, said)], width)
    evenings = fit_all(freezer.table(problem, shown(problem, plan)), 33, width)
    return [*printed, "", *evenings, "", *fit_all(costs.table(plan), 13, width)]


def _section(title: str, entries: Iterable[str], width: int) -> list[str]:
    body = list(fit_all((f"  {entry}" for entry in entries), 4, width))
    return ["", title, *body] if body else []


def shortfall_lines(problem: Problem, plan: Plan) -> list[str]:
    """Return what is short and what stood in the way; meals that the same stood in the way of are said together."""
    alike: dict[tuple[bool, tuple[str, ...]], list[Lack]] = {}
    for lack in shortfalls(problem, plan):
        alike.setdefault((lack.meal.strict, lack.because), []).append(lack)
    return [
        f"{listed(map(partial(_short, problem), lacks))}. In the way: {'; '.join(why)}."
        for (_, why), lacks in alike.items()
    ]


def _short(problem: Problem, lack: Lack) -> str:
    """Return "Lunch (guests) Sun 7 Mar 12:30 short by 6 of 20 portions"."""
    guests = " (guests)" if lack.meal.strict else ""
    what = f"{clean(lack.meal.summary, 60)}{guests} {long_time(problem, lack.meal.at)}"
    return f"{what} short by {lack.portions} of {lack.meal.portions}"


def wish_lines(problem: Problem, plan: Plan) -> list[str]:
    """Return what became of the family's wishes, each in a line."""
    became = {kept.wish: kept for kept in plan.wishes}
    said = []
    for wish in problem.wishes:
        words = clean(wish.said) or f"{wish.kind} {clean(problem.bread(wish.bread).name, 40)}"
        kept = became.get(wish.id)
        if kept is None:
            continue
        if not kept.kept:
            said.append(f"Not possible: {words}: {clean(kept.because)}.")
        elif kept.cost is None:
            said.append(f"Kept: {words}.")
        else:
            price = f"it costs {round(kept.cost / 1000)} effort minutes" if kept.cost > 0 else "it costs nothing"
            said.append(f"Kept: {words}; {price}.")
    return list(dict.fromkeys(said))


def verdict(problem: Problem, plan: Plan) -> str:
    """Return how good the plan is, in one line."""
    span = count(problem.shown_days, "day")
    if plan.status == "optimal":
        return f"{span}; no better plan is possible."
    if any(tier.bound is None or tier.value > tier.bound for tier in plan.tiers[:-1]):
        return f"{span}; whether more wishes or guests' portions could be met is not proven."
    if plan.gap is None or plan.gap > 1:
        return f"{span}; how much a better plan could save is not known."
    return f"{span}; a better plan could save at most {100 * plan.gap:.1f} % of the cost."


def page(
    problem: Problem,
    plan: Plan,
    household: str,
    said: Sequence[str],
    recipes: Recipes,
    source: str,
    width: int = WIDTH,
    changed: str = "",
    far: After | None = None,
) -> Iterator[str]:
    """Yield the whole printout of a checked plan.

    source: which household this is, and how it was found; changed: against the plan before, or ""; far: the days after
    it, as a sketch.
    """
    first, last = (problem.instant(minute) for minute in (0, problem.midnights[problem.shown_days] - 1))
    span = f"{weekday(first)} {date_words(first)} to " if problem.shown_days > 1 else ""
    yield f"{clean(household)}: {span}{weekday(last)} {date_words(last)} {last.year}"
    yield clean(source)
    yield f"checked: every rule holds. {verdict(problem, plan)}"
    if changed:
        yield from fit(changed, 2, width)
    yield ""
    yield from day_by_day(problem, plan, recipes, width)
    yield from beside(problem, plan, said, width)
    if far is not None:
        yield ""
        yield from fit_all(sketch_lines(far), 6, width)
