"""What becomes of the pieces of a bake: out of the oven, cold, frozen, kept, and the ways back to the table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from rotation.bench.notes import Baked, Way
from rotation.bench.timing import later
from rotation.household import usual
from rotation.household.breads import Bread as Recipe
from rotation.oven_turns import bake_turns
from rotation.problem import TABLE, Bread, Oven, Process


def baked(bread: Bread, process: Process, pieces: int, load: datetime, oven: Oven) -> tuple[Baked, ...]:
    """Return each treatment, as if all pieces had it. load: when the first goes into the oven."""
    return tuple(_baked(bread, process, treatment.id, pieces, load, oven) for treatment in process.treatments)


def _baked(bread: Bread, process: Process, id_: str, pieces: int, load: datetime, oven: Oven) -> Baked:
    treatment = process.treatment(id_)
    out = later(load, max(turn.out for turn in bake_turns(process, ((id_, pieces),), oven)))
    ready = later(out, treatment.cool)
    if id_ == TABLE:
        return Baked(id_, process.programme.covered, treatment.uncovered, out, ready)
    form = bread.form(id_)
    return Baked(
        treatment=id_,
        covered=process.programme.covered,
        uncovered=treatment.uncovered,
        out=out,
        ready=ready,
        bag_by=later(out, treatment.bag_by),
        through=later(ready, treatment.freeze),
        eat_first=later(ready, form.eat_first),
        toast_after=later(ready, form.toast_after),
        strict=None if form.strict is None else later(ready, form.strict),
    )


def ways(bread: Bread, recipe: Recipe, room: Sequence[float]) -> tuple[Way, ...]:
    """Return the ways from the freezer to the table, with the parts of each finish."""
    parts = {
        route.id: tuple((part.degc, part.minutes) for part in route.oven) for route in usual.routes(recipe, max(room))
    }
    return tuple(
        Way(
            name=route.id,
            form=route.form,
            gives=route.gives,
            place=route.place,
            thaw=route.thaw,
            oven=parts[route.id],
            stand=route.stand,
            soonest=route.thaw[0] + sum(minutes for _, minutes in parts[route.id]) + route.stand,
            keeps=route.keeps,
        )
        for route in bread.routes
    )
