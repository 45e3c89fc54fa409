"""The freezer as it is now, bag by bag, and what a movement did: for the screen and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.intended import Eaten, Use
from rotation.ledger import LotState, Movement, Share
from rotation.show.fit import WIDTH, fit
from rotation.words import FORM_WORDS, clock, count, date_words, listed, weekday

SCHEMA = "rotation/freezer/1"
"""Name and version of what `rotation freezer list --json` prints."""


MOST_USES = 4
"""Uses of a bag that are printed; JSON has them all."""

Planned = Mapping[str, Sequence[Use]]
"""What the kept plan takes out of each bag, by its id."""


def lines(
    lots: Sequence[LotState], zone: ZoneInfo, planned: Planned | None = None, now: datetime | None = None,
    width: int = WIDTH,
) -> Iterator[str]:  # fmt: skip
    """Yield a line for each bag, oldest first, and beneath it what the plan means it for. now: to name near days."""
    if not lots:
        yield "The freezer is empty, as far as we know."
    for state in lots:
        lot = state.lot
        what = f"{state.left} {clean(lot.bread, 40)}, {clean(lot.form, 40)}"
        yield f"bag {lot.letter:<3} {what:<32} bagged {date_words(lot.bagged.astimezone(zone)):<7} {standing(state)}"
        meant = (planned or {}).get(lot.id, ())
        if meant:
            yield from fit(f"        {meant_for(state, meant, zone, now)}", 10, width)


def standing(state: LotState) -> str:
    """Return "eat within 9 days", or how a bag stands that is not good any more."""
    left = f"eat within {count(state.days_left, 'day')}"
    if state.standing.value == "still freezing":
        return f"still freezing, {left}"
    return left if state.standing.value == "good" else state.standing.value


def meant_for(state: LotState, meant: Sequence[Use], zone: ZoneInfo, now: datetime | None) -> str:
    """Return "1 for Supper (Tue 18:30); 2 free"."""
    said = [f"{use.units} for {listed(_meal(meal, zone, now) for meal in use.meals)}" if use.meals
            else f"{use.units} later" for use in meant[:MOST_USES]]  # fmt: skip
    more, rest = meant[MOST_USES:], state.left - sum(use.units for use in meant)
    said += [f"{sum(use.units for use in more)} for {len(more)} more"] if more else []
    said += [f"{rest} free"] if rest > 0 else [f"{-rest} more than there is: plan again"] if rest < 0 else []
    return "; ".join(said)


def _meal(meal: Eaten, zone: ZoneInfo, now: datetime | None) -> str:
    at = meal.at.astimezone(zone)
    near = now is not None and (at.date() - now.astimezone(zone).date()).days < 7
    return f"{clean(meal.title, 60)} ({weekday(at)[:3]}{'' if near else ' ' + date_words(at)} {clock(at)})"


def moved(movement: Movement) -> str:
    """Return what a movement did: "2 out: 1 of bag A, 1 of bag B". Loaves and slices are not added up."""
    if not movement.shares:
        return "As we thought: nothing changed."
    total = movement.units
    if not total:
        again = movement.shares[-1]
        became = "as it was before" if movement.undoes else "frozen again, for toast"
        return f"{abs(again.units)} of bag {again.lot.letter} ({clean(again.lot.bread, 40)}): {became}."
    unlike = len({share.lot.form == "sliced" for share in movement.shares}) > 1
    bags = ", ".join(
        f"{_units(share, named=unlike)} of bag {share.lot.letter} ({clean(share.lot.bread, 40)})"
        for share in movement.shares
    )
    way = "in" if total > 0 else "out"
    return f"{way.capitalize()}: {bags}." if unlike else f"{abs(total)} {way}: {bags}."


def _units(share: Share, *, named: bool) -> str:
    """Return "2", or "2 part-baked" and "16 slices" where they stand side by side."""
    number, form = abs(share.units), share.lot.form
    if not named:
        return str(number)
    return count(number, "slice") if form == "sliced" else f"{number} {FORM_WORDS.get(form, clean(form, 40))}"


def stock_json(
    lots: Sequence[LotState], household: str, now: datetime, zone: ZoneInfo, planned: Planned | None = None
) -> dict[str, Any]:
    """Return the bags as plain JSON values; `pieces` are slices where the form is sliced; `planned`: what is meant."""

    def iso(at: datetime | None) -> str | None:
        return None if at is None else at.astimezone(zone).isoformat(timespec="minutes")

    return {
        "schema": SCHEMA,
        "household": clean(household),
        "zone": str(zone),
        "now": iso(now),
        "lots": [
            {
                "id": state.lot.id,
                "letter": state.lot.letter,
                "bread": state.lot.bread,
                "form": state.lot.form,
                "pieces": state.left,
                "bagged": iso(state.lot.bagged),
                "through": iso(state.lot.through),
                "eat_first": iso(state.lot.eat_first),
                "toast_after": iso(state.lot.toast_after),
                "strict": iso(state.lot.strict_until),
                "standing": state.standing.value,
                "days_left": state.days_left,
                "planned": [
                    {
                        "at": iso(use.at),
                        "pieces": use.units,
                        "meals": [{"summary": clean(meal.title), "start": iso(meal.at)} for meal in use.meals],
                    }
                    for use in (planned or {}).get(state.lot.id, ())
                ],
            }
            for state in lots
        ],
    }
