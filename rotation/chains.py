"""Runs of a process that fit the house: for each bake, what its hands cost at least, by when it is ready and put in.

A backward look at every run on the grid would be endless, so a dynamic programme walks the stages: the least cost of
reaching each start of each stage, over every start of the one before that its waits allow. A run taken alone costs at
least what is found here, whatever else happens in the house, and some run costs just that. So a choice among `Run`s is
a valid bound on all plans, and a tight one wherever bakes do not stand in each other's way (rotation/solve/).

Relaxed here, and kept by the timing: two jobs of one run that would want the same pair of hands at once; whole spans
that overlap other than by sharing an end; room taken by other bakes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from rotation.grid import INF, Bools, Grid, Ints, least_by, range_min, shifted, sliding_min
from rotation.moments import Moments
from rotation.oven_turns import bake_turns, events
from rotation.problem import (
    GRID,
    TABLE,
    Bread,
    Oven,
    Problem,
    Process,
    Treatment,
    UnderWay,
    Wait,
    Wish,
    lowest,
    value_at,
)

COLD, FREE, WARM = 0, 1, 2
"""How the oven gets hot: from cold if need be; on a booking's heat, for nothing; only beside or after another stay."""


@dataclass(frozen=True)
class Run:
    """All runs of one bake alike in what matters to a choice of bakes, with the least cost of any of them.

    ready: index of the moment class (`Moments`) its table pieces are ready in, None if none; put_day: local day its
    other pieces go into the freezer, None if none; through: earliest minute they are frozen through. Hands cost at least
    `cost + per_piece * pieces + per_frozen * frozen pieces`, for `least` to `most` pieces, the switch-on not counted.
    forms: what its frozen pieces may become, all bagged at once.
    """

    bread: str
    process: str
    day: int
    oven: str
    heat: int
    session: int
    ready: int | None
    put_day: int | None
    through: int | None
    least: int
    most: int
    cost: int
    per_piece: int
    per_frozen: int
    forms: tuple[str, ...]
    wish: str | None = None
    under_way: str | None = None

    @property
    def slot(self) -> tuple[str, str, int, str | None]:
        """What at most one bake may be of."""
        return (self.bread, self.process, self.day, self.under_way)


def runs(problem: Problem, grid: Grid, moments: Moments) -> Iterator[Run]:
    """Yield the runs of every bake of the horizon, bakes under way first, in a fixed order."""
    for begun in problem.under_way:
        bread = problem.bread(begun.bread)
        yield from _runs(Chain(problem, grid, moments, bread, bread.process(begun.process), begun=begun))
    for bread in problem.breads:
        for process in bread.processes:
            for day in range(problem.days):
                yield from _runs(Chain(problem, grid, moments, bread, process, day=day))
                for wish in problem.wishes:
                    if (
                        wish.kind == "fixed"
                        and wish.bread == bread.id
                        and any(s.name == wish.step for s in process.stages)
                    ):
                        yield from _runs(Chain(problem, grid, moments, bread, process, day=day, wish=wish))


def _runs(chain: Chain) -> Iterator[Run]:
    """Yield the runs of one chain, totals that cost alike in one."""
    pieces = chain.process.pieces if chain.begun is None else (chain.begun.pieces,)
    if len(pieces) > 12:
        yield from _spread(chain, pieces[0], pieces[-1])
        return
    open_runs: dict[tuple[int | None, ...], tuple[Run, int]] = {}
    for total in pieces:
        found = dict(chain.least(total, total))
        for key, (cost, per_frozen) in found.items():
            before = open_runs.get(key)
            run = chain.run(key, total, total, cost, 0, per_frozen)
            if before is not None and before[0].most + 1 == total and before[0].per_frozen == per_frozen:
                old, last = before
                step = cost - last
                if old.least == old.most:
                    run = chain.run(key, old.least, total, old.cost - step * old.least, step, per_frozen)
                elif old.per_piece == step:
                    run = chain.run(key, old.least, total, old.cost, step, per_frozen)
                else:
                    yield old
            elif before is not None:
                yield before[0]
            open_runs[key] = (run, cost)
    for run, _ in open_runs.values():
        yield run


