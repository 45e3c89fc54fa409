"""The rules a sketch must keep, day by day: what the rules of a plan come to where no minute is decided.

Both halves, as with the rules of a plan: `rows` for the model, beside those that the choice of days has anyway, and
`broken`, which looks at a finished sketch in plain Python.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from rotation.choices import Choices
from rotation.far.sketch import Out, Ready, Sketch, SketchBake
from rotation.model import Term
from rotation.problem import FRESH, TABLE, TOAST, Accept, Form, Meal, Problem, Process, last_day, union, value_at
from rotation.rules.broken import Broken

UNKNOWN = "?"


def rows(choices: Choices, first: int) -> None:
    """Add what the hands of the bakes mixed on each day from `first` on come to."""
    problem, work = choices.problem, defaultdict[int, list[Term]](list)
    for index, run in enumerate(choices.runs):
        work[run.day].append((_hands(problem.bread(run.bread).process(run.process))[0], choices.run[index]))
    for (index, _), variable in choices.pieces.items():
        run = choices.runs[index]
        work[run.day].append((_hands(problem.bread(run.bread).process(run.process))[1], variable))
    for day, terms in work.items():
        if day >= first:
            choices.model.row(None, terms, _free(problem, day))


def broken(problem: Problem, sketch: Sketch) -> tuple[Broken, ...]:
    """Return every place where a sketch breaks a daily rule."""
    checks = (_bakes, _hours, _freezer, _strict, _supply, _meals)
    return tuple(one for check in checks for one in check(problem, sketch))


def _hands(process: Process) -> tuple[int, int]:
    """Return the minutes of hands before the oven: of a bake, and of each of its pieces."""
    before = [stage for stage in process.stages if stage.name not in ("oven", "bag")]
    return sum(stage.hands for stage in before), sum(stage.hands_per_piece for stage in before)


def _free(problem: Problem, day: int) -> int:
    """Return the minutes of hands of those who bake on a day and the ones beside it, as a bake may take that long."""
    low, high = problem.midnights[max(day - 1, 0)], problem.midnights[min(day + 2, problem.days)]
    return sum(
        max(0, min(end, high) - max(start, low))
        for person in problem.people
        if person.bakes
        for start, end in union((*person.free, *person.quick))
    )


def _bakes(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield the bakes that are none of their process's, or sooner ready than it can be; two of a kind on one day."""
    seen = set[tuple[str, str, int]]()
    for bake in sketch.bakes:
        bread = problem.bread(bake.bread)
        process = bread.process(bake.process)
        known = {treatment.id for treatment in process.treatments}
        if bake.total not in process.pieces or not {id_ for id_, _ in bake.pieces} <= known:
            yield Broken("pieces", bake.id, f"{dict(bake.pieces)} is not what {process.id} makes")
        if not sketch.first <= bake.day < problem.days:
            yield Broken("horizon", bake.id, f"day {bake.day} is not one of the sketch's")
        if (bake.ready is None) != (bake.count(TABLE) == 0) or (bake.put_in is None) != (
            bake.count(TABLE) == bake.total
        ):
            yield Broken("pieces", bake.id, "what is for the table and what is frozen do not go with its days")
        shortest = sum(wait.on(bake.day)[0] for wait in process.waits if not wait.whole)
        soonest = problem.midnights[max(bake.day, 0)] + shortest
        if bake.ready is not None and bake.ready.last < soonest:
            yield Broken("waits", bake.id, "is ready before its waits are over")
        if bake.put_in is not None and problem.midnights[bake.put_in + 1] <= soonest:
            yield Broken("waits", bake.id, "is put in before its waits are over")
        if (bake.bread, bake.process, bake.day) in seen:
            yield Broken("one_mix", bake.id, "is mixed twice on one day")
        seen.add((bake.bread, bake.process, bake.day))


