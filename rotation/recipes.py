"""What goes into each bake of a plan, in words: grams at the feed and at the mix."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from calendars.text import clean
from rotation.bakers_math import Build, Grams, Impossible, Soaked, Weighed, feed, weigh
from rotation.household import usual
from rotation.household.breads import Bread as Recipe
from rotation.household.formulas import Formula, Preferment
from rotation.plan import Bake, Feeding, Plan
from rotation.problem import FEED, of_household
from rotation.units import Display

GRAMS = Display()


def recipes(breads: Mapping[str, Recipe], plan: Plan, display: Display = GRAMS) -> dict[tuple[str, str], str]:
    """Return what to weigh by bake id and step; nothing for a bread without a recipe or one that cannot be weighed.

    Each build of the kept starter leaves as much as the next feed of the plan takes of it, and no less than its recipe
    holds back.
    """
    found: dict[tuple[str, str], str] = {}
    words = _Words(display)
    for event, made in _weighings(breads, plan):
        if isinstance(event, Feeding):
            assert isinstance(made, _Fed)
            found[event.id, FEED] = words.feed(made.build, made.wanted, made.ahead)
        elif not isinstance(made, _Fed):
            found |= words.of(*made, event)
    return found


def fed_with(breads: Mapping[str, Recipe], plan: Plan, feeding: Feeding) -> Build | None:
    """Return what feeds the starter beside any bake, None where nobody can say. plan: with what comes after it."""
    made = (made for event, made in _weighings(breads, plan) if event == feeding)
    return next((one.build for one in made if isinstance(one, _Fed)), None)


@dataclass(frozen=True)
class _Fed:
    """A feed beside any bake. wanted: grams of it that are taken or kept; ahead: whether a bake's feed takes them."""

    build: Build
    wanted: float
    ahead: bool


def _weighings(
    breads: Mapping[str, Recipe], plan: Plan
) -> Iterator[tuple[Bake | Feeding, tuple[Formula, Weighed] | _Fed]]:
    """Yield what is weighed for each bake and feed, the last first: what it takes of the starter is kept before it."""
    events: list[Bake | Feeding] = [*plan.bakes, *plan.feedings]
    next_takes = 0.0
    for event in sorted(events, key=_fed_at, reverse=True):
        try:
            if isinstance(event, Feeding):
                fed = _feeding(breads, event, next_takes)
                if fed is not None:
                    next_takes = fed.build.seed
                    yield event, fed
            elif event.bread in breads:
                formula, weighed = _weighed(breads[event.bread], event, next_takes)
                next_takes = sum(build.seed for build in weighed.builds if not build.seed_from) or next_takes
                yield event, (formula, weighed)
        except Impossible:
            continue


def _fed_at(event: Bake | Feeding) -> int:
    """Return when the starter is fed, of a bake that does not say when, when it begins."""
    return event.start if isinstance(event, Feeding) else (event.step(FEED) or event.steps[0]).start


def _feeding(breads: Mapping[str, Recipe], feeding: Feeding, next_takes: float) -> _Fed | None:
    """Return what feeds the starter beside any bake. Raises Impossible."""
    starters = [(formula, own) for formula, own in _starters(breads) if own.hold_back_grams]
    if not starters:
        return None
    formula, own = max(starters, key=lambda pair: pair[1].hold_back_grams)
    ahead = feeding.ahead is not None and next_takes > 0
    wanted = next_takes if ahead else max(next_takes, own.hold_back_grams)
    return _Fed(feed(formula, own, wanted), wanted, ahead)


def _kept(preferment: Preferment) -> bool:
    """Say whether a preferment is made from the kept starter."""
    return preferment.seed_percent > 0 and not preferment.seed_from


