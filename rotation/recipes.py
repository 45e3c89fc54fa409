"""What goes into each bake of a plan, in words: grams at the feed and at the mix."""

from __future__ import annotations

from collections.abc import Mapping

from calendars.text import clean
from rotation.bakers_math import Build, Impossible, Soaked, weigh
from rotation.household import usual
from rotation.household.breads import Bread as Recipe
from rotation.plan import Bake, Plan


def recipes(breads: Mapping[str, Recipe], plan: Plan) -> dict[tuple[str, str], str]:
    """Return what to weigh by bake id and step; nothing for a bread without a recipe or one that cannot be weighed."""
    found: dict[tuple[str, str], str] = {}
    for bake in plan.bakes:
        if bake.bread in breads:
            try:
                found |= _of(breads[bake.bread], bake)
            except Impossible:
                continue
    return found


def _of(recipe: Recipe, bake: Bake) -> dict[tuple[str, str], str]:
    """Return the words of one bake: each build and soaker at the step that bears its name, else at the first of all."""
    formula = usual.formula(recipe, next(process for process in recipe.processes if process.id == bake.process))
    weighed = weigh(formula, bake.total, recipe.piece_grams, recipe.process_loss_percent)
    names = [step.name for step in bake.steps]
    before = names[: names.index("mix")]
    said: dict[str, list[str]] = {}
    for build in weighed.builds:
        if before:
            said.setdefault(build.name if build.name in before else before[0], []).append(_build(build))
    for soaker in weighed.soakers:
        at = soaker.name if soaker.name in before else (before or ["mix"])[0]
        said.setdefault(at, []).append(_soaker(soaker, at))
    mixed = _listed({**weighed.prefermented, **weighed.soaked, **weighed.final})
    keep = [f"KEEP {_amount(build.keep)} {clean(build.name)}" for build in weighed.builds if build.keep]
    said.setdefault("mix", []).append(", ".join([mixed, *keep]))
    if weighed.inclusions:
        said.setdefault(formula.inclusions_at, []).append(f"then {_listed(weighed.inclusions)}")
    return {(bake.id, step): "; ".join(words) for step, words in said.items()}


def _soaker(soaker: Soaked, at: str) -> str:
    """Return "seeds, soaked: 80 g linseed + 120 water"; where no step comes before the mix, how long before."""
    early = f" {soaker.hours:g} h before" if at == "mix" else ""
    return f"{clean(soaker.name)}, {'scalded' if soaker.hot else 'soaked'}{early}: {_listed(soaker.parts)}"


def _build(build: Build) -> str:
    """Return "20 g starter + 100 flour + 100 water"."""
    seed = {build.seed_from or build.name: build.seed} if build.seed else {}
    return _listed({**seed, **build.fresh})


def _listed(parts: Mapping[str, float]) -> str:
    """Return the parts with their grams, the unit said once."""
    first, *others = parts.items()
    said = [
        f"{_amount(first[1])} g {clean(first[0])}",
        *(f"{_amount(amount)} {clean(name)}" for name, amount in others),
    ]
    return " + ".join(said)


def _amount(grams: float) -> str:
    """Return "200", or "1.5" below ten."""
    return f"{grams:.1f}" if grams < 9.95 else f"{grams:.0f}"
