"""What nobody spoke of: a thaw is taken to be done, a bake is asked about once, meals that are over are eaten."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from rotation.carried import Carried, from_text
from rotation.errors import BadInput
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.intended import document
from rotation.ledger import Happenings, Kind, Ledger, Told
from rotation.naming import THAW
from rotation.recording import assume, out_of_freezer
from rotation.steps import Target, at_meals, in_order, known_steps, lasting
from rotation.stockroom import freezer

EARLY, LATE = timedelta(hours=12), timedelta(hours=4)
"""What was taken out by hand so long before a planned thaw, or after it, of the same bread and form, was that thaw."""

AT_MEAL = timedelta(hours=1)
"""The same of slices that are planned for a meal itself."""


def settle(home: Home, now: datetime, until: datetime | None = None) -> tuple[str, ...]:
    """Record what the kept plan says of the time until now and nobody spoke of; return what the family is asked.

    until: only of the time until then.

    Thaws, the finishes of what is out of the freezer, and slices count as done, bakes as open (`plan.unconfirmed_thaw`,
    `plan.unconfirmed_bake`). Twice is once. Raises StorageError.
    """
    over = min(until or now, now)
    with freezer(home, now, readonly=True) as ledger:
        text = ledger.whole_plan()
        due = [] if text is None else _due(home, ledger, text, over)
        new = text is not None and (due or next(_eaten(ledger, from_text(text), over), None) is not None)
    if text is None or not new:
        return ()
    with freezer(home, now, moving=True) as ledger, ledger.together():
        Happenings(ledger).record(_eaten(ledger, from_text(text), over), now)
        rows = Happenings(ledger).standing()
        said = {(row.thing, row.step) for row in rows}
        begun = {row.thing for row in rows if row.what in (What.DONE, What.SKIPPED)}
        due = _due(home, ledger, text, over)
        plan = home.settings.plan
        for target in due:
            setting = plan.unconfirmed_thaw if target.bake is None else plan.unconfirmed_bake
            known = (target.thing, target.step) in said
            if setting == "assume" and not known and out_of_freezer(ledger, target):
                _assume(home, ledger, target, now)
        if plan.unconfirmed_bake == "assume":
            return ()
        asked = [target for target in due if target.bake is not None and target.thing not in begun]
        return tuple(_ask(ledger, asked, {row.thing for row in rows if row.what is What.ASKED}, now))


def _due(home: Home, ledger: Ledger, text: str, now: datetime) -> list[Target]:
    """Return the steps that were to begin by now, in their order."""
    meals = at_meals(from_text(text), Told(ledger).states())
    due = [target for target in (*known_steps(ledger, home.zone).values(), *meals) if target.start < now]
    return in_order(due)


def _assume(home: Home, ledger: Ledger, target: Target, now: datetime) -> None:
    """Record a step as planned, unless its bag is not there, or was taken out by hand."""
    if target.step == THAW and _by_hand(ledger, target, now):
        return
    try:
        assume(home, ledger, target, now)
    except BadInput:  # what was to be taken is not there: the freezer's own count holds
        return


def _by_hand(ledger: Ledger, target: Target, now: datetime) -> bool:
    """Say whether a person took units of the same bread and form about then, and record the thaw as that."""
    assert target.out is not None
    early, late = (EARLY, LATE) if target.name else (AT_MEAL, AT_MEAL)
    used = {id_ for row in Happenings(ledger).standing() for id_ in row.movements}
    for movement in ledger.history():
        alike = {(share.lot.bread, share.lot.form) for share in movement.shares} == {(target.bread, target.out.form)}
        near = target.start - early <= movement.at <= target.start + late
        if movement.kind is Kind.TAKEN and alike and near and not movement.undone and movement.id not in used:
            row = Happened(
                id=f"done {target.thing} {THAW}", thing=target.thing, step=THAW, what=What.DONE, name=target.name,
                start=movement.at, end=movement.at, count=-movement.units, planned=target.text,
                movements=(movement.id,), sure=False,
            )  # fmt: skip
            Happenings(ledger).record([row], now)
            return True
    return False


def _ask(ledger: Ledger, due: Iterable[Target], asked: set[str], now: datetime) -> Iterator[str]:
    """Yield a question for each bake that was to begin and of which nothing was said, once."""
    for target in due:
        if target.thing in asked:
            continue
        asked.add(target.thing)
        row = Happened(
            id=f"asked {target.thing}", thing=target.thing, step=target.step, what=What.ASKED, name=target.name,
            start=target.start, planned=target.text,
        )  # fmt: skip
        Happenings(ledger).record([row], now)
        day = f"{target.start:%a} {target.start.day} {target.start:%b}"
        yield (
            f"Did the bake of {target.bread} begin, {day} {target.start.hour}:{target.start:%M}? Its loaves are not "
            f"counted until you say so: rotation done {target.name}, or rotation skip {target.name}"
        )


def _eaten(ledger: Ledger, carried: Carried, now: datetime) -> Iterator[Happened]:
    """Yield what the meals that are over ate, as the kept plan says."""
    text, known = ledger.kept_plan(), Told(ledger).states()
    for meal in (document(text) or {}).get("meals", ()):
        at = datetime.fromisoformat(meal["start"])
        if at >= now:
            continue
        for source in meal["from"]:
            thing = lasting(carried, source["source"], known)
            yield Happened(
                id=f"eaten {meal['id']} {thing}", thing=thing, step=meal["id"], what=What.EATEN,
                start=at, end=at, count=source["portions"], sure=False,
            )  # fmt: skip
