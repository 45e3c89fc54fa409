"""What a rival's model found, and the plan that it is: the same data whatever the model, judged by the checker.

A rival counts pieces and units; lots are dealt out here, the oldest first.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace

from rotation import oven_turns
from rotation.costs import scores
from rotation.plan import Bake, Bought, Discard, Finish, Load, Plan, Serving, Stay, Step, TakeOut
from rotation.problem import TABLE, TOAST, Bread, Problem


@dataclass(frozen=True)
class Baked:
    """A bake. who: by step, by "event <minutes after the first load>" and "on"; heat: as of a `Stay`."""

    id: str
    bread: str
    process: str
    day: int
    pieces: dict[str, int]
    starts: dict[str, int]
    who: dict[str, str]
    heat: str
    since: int


@dataclass(frozen=True)
class Finished:
    """Units taken out of the freezer and finished. who: by "out", "in", "done", "on"; trip: minute and person."""

    id: str
    bread: str
    route: str
    units: int
    out: int
    start: int
    who: dict[str, str]
    heat: str
    since: int


@dataclass
class Found:
    """All of it. toast: (bread, route, meal) -> units; eaten: (source, meal) -> portions; loaves: by closing.

    thrown: (bread, form, day) -> units.
    """

    bakes: list[Baked] = field(default_factory=list)
    finishes: list[Finished] = field(default_factory=list)
    toast: dict[tuple[str, str, str], int] = field(default_factory=dict)
    eaten: dict[tuple[str, str], int] = field(default_factory=dict)
    loaves: dict[int, int] = field(default_factory=dict)
    thrown: dict[tuple[str, str, int], int] = field(default_factory=dict)


def as_plan(problem: Problem, found: Found) -> Plan:
    """Return the plan, with its cost by term."""
    bakes = tuple(_bake(problem, bake) for bake in found.bakes)
    finishes = tuple(_finish(problem, one) for one in found.finishes)
    outs, discards = _dealt(problem, found, bakes)
    loaves = ((closing, n) for closing, n in found.loaves.items() if n)
    bought = tuple(Bought(f"bought-{at}", n, problem.shop.closes[at]) for at, n in loaves)
    servings = [Serving(meal, source, n) for (source, meal), n in found.eaten.items() if n]
    servings += [Serving(meal, f"{b}-{r}-{meal}", n) for (b, r, meal), n in found.toast.items() if n]
    plan = Plan(bakes, outs, finishes, bought, discards, tuple(servings))
    return replace(plan, terms=scores(problem, plan))


def _stay(problem: Problem, id_: str, degc: int, vessel: bool, heat: str, since: int, of: Stay | None = None) -> Stay:
    loads = () if of is None else of.loads
    return Stay(f"{id_}:oven", problem.ovens[0].id, degc, vessel, heat, since, 0, 0, loads)


def _bake(problem: Problem, of: Baked) -> Bake:
    bread = problem.bread(of.bread)
    process = bread.process(of.process)
    programme, start = process.programme, of.starts["oven"]
    pieces = tuple((t.id, of.pieces[t.id]) for t in process.treatments if of.pieces.get(t.id))
    total, frozen = sum(of.pieces.values()), sum(n for id_, n in pieces if id_ != TABLE)
    turns = oven_turns.bake_turns(process, pieces, problem.ovens[0])
    steps = []
    for stage in process.stages:
        if stage.name == "bag" and not frozen:
            continue
        at = of.starts[stage.name]
        minutes = stage.hands + stage.hands_per_piece * (frozen if stage.name == "bag" else total)
        minutes = programme.handling if stage.name == "oven" else minutes
        steps.append(Step(stage.name, at, at + minutes, of.who[stage.name]))
    events = tuple(
        Step(e.name, start + e.offset, start + e.offset + programme.handling, of.who[f"event {e.offset}"])
        for e in oven_turns.events(turns, programme)
    )
    loads = tuple(Load(t.pieces, start + t.start, start + t.uncover, start + t.out) for t in turns)
    stay = replace(
        _stay(problem, of.id, programme.degc, programme.covered > 0, of.heat, of.since),
        start=start, end=start + max(t.out for t in turns), loads=loads, events=events, who_on=of.who.get("on"),
    )  # fmt: skip
    ready = stay.end + (process.treatment(TABLE).cool if of.pieces.get(TABLE) else 0)
    lots = tuple((id_, f"{of.id}:{id_}") for id_, _ in pieces if id_ != TABLE)
    put_in = steps[-1].end if frozen else None
    return Bake(of.id, of.bread, of.process, of.day, pieces, tuple(steps), stay, ready, put_in, lots)


def _finish(problem: Problem, of: Finished) -> Finish:
    route = problem.bread(of.bread).route(of.route)
    assert route.oven is not None
    degc, minutes = route.oven
    end, load = of.start + minutes, route.load_units
    sizes = [min(load, of.units - done) for done in range(0, of.units, load)]
    stay = replace(
        _stay(problem, of.id, degc, False, of.heat, of.since),
        start=of.start, end=end, loads=tuple(Load(n, of.start, of.start, end) for n in sizes), who_on=of.who.get("on"),
    )  # fmt: skip
    return Finish(f"{of.id}:finish", of.id, stay, of.who["in"], of.who["done"], end + route.stand)


def _dealt(problem: Problem, found: Found, bakes: tuple[Bake, ...]) -> tuple[tuple[TakeOut, ...], tuple[Discard, ...]]:
    """Deal lots to all that leaves the freezer, the oldest first."""
    shelf: dict[tuple[str, str], list[tuple[int, str]]] = defaultdict(list)
    left = {lot.id: lot.units for lot in problem.lots}
    for lot in problem.lots:
        shelf[lot.bread, lot.form].append((lot.bagged, lot.id))
    for bake in bakes:
        for form, id_ in bake.lots:
            assert bake.put_in is not None
            shelf[bake.bread, form].append((bake.put_in, id_))
            left[id_] = bake.count(form) * problem.bread(bake.bread).form(form).units_per_piece

    def dealt(bread: Bread, form: str, units: int) -> tuple[tuple[str, int], ...]:
        given = []
        for _, id_ in sorted(shelf[bread.id, form]):
            taken = min(units, left[id_])
            if taken:
                left[id_] -= taken
                units -= taken
                given.append((id_, taken))
        return tuple(given)

    meals = {meal.id: meal.at for meal in problem.meals}
    leaves: list[tuple[int, int, object]] = [(one.out, 0, one) for one in found.finishes]
    leaves += [(meals[key[2]], 1, (key, n)) for key, n in found.toast.items() if n]
    leaves += [(problem.midnights[key[2] + 1] - 1, 2, (key, n)) for key, n in found.thrown.items() if n]
    outs, discards = [], []
    for at, kind, what in sorted(leaves, key=lambda leave: leave[:2]):
        if isinstance(what, Finished):
            bread = problem.bread(what.bread)
            form = bread.route(what.route).form
            lots, trip = dealt(bread, form, what.units), f"trip {at} {what.who['out']}"
            outs.append(
                TakeOut(what.id, bread.id, form, what.route, what.units, lots, at, what.who["out"], trip, what.start)
            )
            continue
        assert isinstance(what, tuple)
        (bread_id, name, then), units = what
        bread = problem.bread(bread_id)
        if kind == 1:
            route = bread.route(name)
            assert route.gives == TOAST
            lots = dealt(bread, route.form, units)
            outs.append(TakeOut(f"{bread_id}-{name}-{then}", bread_id, route.form, name, units, lots, at, None, "", at))
        else:
            discards += [Discard(lot, n, at) for lot, n in dealt(bread, name, units)]
    return tuple(outs), tuple(discards)
