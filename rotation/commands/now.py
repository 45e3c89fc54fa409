"""`rotation now`: what to do now and next, of the kept plan."""

from __future__ import annotations

import typer

from rotation.commands.opened import NowOption, opened
from rotation.commands.options import HouseholdOption, JsonOption, width


def now(household: HouseholdOption = None, json: JsonOption = False, at: NowOption = None) -> None:
    """Say in three lines what to do now and next."""
    from rotation.at_hand import at_hand
    from rotation.intended import document, planned_id
    from rotation.ledger import Happenings
    from rotation.show import now as show
    from rotation.show.json_text import dumps

    with opened(household, at, readonly=True) as house:
        plan, happened = document(house.ledger.kept_plan()), Happenings(house.ledger).standing()
        letters = {planned_id(state.lot.id): state.lot.letter for state in house.ledger.lots(house.now)}
    hand = None if plan is None else at_hand(plan, happened, house.now, letters)
    if json:
        typer.echo(dumps(show.now_json(hand, house.home, house.now)), nl=False)
        return
    if hand is None:
        typer.echo(show.NO_PLAN)
        return
    for line in show.lines(hand, house.home, house.now, width()):
        typer.echo(line)
