"""What to do now, and what follows."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from rotation.page.kitchen import KitchenOf
from rotation.page.rendering import page

router = APIRouter()


@router.get("/")
def today(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show what to do now."""
    from rotation.at_hand import at_hand
    from rotation.intended import document, planned_id
    from rotation.ledger import Happenings
    from rotation.show import now as show
    from rotation.stockroom import freezer

    home, now = kitchen.home(), kitchen.moment()
    with freezer(home, now, readonly=True) as ledger:
        plan, happened = document(ledger.kept_plan()), Happenings(ledger).standing()
        letters = {planned_id(state.lot.id): state.lot.letter for state in ledger.lots(now)}
    lines = [show.NO_PLAN]
    if plan is not None:
        lines = list(show.lines(at_hand(plan, happened, now, letters), home, now, 100))
    return page(request, "today.html", title=home.settings.name, lines=lines)
