"""What is there to bake with: as it was last counted or written, what was bought since, less what was mixed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from uuid import uuid4

from rotation.bakers_math import Impossible, weigh
from rotation.carried import from_text
from rotation.happened import Happened, What
from rotation.household import usual
from rotation.household.reading import Home
from rotation.ledger import Happenings, Ledger, Pantry, Said, Stated
from rotation.plan import Feeding, Plan
from rotation.problem import STARTER, of_household
from rotation.recipes import fed_with


@dataclass(frozen=True)
class Need:
    """Grams of one ingredient that one step of a bake wants. at: when the step begins; bread: its id."""

    name: str
    grams: float
    at: datetime
    bread: str


@dataclass(frozen=True)
class There:
    """Grams of one ingredient there, and since when it was last counted or written; None: it never was."""

    name: str
    grams: float
    since: datetime | None


def wanted(home: Home, bread: str, process: str, pieces: int, steps: Sequence[str]) -> Iterator[tuple[str, str, float]]:
    """Yield step, ingredient and grams of a bake, but for what is never bought.

    Raises LookupError for a bread or process no file describes, Impossible for one that cannot be weighed.
    """
    from rotation.bench.weights import masses

    recipe = home.known[bread]
    found = next((each for each in recipe.processes if each.id == of_household(process)), None)
    if found is None:
        raise LookupError
    formula = usual.formula(recipe, found)
    weighed = weigh(formula, pieces, recipe.piece_grams, recipe.process_loss_percent)
    for step, several in masses(weighed, steps, formula.inclusions_at, {}).items():
        for part in (part for mass in several for part in mass.parts):
            if part.percent is not None and part.name not in home.settings.pantry.never_bought:
                yield step, part.name, part.grams


def fed(home: Home, plan: Plan, feeding: Feeding) -> Iterator[tuple[str, float]]:
    """Yield ingredient and grams of a feed beside any bake, but for what is never bought. plan: with its bakes."""
    made = fed_with(home.breads, plan, feeding)
    for name, grams in () if made is None else made.fresh.items():
        if name not in home.settings.pantry.never_bought:
            yield name, grams


def mixed(home: Home, happened: Iterable[Happened]) -> Iterator[Need]:
    """Yield what the steps that are done took. A bake whose bread no file describes any more took nothing we know."""

    @cache
    def weighed(bread: str, process: str, pieces: int, steps: tuple[str, ...]) -> tuple[tuple[str, str, float], ...]:
        try:
            return tuple(wanted(home, bread, process, pieces, steps))
        except (Impossible, LookupError, ValueError):
            return ()

    for row in happened:
        if row.what is not What.DONE or row.start is None or not row.planned:
            continue
        plan = from_text(row.planned).plan
        for feeding in plan.feedings:
            yield from (Need(name, grams, row.start, STARTER) for name, grams in fed(home, plan, feeding))
        for bake in plan.bakes:
            steps = tuple(step.name for step in bake.steps)
            for step, name, grams in weighed(bake.bread, bake.process, bake.total, steps):
                if step == row.step:
                    yield Need(name, grams, row.start, bake.bread)


def there(home: Home, ledger: Ledger, now: datetime) -> dict[str, There]:
    """Return what is there of each ingredient that anything was said of. Reads the ledger only."""
    said = list(Pantry(ledger).standing())
    said += [Stated("", name, Said.WRITTEN, grams, now.astimezone(UTC)) for name, grams in _unseen(home, said)]
    took = list(mixed(home, Happenings(ledger).standing()))
    return {name: _left(name, [one for one in said if one.name == name], took) for name in {one.name for one in said}}


def _left(name: str, said: Sequence[Stated], took: Iterable[Need]) -> There:
    """Return what is left of an ingredient; what was counted or written last counts, whatever was before it.

    Who mixes more than is known to be there had it from somewhere: what is bought later does not pay for it.
    """
    counted = max((number for number, one in enumerate(said) if one.said is not Said.BOUGHT), default=None)
    since = None if counted is None else said[counted].at
    left = 0.0 if counted is None else said[counted].grams
    later = said[0 if counted is None else counted + 1 :]
    first = since or said[0].at
    moved = [(one.at, one.grams) for one in later]
    moved += [(need.at, -need.grams) for need in took if need.name == name and need.at >= first]
    for _, grams in sorted(moved, key=lambda one: (one[0], one[1] < 0)):  # of one moment, bought before it is mixed
        left = max(left + grams, 0.0)
    return There(name, left, since)


def notice(home: Home, ledger: Ledger, at: datetime, now: datetime) -> None:
    """Record what the settings say is there, where they say something new: as counted at that moment, if not later."""
    new = dict(_unseen(home, Pantry(ledger).standing()))
    if new:
        Pantry(ledger).record(f"written {uuid4()}", Said.WRITTEN, new, min(at, now), now)


def _unseen(home: Home, said: Iterable[Stated]) -> Iterator[tuple[str, float]]:
    known = {one.name: one.grams for one in said if one.said is Said.WRITTEN}
    for name, grams in home.settings.pantry.there_grams.items():
        if known.get(name) != grams:
            yield name, grams
