"""A plan as JSON, in the versioned form that rotation/show/schema.py describes.

Only the shown days are in it; the cost and the tiers are of the whole horizon, tail included. Times are ISO 8601 with
the household's offset. The same plan gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence

from calendars.text import clean
from rotation.far import After
from rotation.instructions import Instructions
from rotation.naming import names_of
from rotation.plan import Plan
from rotation.problem import TOAST, Problem
from rotation.show.days import Recipes, days_json
from rotation.show.items_json import Items, Json
from rotation.show.meals_json import meals_json
from rotation.show.notes import notes, shortfalls
from rotation.show.problem_json import problem_json
from rotation.show.sketch import sketch_json
from rotation.show.strips import strips_json
from rotation.telling import bags, shown, shown_end, sources, stays_of

SCHEMA = "rotation/plan/1"
"""Name and version of the form. A version is for a change that breaks readers; a further key does not."""


def plan_json(
    problem: Problem,
    plan: Plan,
    household: str,
    said: Sequence[str] = (),
    *,
    checked: bool,
    with_problem: bool = False,
    changed: str = "",
    recipes: Recipes | None = None,
    far: After | None = None,
) -> Json:
    """Return a plan as plain JSON values.

    household: its name; said: notes of those who read the inputs; checked: whether the checker found every rule kept;
    with_problem: adds all inputs as understood; changed: against the plan before, and why, or ""; recipes: what to
    weigh at each step; far: the days after it, as a sketch.
    """
    whole, plan = plan, shown(problem, plan)
    named = names_of(problem, whole)
    items, grams = Items(problem, plan, named), recipes or {}
    in_freezer = bags(problem, plan)
    by_id = {bag.id: bag for bag in in_freezer}
    remarks = [*map(clean, said), *notes(problem, whole)]
    document: Json = {
        "schema": SCHEMA,
        "household": clean(household),
        "zone": str(problem.zone),
        "now": items.iso(0),
        "horizon": {
            "start": items.iso(0),
            "end": items.iso(shown_end(problem)),
            "tail_end": items.iso(problem.end),
        },
        "status": plan.status,
        "gap": None if plan.gap is None else round(plan.gap, 6),
        "canonical": plan.canonical,
        "path": [clean(one) for one in plan.path],
        "changed": changed,
        "checked": checked,
        "tiers": [{"id": t.name, "name": t.name, "value": t.value, "bound": t.bound} for t in plan.tiers],
        "cost": {
            "unit": "thousandths of an effort minute",
            "total": plan.total,
            "terms": [{"id": name, "name": name, "value": value} for name, value in plan.terms],
        },
        "days": days_json(problem, whole, grams, named),
        "instructions": [
            {"id": "/".join(key), "for": key[0], "step": key[1], "text": lines}
            for key, lines in Instructions(problem, plan, grams).each()
        ],
        "strips": strips_json(problem, plan),
        "people": items.people(),
        "lots": [items.lot(bag) for bag in in_freezer],
        "bakes": [items.bake(bake) for bake in plan.bakes],
        "oven": [items.stay(owner, stay) for owner, stay in stays_of(plan)],
        "thaws": [items.thaw(out) for out in plan.take_outs],
        "finishes": [items.finish(finish) for finish in plan.finishes],
        "feeds": [items.feed(feeding, grams) for feeding in plan.feedings],
        "bought": [
            {
                "id": bought.id,
                "loaves": bought.loaves,
                "buy_by": items.iso(bought.buy_by),
                "meals": items.meals_of(bought.id),
            }
            for bought in plan.bought
        ],
        "discards": [items.discard(discard, by_id) for discard in plan.discards],
        "bread_box": [items.ready(source) for source in sources(problem, plan) if source.kind != TOAST],
        "meals": meals_json(problem, plan),
        "freezer": items.freezer(),
        "shortfalls": [
            {
                "id": f"{lack.meal.id}/short",
                "meal": lack.meal.id,
                "summary": clean(lack.meal.summary),
                "start": items.iso(lack.meal.at),
                "portions": lack.portions,
                "strict": lack.meal.strict,
                "because": list(lack.because),
            }
            for lack in shortfalls(problem, plan)
        ],
        "wishes": items.wishes(),
        "sketch": None if far is None else sketch_json(far),
        "notes": [{"id": f"note/{number}", "text": text} for number, text in enumerate(remarks, 1)],
    }
    if with_problem:
        document["problem"] = problem_json(problem)
    return document
