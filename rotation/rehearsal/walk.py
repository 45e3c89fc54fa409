"""The steps of one bake put after each other into free hours: each at the soonest minute from which all others fit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from rotation.facts import Job
from rotation.oven_turns import Turn, bake_turns, events, temperatures
from rotation.plan import Bake, Load, Stay, Step
from rotation.problem import COLD_WITHIN, GRID, TABLE, Bread, Oven, Problem, Process, UnderWay


class Hands(Protocol):
    """Whose hands and which oven are free, beside what is planned already."""

    problem: Problem

    def who(self, start: int, minutes: int, bakes: bool, busy: Iterable[Job] = ()) -> str | None:
        """Return who can do a job, None: nobody."""

    def cold(
        self, oven: Oven, start: int, end: int, vessel: bool, bakes: bool, busy: Iterable[Job] = ()
    ) -> tuple[int, str] | None:
        """Return from when an oven is heated for a stay and by whom, None where it is taken."""


def up(minute: int) -> int:
    """Return the next planned start."""
    return -(-minute // GRID) * GRID


class Walk:
    """The steps of one bake, tried one after the other."""

    def __init__(
        self, hands: Hands, id_: str, bread: Bread, process: Process, pieces: tuple[tuple[str, int], ...], day: int,
        begun: UnderWay | None, *, late: bool = False,
    ) -> None:  # fmt: skip
        self.hands, self.id, self.bread, self.process, self.pieces, self.day = hands, id_, bread, process, pieces, day
        self.begun, self.late = begun, late
        self.total = sum(count for _, count in pieces)
        self.frozen = sum(count for form, count in pieces if form != TABLE)
        self.names = [stage.name for stage in process.stages if stage.name != "bag"]
        self.steps: dict[str, Step] = {n: Step(n, s, e, None) for n, s, e in begun.done} if begun else {}
        self.lates: list[str] = []
        self.failed: set[tuple[object, ...]] = set()

    def minutes(self, name: str) -> int:
        """Return the minutes of hands of a step."""
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * (self.frozen if name == "bag" else self.total)

    def from_start(self, start: int) -> Bake | None:
        """Return the bake whose first step begins at a minute."""
        return self._place(self.names[0], start)

    def from_done(self) -> Bake | None:
        """Return the bake as it goes on."""
        return self._oven_on() if "oven" in self.steps else self._next()

    def _next(self) -> Bake | None:
        """Try the next step at each minute its waits allow, the soonest first."""
        name = next(name for name in self.names if name not in self.steps)
        position = self.names.index(name)
        low = max((step.end for step in self.steps.values()), default=0)
        high = self.hands.problem.end
        for wait in self.process.waits:
            if wait.second == name and wait.first in self.steps:
                shortest, longest = wait.on(self.day)
                since = self.steps[wait.first].start if wait.whole else self.steps[wait.first].end
                last = self._last_load() if name == "oven" else 0
                low, high = max(low, since + shortest), min(high, since + longest - last)
        done = {n for n, _, _ in self.begun.done} if self.begun else set()
        if self.late and self.names[position - 1] in done:
            self.lates, high, low = [name], self.hands.problem.end, max(low, high + 1)
        open_ = tuple(
            self.steps[w.first].start
            for w in self.process.waits
            if w.whole and w.first in self.steps and self.names.index(w.second) > position
        )
        for start in range(up(max(low, 0)), high + 1, GRID):
            key = (name, start, open_)
            if key in self.failed:
                continue
            found = self._place(name, start)
            if found is not None:
                return found
            self.failed.add(key)
        return None

    def _place(self, name: str, start: int) -> Bake | None:
        """Put a step at a minute and all others after it; None where they do not fit."""
        if name == "mix" and self.hands.problem.day_of(start) != self.day:
            return None
        minutes = self.minutes(name)
        who = self.hands.who(start, minutes, True, self._mine())
        if who is None:
            return None
        self.steps[name] = Step(name, start, start + minutes, who)
        found = self._oven_on() if name == "oven" else self._next()
        if found is None:
            del self.steps[name]
        return found

    def _mine(self) -> list[Job]:
        return [Job(self.id, s.name, s.who, s.start, s.end, True, self.bread.id) for s in self.steps.values() if s.who]

    def _turns(self, oven: Oven) -> tuple[Turn, ...]:
        return bake_turns(self.process, self.pieces, oven)

    def _last_load(self) -> int:
        ovens = [o for o in self.hands.problem.ovens if o.places and (o.vessels or not self.process.programme.covered)]
        return min((self._turns(oven)[-1].start for oven in ovens), default=0)

    def _oven_on(self) -> Bake | None:
        """Return the bake with its stay and its bag."""
        start = self.steps["oven"].start
        for oven in self.hands.problem.ovens:
            if not oven.places or (self.process.programme.covered and not oven.vessels):
                continue
            stay = self._stay(oven, start)
            if stay is not None:
                return self._bagged(stay)
        return None

    def _stay(self, oven: Oven, start: int) -> Stay | None:
        programme, turns = self.process.programme, self._turns(oven)
        end, vessel = start + max(turn.out for turn in turns), programme.covered > 0
        hands, mine = list[Step](), self._mine()
        done = self.begun is not None and "oven" in {name for name, _, _ in self.begun.done}
        heat: tuple[int, str | None] | None = (
            (start, None) if done else self.hands.cold(oven, start, end, vessel, True, mine)
        )
        if heat is None:
            return None
        for event in events(turns, programme):
            at = start + event.offset
            who = None if done and at < 0 else self.hands.who(at, programme.handling, True, mine)
            if who is None and not (done and at < 0):
                return None
            hands.append(Step(event.name, at, at + programme.handling, who))
        loads = tuple(Load(t.pieces, start + t.start, start + t.uncover, start + t.out) for t in turns)
        return Stay(f"{self.id} oven", oven.id, programme.degc, vessel, "cold", heat[0], start, end, loads, heat[1],
                    tuple(hands), temperatures(turns, programme))  # fmt: skip

    def _bagged(self, stay: Stay) -> Bake | None:
        process, table = self.process, dict(self.pieces).get(TABLE, 0)
        put_in, late = None, list(self.lates)
        if self.frozen:
            frozen = [process.treatment(form) for form, _ in self.pieces if form != TABLE]
            least, most = max(t.cool for t in frozen), min(t.bag_by for t in frozen)
            most = min(most, COLD_WITHIN) if self.bread.filled else most
            minutes, latest = self.minutes("bag"), stay.end + most
            ends = self.hands.problem.end if self.late else latest
            busy = [*self._mine(), *(Job("", "", e.who, e.start, e.end, True, "") for e in stay.events if e.who)]
            starts = range(up(max(stay.end + least, 0)), ends + 1, GRID)
            at = next((at for at in starts if self.hands.who(at, minutes, True, busy) is not None), None)
            if at is None:
                return None
            who = self.hands.who(at, minutes, True, busy)
            self.steps["bag"] = Step("bag", at, at + minutes, who)
            put_in = at + minutes
            late += ["bag"] if at > latest else []
        rest = process.treatment(TABLE).cool if table else 0
        names = [stage.name for stage in process.stages if stage.name in self.steps]
        bake = Bake(
            self.id, self.bread.id, process.id, self.day, self.pieces, tuple(self.steps[n] for n in names), stay,
            stay.end + rest, put_in, tuple((f, f"{self.id}:{f}") for f, _ in self.pieces if f != TABLE),
            None if self.begun is None else self.begun.id, tuple(late),
        )  # fmt: skip
        self.steps.pop("bag", None)
        return bake
