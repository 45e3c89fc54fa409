"""Runs of a process that fit the house: for each bake, what its hands cost at least, by when it is ready and put in.

A run taken alone costs at least what is found here, whatever else happens in the house, and some run costs just that.
So a choice among `Run`s is a valid bound on all plans, and a tight one where bakes do not stand in each other's way.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from itertools import combinations

import numpy as np

from rotation.grid import INF, Grid, Ints, least_by, plus, range_min
from rotation.hot import COLD, FREE, InOven, Priced, Spell, fits, sessions, stay_heats
from rotation.late import after_late, later, minutes_later
from rotation.moments import Moments
from rotation.oven_turns import bake_turns, events, longest_stay, mixes
from rotation.problem import COLD_WITHIN, GRID, TABLE, Oven, Problem, Treatment, UnderWay
from rotation.runs import Run
from rotation.stages import Stages

Key = tuple[int | None, ...]
"""Oven index, heat, session, moment class ready, put-in day, earliest minute frozen through, index in `together`."""

Found = Iterator[tuple[Key, Priced]]

MANY = 12
"""Of more totals than these, all are priced at once."""


def runs(problem: Problem, grid: Grid, moments: Moments, days: Collection[int] | None = None) -> Iterator[Run]:
    """Yield the runs of every bake of the horizon, bakes under way first, in a fixed order. days: of new bakes; all."""
    for begun in problem.under_way:
        yield from _gone_on(problem, grid, moments, begun)
    for bread in problem.breads:
        for process in (process for process in bread.processes if process.pieces):
            for day in range(problem.days) if days is None else sorted(days):
                yield from _runs(Chain(problem, grid, moments, bread, process, day=day))
                for wish in problem.wishes:
                    if (
                        wish.kind == "fixed"
                        and wish.bread == bread.id
                        and any(s.name == wish.step for s in process.stages)
                    ):
                        yield from _runs(Chain(problem, grid, moments, bread, process, day=day, wish=wish))


def _gone_on(problem: Problem, grid: Grid, moments: Moments, begun: UnderWay) -> Iterator[Run]:
    """Yield the runs of a bake under way: in time, or as late as the house makes it."""
    bread = problem.bread(begun.bread)
    for number, way in enumerate(ways := tuple(later(bread.process(begun.process), begun))):
        found = list(_runs(Chain(problem, grid, moments, bread, way, begun=begun)))
        if found:
            late = minutes_later(problem)
            way = ways[after_late(number, late)]
            yield from _runs(Chain(problem, grid, moments, bread, way, begun=begun, late=late)) if late else found
            return


def _runs(chain: Chain) -> Iterator[Run]:
    """Yield the runs of one chain, totals that cost alike in one."""
    pieces = chain.process.pieces if chain.begun is None else (chain.begun.pieces,)
    if len(pieces) > MANY:
        yield from _spread(chain, pieces[0], pieces[-1])
        return
    open_runs: dict[tuple[int | None, ...], tuple[Run, int]] = {}
    for total in pieces:
        found = _cheapest(chain.least(total, total))
        for key, (cost, per_frozen, first, last_start) in found.items():
            before = open_runs.get(key)
            run = chain.run(key, total, total, cost, 0, per_frozen, (first, last_start))
            if before is not None and before[0].most + 1 == total and before[0].per_frozen == per_frozen:
                old, last = before
                step, stay = cost - last, run.stay.joined(old.stay)
                if old.least == old.most:
                    run = replace(old, most=total, cost=old.cost - step * old.least, per_piece=step, stay=stay)
                elif old.per_piece == step:
                    run = replace(old, most=total, stay=stay)
                else:
                    yield old
            elif before is not None:
                yield before[0]
            open_runs[key] = (run, cost)
    for run, _ in open_runs.values():
        yield run


def _spread(chain: Chain, least: int, most: int) -> Iterator[Run]:
    """Yield runs for many totals at once: the chord of a concave bound, which no run lies below."""
    at_most = _cheapest(chain.least(least, most))
    for key, (cost, per_frozen, first, last) in _cheapest(chain.least(least, least)).items():
        per_piece = max(0, (at_most[key][0] - cost) // (most - least))
        yield chain.run(key, least, most, cost - per_piece * least, per_piece, per_frozen, (first, last))


def _cheapest(found: Found) -> dict[Key, Priced]:
    """Return the least of each key; it may start whenever any of them may."""
    least: dict[Key, Priced] = {}
    for key, (cost, per_frozen, first, last) in found:
        if key in least:
            other, _, sooner, later = least[key]
            cost, first, last = min(cost, other), min(first, sooner), max(last, later)
        least[key] = (cost, per_frozen, first, last)
    return least


class Chain(Stages):
    """A bake from the starter to the freezer: its stages, then the oven and the bag."""

    def least(self, total: int, priced: int) -> Found:
        """Yield what bakes of `total` pieces come to, priced for `priced` of them."""
        if self.stop <= self.origin:
            return
        if "oven" in self.done:
            yield from self._out_of_oven(total)
            return
        starts = self.to_oven(total, priced)
        if starts is None or not (starts < INF).any():
            return
        for index, oven in enumerate(self.problem.ovens):
            yield from self._from_oven(index, oven, starts, total, priced)

    def _from_oven(self, index: int, oven: Oven, starts: Ints, total: int, priced: int) -> Found:
        """Yield what follows from each start of the oven: its hands, the heat, ready, into the freezer."""
        if not fits(self.process, oven):
            return
        table = [treatment for treatment in self.process.treatments if treatment.id == TABLE]
        if table and not self._asked("bag"):
            stay = self._in_oven(oven, starts, total, ((TABLE, total),))
            for heat, here in stay.heats:
                for (session, ready), (least, *span) in least_by((stay.session, stay.ready), here).items():
                    yield (index, heat, session, ready, None, None, None), stay.priced(least, 0, span)
        for number, forms in enumerate(self.together()):
            for pieces in mixes(self.process, oven, self._enough(total, forms), forms):
                stay = self._in_oven(oven, starts, total, pieces)
                for heat, put_day, through, per_frozen, frozen in self._frozen(stay, forms):
                    for (session,), (least, *span) in least_by((stay.session,), frozen).items():
                        first = int(through[(frozen < INF) & (stay.session == session)].min())
                        key: Key = (index, heat, session, None, put_day, first, number)
                        yield key, stay.priced(least, per_frozen, span)
            kinds = (*table, *forms)
            for pieces in mixes(self.process, oven, self._enough(total, kinds), kinds) if table else ():
                stay = self._in_oven(oven, starts, total, pieces)
                for heat, put_day, through, per_frozen, frozen in self._frozen(stay, forms):
                    for (session, ready), (least, *span) in least_by((stay.session, stay.ready), frozen).items():
                        alike = (stay.session == session) & (stay.ready == ready)
                        first = int(through[(frozen < INF) & alike].min())
                        key = (index, heat, session, ready, put_day, first, number)
                        yield key, stay.priced(least, per_frozen, span)

    def _enough(self, total: int, kinds: tuple[Treatment, ...]) -> int:
        """Return a total, or one of each kind where the smallest bake is priced for all."""
        return max(total, len(kinds)) if len(self.process.pieces) > MANY else total

    def _frozen(self, stay: InOven, forms: tuple[Treatment, ...]) -> Iterator[tuple[int, int, Ints, int, Ints]]:
        """Yield for each way of heating and put-in day: when frozen through, what a piece adds, cost so far."""
        if stay.heats:
            for put_day, through, bag, per_frozen in self._bags(stay.out, forms):
                for heat, here in stay.heats:
                    frozen = plus(here, bag)
                    if (frozen < INF).any():
                        yield heat, put_day, through, per_frozen, frozen

    def _in_oven(self, oven: Oven, starts: Ints, total: int, pieces: tuple[tuple[str, int], ...]) -> InOven:
        """Return what a stay of these pieces comes to."""
        turns = bake_turns(self.process, pieces, oven)
        length = max(turn.out for turn in turns)
        handling = self.grid.job("bakes", self.process.programme.handling)
        cost, local = starts, np.arange(self.origin, self.stop) * GRID
        for offset in (0, *(event.offset for event in events(turns, self.process.programme))):
            then = handling[local[0] + offset : local[-1] + offset + 1 : GRID]
            if offset == 0 and self.wish is not None and self._asked("oven"):
                then = np.where(local == self.wish.at, self._moved(self.process.programme.handling), INF)
            cost = plus(cost, np.concatenate([then, np.full(len(local) - len(then), INF)]))
        covered = self.process.programme.covered > 0
        heats = stay_heats(self.grid, oven, self.process.programme.degc, covered, length, "bakes")
        able = [(heat, np.where(can[::GRID][self.origin : self.stop], cost, INF)) for heat, can in heats]
        if self.begun is not None and self.done.keys() >= set(self.names[: self.names.index("oven")]):
            cold = next((here for heat, here in able if heat == COLD), np.full(len(local), INF))
            able = [(heat, self.in_time("oven", here, cold)) for heat, here in able]
        able = [(heat, here) for heat, here in able if (here < INF).any()]
        places = np.flatnonzero(np.any([here < INF for _, here in able], axis=0)) if able else np.array([], np.int64)
        start = local[places]
        table = next((treatment for treatment in self.process.treatments if treatment.id == TABLE), None)
        ready = self.moments.classes(self.bread.id, start + length + (table.cool if table else 0))
        session = sessions(self.grid, oven)[start]
        return InOven(start, session, start + length, ready, [(heat, here[places]) for heat, here in able])

    def _out_of_oven(self, total: int) -> Found:
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
                turns = bake_turns(self.process, ((shortest, total),), oven)
                out = np.array([start + max(turn.out for turn in turns)], dtype=np.int64)
                at = int(self.moments.classes(self.bread.id, np.maximum(out + (table.cool if table else 0), 0))[0])
                if not forms:
                    yield (index, FREE, session, at, None, None, None), (0, 0, start, start)
                for put_day, through, bag, per_frozen in self._bags(out, forms) if forms else ():
                    if bag[0] < INF:
                        first, least = int(through[0]), int(bag[0])
                        priced = (least, per_frozen, start, start)
                        yield (index, FREE, session, None, put_day, first, number - 1), priced
                        if table is not None and total > 1:
                            yield (index, FREE, session, at, put_day, first, number - 1), priced

    def _asked(self, step: str) -> bool:
        """Say whether the family moved a step."""
        return self.wish is not None and self.wish.step == step

    def _moved(self, minutes: int) -> int:
        """Return what the hands of the step that the family moved cost at least."""
        return self.grid.moved("bakes", minutes, self.wish.at) if self.wish else int(INF)

    def together(self) -> list[tuple[Treatment, ...]]:
        """Return the sets of frozen treatments that a run may hold, the largest first: all are bagged at once."""
        frozen = [treatment for treatment in self.process.treatments if treatment.id != TABLE]
        return [chosen for size in range(len(frozen), 0, -1) for chosen in combinations(frozen, size)]

    def _bags(self, out: Ints, frozen: tuple[Treatment, ...]) -> Iterator[tuple[int, Ints, Ints, int]]:
        """Yield for each put-in day: the earliest it is frozen through, the least cost, what each piece adds."""
        cool, by = max(t.cool for t in frozen), min(t.bag_by for t in frozen)
        by = min(by, COLD_WITHIN) if self.bread.filled else by
        stage = next(stage for stage in self.process.stages if stage.name == "bag")
        least = stage.hands + stage.hands_per_piece
        on_grid, days = self.grid.job("bakes", least)[::GRID], self.grid.days_after(least)
        if self.wish is not None and self._asked("bag"):
            on_grid = np.where(np.arange(len(on_grid)) * GRID == self.wish.at, self._moved(least), INF)
        freeze = min(t.freeze for t in frozen)
        low = np.maximum(-(-(out + cool) // GRID), 0)
        high = (out + by) // GRID
        if "oven" in self.done and not (range_min(on_grid, low, np.minimum(high, len(on_grid) - 1)) < INF).any():
            able = np.flatnonzero(on_grid[low[0] :] < INF)[:1]  # late, and so as soon as can be
            high = low + able if len(able) else high
        first, last = int(days[min(int(low[0]), len(days) - 1)]), int(days[min(int(high[-1]), len(days) - 1)])
        rate = min(value for person in self.grid.may("bakes") for _, value in person.price)
        per_frozen = stage.hands_per_piece * rate
        for day in range(first, min(last, self.problem.days - 1) + 1):
            since, until = np.searchsorted(days, [day, day + 1]).tolist()
            here = on_grid[since:until]
            able = since + np.flatnonzero(here < INF)
            cost = range_min(here, low - since, high - since)
            if not (cost < INF).any():
                continue
            begins = able[np.minimum(np.searchsorted(able, low), len(able) - 1)] * GRID
            earliest = begins + least + freeze
            yield day, earliest, np.where(cost < INF, cost - per_frozen, INF), per_frozen

    def run(
        self, key: Key, least: int, most: int, cost: int, per_piece: int, per_frozen: int, starts: tuple[int, int]
    ) -> Run:
        """Return the run with this key."""
        oven, heat, session, ready, put_day, through, number = key
        forms = () if number is None else self.together()[number]
        assert oven is not None
        assert heat is not None
        assert session is not None
        return Run(
            self.bread.id, self.process.id, self.day, self.problem.ovens[oven].id,
            heat, session, ready, put_day, through, least, most, cost, per_piece, per_frozen,
            tuple(treatment.id for treatment in forms),
            self.wish.id if self.wish else None, self.begun.id if self.begun else None,
            self._stay(self.problem.ovens[oven], least, most, starts, ready is not None, forms),
        )  # fmt: skip

    def _stay(
        self, oven: Oven, least: int, most: int, starts: tuple[int, int], table: bool, forms: tuple[Treatment, ...]
    ) -> Spell:
        """Return when a bake of so many pieces may be in the oven, and how hot."""
        by_minutes = sorted(self.process.treatments, key=lambda treatment: treatment.uncovered)
        shortest = max(turn.out for turn in bake_turns(self.process, ((by_minutes[0].id, least),), oven))
        kinds = tuple(t for t in self.process.treatments if t in forms or (table and t.id == TABLE))
        longest = longest_stay(self.process, oven, most, kinds)
        programme = self.process.programme
        last = programme.turns[-1][1] if programme.turns else programme.degc
        return Spell(*starts, shortest, longest, (programme.degc, last), programme.covered > 0)
