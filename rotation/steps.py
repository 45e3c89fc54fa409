"""The steps a person can speak of by name: those of the plan kept, and of what was asked about or recorded before."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from rotation.carried import Carried, from_text, to_text
from rotation.errors import BadInput, Mistake
from rotation.happened import Happened, What
from rotation.household.mistakes import closest
from rotation.ledger import Happenings, Ledger, Told
from rotation.naming import FINISH, OUT, THAW, Key, moments, names
from rotation.plan import Bake, Plan, TakeOut


@dataclass(frozen=True)
class Target:
    """A step by name. thing: its lasting id; alone: the plan with nothing but this thing; start, end: as planned."""

    name: str
    thing: str
    step: str
    bread: str
    start: datetime
    end: datetime
    alone: Carried

    @property
    def bake(self) -> Bake | None:
        """The bake, if it is a step of one."""
        return next(iter(self.alone.plan.bakes), None)

    @property
    def out(self) -> TakeOut | None:
        """What is taken out of the freezer, if it is a thaw, or finished, if it is a finish."""
        return next(iter(self.alone.plan.take_outs), None)

    @property
    def order(self) -> tuple[str, ...]:
        """All steps of the thing in their order, the loaves coming out of the oven among them."""
        if self.bake is None:
            return (self.step,)
        return tuple(
            name for step in self.bake.steps for name in ((step.name, OUT) if step.name == "oven" else (step.name,))
        )

    def planned(self, step: str) -> tuple[datetime, datetime]:
        """Return when a step of the thing begins and ends as planned."""
        if self.bake is None:
            return self.start, self.end
        found = self.bake.step(step)
        minutes = (self.bake.stay.end,) * 2 if found is None else (found.start, found.end)
        return self.alone.instant(minutes[0]), self.alone.instant(minutes[1])

    @property
    def text(self) -> str:
        """The plan with nothing but this thing, as it is recorded."""
        return to_text(self.alone)


def lasting(carried: Carried, id_: str, known: Mapping[str, object]) -> str:
    """Return the id under which what happens to a thing is recorded: its own once published or begun, else a dated one.

    A plan that is only kept calls its things by bread and day, which come again every year.
    """
    begun = any(bake.id == id_ and bake.under_way is not None for bake in carried.plan.bakes)
    return id_ if id_ in known or begun or "@" in id_ else f"{id_}@{carried.zero.year}"


def of_plan(carried: Carried, zone: ZoneInfo, known: Mapping[str, object]) -> dict[str, Target]:
    """Return every step of a plan that is still to come in it, by name. known: ids of what was published."""
    return {target.name: target for target in _targets(carried, names(carried.plan, _local(carried, zone)), known)}


def _local(carried: Carried, zone: ZoneInfo) -> Callable[[int], datetime]:
    return lambda minute: carried.instant(minute).astimezone(zone)


def _targets(carried: Carried, named: Mapping[Key, str], known: Mapping[str, object]) -> list[Target]:
    found = []
    for moment in sorted(moments(carried.plan), key=lambda moment: (moment.start, moment.key)):
        id_, step = moment.key
        found.append(
            Target(
                named[moment.key],
                lasting(carried, id_, known),
                step,
                moment.bread,
                carried.instant(moment.start),
                carried.instant(moment.end),
                alone(carried, id_),
            )
        )
    return found


def in_order(targets: Iterable[Target]) -> list[Target]:
    """Return steps in the order in which they are planned: of those at one minute, what is finished is out first."""
    return sorted(targets, key=lambda one: (one.start, one.step == FINISH, one.order.index(one.step)))


def at_meals(carried: Carried, known: Mapping[str, object]) -> Iterator[Target]:
    """Yield what a plan takes from the freezer at a meal. Nobody speaks of it, so it has no name."""
    for out in carried.plan.take_outs:
        if out.who is None:
            at = carried.instant(out.at)
            yield Target("", lasting(carried, out.id, known), THAW, out.bread, at, at, alone(carried, out.id))


def alone(carried: Carried, id_: str) -> Carried:
    """Return the plan with nothing but one bake, or one thaw with its finish and whom it feeds."""
    plan = carried.plan
    finishes = tuple(one for one in plan.finishes if id_ in (one.id, one.take_out))
    outs = {id_, *(one.take_out for one in finishes)} & {out.id for out in plan.take_outs}
    return carried.with_plan(
        Plan(
            bakes=tuple(bake for bake in plan.bakes if bake.id == id_),
            take_outs=tuple(out for out in plan.take_outs if out.id in outs),
            finishes=finishes,
            servings=tuple(one for one in plan.servings if one.source in outs),
            feedings=tuple(feed for feed in plan.feedings if feed.id == id_),
        )
    )


def known_steps(ledger: Ledger, zone: ZoneInfo) -> dict[str, Target]:
    """Return every step that can be spoken of, by name: of the plan kept, then of what was recorded before."""
    published, found = Told(ledger).states(), dict[str, Target]()
    for row in Happenings(ledger).standing():
        if row.planned:
            found |= _recorded(row, zone, published)
    text = ledger.whole_plan()
    return found | ({} if text is None else of_plan(from_text(text), zone, published))


def _recorded(row: Happened, zone: ZoneInfo, published: Mapping[str, object]) -> dict[str, Target]:
    """Return the steps of a thing that something was recorded of; its lasting id is the record's.

    A thaw and its finish are two things, though both stand in the plan of either.
    """
    known = {
        name: replace(target, thing=row.thing) if target.bake is not None or target.step == row.step else target
        for name, target in of_plan(from_text(row.planned), zone, published).items()
    }
    if row.name and row.what is not What.EATEN:
        same = next((target for target in known.values() if target.step == row.step), None)
        if same is not None:
            known = {name: target for name, target in known.items() if target.step != row.step}
            known[row.name] = replace(same, name=row.name)
    return known


def of_record(row: Happened, zone: ZoneInfo, published: Mapping[str, object]) -> Target:
    """Return the step that a record of a step by name speaks of."""
    return next(target for target in _recorded(row, zone, published).values() if target.step == row.step)


def named(ledger: Ledger, zone: ZoneInfo, name: str) -> Target:
    """Return the step a person means. Raises BadInput for a name there is not."""
    steps = known_steps(ledger, zone)
    target = steps.get(name.strip().lower())
    if target is None:
        near = closest(name, steps) if steps else "Make a plan first: rotation plan"
        raise BadInput(Mistake("done", None, "", f'there is no step "{name[:60]}" in the plan.', near))
    return target
