"""Far-off days as a family reads them: week by week, on which days bread is baked, and whether there is enough."""

from __future__ import annotations

from collections.abc import Iterator

from calendars.text import clean
from rotation.far import After, SketchBake
from rotation.problem import TABLE, Problem
from rotation.show.schema_parts import COUNT, DATE, FLAG, ID, TEXT, TIME, Json, list_, object_, said
from rotation.words import count, date_words, listed, long_time, pieces_of, units, weekday


def sketch_lines(of: After) -> Iterator[str]:
    """Yield the lines of a sketch: for each week its bakes by day, what is bought, who is short, the freezer then."""
    problem, sketch = of.problem, of.sketch
    yield f"FROM {date_words(problem.date_of(sketch.first)).upper()} ON, A SKETCH: the days are meant, not the minutes"
    yield "  Nothing of it is written to the calendar; plan again nearer the time."
    for first in range(sketch.first, sketch.until, 7):
        days = range(first, min(first + 7, sketch.until))
        begin = problem.instant(problem.midnights[first])
        yield f"  Week from {weekday(begin)[:3]} {date_words(begin)}: bread {_bread(of, days)}"
        for day in days:
            bakes = listed(f"{_baked(problem, bake)}" for bake in sketch.bakes if bake.day == day)
            if bakes:
                at = problem.instant(problem.midnights[day])
                yield f"    {weekday(at)[:3]} {date_words(at):<6}  bake {bakes}"
        for buy_by, loaves in sketch.bought:
            if problem.day_of(buy_by) in days:
                yield f"    buy {count(loaves, 'loaf', 'loaves')} by {long_time(problem, buy_by)}"
        for summary, at_minute, portions, missing in _lacking(of, days):
            yield f"    {summary} {long_time(problem, at_minute)} short by {missing} of {portions}"
        yield f"    freezer at the end: {_freezer(of, days[-1])}"


def _baked(problem: Problem, bake: SketchBake) -> str:
    """Return "3 sourdough (2 for the freezer)"."""
    frozen = bake.total - bake.count(TABLE)
    where = "all for the freezer" if frozen == bake.total else f"{frozen} for the freezer" if frozen else ""
    return f"{pieces_of(problem.bread(bake.bread), bake.total)}{f' ({where})' if where else ''}"


def _served(of: After) -> dict[str, int]:
    served: dict[str, int] = {}
    for meal, _, portions in of.sketch.servings:
        served[meal] = served.get(meal, 0) + portions
    return served


def _lacking(of: After, days: range) -> Iterator[tuple[str, int, int, int]]:
    """Yield the guests' meals of some days that get too little: what it is, when, portions wanted and missing."""
    served = _served(of)
    for meal in of.problem.meals:
        missing = meal.portions - served.get(meal.id, 0)
        if meal.strict and missing and of.problem.day_of(meal.at) in days:
            yield clean(meal.summary, 60), meal.at, meal.portions, missing


def _bread(of: After, days: range) -> str:
    """Return "enough" or "short by 4 of 80 portions"."""
    meals, served = [meal for meal in of.problem.meals if of.problem.day_of(meal.at) in days], _served(of)
    wanted = sum(meal.portions for meal in meals)
    missing = wanted - sum(served.get(meal.id, 0) for meal in meals)
    return f"short by {missing} of {count(wanted, 'portion')}" if missing else "enough"


def _freezer(of: After, day: int) -> str:
    held = of.sketch.stock(of.problem, day)
    breads = {key: of.problem.bread(key[0]) for key in held}
    return ", ".join(units(breads[key], breads[key].form(key[1]), held[key]) for key in sorted(held)) or "empty"


def sketch_json(of: After) -> Json:
    """Return a sketch as plain JSON values: days, no minutes."""
    problem, sketch, served = of.problem, of.sketch, _served(of)
    first, last = (problem.date_of(day).isoformat() for day in (sketch.first, sketch.until - 1))
    return {
        "first": first,
        "last": last,
        "checked": True,
        "bakes": [
            {
                "id": bake.id,
                "bread": bake.bread,
                "process": bake.process,
                "day": problem.date_of(bake.day).isoformat(),
                "pieces": bake.total,
                "to_table": bake.count(TABLE),
                "to_freezer": bake.total - bake.count(TABLE),
                "treatments": [{"id": id_, "pieces": number} for id_, number in bake.pieces],
            }
            for bake in sketch.bakes
            if bake.day < sketch.until
        ],
        "bought": [
            {
                "id": f"sketch/bought/{buy_by}",
                "loaves": loaves,
                "buy_by": problem.instant(buy_by).isoformat(timespec="minutes"),
            }
            for buy_by, loaves in sketch.bought
            if problem.day_of(buy_by) < sketch.until
        ],
        "shortfalls": [
            {
                "id": f"{meal.id}/short",
                "meal": meal.id,
                "summary": clean(meal.summary),
                "day": problem.date_of(problem.day_of(meal.at)).isoformat(),
                "portions": meal.portions - served.get(meal.id, 0),
                "strict": meal.strict,
            }
            for meal in problem.meals
            if served.get(meal.id, 0) < meal.portions and problem.day_of(meal.at) < sketch.until
        ],
        "freezer": [
            {
                "id": f"{problem.date_of(day).isoformat()}/{bread}/{form}",
                "day": problem.date_of(day).isoformat(),
                "bread": bread,
                "form": form,
                "pieces": number,
            }
            for day in range(sketch.first, sketch.until)
            for (bread, form), number in sorted(sketch.stock(problem, day).items())
        ],
    }


def sketch_schema() -> Json:
    """Return the schema of `sketch_json`."""
    return object_(
        {
            "first": DATE,
            "last": DATE,
            "checked": {"const": True, "description": "the daily rules were found kept by code apart from the solver"},
            "bakes": list_(
                {
                    "bread": ID,
                    "process": ID,
                    "day": said(DATE, "of the mix"),
                    "pieces": COUNT,
                    "to_table": COUNT,
                    "to_freezer": COUNT,
                    "treatments": list_({"pieces": COUNT}, "id: table, or the form it is frozen in"),
                }
            ),
            "bought": list_({"loaves": COUNT, "buy_by": TIME}),
            "shortfalls": list_({"meal": ID, "summary": TEXT, "day": DATE, "portions": COUNT, "strict": FLAG}),
            "freezer": list_({"day": DATE, "bread": ID, "form": ID, "pieces": COUNT}, "at the end of each day"),
        }
    )
