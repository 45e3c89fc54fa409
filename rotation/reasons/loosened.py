"""Rules loosened: for each rule that may bind, the problem in which it asks for nothing within some minutes.

A rule's half in the model, the runs that fit it and its check all read the same data of the problem. So the rule is
dropped by data under which it cannot be broken, and all others are held and checked as ever. What keeps people from
harm is not among them: allergens, strict dates and filled breads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from rotation.problem import (
    Bread,
    Kitchen,
    Oven,
    Problem,
    Process,
    Route,
    Spans,
    Steps,
    Treatment,
    Wait,
    union,
    value_at,
)

PLENTY = 10**6
LONGER = 1440
"""Minutes more that dough may wait, where its times are not asked for."""

Span = tuple[int, int]
Loosen = Callable[[Problem, Span], Problem]


@dataclass(frozen=True)
class Loosened:
    """How a rule is loosened, and what a family calls it: "if hands were free at any hour"."""

    loosen: Loosen
    name: str
    words: str


def without(spans: Spans, span: Span) -> Spans:
    """Return spans less one."""
    pieces = ((a, b) for start, end in spans for a, b in ((start, min(end, span[0])), (max(start, span[1]), end)))
    return tuple((a, b) for a, b in pieces if a < b)


def within(steps: Steps, span: Span, change: Callable[[int], int]) -> Steps:
    """Return a step function with other values within a span."""
    start, end = max(span[0], 0), span[1]
    inside = [(start, change(value_at(steps, start)))] if start < end else []
    inside += [(at, change(value)) for at, value in steps if start < at < end]
    before = [(at, value) for at, value in steps if at < start]
    after = [(end, value_at(steps, end)), *((at, value) for at, value in steps if at > end)]
    return (*before, *inside, *after) if start < end else steps


def _hands(problem: Problem, span: Span) -> Problem:
    people = (
        replace(who, free=union((*who.free, span))) if who.bakes or who.finishes else who for who in problem.people
    )
    return replace(problem, people=tuple(people))


def _watch(problem: Problem, span: Span) -> Problem:
    people = (replace(who, inside=union((*who.inside, span))) if who.adult else who for who in problem.people)
    return replace(problem, people=tuple(people))


def _ovens(change: Callable[[Oven, Span], Oven]) -> Loosen:
    return lambda problem, span: replace(problem, ovens=tuple(change(oven, span) for oven in problem.ovens))


def _closed(oven: Oven, span: Span) -> Oven:
    return replace(oven, closed=without(oven.closed, span))


def _bookings(oven: Oven, span: Span) -> Oven:
    return replace(oven, bookings=tuple(b for b in oven.bookings if b.end <= span[0] or span[1] <= b.start))


def _places(oven: Oven, span: Span) -> Oven:
    return replace(oven, places=2 * oven.places + 2, vessels=2 * oven.vessels + 2)


def _kitchen(change: Callable[[Kitchen, Span], Kitchen]) -> Loosen:
    return lambda problem, span: replace(problem, kitchen=change(problem.kitchen, span))


def _more(steps: Steps, span: Span) -> Steps:
    return within(steps, span, lambda _: PLENTY)


def _holding(kitchen: Kitchen, span: Span) -> Kitchen:
    return replace(
        kitchen, bowls=_more(kitchen.bowls, span), dough_grams=_more(kitchen.dough_grams, span),
        bannetons=_more(kitchen.bannetons, span), fridge_spots=_more(kitchen.fridge_spots, span),
    )  # fmt: skip


def _freezer_room(kitchen: Kitchen, span: Span) -> Kitchen:
    return replace(kitchen, freezer_dl=within(kitchen.freezer_dl, span, lambda dl: 2 * dl + 1000))


def _freezing_rate(kitchen: Kitchen, span: Span) -> Kitchen:
    return replace(kitchen, freezing_grams_24h=_more(kitchen.freezing_grams_24h, span))


def _processes(change: Callable[[Process], Process]) -> Loosen:
    def of(bread: Bread) -> Bread:
        return replace(bread, processes=tuple(change(process) for process in bread.processes))

    return lambda problem, _: replace(problem, breads=tuple(of(bread) for bread in problem.breads))


def _routes(change: Callable[[Route], Route]) -> Loosen:
    def of(bread: Bread) -> Bread:
        return replace(bread, routes=tuple(change(route) for route in bread.routes))

    return lambda problem, _: replace(problem, breads=tuple(of(bread) for bread in problem.breads))


def _waits(process: Process) -> Process:
    def longer(wait: Wait) -> Wait:
        return replace(wait, bounds=tuple((0, most + LONGER) for _, most in wait.bounds))

    return replace(process, waits=tuple(longer(wait) for wait in process.waits))


def _cooled(process: Process) -> Process:
    def sooner(treatment: Treatment) -> Treatment:
        return replace(treatment, cool=0, bag_by=treatment.bag_by + LONGER if treatment.bag_by else 0)

    return replace(process, treatments=tuple(sooner(treatment) for treatment in process.treatments))


def _frozen_through(process: Process) -> Process:
    return replace(process, treatments=tuple(replace(one, freeze=0) for one in process.treatments))


def _thawed(route: Route) -> Route:
    return replace(route, thaw=(0, route.thaw[1] + LONGER)) if route.place else route


def _keeping(problem: Problem, span: Span) -> Problem:
    def of(bread: Bread) -> Bread:
        routes = (replace(route, keeps=route.keeps + 7 * LONGER) for route in bread.routes)
        return replace(bread, keeps=bread.keeps + 7 * LONGER, routes=tuple(routes))

    return replace(problem, breads=tuple(of(bread) if not bread.filled else bread for bread in problem.breads))


def _buying(problem: Problem, span: Span) -> Problem:
    days = (midnight + 18 * 60 for midnight in problem.midnights[:-1])
    more = (at for at in days if span[0] <= at < span[1] and at >= 0)
    return replace(problem, shop=replace(problem.shop, closes=tuple(sorted({*problem.shop.closes, *more}))))


def _wishes(problem: Problem, span: Span) -> Problem:
    def apart(at: int, until: int) -> bool:
        return max(at, until) < span[0] or at >= span[1]

    return replace(problem, wishes=tuple(wish for wish in problem.wishes if apart(wish.at, wish.until)))


LOOSENED: Mapping[str, Loosened] = {
    "hands": Loosened(_hands, "free hands", "if hands were free at any hour"),
    "watch": Loosened(_watch, "somebody in the house", "if an adult were always in"),
    "closed": Loosened(_ovens(_closed), "the oven's hours", "if the oven might be on at any hour"),
    "oven": Loosened(_ovens(_bookings), "what else the oven is booked for", "if nobody else had booked the oven"),
    "places": Loosened(_ovens(_places), "places and pots in the oven", "with more places and pots in the oven"),
    "kitchen": Loosened(
        _kitchen(_holding), "bowls, proofing baskets and fridge spots", "with bowls, baskets and fridge room enough"
    ),
    "freezer_room": Loosened(_kitchen(_freezer_room), "room in the freezer", "with a freezer twice as large"),
    "freezing_rate": Loosened(
        _kitchen(_freezing_rate), "how much the freezer freezes in a day", "if it froze any amount at once"
    ),
    "waits": Loosened(_processes(_waits), "the dough's own times", "if the dough waited for us"),
    "cooled": Loosened(_processes(_cooled), "cooling before bag or table", "if loaves need not cool"),
    "frozen_through": Loosened(_processes(_frozen_through), "freezing through", "if it were hard at once"),
    "thawed": Loosened(_routes(_thawed), "thawing", "if it thawed at once"),
    "keeping": Loosened(_keeping, "how long bread keeps", "if bread kept a week longer"),
    "buying": Loosened(_buying, "the shop's hours", "if the shop were open every evening"),
    "wishes": Loosened(_wishes, "what you asked for", "without your wishes of those days"),
}  # fmt: skip
"""By the name of the rule (rotation/rules/). Dough, cooling, freezing, thawing and keeping: not only in the span."""


def loosened(problem: Problem, rule: str, span: Span) -> Problem:
    """Return the problem without one rule, within some minutes."""
    return LOOSENED[rule].loosen(problem, span)
