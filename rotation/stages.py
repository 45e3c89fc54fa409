"""What the hands of a bake cost at least up to its oven, for each start of the oven.

A look at every run on the grid would be endless, so a dynamic programme walks the stages: the least cost of reaching
each start of a stage, over every start of the one before that its waits allow. Relaxed here, and kept by the timing:
two jobs of one run that would want the same hands at once; whole spans that overlap other than by sharing an end; room
taken by other bakes.
"""

from __future__ import annotations

import numpy as np

from rotation.grid import INF, Bools, Grid, Ints, plus, range_min, sliding_min
from rotation.hot import fits
from rotation.moments import Moments
from rotation.oven_turns import bake_turns
from rotation.problem import GRID, Bread, Problem, Process, UnderWay, Wait, Wish, lowest, value_at


class Stages:
    """The stages of one bake up to its oven: one bread and process, mixed on one day or already under way."""

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
        late: int = 0,
    ) -> None:
        self.problem, self.grid, self.moments = problem, grid, moments
        self.bread, self.process, self.wish, self.begun = bread, process, wish, begun
        self.late = late
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
            length = stage.hands + stage.hands_per_piece * max(
                self.process.pieces, default=self.begun.pieces if self.begun else 1
            )
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
        times = np.arange(self.origin, self.origin + len(cost)) * GRID
        if self.wish is not None and name == self.wish.step:
            cost = np.where(times == self.wish.at, self.grid.moved("bakes", minutes, self.wish.at), INF)
        if priced != total and minutes:
            cost = np.where(cost < INF, cost // minutes * self.hands(name, priced), INF)
        if name == "mix":
            first, last = self.problem.midnights[max(self.day, 0)], self.problem.midnights[max(self.day, 0) + 1]
            cost[(times < first) | (times >= last)] = INF
            for wish in self.problem.wishes:
                if wish.kind == "no bake" and wish.bread == self.bread.id:
                    cost[(times >= wish.at) & (times < wish.until)] = INF
        return cost

    def to_oven(self, total: int, priced: int) -> Ints | None:
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
            reach = moved if following == "oven" else plus(moved, self.job(following, total, priced))
            at += 1
        if reach is None:
            return self._first("oven", total, priced)
        return reach

    def _first(self, name: str, total: int, priced: int) -> Ints:
        """Return the cost of the first step still to do: any start, or what real times leave."""
        cost = np.zeros(self.stop - self.origin, dtype=np.int64) if name == "oven" else self.job(name, total, priced)
        if self.begun is None:
            return cost
        times = np.arange(self.origin, self.stop) * GRID
        cost[times < self.window(name)[0]] = INF
        return cost if name == "oven" else self.in_time(name, cost, cost)

    def in_time(self, name: str, cost: Ints, alone: Ints) -> Ints:
        """Return the cost of the next step of a bake under way, to the end of its window; if late, only the first.

        alone: its cost where nothing else helps, as an oven that is hot: if it cannot be in time then, it may be late.
        Both so many minutes later where other dough is in the way.
        """
        index = np.arange(self.stop - self.origin)
        inside = (index + self.origin) * GRID <= self.window(name)[1]
        if (alone[inside] < INF).any() or (cost[inside] < INF).any():
            last = int(np.flatnonzero(inside)[-1])
        else:
            last = int(np.argmax(cost < INF))
        return np.where(index <= last + self.late // GRID, cost, INF)

    def window(self, name: str) -> tuple[int, int]:
        """Return the earliest and latest start of the next step of a bake under way, from its real times."""
        return self.process.windows(self.done, self.day).get(name, (0, self.problem.end))

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
            inner = plus(sliding_min(inner, low, high), jobs[np.minimum(columns, len(jobs) - 1)])
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
        """Say for each start where something the bake holds between two neighbours has no room in an empty house."""
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
        return min((bake_turns(self.process, pieces, oven)[-1].start for oven in ovens), default=0)
