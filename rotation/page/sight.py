"""What the views look at: the kept plan, what was said of it, and the freezer, read together once a minute at most."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any, TypeVar, cast

from rotation import assuming
from rotation.at_hand import AtHand, at_hand
from rotation.errors import StorageError
from rotation.happened import Happened
from rotation.household.reading import Home
from rotation.intended import Use, document, planned_id
from rotation.ledger import Happenings, LotState
from rotation.page.kitchen import Kitchen
from rotation.real_times import Otherwise, otherwise
from rotation.show.now import Words
from rotation.show.told import Told, told
from rotation.stockroom import freezer, held, planned

Made = TypeVar("Made")


@dataclass(frozen=True)
class Sight:
    """A household at one minute; what follows from it is worked out once, however many look.

    plan: as it is shown, None where none is kept; letters: of bags baked since it; known: what `once` worked out.
    """

    home: Home
    now: datetime
    plan: dict[str, Any] | None
    happened: tuple[Happened, ...]
    letters: Mapping[str, str]
    held: tuple[LotState, ...]
    meant: Mapping[str, Sequence[Use]]
    known: dict[str, Any] = field(default_factory=dict, compare=False)

    def once(self, name: str, make: Callable[[], Made]) -> Made:
        """Return what `make` made of this sight the first time, by name. Two at once may both make it, and the same."""
        if name not in self.known:
            self.known[name] = make()
        return cast(Made, self.known[name])

    @property
    def words(self) -> Words:
        """Says what tasks are."""
        return Words(self.home, self.now)

    @cached_property
    def told(self) -> tuple[Told, ...]:
        """All tasks of the plan in time order, with what was said of each."""
        return () if self.plan is None else tuple(told(self.plan, self.happened, self.letters))

    @cached_property
    def hand(self) -> AtHand:
        """What is at hand of the plan, which there must be."""
        assert self.plan is not None
        return at_hand(self.plan, self.happened, self.now, self.letters)

    @cached_property
    def otherwise(self) -> tuple[Otherwise, ...]:
        """What went otherwise than the plan has it, so that what follows is to be planned again."""
        return () if self.plan is None or self.over else tuple(otherwise(self.plan, self.happened, self.now))

    @property
    def over(self) -> bool:
        """Whether the kept plan has ended."""
        return self.plan is not None and datetime.fromisoformat(self.plan["horizon"]["end"]) <= self.now


def look(kitchen: Kitchen) -> Sight:
    """Return what there is to see now. What the plan meant for a while ago, and nobody spoke of, is assumed."""
    home, now = kitchen.home(), kitchen.moment().replace(second=0, microsecond=0)
    with suppress(StorageError):  # on a disk that may only be read there is still something to see
        kitchen.remembered("settled", lambda: assuming.settle(home, now, now - assuming.LATE), now)
    return kitchen.remembered("sight", lambda: _read(home, now), now)


def _read(home: Home, now: datetime) -> Sight:
    with freezer(home, now, readonly=True) as ledger:
        letters = {planned_id(state.lot.id): state.lot.letter for state in ledger.lots(now)}
        return Sight(
            home, now, document(ledger.kept_plan()), Happenings(ledger).standing(), letters,
            held(home, ledger, now), planned(ledger, now),
        )  # fmt: skip