def _starters(breads: Mapping[str, Recipe]) -> Iterator[tuple[Formula, Preferment]]:
    """Yield what the household's starter is made of, by each process that feeds it."""
    for _, bread in sorted(breads.items()):
        for process in bread.processes:
            formula = usual.formula(bread, process)
            if any(stage.name == FEED for stage in process.stages):
                yield from ((formula, one) for one in formula.preferments if _kept(one))


def _weighed(recipe: Recipe, bake: Bake, keep: float) -> tuple[Formula, Weighed]:
    """Return what a bake is made of, its kept starter built so that at least so many grams are left of it."""
    process = next(process for process in recipe.processes if process.id == of_household(bake.process))
    formula = usual.formula(recipe, process)
    more = tuple(
        one.model_copy(update={"hold_back_grams": max(one.hold_back_grams, ceil(keep))})
        if _kept(one) and one.hold_back_grams
        else one
        for one in formula.preferments
    )
    formula = formula.model_copy(update={"preferments": more})
    return formula, weigh(formula, bake.total, recipe.piece_grams, recipe.process_loss_percent)


class _Words:
    """Words for what is weighed, in the units that a household reads."""

    def __init__(self, display: Display) -> None:
        self._display = display

    def of(self, formula: Formula, weighed: Weighed, bake: Bake) -> dict[tuple[str, str], str]:
        """Return the words of one bake by step.

        Each build and soaker stands at the step that bears its name, else at the first of all; where none comes before
        the mix, at the mix.
        """
        names = [step.name for step in bake.steps]
        before = names[: names.index("mix")]
        said: dict[str, list[str]] = {}
        for build in weighed.builds:
            at = _place(build.name, before)
            ripe = f"{clean(build.name)}, ripe by then: " if at == "mix" else ""
            said.setdefault(at, []).append(ripe + self._build(build))
        for soaker in weighed.soakers:
            at = _place(soaker.name, before)
            said.setdefault(at, []).append(self._soaker(soaker, at))
        mixed = self._listed({**weighed.prefermented, **weighed.soaked, **weighed.final})
        keep = [f"KEEP {self._bare(build.keep)} {clean(build.name)}" for build in weighed.builds if build.keep]
        said.setdefault("mix", []).append(", ".join([mixed, *keep]))
        if weighed.inclusions:
            said.setdefault(formula.inclusions_at, []).append(f"then {self._listed(weighed.inclusions)}")
        return {(bake.id, step): "; ".join(words) for step, words in said.items()}

    def feed(self, build: Build, grams: float, ahead: bool) -> str:
        """Return "5 g starter + 25 flour + 25 water, KEEP 20 starter"; ahead: what of it seeds the next feed."""
        name = clean(build.name)
        rest = f"{self._bare(grams)} of it for the next feed" if ahead else f"KEEP {self._bare(grams)} {name}"
        return f"{self._build(build)}, {rest}"

    def _soaker(self, soaker: Soaked, at: str) -> str:
        """Return "seeds, soaked: 80 g linseed + 120 water"; where no step comes before the mix, how long before."""
        early = f" {soaker.hours:g} h before" if at == "mix" else ""
        return f"{clean(soaker.name)}, {'scalded' if soaker.hot else 'soaked'}{early}: {self._listed(soaker.parts)}"

    def _build(self, build: Build) -> str:
        """Return "20 g starter + 100 flour + 100 water"."""
        seed = {build.seed_from or build.name: build.seed} if build.seed else {}
        return self._listed({**seed, **build.fresh})

    def _listed(self, parts: Grams) -> str:
        """Return the parts with their masses, grams said once."""
        first, *others = parts.items()
        said = [
            f"{self._display.weight(first[1])} {clean(first[0])}",
            *(f"{self._bare(amount)} {clean(name)}" for name, amount in others),
        ]
        return " + ".join(said)

    def _bare(self, grams: float) -> str:
        """Return "200" where grams are read, else the mass with its unit."""
        return self._display.weight(grams).removesuffix(" g")


def _place(name: str, before: Sequence[str]) -> str:
    return name if name in before else before[0] if before else "mix"
