"""Bench notes of a bake from a household: the same arithmetic and the same waits as the planner's."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from rotation import keeping
from rotation.allergens import CEREALS, EU, NUTS, UNKNOWN, allergens, beside, on_us_list, unknown_in
from rotation.bakers_math import (
    Weighed,
    hydration_percent,
    loss_percent,
    prefermented_percent,
    soaked_percent,
    water_for,
    weigh,
)
from rotation.bench.amounts import Amount, scaled
from rotation.bench.notes import BenchNotes, Contents, Part, Step, Way
from rotation.bench.outcomes import baked, ways
from rotation.bench.timing import When, later, times
from rotation.bench.weights import by_heat, masses, ripening
from rotation.errors import BadInput, Mistake
from rotation.fermentation import COLDEST_AIM, fridge_equals, rise_percent
from rotation.household import usual
from rotation.household.bread_sense import ingredients
from rotation.household.breads import Bread as Recipe
from rotation.household.processes import Process as Made
from rotation.household.reading import Home
from rotation.intake.breads import bread as understood
from rotation.intake.heat import with_waits
from rotation.intake.notes import Notes
from rotation.intake.ovens import ovens
from rotation.intake.pace import Climate
from rotation.intake.time import Clock
from rotation.problem import Process

DAYS = 4
"""Local days whose warmth the loaves may meet."""

LONGEST = 16
"""Local days looked at; one step may wait for two weeks. Later days are taken to be as warm as the last."""


def bench(
    home: Home,
    bread: str,
    process: str | None,
    amount: Amount | None,
    at: datetime | None,
    now: datetime,
    state: Path | None = None,
) -> BenchNotes:
    """Return the notes of one bake.

    process: its id, else the bread's first. amount: None is the process's smallest bake. at: when the mix begins
    (aware); None: as soon as can be if the first step begins `now`. state: the folder in which waits that follow from
    heat are kept; None keeps none. Raises BadInput for a bread or process that is not
    there, OutsideRange for a room nobody knows dough in, Impossible for a formula that cannot be weighed.
    """
    bread = home.bread_id(bread)
    contents = contents_of(home, bread, _known(home, bread, process)[0])
    alone = replace(home, breads={bread: home.breads[bread]})
    home, warmed = with_waits(alone, at or now, DAYS, state)
    recipe, way = _known(home, bread, process)
    formula, kitchen = usual.formula(recipe, way), home.settings.kitchen
    pieces, grams = scaled(amount or Amount("pieces", way.pieces[0]), recipe, formula)
    weighed = weigh(formula, pieces, grams, recipe.process_loss_percent)
    clock, notes = Clock.of(at or now, home.zone, LONGEST), Notes()
    climate = Climate.of(home.settings, clock)
    made = understood(bread, recipe, home.settings, frozenset(contents.all), climate, clock, notes)
    one = made.process(way.id)
    cold = way.cold_minutes
    mix, whens = _timed(one, pieces, clock, at, cold)
    room = climate.room[_day(clock, mix)]
    load = later(mix, whens[-1].at)
    covered = one.programme.covered > 0
    oven = next(each for each in ovens(home.settings, {}, clock, Notes()) if each.vessels or not covered)
    wanted = way.reference_degc if way.dough_degc is None else way.dough_degc
    others = (room, room, room) if weighed.prefermented else (room, room)
    box = climate.box if way.in_box else None
    warm = room if box is None else box
    risen = rise_percent(warm) if way.leaven == "starter" and way.bulk_is_warm else None
    fridge = climate.fridge[_day(clock, mix)]
    cold_as = round(fridge_equals(COLDEST_AIM, grams, warm, fridge, warm, way.leaven)) if cold else 0
    cautions = keeping.cautions(recipe, covered, room)
    return BenchNotes(
        bread=recipe.name,
        process=way.called,
        pieces=pieces,
        piece_grams=grams,
        baked_grams=grams * recipe.grams / recipe.piece_grams,
        dough_grams=weighed.dough,
        flour_grams=weighed.flour,
        hydration_percent=hydration_percent(formula),
        soaked_percent=soaked_percent(formula),
        prefermented_percent=prefermented_percent(formula),
        bake_loss_percent=loss_percent(recipe.piece_grams, recipe.grams),
        process_loss_percent=recipe.process_loss_percent,
        room_degc=room,
        box_degc=box,
        reference_degc=way.reference_degc,
        dough_degc=wanted,
        water=water_for(wanted, kitchen.friction_degc, kitchen.tap_degc, *others),
        water_by_heat=by_heat(weighed, wanted, room, kitchen.friction_degc / (len(others) + 1)),
        whole=tuple(Part(name, g, 100 * g / weighed.flour) for name, g in weighed.whole.items()),
        steps=_steps(
            whens, mix, weighed, formula.inclusions_at, cold, cautions, ripening(formula, warm), risen, cold_as
        ),
        oven_degc=one.programme.degc,
        fan_lower_degc=oven.fan_lower_degc,
        vessel=covered,
        heat_from=later(load, -(oven.heat_up_vessel if covered else oven.heat_up)),
        baked=baked(made, one, pieces, load, oven),
        ways=ways(made, recipe, climate.room),
        keeps=made.keeps,
        contents=contents,
        cautions=tuple(cautions.items()),
        said=tuple(note.text for note in (*notes.all(), *warmed)),
    )


def ways_of(home: Home, bread: str, now: datetime, state: Path | None = None) -> tuple[Way, ...]:
    """Return the ways of one bread from the freezer to the table, with waits as warm as the days from `now` on.

    state: the folder in which waits that follow from heat are kept; None keeps none.
    """
    home, _ = with_waits(replace(home, breads={bread: home.breads[bread]}), now, DAYS, state)
    clock = Clock.of(now, home.zone, LONGEST)
    climate, recipe = Climate.of(home.settings, clock), home.breads[bread]
    made = understood(bread, recipe, home.settings, frozenset(), climate, clock, Notes())
    return ways(made, recipe, climate.room)


def _known(home: Home, bread: str, process: str | None) -> tuple[Recipe, Made]:
    if bread not in home.breads:
        wrong = f'there is no bread "{bread[:60]}".'
        raise BadInput(Mistake("bread", None, "", wrong, f"There is: {', '.join(sorted(home.breads))}."))
    recipe = home.breads[bread]
    for each in recipe.processes:
        if process in (None, each.id):
            return recipe, each
    wrong = f'{bread} has no process "{str(process)[:60]}".'
    raise BadInput(
        Mistake("--process", None, "", wrong, f"There is: {', '.join(each.id for each in recipe.processes)}.")
    )


def _timed(
    process: Process, pieces: int, clock: Clock, at: datetime | None, cold: Collection[str]
) -> tuple[datetime, tuple[When, ...]]:
    """Return when the mix begins and all steps; without `at` the first step begins at the clock's zero."""
    if at is not None:
        return at, times(process, pieces, 0, _minute(at), cold)
    first = clock.local(-times(process, pieces, 0, 0, cold)[0].at)
    whens = times(process, pieces, _day(clock, first), _minute(first), cold)
    return clock.local(-whens[0].at), whens