def _hours(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield the days whose bakes want more hands than are free."""
    for day in sorted({bake.day for bake in sketch.bakes}):
        of_day = [bake for bake in sketch.bakes if bake.day == day]
        wanted = 0
        for bake in of_day:
            fixed, each = _hands(problem.bread(bake.bread).process(bake.process))
            wanted += fixed + each * bake.total
        if wanted > _free(problem, day):
            yield Broken("hands", str(problem.date_of(day)), f"{wanted} min wanted, {_free(problem, day)} free")


def _freezer(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield the days on which more is in the freezer than has room, more is put in than it freezes, or less than none.

    At the end of a day, when what is thrown away is gone.
    """
    dl = {(bread.id, form.id): form.unit_dl for bread in problem.breads for form in bread.forms}
    for day in range(sketch.first, problem.days):
        held, date = sketch.stock(problem, day), str(problem.date_of(day))
        room = value_at(problem.kitchen.freezer_dl, problem.midnights[day + 1] - 1)
        taken = sum(units * dl[key] for key, units in held.items())
        if taken > room:
            yield Broken("freezer_room", date, f"{taken} dl, there is room for {room}")
        yield from (Broken("stock", date, f"{units} units of {key}") for key, units in held.items() if units < 0)
        grams = sum(
            bake.count(form.id) * form.units_per_piece * form.load_grams
            for bake in sketch.bakes
            if bake.put_in == day
            for form in problem.bread(bake.bread).forms
        )
        rating = max(value for _, value in problem.kitchen.freezing_grams_24h)
        if grams > rating and problem.midnights[day + 1] - problem.midnights[day] <= 1440:
            yield Broken("freezing_rate", date, f"{grams} g in a day, the freezer takes {rating}")


def _strict(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield what leaves the freezer to be eaten past its strict date, oldest first."""
    for bread in problem.breads:
        for form in bread.forms:
            comes = _comes(problem, sketch.bakes, bread.id, form)
            outs = sorted((o for o in sketch.outs if (o.bread, o.form) == (bread.id, form.id)), key=_leaves)
            for out in outs:
                left = out.units
                while left and comes:
                    units, last = comes[0]
                    if out.ready is not None and last is not None and out.day > last:
                        yield Broken("dates", f"{bread.id} {form.id}", f"eaten on day {out.day}, may be until {last}")
                    taken = min(left, units)
                    left, comes[0] = left - taken, (units - taken, last)
                    comes = comes if comes[0][0] else comes[1:]


def _leaves(out: Out) -> tuple[int, bool]:
    """Return the order in which units leave: what is thrown away goes at the end of its day."""
    return out.day, out.ready is None


def _comes(problem: Problem, bakes: Sequence[SketchBake], bread: str, form: Form) -> list[tuple[int, int | None]]:
    """Return the units of a form, oldest first, each with the last day it may be eaten on."""
    lots = sorted(
        (lot for lot in problem.lots if (lot.bread, lot.form) == (bread, form.id)), key=lambda lot: lot.bagged
    )
    comes = [(lot.units, None if lot.strict is None else problem.day_of(lot.strict - 1)) for lot in lots]
    for bake in sorted(bakes, key=lambda bake: bake.put_in or 0):
        units = bake.count(form.id) * form.units_per_piece if bake.bread == bread else 0
        if bake.put_in is not None and units:
            last = None if form.strict is None else last_day(bake.put_in, form.strict)
            comes.append((units, last))
    return comes


def _supply(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield what is eaten of more than there is of it."""
    there = defaultdict[Ready | str | int, int](int)
    for bake in sketch.bakes:
        if bake.ready is not None:
            there[bake.ready] += bake.count(TABLE) * problem.bread(bake.bread).portions
    for out in sketch.outs:
        if out.ready is not None:
            there[out.ready] += out.units * problem.bread(out.bread).form(out.form).portions_per_unit
            if problem.midnights[out.day] > out.ready.last:
                yield Broken("stock", f"{out.bread} {out.form}", f"leaves on day {out.day}, after it is ready")
    for item in problem.box:
        there[item.id] += item.portions
    for buy_by, loaves in sketch.bought:
        there[buy_by] += loaves * problem.shop.portions
        if buy_by not in problem.shop.closes:
            yield Broken("buying", str(buy_by), "no shop shuts then")
    for _, source, portions in sketch.servings:
        there[source] -= portions
    yield from (Broken("portions", str(source), f"{-left} too many") for source, left in there.items() if left < 0)


def _meals(problem: Problem, sketch: Sketch) -> Iterator[Broken]:
    """Yield the servings that will not do at their meal, and the meals that get too many."""
    meals, given = {meal.id: meal for meal in problem.meals}, defaultdict[str, int](int)
    for id_, source, portions in sketch.servings:
        meal = meals[id_]
        given[id_] += portions
        if isinstance(source, int):
            has = problem.shop.allergens
            if meal.strict or not meal.bought or not source <= meal.at <= source + problem.shop.keeps:
                yield Broken("accepted", id_, "a bought loaf will not do")
        else:
            bread, fits = _fits(problem, meal, source)
            has = problem.bread(bread).allergens
            if not fits:
                yield Broken("accepted", id_, f"{bread} will not do, or not at that age")
        if meal.without and (UNKNOWN in has or has & meal.without):
            yield Broken("allergens", id_, f"{source} has or may have what must be absent")
    for id_, portions in given.items():
        if portions > meals[id_].portions:
            yield Broken("portions", id_, f"{portions} of {meals[id_].portions}")


def _fits(problem: Problem, meal: Meal, source: Ready | str) -> tuple[str, bool]:
    """Return the bread of a source, and whether it may be eaten at a meal, ready when that suits best."""
    if isinstance(source, str):
        item = next(item for item in problem.box if item.id == source)
        accepted = _accepted(meal, item.bread, item.kind, meal.at - item.ready)
        return item.bread, accepted and item.ready <= meal.at <= item.until
    bread = problem.bread(source.bread)
    kind, keeps = (FRESH, bread.keeps) if not source.route else (bread.route(source.route).gives, None)
    if kind == TOAST:
        return bread.id, _accepted(meal, bread.id, kind, 0) and source.first == meal.at
    keeps = bread.route(source.route).keeps if keeps is None else keeps
    age = max(0, meal.at - source.last)
    return bread.id, _accepted(meal, bread.id, kind, age) and source.first <= meal.at and age <= keeps


def _accepted(meal: Meal, bread: str, kind: str, age: int) -> bool:
    def does(accept: Accept) -> bool:
        return accept.bread == bread and kind in accept.kinds and age <= accept.max_age

    return any(map(does, meal.accepts))
