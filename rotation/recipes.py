"""What goes into each bake of a plan, in words: grams at the feed and at the mix."""

from __future__ import annotations

from collections.abc import Mapping

from calendars.text import clean
from rotation.bakers_math import Build, Impossible, Weighed, weigh
from rotation.household.breads import Bread as Recipe
from rotation.plan import Bake, Plan


def recipes(breads: Mapping[str, Recipe], plan: Plan) -> dict[tuple[str, str], str]:
    """Return what to weigh by bake id and step; nothing for a bread without a recipe or one that cannot be weighed."""
    found: dict[tuple[str, str], str] = {}
    for bake in plan.bakes:
        if bake.bread in breads:
            recipe = breads[bake.bread]
            try:
                found |= _of(bake, weigh(recipe.formula, bake.total, recipe.piece_grams))
            except Impossible:
                continue
    return found


def _of(bake: Bake, weighed: Weighed) -> dict[tuple[str, str], str]:
    """Return the words of one bake: each build at the step that bears its name, else at the first before the mix."""
    names = [step.name for step in bake.steps]
    before = names[: names.index("mix")]
    at: dict[str, list[Build]] = {}
    for build in weighed.builds:
        if before:
            at.setdefault(build.name if build.name in before else before[0], []).append(build)
    words = {(bake.id, step): "; ".join(_build(build) for build in builds) for step, builds in at.items()}
    keep = [f"KEEP {_amount(build.keep)} {clean(build.name)}" for build in weighed.builds if build.keep]
    mixed = _listed({**weighed.prefermented, **weighed.final})
    return words | {(bake.id, "mix"): ", ".join([mixed, *keep])}


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
