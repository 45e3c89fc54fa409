"""What can be done with slow dough, as lines: number, what to do, what it costs, what would change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rotation.intake.rescues import Option
from rotation.show.fit import fit
from rotation.steps import Target


def lines(target: Target, offered: Sequence[Option]) -> Iterator[str]:
    """Yield the options, numbered as they can be taken."""
    yield f"{target.name} ({target.bread}), not yet. Nothing is written until you choose:"
    for number, option in enumerate(offered, 1):
        after = "no loaf of it"
        if option.next is not None:
            name, at = option.next
            after = f"{name} {at:%a} {at.hour}:{at:%M}"
        price = f"{round(option.cost / 1000)} effort minutes more" if option.cost >= 500 else "costs least"
        short = f", short by {option.short} portions" if option.short else ""
        yield from fit(f"{number}  {option.rescue.words}: {after}; {price}{short}. {option.changed}".rstrip(), 3)
    yield f"Choose: rotation later {target.name} --take 1"
