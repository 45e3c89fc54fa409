"""The rows and prices of the day level: what a choice of days must keep, and what it costs."""

from __future__ import annotations

from collections import defaultdict

from rotation.chains import FREE, WARM
from rotation.choices import Choices, Node, at_once, most_eaten, supply
from rotation.grid import Grid
from rotation.model import Term
from rotation.problem import TABLE, Form, Lot, Problem, value_at


def rows(choices: Choices, grid: Grid) -> None:
    """Add every rule and every cost term."""
    pieces(choices)
    one_mix(choices)
    portions(choices)
    stock(choices)
    frozen_through(choices)
    dates(choices)
    freezer_room(choices)
    freezing_rate(choices)
    heat(choices, grid)
    trips(choices, grid)
    wishes(choices)
    cost_of_bakes(choices)
    cost_of_meals(choices)
    cost_of_stock(choices)
    cost_of_waste(choices)
    cost_of_changes(choices)


def pieces(c: Choices) -> None:
    """A run that is chosen has its pieces, a way its units; one that is not has none. No more than could be eaten."""
    eaten = most_eaten(c)
    for index, run in enumerate(c.runs):
        counts = [(1, variable) for (of, _), variable in c.pieces.items() if of == index]
        c.model.row(None, [*counts, (-run.most, c.run[index])], 0)
        c.model.row(0, [*counts, (-run.least, c.run[index])], None)
        if (index, TABLE) in c.pieces:
            assert run.ready is not None
            portions = c.problem.bread(run.bread).portions
            most = -(-eaten[run.bread, "", run.ready] // portions)
            c.model.row(None, [(1, c.pieces[index, TABLE]), (-min(most, run.most), c.run[index])], 0)
            if run.put_day is not None:
                c.model.row(0, [(1, c.pieces[index, TABLE]), (-1, c.run[index])], None)
                frozen = [(1, v) for (of, id_), v in c.pieces.items() if of == index and id_ != TABLE]
                c.model.row(0, [*frozen, (-1, c.run[index])], None)
    for index, way in enumerate(c.ways):
        portions = c.problem.bread(way.bread).form(way.form).portions_per_unit
        most = -(-eaten[way.bread, way.route, way.ready] // portions)
        most = min(most, c.model.bounds[c.units[index]][1])
        c.model.row(None, [(1, c.units[index]), (-most, c.way[index])], 0)
        c.model.row(0, [(1, c.units[index]), (-1, c.way[index])], None)


def one_mix(c: Choices) -> None:
    """Of one bread and process at most one mix a day, and what is finished of it for one moment is finished together."""
    slots: dict[tuple[object, ...], list[Term]] = defaultdict(list)
    for index, run in enumerate(c.runs):
        slots[run.slot].append((1, c.run[index]))
    for slot, terms in slots.items():
        c.model.row(None if slot[-1] is None else 1, terms, 1)
    moments: dict[tuple[object, ...], list[Term]] = defaultdict(list)
    for index, key in enumerate(at_once(c)):
        moments[key].append((1, c.way[index]))
    for terms in moments.values():
        c.model.row(None, terms, 1)
    for bread in c.problem.breads:  # no rule: a number of bakes a week is a good thing to branch on
        for first in range(0, c.problem.days, 7):
            here = [
                (1, c.run[i]) for i, run in enumerate(c.runs) if run.bread == bread.id and first <= run.day < first + 7
            ]
            if here:
                c.model.row(0, [*here, (-1, c.model.integer(0, len(here), f"bakes {bread.id} {first}"))], 0)


def portions(c: Choices) -> None:
    """A meal is fed or short, and nothing feeds more than it holds."""
    fed: dict[str, list[Term]] = defaultdict(list)
    given: dict[object, list[Term]] = defaultdict(list)
    for (node, meal), variable in c.eaten.items():
        fed[meal].append((1, variable))
        given[node].append((1, variable))
    for (_, _, meal), variable in c.toast.items():
        fed[meal].append((1, variable))
    for (item, meal), variable in c.boxed.items():
        fed[meal].append((1, variable))
        given[item].append((1, variable))
    for (closing, meal), variable in c.bought.items():
        fed[meal].append((1, variable))
        given[closing].append((1, variable))
    for meal_ in c.problem.meals:
        c.model.row(meal_.portions, [*fed[meal_.id], (1, c.short[meal_.id])], meal_.portions)
    for node, terms in supply(c).items():
        c.model.row(None, [*given[node], *((-k, v) for k, v in terms)], 0)
    for item_ in c.problem.box:
        c.model.row(None, given[item_.id], item_.portions)
    for closing_, loaves in enumerate(c.loaves):
        c.model.row(None, [*given[closing_], (-c.problem.shop.portions, loaves)], 0)
    _nothing_from_nothing(c)


def _nothing_from_nothing(c: Choices) -> None:
    """No meal is fed by a node that no run or way fills. Implied, but the bound is far better for it."""
    wanted = {meal.id: meal.portions for meal in c.problem.meals}
    filled: dict[tuple[object, ...], list[int]] = defaultdict(list)
    fed: dict[tuple[tuple[object, ...], str], list[Term]] = defaultdict(list)
    key_of: dict[Node, set[tuple[object, ...]]] = defaultdict(set)
    for index, run in enumerate(c.runs):
        if run.ready is not None:
            node = (run.bread, "", run.ready)
            key_of[node].add(node)
            filled[node].append(c.run[index])
    for (index, way), key in zip(enumerate(c.ways), at_once(c), strict=True):
        key_of[way.bread, way.route, way.ready].add(key)
        filled[key].append(c.way[index])
    for (node, meal), variable in c.eaten.items():
        if len(key_of[node]) == 1:
            fed[next(iter(key_of[node])), meal].append((1, variable))
    for (key, meal), terms in fed.items():
        c.model.row(None, [*terms, *((-wanted[meal], made) for made in filled[key])], 0)
    for (closing, meal), variable in c.bought.items():
        most = min(wanted[meal], c.problem.shop.portions)
        c.model.row(None, [(1, variable), (-most, c.loaves[closing])], 0)


def put_in(c: Choices, bread: str, form: Form) -> list[tuple[int, int, Term]]:
    """Return what the runs freeze of a form: put-in day, earliest minute frozen through, units."""
    found = []
    for (index, id_), variable in c.pieces.items():
        run = c.runs[index]
        if run.bread == bread and id_ == form.id:
            assert run.put_day is not None
            assert run.through is not None
            found.append((run.put_day, run.through, (form.units_per_piece, variable)))
    return found


def leaving(c: Choices, bread: str, form: Form) -> list[tuple[int, int, Term]]:
    """Return what leaves the freezer of a form: local day, last minute at which it may, units; discards last in a day."""
    problem, found = c.problem, []
    meals = {meal.id: meal.at for meal in problem.meals}
    for index, way in enumerate(c.ways):
        if (way.bread, way.form) == (bread, form.id):
            found.append((way.take_day, way.latest, (1, c.units[index])))
    for (of, route, meal), variable in c.toast.items():
        if of == bread and problem.bread(of).route(route).form == form.id:
            found.append((problem.day_of(meals[meal]), meals[meal], (1, variable)))
    for day in range(problem.days):
        found.append((day, problem.midnights[day + 1] - 1, (1, c.discards[bread, form.id, day])))
    return found


def opening(problem: Problem, bread: str, form: str) -> list[Lot]:
    """Return the lots of a form at the start, oldest first."""
    lots = [lot for lot in problem.lots if (lot.bread, lot.form) == (bread, form)]
    return sorted(lots, key=lambda lot: (problem.day_of(lot.bagged), lot.bagged, lot.id))


def forms(problem: Problem) -> list[tuple[str, Form]]:
    """Return every bread id with each of its forms."""
    return [(bread.id, form) for bread in problem.breads for form in bread.forms]


def stock(c: Choices) -> None:
    """What is in the freezer at the end of a day is what was there, and came, less what left."""
    for bread, form in forms(c.problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        for day in range(c.problem.days):
            before = sum(lot.units for lot in opening(c.problem, bread, form.id)) if day == 0 else 0
            terms = [(1, c.stock[bread, form.id, day])]
            terms += [term for at, _, term in leaves if at == day]
            terms += [(-k, v) for at, _, (k, v) in comes if at == day]
            if day:
                terms.append((-1, c.stock[bread, form.id, day - 1]))
            c.model.row(before, terms, before)


def frozen_through(c: Choices) -> None:
    """What has left by a minute, oldest first, was frozen through by then.

    Between two minutes at which something gets through, the row of the last leaving implies the others.
    """
    for bread, form in forms(c.problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        lots = opening(c.problem, bread, form.id)
        minutes = sorted({latest for _, latest, _ in leaves})
        gets_through = sorted({through for _, through, _ in comes} | {lot.through for lot in lots})
        for number, minute in enumerate(minutes):
            following = minutes[number + 1] if number + 1 < len(minutes) else None
            if following is not None and not any(minute < through <= following for through in gets_through):
                continue
            gone = [term for _, latest, term in leaves if latest <= minute]
            there = [(-k, v) for _, through, (k, v) in comes if through <= minute]
            c.model.row(None, [*gone, *there], sum(lot.units for lot in lots if lot.through <= minute))


def dates(c: Choices) -> None:
    """By the end of its strict day a lot has left, with all before it; what stays past its toast-after day costs."""
    problem = c.problem
    for bread, form in forms(problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        lots = opening(problem, bread, form.id)
        there = sum(lot.units for lot in lots)

        def left(day: int, leaves: list[tuple[int, int, Term]] = leaves) -> list[Term]:
            return [term for at, _, term in leaves if at <= day]

        older = 0
        for lot in lots:
            older += lot.units
            if lot.strict is not None and lot.strict <= problem.end:
                c.model.row(older, left(problem.day_of(lot.strict - 1)), None)
            past = problem.day_of(lot.toast_after)
            if 0 <= past < problem.days:
                over = c.model.integer(0, lot.units, f"past {lot.id}")
                c.model.row(older, [*left(past), (1, over)], None)
                c.model.cost("past_date", [(problem.weights.unit_past_date, over)])
        for day in sorted({at for at, _, _ in comes}):
            so_far = [(-k, v) for at, _, (k, v) in comes if at <= day]
            strict = None if form.strict is None else problem.day_of(problem.midnights[day] + form.strict)
            if strict is not None and strict < problem.days:
                c.model.row(there, [*left(strict), *so_far], None)
            past = problem.day_of(problem.midnights[day] + form.toast_after)
            if past < problem.days:
                over = c.model.integer(0, 10**5, f"past {bread} {form.id} {day}")
                c.model.row(there, [*left(past), *so_far, (1, over)], None)
                c.model.cost("past_date", [(problem.weights.unit_past_date, over)])


def freezer_room(c: Choices) -> None:
    """At each midnight what is in the freezer fits."""
    for day in range(c.problem.days):
        terms = [(form.unit_dl, c.stock[bread, form.id, day]) for bread, form in forms(c.problem)]
        c.model.row(None, terms, value_at(c.problem.kitchen.freezer_dl, c.problem.midnights[day + 1] - 1))


def freezing_rate(c: Choices) -> None:
    """What is put in on one day is within the rating of 24 hours."""
    most = max(value for _, value in c.problem.kitchen.freezing_grams_24h)
    loads: dict[int, list[Term]] = defaultdict(list)
    for bread, form in forms(c.problem):
        for day, _, (units, variable) in put_in(c, bread, form):
            loads[day].append((units * form.load_grams, variable))
    for day, terms in loads.items():
        if c.problem.midnights[day + 1] - c.problem.midnights[day] <= 1440:
            c.model.row(None, terms, most)


def heat(c: Choices, grid: Grid) -> None:
    """A session of the oven in which something is baked or finished has a heat-up, unless a booking's heat serves."""
    cold: dict[tuple[tuple[str, int], object], list[Term]] = defaultdict(list)
    free: dict[tuple[str, int], list[Term]] = defaultdict(list)
    warm: dict[tuple[tuple[str, int], object], list[Term]] = defaultdict(list)
    able: dict[tuple[str, int], list[tuple[object, int]]] = defaultdict(list)
    stays: list[tuple[tuple[str, int], object, int, int]] = []
    for index, run in enumerate(c.runs):
        stays.append(((run.oven, run.session), run.slot, run.heat, c.run[index]))
    for (index, way), key in zip(enumerate(c.ways), at_once(c), strict=True):
        if way.oven is not None:
            stays.append(((way.oven, way.session), key, way.heat, c.way[index]))
    for session, alike, how, variable in stays:
        if how == FREE:
            free[session].append((1, variable))
        else:
            cold[session, alike].append((-1, variable))
        if how == WARM:
            warm[session, alike].append((-1, variable))
        else:
            able[session].append((alike, variable))
    switch_on = int(grid.job("finishes", 1).min())
    heats: dict[tuple[str, int], int] = {}
    for (session, _), terms in cold.items():
        if session not in heats:
            heats[session] = c.model.binary(f"heat {session}")
            c.model.cost("heat_ups", [(c.problem.weights.heat_up, heats[session])])
            c.model.cost("hands", [(switch_on, heats[session])])
        c.model.row(0, [(1, heats[session]), *terms, *free[session]], None)
    for (session, alike), terms in warm.items():
        c.model.row(0, [*((1, v) for other, v in able[session] if other != alike), *terms], None)


def trips(c: Choices, grid: Grid) -> None:
    """On a day on which something is taken out to thaw, somebody goes to the freezer."""
    moments: dict[tuple[int, object], list[Term]] = defaultdict(list)
    least: dict[int, int] = {}
    for (index, way), key in zip(enumerate(c.ways), at_once(c), strict=True):
        day, route = way.take_day, c.problem.bread(way.bread).route(way.route)
        moments[day, key].append((-1, c.way[index]))
        jobs = grid.job("finishes", route.handling_out)[c.problem.midnights[day] : c.problem.midnights[day + 1]]
        least[day] = min(int(jobs.min()), least.get(day, 10**9))
    trip: dict[int, int] = {}
    for (day, _), terms in moments.items():
        if day not in trip:
            trip[day] = c.model.binary(f"trip {day}")
            c.model.cost("hands", [(least[day], trip[day])])
        c.model.row(0, [(1, trip[day]), *terms], None)


def wishes(c: Choices) -> None:
    """A fixed step has a run that keeps it, or is dropped; nothing is finished where the family wants none."""
    for wish in c.problem.wishes:
        if wish.kind == "fixed":
            keeps = [(1, c.run[index]) for index, run in enumerate(c.runs) if run.wish == wish.id]
            c.model.row(1, [*keeps, (1, c.dropped[wish.id])], None)
        if wish.kind == "no finish":
            for index, way in enumerate(c.ways):
                first, _ = c.moments.span(way.bread, way.ready)
                if way.bread == wish.bread and way.oven is not None and wish.at <= first < wish.until:
                    c.model.row(None, [(1, c.way[index])], 0)


def cost_of_bakes(c: Choices) -> None:
    """Hands of runs and ways at their least, and the fixed cost of each bake."""
    for index, run in enumerate(c.runs):
        process = c.problem.bread(run.bread).process(run.process)
        c.model.cost("hands", [(run.cost, c.run[index])])
        for treatment in process.treatments:
            variable = c.pieces.get((index, treatment.id))
            if variable is not None:
                c.model.cost("hands", [(run.per_piece + (0 if treatment.id == TABLE else run.per_frozen), variable)])
        if run.under_way is None:
            c.model.cost("bakes", [(process.mixed_on(run.day), c.run[index])])
    for index, way in enumerate(c.ways):
        c.model.cost("hands", [(way.cost, c.way[index])])


def cost_of_meals(c: Choices) -> None:
    """Everyday portions short, loaves bought, the age of what is eaten."""
    problem, meals = c.problem, {meal.id: meal for meal in c.problem.meals}
    for meal in problem.meals:
        if not meal.strict:
            c.model.cost("unmet", [(problem.weights.unmet_portion, c.short[meal.id])])
    c.model.cost("bought", [(problem.shop.loaf_milli, loaves) for loaves in c.loaves])
    for (node, id_), variable in c.eaten.items():
        first, _ = c.moments.span(node[0], node[2])
        quarters = problem.quarter_of(meals[id_].at) - problem.quarter_of(first)
        c.model.cost("age", [(quarters * meals[id_].age_milli, variable)])
    ready = {item.id: item.ready for item in problem.box}
    for (item_id, id_), variable in c.boxed.items():
        quarters = problem.quarter_of(meals[id_].at) - problem.quarter_of(ready[item_id])
        c.model.cost("age", [(quarters * meals[id_].age_milli, variable)])


def cost_of_stock(c: Choices) -> None:
    """Portions in the freezer over each midnight, and what the last night's are worth."""
    for bread, form in forms(c.problem):
        for day in range(c.problem.days):
            milli = c.problem.weights.portion_day_frozen * form.portions_per_unit
            c.model.cost("frozen", [(milli, c.stock[bread, form.id, day])])
    for of in c.problem.breads:
        counted = []
        for number, (most, milli) in enumerate(of.worth):
            counted.append((1, c.model.integer(0, most, f"worth {of.id} {number}")))
            c.model.cost("stock", [(-milli, counted[-1][1])])
        last = [(-form.portions_per_unit, c.stock[of.id, form.id, c.problem.days - 1]) for form in of.forms]
        c.model.row(None, [*counted, *last], 0)


def cost_of_waste(c: Choices) -> None:
    """Portions whose keeping ends within the horizon and nobody eats, and portions thrown away."""
    problem, price = c.problem, c.problem.weights.wasted_portion
    eaten: dict[Node, list[Term]] = defaultdict(list)
    for (node, _), variable in c.eaten.items():
        eaten[node].append((-price, variable))
    for node, terms in supply(c).items():
        bread = problem.bread(node[0])
        keeps = bread.route(node[1]).keeps if node[1] else bread.keeps
        if c.moments.span(node[0], node[2])[1] + keeps <= problem.end:
            c.model.cost("wasted", [*((price * k, v) for k, v in terms), *eaten[node]])
    for item in problem.box:
        if item.until <= problem.end:
            boxed = [(-price, variable) for (of, _), variable in c.boxed.items() if of == item.id]
            c.model.cost("wasted", boxed, price * item.portions)
    for (bread_id, form, _), variable in c.discards.items():
        portions_ = problem.bread(bread_id).form(form).portions_per_unit
        c.model.cost("wasted", [(price * portions_, variable)])


def cost_of_changes(c: Choices) -> None:
    """What was published and is not kept, and what is new."""
    problem = c.problem
    if problem.published is None:
        return
    prices = {(entry.bread, entry.process, entry.day): entry.price for entry in problem.published}
    c.model.cost("changes", [], sum(prices.values()))
    new = dict(enumerate(problem.weights.changed_by_day))
    for index, run in enumerate(c.runs):
        price = prices.get((run.bread, run.process, run.day))
        if price is not None:
            c.model.cost("changes", [(-price, c.run[index])])
        elif run.under_way is None:
            c.model.cost("changes", [(new.get(run.day, 0), c.run[index])])
