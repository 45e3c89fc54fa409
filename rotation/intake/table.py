"""What may be put on a table: breads and ways for a meal, allergens to keep away, the price of age."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from rotation.allergens import UNKNOWN
from rotation.household.settings import Household
from rotation.household.shapes import dough_of
from rotation.intake.notes import Notes, some
from rotation.intake.people import Presence
from rotation.problem import BOUGHT, FINISHED, FRESH, TABLE, Accept, Bread

ANY_AGE = 28 * 1440
"""Minutes: no limit beyond the bread's own keeping time."""

WARM = 60
"""Minutes since it was ready within which bread is warm."""


@dataclass(frozen=True)
class Table:
    """The household's breads as meals see them."""

    household: Household
    breads: tuple[Bread, ...]
    notes: Notes

    @cached_property
    def kinds(self) -> dict[str, frozenset[str]]:
        """Return the ways each bread can come."""
        return {bread.id: ways_of(bread) for bread in self.breads}

    def without(self, present: Iterable[Presence], more: Iterable[str] = ()) -> frozenset[str]:
        """Return the allergens that must be absent for these people, and for everybody always."""
        return frozenset((*self.household.nobody_eats, *more, *(a for each in present for a in each.resident.without)))

    def accepts(
        self,
        breads: Sequence[str],
        ways: Sequence[str],
        without: frozenset[str],
        max_age: int = ANY_AGE,
        *,
        warm: bool = False,
    ) -> tuple[Accept, ...]:
        """Return these breads (all if none) in these ways (all if none), but none that holds anything of `without`.

        Dough that took another shape will do where its bread does.
        """
        kinds = frozenset(ways) or frozenset.union(*self.kinds.values())
        if warm:
            kinds, max_age = kinds & {FRESH, FINISHED}, min(max_age, WARM)
        fitting = [
            Accept(bread.id, kinds & self.kinds[bread.id], max_age)
            for bread in self.breads
            if (not breads or dough_of(bread.id) in breads) and not harmful(bread, without)
        ]
        return tuple(accept for accept in fitting if accept.kinds)

    def for_guests(self) -> tuple[Accept, ...]:
        """Return what the strict meals of the household's rules accept."""
        rules = (rule for rule in self.household.meals if rule.strict and rule.effect == "meal")
        return tuple(
            each
            for rule in rules
            for each in self.accepts(rule.breads, rule.ways, self.without((), rule.without), warm=rule.warm)
        )

    def bought(self, ways: Sequence[str], *, warm: bool = False) -> bool:
        """Say whether a bought loaf is one of these ways (all if none); no shop sells warm bread."""
        return (not ways or BOUGHT in ways) and not warm

    def age_milli(self, use: str) -> int:
        """Return the milli effort of a portion that is a quarter of a day older."""
        return round(1000 * float(getattr(self.household.weights.age, use)))

    def say_unfed(self, summary: str, without: frozenset[str]) -> None:
        """Note that no bread of the house will do for a meal."""
        why = f" without {some(sorted(without), 5)}" if without else ""
        self.notes.add("meals", f"No bread of the house will do for {summary}{why}.")


def ways_of(bread: Bread) -> frozenset[str]:
    """Return the ways a bread can come to a meal: fresh if a piece may go to the table, else by its routes."""
    fresh = any(treatment.id == TABLE for process in bread.processes for treatment in process.treatments)
    return frozenset(({FRESH} if fresh else set()) | {route.gives for route in bread.routes})


def harmful(bread: Bread, without: frozenset[str]) -> bool:
    """Say whether a bread holds something that must be absent; an unknown ingredient counts as present."""
    return bool(without) and (UNKNOWN in bread.allergens or not without.isdisjoint(bread.allergens))
