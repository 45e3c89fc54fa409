"""What goes onto paper, and onto a page: the week of the kept plan, read from the ledger. Nothing is printed here."""

from __future__ import annotations

from datetime import datetime

from rotation import buying
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.intended import document
from rotation.ledger import Happenings
from rotation.show.sheet import Sheet, sheet
from rotation.stockroom import freezer, held, planned


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