def _spread(chain: Chain, least: int, most: int) -> Iterator[Run]:
    """Yield runs for many totals at once: the chord of a concave bound, which no run lies below."""
    at_most = dict(chain.least(least, most))
    for key, (cost, per_frozen) in dict(chain.least(least, least)).items():
        per_piece = max(0, (at_most[key][0] - cost) // (most - least))
        yield chain.run(key, least, most, cost - per_piece * least, per_piece, per_frozen)


def undominated(found: list[Run]) -> list[Run]:
    """Return the runs without those that another serves as well in every way, at no more cost and no more heat."""
    groups: dict[tuple[object, ...], list[Run]] = {}
    for run in found:
        key = (run.slot, run.oven, run.session, run.ready, run.put_day, run.wish)
        groups.setdefault(key, []).append(run)
    kept = {id(run) for group in groups.values() for run in group if not any(_beats(other, run) for other in group)}
    return [run for run in found if id(run) in kept]


def _beats(one: Run, other: Run) -> bool:
    """Say whether a run is at least as good as another in all, and better, or first among equals."""
    if one is other:
        return False
    order = {FREE: 0, COLD: 1, WARM: 2}
    at_least = (
        one.least <= other.least
        and one.most >= other.most
        and order[one.heat] <= order[other.heat]
        and (one.through or 0) <= (other.through or 0)
        and one.per_frozen <= other.per_frozen
        and set(one.forms) >= set(other.forms)
        and all(one.cost + one.per_piece * n <= other.cost + other.per_piece * n for n in (other.least, other.most))
    )
    alike = (one.heat, one.least, one.most, one.cost, one.per_piece, one.through, one.forms)
    return at_least and alike != (
        other.heat, other.least, other.most, other.cost, other.per_piece, other.through, other.forms
    )  # fmt: skip


class Chain:
    """The dynamic programme of one bake: one bread and process, mixed on one day or already under way."""

    def __init__(
        self,
        problem: Problem,
        grid: Grid,
        moments: Moments,
        bread: Bread,
        process: Process,
        *,
        day: int = 0,
        wish: Wish | None = None,
        begun: UnderWay | None = None,
    ) -> None:
        self.problem, self.grid, self.moments = problem, grid, moments
        self.bread, self.process, self.wish, self.begun = bread, process, wish, begun
        self.done = {name: (start, end) for name, start, end in begun.done} if begun else {}
        self.day = problem.day_of(self.done["mix"][0]) if "mix" in self.done else day
        self.names = [stage.name for stage in process.stages if stage.name != "bag"]
        self.before, after = self._reach()
        self.origin = max(0, problem.midnights[max(self.day, 0)] - self.before) // GRID
        last = problem.midnights[min(max(self.day, 0) + 1, problem.days)] + after
        self.stop = min(last // GRID + 1, problem.end // GRID)

    def _reach(self) -> tuple[int, int]:
        """Return the most minutes a run can lie before and after its mix, hands included."""
        before = after = 0
        mixed = False
        for stage in self.process.stages:
            length = stage.hands + stage.hands_per_piece * self.process.pieces[-1]
            wait = self._wait(stage.name)
            length += wait.on(self.day)[1] if wait else 0
            mixed = mixed or stage.name == "mix"
            before, after = (before, after + length) if mixed else (before + length, after)
        return before + 60, after + max(t.bag_by for t in self.process.treatments) + 60

    def _wait(self, first: str) -> Wait | None:
        """Return the wait between a step and its neighbour."""
        return next((wait for wait in self.process.waits if wait.first == first and not wait.whole), None)

    def hands(self, name: str, pieces: int) -> int:
        """Return the minutes of a step of a bake with this many pieces (frozen pieces, for "bag")."""
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * pieces

    def job(self, name: str, total: int, priced: int) -> Ints:
        """Return the cost of a step at each local start that fits `total` pieces, priced for `priced` of them."""
        minutes = self.hands(name, total)
        cost = self.grid.job("bakes", minutes)[::GRID][self.origin : self.stop].copy()
        if priced != total and minutes:
            cost = np.where(cost < INF, cost // minutes * self.hands(name, priced), INF)
        times = np.arange(self.origin, self.origin + len(cost)) * GRID
        if name == "mix":
            first, last = self.problem.midnights[max(self.day, 0)], self.problem.midnights[max(self.day, 0) + 1]
            cost[(times < first) | (times >= last)] = INF
            for wish in self.problem.wishes:
                if wish.kind == "no bake" and wish.bread == self.bread.id and self.wish is None:
                    cost[(times >= wish.at) & (times < wish.until)] = INF
        if self.wish is not None and name == self.wish.step:
            here = times == self.wish.at
            cost = np.where(here, np.where(cost < INF, cost, self.hands(name, priced) * 1000), INF)
        return cost

    def least(self, total: int, priced: int) -> Iterator[tuple[tuple[int | None, ...], tuple[int, int]]]:
        """Yield `(oven index, heat, session, ready, put day, through) -> (least cost, cost a frozen piece)`."""
        if self.stop <= self.origin:
            return
        if "oven" in self.done:
            yield from self._out_of_oven(total)
            return
        starts = self._to_oven(total, priced)
        if starts is not None and self.wish is not None and self.wish.step == "oven":
            times = np.arange(self.origin, self.stop) * GRID
            starts = np.where(times == self.wish.at, starts, INF)
        if starts is None or not (starts < INF).any():
            return
        for index, oven in enumerate(self.problem.ovens):
            yield from self._from_oven(index, oven, starts, total, priced)

    def _to_oven(self, total: int, priced: int) -> Ints | None:
        """Return the least cost of all steps before "oven" for each start of it that their waits allow."""
        position = self.names.index("oven")
        reach: Ints | None = None
        at = 0
        while at < position:
            name = self.names[at]
            if name in self.done:
                at += 1
                continue
            if reach is None:
                reach = self._first(name, total, priced)
            whole = self._whole_from(name)
            if whole is not None:
                reach = self._through(whole, reach, total, priced)
                at = self.names.index(whole.second)
                continue
            following = self.names[at + 1]
            moved = self._next(name, following, reach, total)
            reach = moved if following == "oven" else _plus(moved, self.job(following, total, priced))
            at += 1
        if reach is None:
            return self._first("oven", total, priced)
        return reach

    def _first(self, name: str, total: int, priced: int) -> Ints:
        """Return the cost of the first step still to do: any start, or what the real times of a bake under way leave."""
        cost = np.zeros(self.stop - self.origin, dtype=np.int64) if name == "oven" else self.job(name, total, priced)
        if self.begun is None:
            return cost
        times = np.arange(self.origin, self.stop) * GRID
        cost[times < self.window(name)[0]] = INF
        return cost if name == "oven" else self._in_time(name, [cost])[0]

    def _in_time(self, name: str, costs: list[Ints]) -> list[Ints]:
        """Return the costs of the next step of a bake under way, to the end of its window; if late, only the first."""
        late = np.arange(self.origin, self.stop) * GRID > self.window(name)[1]
        inside = [np.where(late, INF, cost) for cost in costs]
        if any((cost < INF).any() for cost in inside):
            return inside
        index = np.arange(self.stop - self.origin)
        return [np.where(index == np.argmax(cost < INF), cost, INF) for cost in costs]

    def window(self, name: str) -> tuple[int, int]:
        """Return the earliest and latest start of the next step of a bake under way, from its real times."""
        low, high = 0, self.problem.end
        for wait in self.process.waits:
            if wait.second == name and wait.first in self.done:
                shortest, longest = wait.on(self.day)
                since = self.done[wait.first][0 if wait.whole else 1]
                low, high = max(low, since + shortest), min(high, since + longest)
        return low, high

    def _whole_from(self, name: str) -> Wait | None:
        """Return the whole span that starts at a step and holds other steps inside, if any; the longest reach first."""
        spans = [w for w in self.process.waits if w.whole and w.first == name and w.second in self.names]
        spans = [w for w in spans if w.second != "oven" and self.names.index(w.second) > self.names.index(name) + 1]
        return max(spans, key=lambda wait: self.names.index(wait.second), default=None)

    def _through(self, whole: Wait, reach: Ints, total: int, priced: int) -> Ints:
        """Return the least cost of reaching the end of a whole span, with every step inside it kept in its waits."""
        shortest, longest = whole.on(self.day)
        width = longest // GRID + 1
        begins = np.flatnonzero(reach < INF)
        inner = np.full((len(begins), width), INF)
        inner[:, 0] = reach[begins]
        first, last = self.names.index(whole.first), self.names.index(whole.second)
        columns = begins[:, None] + np.arange(width)[None, :]
        for name, following in zip(self.names[first:last], self.names[first + 1 : last + 1], strict=True):
            low, high = self._lag(name, following, total)
            jobs = np.concatenate([self.job(following, total, priced), [INF]])
            inner = _plus(sliding_min(inner, low, high), jobs[np.minimum(columns, len(jobs) - 1)])
        inner[:, : -(-shortest // GRID)] = INF
        out = np.full_like(reach, INF)
        inside = columns < len(out)
        np.minimum.at(out, columns[inside], inner[inside])
        return out

    def _lag(self, name: str, following: str, total: int) -> tuple[int, int]:
        """Return the shortest and longest lag from start to start of two neighbours, in grid steps."""
        wait = self._wait(name)
        low, high = wait.on(self.day) if wait else (0, self.problem.end)
        for whole in self.process.waits:
            if whole.whole and (whole.first, whole.second) == (name, following):
                shortest, longest = whole.on(self.day)
                low = max(low, shortest - self.hands(name, total))
                high = min(high, longest - self.hands(name, total))
        minutes = self.hands(name, total)
        return -(-(minutes + low) // GRID), (minutes + high) // GRID

    def _next(self, name: str, following: str, reach: Ints, total: int) -> Ints:
        """Return the least cost over the starts of one step for each start of the next, its room in the house kept."""
        low, high = self._lag(name, following, total)
        if following == "oven":
            high = min(high, high - -(-self.last_load(total) // GRID))
        index = np.arange(len(reach))
        bad = self._no_room(name, following, total)
        last_bad = np.maximum.accumulate(np.where(bad, index, -1))
        left = np.maximum(index - high, np.concatenate([[0], last_bad[:-1] + 1]))
        return range_min(reach, left, index - low)

    def _no_room(self, name: str, following: str, total: int) -> Bools:
        """Say for each start where something the bake holds between two neighbours has no room even in an empty house."""
        kitchen, position = self.problem.kitchen, self.names.index
        bad = np.zeros(self.stop - self.origin, dtype=np.bool_)
        for use in self.process.uses:
            if not position(use.since) <= position(name) < position(use.until):
                continue
            needs = {
                "bowl": ((kitchen.bowls, 1), (kitchen.dough_grams, total * self.bread.dough_grams)),
                "banneton": ((kitchen.bannetons, total),),
                "fridge": ((kitchen.fridge_spots, total),),
            }[use.what]
            for steps, amount in needs:
                if lowest(steps, self.origin * GRID, self.stop * GRID) < amount:
                    bad |= np.array([value_at(steps, g * GRID) < amount for g in range(self.origin, self.stop)])
        return bad

    def shortest_pieces(self, total: int) -> tuple[tuple[str, int], ...]:
        """Return the pieces by treatment that leave the oven soonest: what a bound must assume."""
        soonest = min(self.process.treatments, key=lambda treatment: treatment.uncovered)
        return ((soonest.id, total),)

    def last_load(self, total: int) -> int:
        """Return the least minutes from the first to the last load, over the ovens."""
        ovens = [oven for oven in self.problem.ovens if fits(self.process, oven)]
        pieces = self.shortest_pieces(total)
        return min((bake_turns(self.process, pieces, o.vessels, o.places)[-1].start for o in ovens), default=0)

    def _from_oven(
        self, index: int, oven: Oven, starts: Ints, total: int, priced: int
    ) -> Iterator[tuple[tuple[int | None, ...], tuple[int, int]]]:
        """Yield what follows from each start of the oven: its hands, the heat, ready, into the freezer."""
        if not fits(self.process, oven):
            return
        has_table = any(treatment.id == TABLE for treatment in self.process.treatments)
        if has_table:
            for heat, session, _, ready, here in self._in_oven(oven, starts, total, ((TABLE, total),)):
                for (of_session, of_ready), least in least_by((session, ready), here).items():
                    yield (index, heat, of_session, of_ready, None, None, None), (least, 0)
        for number, forms in enumerate(self.together()):
            soonest = min(forms, key=lambda treatment: treatment.uncovered).id
            for heat, session, out, _, here in self._in_oven(oven, starts, total, ((soonest, total),)):
                for put_day, through, bag, per_frozen in self._bags(out, forms):
                    frozen = _plus(here, bag)
                    for (of_session,), least in least_by((session,), frozen).items():
                        first = int(through[(frozen < INF) & (session == of_session)].min())
                        yield (index, heat, of_session, None, put_day, first, number), (least, per_frozen)
            if not has_table or total == 1:
                continue
            pieces = ((TABLE, 1), (soonest, total - 1))
            for heat, session, out, ready, here in self._in_oven(oven, starts, total, pieces):
                for put_day, through, bag, per_frozen in self._bags(out, forms):
                    frozen = _plus(here, bag)
                    for (of_session, of_ready), least in least_by((session, ready), frozen).items():
                        first = int(through[(frozen < INF) & (session == of_session) & (ready == of_ready)].min())
                        yield (index, heat, of_session, of_ready, put_day, first, number), (least, per_frozen)

    def _in_oven(
        self, oven: Oven, starts: Ints, total: int, pieces: tuple[tuple[str, int], ...]
    ) -> Iterator[tuple[int, Ints, Ints, Ints, Ints]]:
        """Yield for each way of heating: heat, session, minute out, moment class ready, cost so far, by start."""
        turns = bake_turns(self.process, pieces, oven.vessels, oven.places)
        length = max(turn.out for turn in turns)
        handling = self.grid.job("bakes", self.process.programme.handling)
        cost = handling.copy()
        for event in events(turns):
            cost = _plus(cost, shifted(handling, event.offset))
        cost = _plus(starts, cost[::GRID][self.origin : self.stop])
        session = sessions(self.grid, oven)[::GRID][self.origin : self.stop]
        out = np.arange(self.origin, self.stop) * GRID + length
        table = next((treatment for treatment in self.process.treatments if treatment.id == TABLE), None)
        ready = self.moments.classes(self.bread.id, out + (table.cool if table else 0))
        covered = self.process.programme.covered > 0
        heats = stay_heats(self.grid, oven, self.process.programme.degc, covered, length, "bakes")
        able = [(heat, np.where(can[::GRID][self.origin : self.stop], cost, INF)) for heat, can in heats]
        if self.begun is not None and self.done.keys() >= set(self.names[: self.names.index("oven")]):
            able = list(zip([heat for heat, _ in able], self._in_time("oven", [here for _, here in able]), strict=True))
        for heat, here in able:
            if (here < INF).any():
                yield heat, session, out, ready, here

    def _out_of_oven(self, total: int) -> Iterator[tuple[tuple[int | None, ...], tuple[int, int]]]:
        """Yield what follows for a bake that is in the oven already: its stay is a fact, and costs nothing more."""
        start, session = self.done["oven"][0], -1 - self.problem.under_way.index(self.begun) if self.begun else -1
        for index, oven in enumerate(self.problem.ovens):
            if not fits(self.process, oven):
                continue
            table = next((treatment for treatment in self.process.treatments if treatment.id == TABLE), None)
            for number, forms in enumerate([(), *self.together()]):
                if table is None and not forms:
                    continue
                shortest = min(forms, key=lambda treatment: treatment.uncovered).id if forms else TABLE
                turns = bake_turns(self.process, ((shortest, total),), oven.vessels, oven.places)
                out = np.array([start + max(turn.out for turn in turns)], dtype=np.int64)
                at = int(self.moments.classes(self.bread.id, np.maximum(out + (table.cool if table else 0), 0))[0])
                if not forms:
                    yield (index, FREE, session, at, None, None, None), (0, 0)
                for put_day, through, bag, per_frozen in self._bags(out, forms) if forms else ():
                    if bag[0] < INF:
                        first, least = int(through[0]), int(bag[0])
                        yield (index, FREE, session, None, put_day, first, number - 1), (least, per_frozen)
                        if table is not None and total > 1:
                            yield (index, FREE, session, at, put_day, first, number - 1), (least, per_frozen)

    def together(self) -> list[tuple[Treatment, ...]]:
        """Return the sets of frozen treatments that a run may hold, the largest first: all of a bake are bagged at once."""
        frozen = [treatment for treatment in self.process.treatments if treatment.id != TABLE]
        return [chosen for size in range(len(frozen), 0, -1) for chosen in combinations(frozen, size)]

    def _bags(self, out: Ints, frozen: tuple[Treatment, ...]) -> Iterator[tuple[int, Ints, Ints, int]]:
        """Yield for each put-in day: when it is frozen through at the earliest, the least cost, what each piece adds."""
        cool, by = max(t.cool for t in frozen), min(t.bag_by for t in frozen)
        by = min(by, 120) if self.bread.filled else by
        stage = next(stage for stage in self.process.stages if stage.name == "bag")
        least = stage.hands + stage.hands_per_piece
        bag = self.grid.job("bakes", least)
        put_day = self.grid.days[np.minimum(np.arange(len(bag)) + least, len(bag) - 1)]
        freeze = min(t.freeze for t in frozen)
        on_grid = bag[::GRID]
        low = -(-(out + cool) // GRID)
        high = (out + by) // GRID
        first = int(put_day[min(int(low[0] * GRID), len(bag) - 1)])
        last = int(put_day[min(int(high[-1] * GRID), len(bag) - 1)])
        rate = min(value for person in self.grid.may("bakes") for _, value in person.price)
        per_frozen = stage.hands_per_piece * rate
        for day in range(first, min(last, self.problem.days - 1) + 1):
            here = np.where(put_day[::GRID] == day, on_grid, INF)
            if self.wish is not None and self.wish.step == "bag":
                here = np.where(np.arange(len(here)) * GRID == self.wish.at, here, INF)
            cost = range_min(here, low, np.minimum(high, len(on_grid) - 1))
            if not (cost < INF).any():
                continue
            able = np.flatnonzero(here < INF)
            begins = able[np.minimum(np.searchsorted(able, low), len(able) - 1)] * GRID
            earliest = begins + least + freeze
            yield day, earliest, np.where(cost < INF, cost - per_frozen, INF), per_frozen

    def run(
        self, key: tuple[int | None, ...], least: int, most: int, cost: int, per_piece: int, per_frozen: int
    ) -> Run:
        """Return the run with this key."""
        oven, heat, session, ready, put_day, through, number = key
        assert oven is not None and heat is not None and session is not None
        return Run(
            self.bread.id, self.process.id, self.day, self.problem.ovens[oven].id, heat, session, ready, put_day, through,
            least, most, cost, per_piece, per_frozen,
            () if number is None else tuple(treatment.id for treatment in self.together()[number]),
            self.wish.id if self.wish else None, self.begun.id if self.begun else None,
        )  # fmt: skip


def fits(process: Process, oven: Oven) -> bool:
    """Say whether an oven can hold a process at all."""
    return oven.places > 0 and (process.programme.covered == 0 or oven.vessels > 0)


@lru_cache(maxsize=64)
def sessions(grid: Grid, oven: Oven) -> Ints:
    """Return the session of each minute: stays in different ones never share a heat-up.

    A session ends where the oven is closed, at a booking, and where no adult is there to watch.
    """
    ends = [end for _, end in oven.closed] + [booking.end for booking in oven.bookings]
    ends = sorted(ends + [start for start, _ in grid.problem.adults_inside])
    return np.searchsorted(np.array(ends, dtype=np.int64), np.arange(grid.minutes), "right").astype(np.int64)


@lru_cache(maxsize=512)
def stay_heats(
    grid: Grid, oven: Oven, degc: int, vessel: bool, length: int, role: str
) -> tuple[tuple[int, Bools], ...]:
    """Return for each way of heating the starts of a stay of this length that it allows in an otherwise empty oven."""
    taken = tuple((booking.start, booking.end) for booking in oven.bookings)
    blocked = tuple(sorted({*oven.closed, *taken}))
    open_until = grid.until(_complement(blocked, grid.minutes))
    now = np.arange(grid.minutes)
    watch = length + (oven.watch_after_vessel if vessel else oven.watch_after)
    adults = grid.until(grid.problem.adults_inside)
    alone = (open_until >= now + length) & (adults >= now + watch)
    heat_up = oven.heat_up_vessel if vessel else oven.heat_up
    cold = np.zeros(grid.minutes, dtype=np.bool_)
    begin = now[heat_up:] - heat_up
    switched_on = grid.job(role, 1)[begin] < INF
    cold[heat_up:] = alone[heat_up:] & (open_until[begin] >= now[heat_up:] + length) & switched_on
    cold[heat_up:] &= adults[begin] >= now[heat_up:] + watch
    free = np.zeros(grid.minutes, dtype=np.bool_)
    for booking in oven.bookings:
        if booking.temperature_degc is None:
            continue
        low = booking.end + max(oven.change(booking.temperature_degc, degc), heat_up if vessel else 0)
        high = min(booking.end + oven.hot_gap, grid.minutes - 1)
        if 0 <= booking.end < grid.minutes and low <= high:
            free[low : high + 1] |= alone[low : high + 1] & (adults[booking.end] > now[low : high + 1])
        if booking.temperature_degc == degc and booking.places_left > 0:
            inside = (now >= booking.start) & (now + length <= booking.end) & (adults >= now + watch)
            free |= inside & ~_inside(oven.closed, now, length)
    return ((COLD, cold), (FREE, free), (WARM, alone & ~cold & ~free))


def _inside(closed: tuple[tuple[int, int], ...], now: Ints, length: int) -> Bools:
    """Say for each minute whether a stay that starts then would touch a closed span."""
    bad = np.zeros(len(now), dtype=np.bool_)
    for start, end in closed:
        bad |= (now < end) & (now + length > start)
    return bad


def _complement(spans: tuple[tuple[int, int], ...], minutes: int) -> tuple[tuple[int, int], ...]:
    """Return what lies between sorted spans, from minute 0 to the end."""
    out, at = [], 0
    for start, end in spans:
        if start > at:
            out.append((at, start))
        at = max(at, end)
    return (*out, (at, minutes)) if at < minutes else tuple(out)


def _plus(a: Ints, b: Ints) -> Ints:
    """Add costs; what is not possible stays so."""
    return np.minimum(a + b, INF)
