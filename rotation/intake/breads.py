"""Breads as the plan needs them: processes with waits as long as the room's warmth makes them, forms, routes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from rotation import keeping
from rotation.household import breads as given
from rotation.household import processes as steps_given
from rotation.household import usual
from rotation.household.settings import Household
from rotation.household.shapes import shape_of
from rotation.household.values import weekdays_of
from rotation.intake.notes import Notes
from rotation.intake.pace import Climate, waits
from rotation.intake.time import Clock
from rotation.problem import TABLE, TOAST, Bread, Form, Process, Programme, Route, Stage, Treatment, Use

DAY, WEEK = 1440, 7 * 1440


def bread(
    id_: str,
    recipe: given.Bread,
    household: Household,
    allergens: frozenset[str],
    climate: Climate,
    clock: Clock,
    notes: Notes,
) -> Bread:
    """Return one bread; of what only late dough becomes, no bake is begun.

    climate: of each of the clock's days; allergens: of its ingredients, "?" for unknown ones.
    """
    warmest = max(climate.fridge)
    if recipe.kind == "filled" and warmest > keeping.THAW_DEGC:
        notes.add(
            "breads",
            f"{recipe.name} is filled and wants a fridge at {keeping.THAW_DEGC:g} degC or below; "
            f"yours is at {warmest:g}: {keeping.RULES}.",
        )
    processes = [_process(recipe, each, household, climate, clock, notes) for each in recipe.processes]
    return Bread(
        id=id_,
        name=recipe.name,
        portions=recipe.portions,
        dough_grams=recipe.piece_grams,
        keeps=_minutes(usual.keeps_hours(recipe)),
        filled=recipe.kind == "filled",
        allergens=allergens,
        processes=tuple(replace(each, pieces=()) if shape_of(id_) else each for each in processes),
        forms=tuple(_form(recipe, form, household.kitchen.freezer_degc) for form in recipe.forms),
        routes=tuple(_route(recipe, route) for route in usual.routes(recipe, max(climate.room))),
    )


def _minutes(hours: float) -> int:
    return round(60 * hours)


def _process(
    recipe: given.Bread,
    process: steps_given.Process,
    household: Household,
    climate: Climate,
    clock: Clock,
    notes: Notes,
) -> Process:
    oven = usual.programme(recipe, process)
    weights, usual_days = household.weights, weekdays_of(household.plan.usual_days)
    fixed = weights.bake if process.fixed_minutes is None else process.fixed_minutes
    unusual = tuple(0 if day.weekday() in usual_days else round(1000 * weights.unusual_day) for day in clock.dates)
    made = Process(
        id=process.id,
        name=process.called,
        stages=tuple(_stage(stage, oven) for stage in process.stages),
        waits=waits(recipe, process, climate, notes, clock.dates),
        uses=tuple(Use(use.what, use.since, use.until) for use in process.held),
        programme=Programme(
            degc=oven.degc,
            covered=oven.covered_minutes,
            pieces_per_load=oven.pieces_per_place,
            handling=oven.handling_minutes,
            turns=tuple((turn.after_minutes, turn.degc) for turn in oven.then),
        ),
        treatments=_treatments(recipe, process),
        pieces=process.pieces,
        fixed=round(1000 * fixed),
        unusual=unusual if any(unusual) else (),
    )
    _say_if_too_cold(recipe, made, climate.room, notes)
    return made


def _stage(stage: steps_given.Stage, oven: steps_given.OvenProgramme) -> Stage:
    """Return a step; at the oven its minutes are those of each load."""
    if stage.name == "oven":
        return Stage("oven", oven.handling_minutes)
    return Stage(stage.name, stage.hands_minutes, stage.hands_minutes_per_piece)


def _treatments(recipe: given.Bread, process: steps_given.Process) -> tuple[Treatment, ...]:
    """Return what may become of a piece: nothing is frozen by a process without the step "bag"."""
    table = Treatment(TABLE, usual.table_minutes(recipe, process), usual.rest(recipe))
    frozen = (usual.kept(recipe, process, form) for form in recipe.forms)
    bagged = process.stages[-1].name == "bag"
    return (
        *((table,) if recipe.table else ()),
        *(
            Treatment(form.id, form.uncovered_minutes, form.cool_minutes, form.bag_by_minutes, form.freeze_minutes)
            for form in frozen
            if bagged
        ),
    )


def _say_if_too_cold(recipe: given.Bread, process: Process, room: Sequence[float], notes: Notes) -> None:
    """Note the days on which a span asks for more or fewer minutes than the waits inside it can give."""
    order = [stage.name for stage in process.stages]
    hands = {stage.name: stage.hands for stage in process.stages}
    single = {wait.first: wait for wait in process.waits if not wait.whole}
    for span in (wait for wait in process.waits if wait.whole):
        inner = order[order.index(span.first) : order.index(span.second)]
        for day, degc in enumerate(room):
            low = sum(hands[name] + single[name].on(day)[0] for name in inner)
            high = sum(hands[name] + single[name].on(day)[1] for name in inner)
            if low > span.on(day)[1] or high < span.on(day)[0]:
                notes.add(
                    "breads",
                    f"{recipe.name}, {process.name}: at {degc:g} degC the time from {span.first} to {span.second} does "
                    "not agree with the waits inside it, so it is not planned then. Give the last of them more room.",
                )


def _form(recipe: given.Bread, form: given.FormId, freezer_degc: float) -> Form:
    kept = usual.kept(recipe, recipe.processes[0], form)
    dates = keeping.dates(kept, freezer_degc)
    return Form(
        id=form,
        units_per_piece=kept.units_per_piece,
        portions_per_unit=kept.portions_per_unit,
        unit_dl=max(1, -(-round(100 * kept.unit_litres) // 10)),
        unit_grams=kept.unit_grams,
        load_percent=kept.load_percent,
        eat_first=round(WEEK * dates.eat_first_weeks),
        toast_after=round(WEEK * dates.toast_after_weeks),
        strict=None if dates.strict_weeks is None else round(WEEK * dates.strict_weeks),
    )


def _turns(route: given.Route) -> Iterator[tuple[int, int]]:
    """Yield when, after its start, a finish is set to another temperature, and to which."""
    for number, (before, part) in enumerate(pairwise(route.oven), 1):
        if part.degc != before.degc:
            yield sum(earlier.minutes for earlier in route.oven[:number]), part.degc


def _route(recipe: given.Bread, route: given.Route) -> Route:
    """Return one way to the table."""
    toast = route.gives == TOAST
    return Route(
        id=route.id,
        form=route.form,
        gives=route.gives,
        place="" if route.place == "none" else route.place,
        thaw=(_minutes(route.thaw_hours[0]), _minutes(route.thaw_hours[1])),
        handling_out=0 if toast else route.take_out_minutes,
        oven=(route.oven[0].degc, sum(part.minutes for part in route.oven)) if route.oven else None,
        load_units=route.pieces_per_place or recipe.oven.pieces_per_place,
        handling=route.handling_minutes,
        stand=route.stand_minutes,
        keeps=0 if toast else _minutes(usual.route_keeps_hours(recipe, route)),
        fridge_units=route.fridge_pieces if route.place == "fridge" else 0,
        turns=tuple(_turns(route)),
    )


def lead(process: Process) -> int:
    """Return the least minutes from the first step of a full bake until it is ready, or frozen through."""
    pieces, starts, at = process.pieces[-1], dict[str, int](), 0
    for stage in process.stages:
        ends_here = [wait for wait in process.waits if wait.second == stage.name]
        for wait in ends_here:
            low = max(low for low, _ in wait.bounds)
            at = max(at, starts[wait.first] + low) if wait.whole else at + low
        starts[stage.name] = at
        at += stage.hands + stage.hands_per_piece * pieces
    oven = process.programme.covered + max(each.uncovered for each in process.treatments)
    return at + oven + max(each.cool + each.freeze for each in process.treatments)
