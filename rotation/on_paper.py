"""What goes onto paper, and onto a page, read from the ledger: the week of the kept plan, labels of bags."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from rotation import buying
from rotation.at_hand import still_open
from rotation.bench import Contents, Way, contents_of, ways_of
from rotation.errors import BadInput, Mistake
from rotation.happened import Happened
from rotation.household.reading import Home
from rotation.intended import document
from rotation.ledger import Happenings, Lot
from rotation.show.labels import Label, label
from rotation.show.sheet import Sheet, sheet
from rotation.stockroom import STATE, freezer, held, planned


def week_sheet(home: Home, now: datetime, days: int | None = None) -> Sheet:
    """Return the sheet of the kept plan from today on. days: as many as the household says, if None. Reads the ledger.

    Raises BadInput where there is no plan to show, or all its days are over; StorageError.
    """
    with freezer(home, now, readonly=True) as ledger:
        plan, happened = document(ledger.kept_plan()), Happenings(ledger).standing()
        lots, meant = held(home, ledger, now), planned(ledger, now)
    if plan is None or "strips" not in plan:
        wrong = "no plan is kept." if plan is None else "the plan kept is of an older program."
        raise BadInput(Mistake("sheet", None, "", wrong, "Make one: rotation plan"))
    found = sheet(home, plan, happened, lots, meant, buying.to_buy(home, now), now, days or home.settings.paper.days)
    if found is None:
        raise BadInput(Mistake("sheet", None, "", "the plan kept is over.", "Plan on: rotation plan"))
    return found


def bag_labels(home: Home, now: datetime, wanted: Sequence[str] = (), *, ahead: bool = False) -> tuple[Label, ...]:
    """Return labels of bags, oldest first. wanted: letters or ids; none of them: all. Reads the ledger.

    ahead: of the bags the kept plan still fills, instead of those in the freezer. Raises BadInput where there is none,
    or not the one that is meant; StorageError.
    """
    with freezer(home, now, readonly=True) as ledger:
        if ahead:
            bags = _planned(document(ledger.kept_plan()), Happenings(ledger).standing(), now)
        else:
            bags = [(state.lot, state.left) for state in held(home, ledger, now)]
    if not bags:
        wrong = "the kept plan fills no bag." if ahead else "the freezer holds no bag, as far as we know."
        instead = "Plan on: rotation plan" if ahead else "Of bags still to be baked: rotation labels --planned"
        raise BadInput(Mistake("labels", None, "", wrong, instead))
    meant = [_meant(bags, name) for name in dict.fromkeys(wanted)] if wanted else bags
    ways, holds = dict[str, tuple[Way, ...]](), dict[str, Contents]()
    for bread in sorted({lot.bread for lot, _ in meant} & set(home.known)):
        whole = home.with_late([bread])
        ways[bread] = ways_of(whole, bread, now, home.folder / STATE)
        holds[bread] = contents_of(whole, bread, whole.breads[bread])
    return tuple(
        label(home, lot, units, ways.get(lot.bread, ()), holds.get(lot.bread), planned=ahead) for lot, units in meant
    )


def _meant(bags: Sequence[tuple[Lot, int]], name: str) -> tuple[Lot, int]:
    found = next((bag for bag in bags if name in (bag[0].id, bag[0].letter) or name.upper() == bag[0].letter), None)
    if found is None:
        there = ", ".join(lot.letter or lot.id for lot, _ in bags)
        raise BadInput(Mistake("labels", None, "", f'there is no bag "{name[:60]}".', f"There is: {there}."))
    return found


def _planned(plan: dict[str, Any] | None, happened: Iterable[Happened], now: datetime) -> list[tuple[Lot, int]]:
    """Return the bags a kept plan still fills, with the units in each; they have no letter yet."""
    open_ = still_open(list(happened))
    found = []
    for one in plan["lots"] if plan else ():
        dates = [datetime.fromisoformat(one[key]) for key in ("bagged", "through", "eat_first", "toast_after")]
        strict = None if one["strict"] is None else datetime.fromisoformat(one["strict"])
        if one["bake"] and dates[0] > now and open_(one["bake"], "bag"):
            lot = Lot(id=one["id"], letter=one["letter"], bread=one["bread"], form=one["form"], bagged=dates[0],
                      through=dates[1], eat_first=dates[2], toast_after=dates[3], strict_until=strict)  # fmt: skip
            found.append((lot, one["pieces"]))
    return found
