"""The ledger against a plain model in memory, over random lives of a freezer."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count, product
from pathlib import Path
from string import ascii_uppercase
from types import MappingProxyType
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from rotation.errors import BadInput
from rotation.ledger import Ledger, Movement, NewLot, Note, book, storage
from rotation.ledger.csv_file import from_csv, to_csv
from rotation.ledger.importing import bring_in

BREADS = st.sampled_from([("sourdough", "part-baked"), ("tin", "sliced")])
FORMATS = range(1, len(storage.MIGRATIONS) + 1)
LETTERS = [*ascii_uppercase, *("".join(pair) for pair in product(ascii_uppercase, repeat=2))]


@dataclass
class Bag:
    """A lot of the model."""

    id: str
    letter: str
    kept: tuple[str, str]
    order: tuple[datetime, datetime, str]
    left: int
    touched: datetime
    mistaken: bool = False


@dataclass
class Act:
    """A movement of the model."""

    id: str
    kind: str
    change: dict[str, int]
    undone: bool = False


@dataclass
class Model:
    """A freezer as somebody with a pencil would keep it."""

    bags: list[Bag] = field(default_factory=list)
    acts: list[Act] = field(default_factory=list)

    def of(self, kept: tuple[str, str]) -> list[Bag]:
        return sorted((bag for bag in self.bags if bag.kept == kept and bag.left), key=lambda bag: bag.order)

    def deal(self, kept: tuple[str, str], units: int) -> dict[str, int] | None:
        out: dict[str, int] = {}
        for bag in self.of(kept):
            while units and bag.left + out.get(bag.id, 0):
                out[bag.id] = out.get(bag.id, 0) - 1
                units -= 1
        return None if units else out

    def found(self, kept: tuple[str, str], units: int) -> dict[str, int] | None:
        for act in reversed(self.acts):
            bags = [bag for bag in self.bags if act.change.get(bag.id, 0) < 0 and bag.kept == kept]
            if bags and not act.undone and act.kind != "undone":
                last = max(bags, key=lambda bag: bag.order)
                if self.free(last):
                    return {last.id: units}
                break
        return {self.of(kept)[0].id: units} if self.of(kept) else None

    def free(self, bag: Bag, change: Mapping[str, int] = MappingProxyType({})) -> bool:
        left = {other.id: other.left + change.get(other.id, 0) for other in self.bags if other is not bag}
        return not any(left.get(other.id) and other.letter == bag.letter for other in self.bags)

    def letter(self, now: datetime) -> str:
        week = now - timedelta(days=7)
        used = {bag.letter for bag in self.bags if bag.left or (bag.touched > week and not bag.mistaken)}
        return next(letter for letter in LETTERS if letter not in used)

    def allowed(self, change: dict[str, int]) -> bool:
        bags = {bag.id: bag for bag in self.bags}
        return all(
            bags[id_].left + units >= 0 and (bags[id_].left or self.free(bags[id_], change))
            for id_, units in change.items()
        )

    def apply(self, act: Act, now: datetime) -> None:
        for bag in self.bags:
            if bag.id in act.change:
                bag.left += act.change[bag.id]
                bag.touched = max(bag.touched, now)
        self.acts.append(act)


class Freezer(RuleBasedStateMachine):
    @initialize(old=st.sampled_from([*FORMATS, *[FORMATS[-1]] * 4]))
    def empty(self, old: int) -> None:
        """Begin with an empty file of one of the formats there ever were; the newest comes last."""
        ids = count()  # of bags that are alike but for it, the order would be another each time
        book.uuid4 = lambda: f"{next(ids):08}"
        self.folder = Path(tempfile.mkdtemp())
        storage.connect(self.folder / storage.FILE, migrations=storage.MIGRATIONS[:old]).close()
        self.ledger = Ledger.open(self.folder)
        self.model = Model()
        self.now = datetime(2027, 3, 1, 16, 30, tzinfo=UTC)
        self.calls: list[tuple[Callable[[], Movement], Movement]] = []

    def teardown(self) -> None:
        if hasattr(self, "ledger"):
            self.carry_elsewhere()
            self.ledger.close()
            shutil.rmtree(self.folder)
            book.uuid4 = uuid4

    def note(self, reason: str = "") -> Note:
        return Note(now=self.now, id=f"movement-{len(self.calls)}-{len(self.model.acts)}", reason=reason)

    def expect(self, kind: str, change: dict[str, int] | None, call: Callable[[], Movement]) -> None:
        """Hold a call against the change the model makes of it; None: it is refused."""
        if change is None or not self.model.allowed(change):
            with pytest.raises(BadInput):
                call()
            return
        movement = call()
        assert movement.kind == kind
        assert {share.lot.id: share.units for share in movement.shares} == change
        self.model.apply(Act(movement.id, kind, change), self.now)
        self.calls.append((call, movement))

    @rule(kept=BREADS, units=st.integers(1, 5), days_ago=st.integers(0, 3), baked=st.booleans())
    def add(self, kept: tuple[str, str], units: int, days_ago: int, baked: bool) -> None:
        bagged = self.now - timedelta(days=days_ago)
        bag = Bag(f"lot-{len(self.model.bags)}", self.model.letter(self.now), kept, (bagged, bagged, ""), 0, self.now)
        bag.order = (bagged + timedelta(days=28), bagged, bag.id)
        bread, form = kept
        dates = {"through": bagged, "eat_first": bag.order[0], "toast_after": bagged + timedelta(days=84)}
        lot = NewLot(id=bag.id, bread=bread, form=form, units=units, bagged=bagged, **dates)
        note = self.note()
        self.model.bags.append(bag)
        self.expect("baked" if baked else "added", {bag.id: units}, lambda: self.ledger.add(lot, note, baked=baked))
        assert self.calls[-1][1].shares[0].lot.letter == bag.letter

    @rule(kept=BREADS, units=st.integers(1, 7))
    def take(self, kept: tuple[str, str], units: int) -> None:
        note = self.note()
        self.expect("taken", self.model.deal(kept, units), lambda: self.ledger.take(*kept, units, note))

    @rule(data=st.data(), units=st.integers(1, 3), discard=st.booleans())
    def from_a_lot(self, data: st.DataObject, units: int, discard: bool) -> None:
        if not self.model.bags:
            return
        bag = data.draw(st.sampled_from(self.model.bags))
        change = {bag.id: -units} if bag.left else None
        note = self.note("crumbs")
        if discard:
            self.expect("discarded", change, lambda: self.ledger.discard(bag.id, units, note))
        else:
            self.expect("taken", change, lambda: self.ledger.take_from(bag.id, units, note))

    @rule(kept=BREADS, units=st.integers(0, 9))
    def count(self, kept: tuple[str, str], units: int) -> None:
        missing = sum(bag.left for bag in self.model.of(kept)) - units
        change = self.model.deal(kept, missing) if missing >= 0 else self.model.found(kept, -missing)
        note = self.note()
        self.expect("counted", change, lambda: self.ledger.count(*kept, units, note))

    @rule(data=st.data(), units=st.integers(0, 5))
    def count_lot(self, data: st.DataObject, units: int) -> None:
        if not self.model.bags:
            return
        bag = data.draw(st.sampled_from(self.model.bags))
        note = self.note()
        change = {bag.id: units - bag.left} if units != bag.left else {}
        self.expect("counted", change, lambda: self.ledger.count_lot(bag.id, units, note))

    @rule(data=st.data())
    def refreeze(self, data: st.DataObject) -> None:
        if not self.model.bags:
            return
        bag, note, now = data.draw(st.sampled_from(self.model.bags)), self.note("power cut"), self.now
        if not bag.left:
            self.expect("added", None, lambda: self.ledger.refreeze(bag.id, now, note))
            return
        movement = self.ledger.refreeze(bag.id, now, note)
        (again,) = (share.lot for share in movement.shares if share.units > 0)
        assert again.letter == bag.letter
        order = (now, bag.order[1], again.id)
        self.model.bags.append(Bag(again.id, bag.letter, bag.kept, order, 0, now))
        self.model.apply(Act(movement.id, "added", {bag.id: -bag.left, again.id: bag.left}), now)
        self.calls.append((lambda: self.ledger.refreeze(bag.id, now, note), movement))

    def carry_elsewhere(self) -> None:
        """Hold the whole history, once it is over, against itself in another ledger."""
        written = from_csv(to_csv(self.ledger.history()), "h.csv")
        with tempfile.TemporaryDirectory() as folder, Ledger.open(Path(folder)) as other:
            assert bring_in(other, written, "h.csv", self.now).new == len(written)
            assert other.history() == self.ledger.history()
            assert other.lots(self.now) == self.ledger.lots(self.now)

    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        if not self.model.acts:
            return
        act = data.draw(st.sampled_from(self.model.acts))
        if act.undone:
            before = len(self.ledger.history())
            assert self.ledger.undo(act.id, Note(now=self.now)).undoes == act.id
            assert len(self.ledger.history()) == before
            return
        change = None if act.kind == "undone" else {id_: -units for id_, units in act.change.items()}
        now = self.now
        before = len(self.model.acts)
        self.expect("undone", change, lambda: self.ledger.undo(act.id, Note(now=now)))
        if len(self.model.acts) > before:
            act.undone = True
            for bag in self.model.bags:
                bag.mistaken |= act.kind in ("added", "baked") and act.change.get(bag.id, 0) > 0

    @rule(data=st.data())
    def repeat(self, data: st.DataObject) -> None:
        if self.calls:
            call, first = data.draw(st.sampled_from(self.calls))
            again = call()
            assert (again.id, again.kind, again.at, again.shares) == (first.id, first.kind, first.at, first.shares)

    @rule(days=st.integers(1, 8))
    def wait(self, days: int) -> None:
        self.now += timedelta(days=days)

    @rule()
    def open_again(self) -> None:
        self.ledger.close()
        self.ledger = Ledger.open(self.folder)

    @invariant()
    def same_stock(self) -> None:
        if not hasattr(self, "model"):
            return
        ours = [(state.lot.id, state.lot.letter, state.left) for state in self.ledger.lots(self.now)]
        bags = sorted((bag for bag in self.model.bags if bag.left), key=lambda bag: bag.order)
        assert ours == [(bag.id, bag.letter, bag.left) for bag in bags]
        assert len({letter for _, letter, _ in ours}) == len(ours)

    @invariant()
    def same_history(self) -> None:
        if hasattr(self, "model"):
            ours = [(movement.id, movement.kind, movement.undone) for movement in self.ledger.history()]
            assert ours == [(act.id, act.kind, act.undone) for act in self.model.acts]


@pytest.mark.parametrize(
    ("examples", "steps"), [(15, 25), pytest.param(300, 60, marks=pytest.mark.long)], ids=["quick", "long"]
)
def test_the_ledger_keeps_what_a_pencil_would(examples, steps):
    profile = settings(
        max_examples=examples,
        stateful_step_count=steps,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    run_state_machine_as_test(Freezer, settings=profile)