def _day(clock: Clock, at: datetime) -> int:
    """Return the index of a moment's local day, that of the last for all later ones."""
    return min((at.astimezone(clock.zone).date() - clock.first).days, clock.days - 1)


def _minute(at: datetime) -> int:
    return at.hour * 60 + at.minute


def _steps(
    whens: Sequence[When],
    mix: datetime,
    weighed: Weighed,
    inclusions_at: str,
    cold: Collection[str],
    cautions: dict[str, str],
    ripe: dict[str, float],
    risen: float | None,
    cold_as: int,
) -> tuple[Step, ...]:
    weigh_at = masses(weighed, [when.step for when in whens], inclusions_at, ripe)
    return tuple(
        Step(
            name=when.step,
            at=later(mix, when.at),
            earliest=later(mix, when.earliest),
            latest=later(mix, when.latest),
            hands=when.hands,
            weigh=weigh_at.get(when.step, ()),
            cold_as=cold_as if when.step in cold else None,
            risen=risen if when.step == "shape" else None,
            caution=cautions.get(when.step, ""),
        )
        for when in whens
    )


def contents_of(home: Home, bread: str, recipe: Recipe) -> Contents:
    """Return what a bread holds, and what the other breads of the house do. bread: its id."""

    def holds(other: Recipe) -> frozenset[str]:
        return allergens(ingredients(other), {**home.settings.contains, **other.contains})

    own = holds(recipe)
    order = [*EU, *CEREALS, *NUTS]
    others = {each.name: holds(each) for id_, each in home.breads.items() if id_ != bread}
    return Contents(
        found=tuple(sorted(own - {UNKNOWN}, key=order.index)),
        us=tuple(sorted(on_us_list(own))),
        unknown=unknown_in(ingredients(recipe), {**home.settings.contains, **recipe.contains}),
        beside=beside(own, others),
    )
