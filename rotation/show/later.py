"""What can be done with slow dough, as lines: number, what to do, what it costs, what would change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from rotation.intake.rescues import Option
from rotation.show.fit import fit
from rotation.steps import Target
from rotation.words import clock, count, named_pieces, weekday


def lines(target: Target, offered: Sequence[Option], now: datetime) -> Iterator[str]:
    """Yield the options, numbered as they can be taken."""
    yield f"{target.name} ({target.bread}), not yet. Nothing is written until you choose:"
    for number, option in enumerate(offered, 1):
        yield from fit(f"{number}  {option.rescue.words}: {' '.join(option_lines(option, now))}", 3)
    yield from fit("The price is against going on as if it were ready now.", 0)
    yield f"Choose: rotation later {target.name} --take 1"


def option_lines(option: Option, now: datetime) -> Iterator[str]:
    """Yield what comes next and what it costs, then what else would be other."""
    short = f", short by {count(option.short, 'portion')}" if option.short else ""
    yield f"{_next(option, now)}; {_price(option.cost)}{short}."
    if option.changed:
        yield option.changed


def _next(option: Option, now: datetime) -> str:
    """Return "shape it tomorrow 9:30, by 16:55 at the latest"."""
    if option.next is None:
        return "no loaf of it"
    step, at = option.next
    made = f"{named_pieces(*option.pieces)}, " if option.pieces else ""
    what = "bake" if step == "oven" else step
    last = option.until
    if last is None or last <= at:
        late = ", later than the dough wants" if last is not None and last < at else ""
        return f"{made}{what} it {_when(at, now)}{late}"
    by = clock(last) if last.date() == at.date() else _when(last, now)
    return f"{made}{what} it {_when(at, now)}, by {by} at the latest"


def _when(at: datetime, now: datetime) -> str:
    days = (at.date() - now.astimezone(at.tzinfo).date()).days
    return f"{'' if not days else 'tomorrow ' if days == 1 else weekday(at)[:3] + ' '}{clock(at)}"


def _price(milli: int) -> str:
    minutes = round(abs(milli) / 1000)
    if not minutes:
        return "costs nothing"
    unit = "effort minute" if minutes == 1 else "effort minutes"
    return f"{'costs' if milli > 0 else 'saves'} {minutes} {unit}"
