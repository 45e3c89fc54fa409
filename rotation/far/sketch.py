"""Far-off days as a sketch: bakes and what leaves the freezer by the local day, and who eats it; no minutes, no hands.

A sketch is never published: it says whether the stock lasts and on which days to expect a bake. It begins where the
days that are planned to the minute end, with what those leave in the freezer and in the bread box.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rotation import facts
from rotation.plan import Plan
from rotation.problem import BOUGHT, FIXED, BoxItem, Kitchen, Lot, Problem, Steps
from rotation.telling import bags

CLEAR_DAYS = 28
"""Days that are planned to the minute; those after them are a sketch."""


@dataclass(frozen=True)
class Ready:
    """Bread alike that is ready to eat. route: "" fresh from a bake; the span of minutes it may be ready in."""

    bread: str
    route: str
    first: int
    last: int


@dataclass(frozen=True)
class SketchBake:
    """One bake. day: of its mix; put_in: day its frozen pieces go into the freezer, None if there are none.

    pieces: treatment id to count, only counts above zero; ready: its table pieces, None if there are none.
    """

    id: str
    bread: str
    process: str
    day: int
    pieces: tuple[tuple[str, int], ...]
    ready: Ready | None
    put_in: int | None

    @property
    def total(self) -> int:
        """Pieces of the bake."""
        return sum(count for _, count in self.pieces)

    def count(self, treatment: str) -> int:
        """Pieces with this treatment."""
        return sum(count for id_, count in self.pieces if id_ == treatment)


@dataclass(frozen=True)
class Out:
    """Units that leave the freezer on a day. ready: what they become; None where they are thrown away."""

    bread: str
    form: str
    units: int
    day: int
    ready: Ready | None


Eaten = tuple[str, Ready | str | int, int]
"""A meal, what it eats of (a `Ready`, the id of an item of the bread box, the minute a loaf is bought by), portions."""


@dataclass(frozen=True)
class Sketch:
    """All that is decided for the local days from `first` up to `until`, and for those of the tail.

    bought: loaves by the minute a shop shuts.
    """

    first: int
    until: int
    bakes: tuple[SketchBake, ...]
    outs: tuple[Out, ...]
    bought: tuple[tuple[int, int], ...]
    servings: tuple[Eaten, ...]

    def stock(self, problem: Problem, day: int) -> dict[tuple[str, str], int]:
        """Return the units in the freezer at the end of a local day, by bread and form."""
        held: dict[tuple[str, str], int] = {}
        for lot in problem.lots:
            held[lot.bread, lot.form] = held.get((lot.bread, lot.form), 0) + lot.units
        for bake in self.bakes:
            if bake.put_in is not None and bake.put_in <= day:
                for form in problem.bread(bake.bread).forms:
                    units = bake.count(form.id) * form.units_per_piece
                    held[bake.bread, form.id] = held.get((bake.bread, form.id), 0) + units
        for out in self.outs:
            if out.day <= day:
                held[out.bread, out.form] = held.get((out.bread, out.form), 0) - out.units
        return {key: units for key, units in held.items() if units}


@dataclass(frozen=True)
class After:
    """A sketch and the problem it is for: the far days alone, with what the plan before them leaves."""

    problem: Problem
    sketch: Sketch


def after(far: Problem, near: Problem, plan: Plan) -> Problem:
    """Return what is left to be sketched once `near` is planned: the same clock, only later days to decide.

    far: the problem of all days, with the same minute 0. Bakes mixed before those days give what they give; what the
    plan does in its tail is decided anew.
    """
    first = near.shown_days
    since = near.midnights[first]
    later = {bake.id for bake in plan.bakes if bake.day >= first}
    late_outs = {out.id for out in plan.take_outs if out.at >= since}
    meals = {meal.id: meal.at for meal in far.meals}
    gone: dict[str, int] = {}
    for out in plan.take_outs:
        for lot, units in out.lots if out.id not in late_outs else ():
            gone[lot] = gone.get(lot, 0) + units
    for discard in plan.discards:
        if discard.at < since:
            gone[discard.lot] = gone.get(discard.lot, 0) + discard.units
    lots = tuple(
        Lot(
            bag.id, bag.letter, bag.bread, bag.form, bag.units - gone.get(bag.id, 0), bag.bagged, bag.through,
            bag.eat_first, bag.toast_after, bag.strict,
        )
        for bag in bags(near, plan)
        if bag.bake not in later and bag.units > gone.get(bag.id, 0)
    )  # fmt: skip
    eaten: dict[str, int] = {}
    for serving in plan.servings:
        if meals.get(serving.meal, 0) < since:
            eaten[serving.source] = eaten.get(serving.source, 0) + serving.portions
    box = tuple(
        BoxItem(item.id, item.bread, item.kind, item.portions - eaten.get(item.id, 0), item.ready, item.until)
        for item in facts.sources(near, plan).values()
        if item.kind != BOUGHT
        and item.id not in later | late_outs
        and item.until >= since
        and item.portions > eaten.get(item.id, 0)
    )
    return replace(
        far,
        meals=tuple(meal for meal in far.meals if meal.at >= since),
        lots=lots,
        box=box,
        kitchen=_roomy(far, lots, since),
        under_way=(),
        wishes=tuple(wish for wish in far.wishes if wish.kind not in FIXED),
        published=None,
        published_ways=(),
    )


def _roomy(far: Problem, lots: tuple[Lot, ...], since: int) -> Kitchen:
    """Return the kitchen with room for the opening lots in the days before, when not all of them are there yet."""
    held = sum(lot.units * far.bread(lot.bread).form(lot.form).unit_dl for lot in lots)
    steps = far.kitchen.freezer_dl
    now = next((value for start, value in reversed(steps) if start <= since), steps[0][1])
    before: Steps = ((0, max(held, now)), (since, now))
    return replace(far.kitchen, freezer_dl=(*before, *(step for step in steps if step[0] > since)))
