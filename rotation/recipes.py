"""What goes into each bake of a plan, in words: grams at the feed and at the mix."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calendars.text import clean
from rotation.bakers_math import Build, Grams, Impossible, Soaked, weigh
from rotation.household import usual
from rotation.household.breads import Bread as Recipe
from rotation.plan import Bake, Plan
from rotation.problem import of_household
from rotation.units import Display

GRAMS = Display()


def recipes(breads: Mapping[str, Recipe], plan: Plan, display: Display = GRAMS) -> dict[tuple[str, str], str]:
    """Return what to weigh by bake id and step; nothing for a bread without a recipe or one that cannot be weighed."""
    found: dict[tuple[str, str], str] = {}
    for bake in plan.bakes:
        if bake.bread in breads:
            try:
                found |= _Words(display).of(breads[bake.bread], bake)
            except Impossible:
                continue
    return found


class _Words:
    """Words for what is weighed, in the units that a household reads."""

    def __init__(self, display: Display) -> None:
        self._display = display

    def of(self, recipe: Recipe, bake: Bake) -> dict[tuple[str, str], str]:
        """Return the words of one bake by step.

        Each build and soaker stands at the step that bears its name, else at the first of all; where none comes before
        the mix, at the mix.
        """
        formula = usual.formula(
            recipe, next(process for process in recipe.processes if process.id == of_household(bake.process))
        )
        weighed = weigh(formula, bake.total, recipe.piece_grams, recipe.process_loss_percent)
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
