"""Formula arithmetic: baker's percentages to grams, preferments and the kept starter built backwards, water to use.

All percentages are of all the flour, the preferments' flour and water included (T12); a preferment's own are of its own
flour. IDs of sources are those of `tests/outside/data/references.csv`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rotation.errors import RotationError
from rotation.household.formulas import Formula, Preferment

WATER = "water"
Grams = Mapping[str, float]


class Impossible(RotationError):
    """A formula that cannot be weighed out: something would be less than nothing."""


@dataclass(frozen=True)
class Build:
    """One preferment to be built: fresh ingredients and seed in grams; `use` goes on, `keep` is put back.

    seed_from: another preferment, or "" for the kept starter, taken to be of the same make-up.
    """

    name: str
    fresh: Grams
    seed: float
    seed_from: str
    use: float
    keep: float

    @property
    def total(self) -> float:
        """Grams of the whole build."""
        return sum(self.fresh.values()) + self.seed


@dataclass(frozen=True)
class Weighed:
    """A bake weighed out: builds in the order they are made, and what goes into the final dough besides them."""

    builds: tuple[Build, ...]
    final: Grams
    prefermented: Grams
    """Grams of each preferment in the final dough."""

    @property
    def dough(self) -> float:
        """Grams of the whole dough."""
        return sum(self.final.values()) + sum(self.prefermented.values())


def hydration_percent(formula: Formula) -> float:
    """Return all water by all flour: the true hydration, the starter's counted (T12)."""
    return formula.water_percent


def prefermented_percent(formula: Formula) -> float:
    """Return the share of all flour that ferments before the mix."""
    return sum(preferment.flour_percent for preferment in formula.preferments)


def total_percent(formula: Formula) -> float:
    """Return flour, water and everything else by all flour."""
    return 100 + formula.water_percent + sum(formula.others.values())


def weigh(formula: Formula, pieces: int, piece_grams: float) -> Weighed:
    """Return grams for a bake of pieces of dough. Raises Impossible if something would be less than nothing."""
    flour = pieces * piece_grams / total_percent(formula) * 100
    final = {name: flour * share / sum(formula.flours.values()) for name, share in formula.flours.items()}
    final |= {WATER: flour * formula.water_percent / 100}
    final |= {name: flour * percent / 100 for name, percent in formula.others.items()}
    used: dict[str, float] = {}
    for preferment in formula.preferments:
        own = flour * preferment.flour_percent / 100
        parts = {name: own * share for name, share in _make_up(formula, preferment).items()}
        used[preferment.name] = sum(parts.values())
        for name, grams in parts.items():
            final[name] = final.get(name, 0.0) - grams
    _all_there(final, "the final dough")
    return Weighed(_builds(formula, used), {n: g for n, g in final.items() if g > 1e-9}, used)


def _make_up(formula: Formula, preferment: Preferment) -> dict[str, float]:
    """Return a preferment's ingredients by its own flour (1.0 is all of it), flours first."""
    flours = preferment.flours or formula.flours
    parts = {name: share / sum(flours.values()) for name, share in flours.items()}
    parts[WATER] = preferment.hydration_percent / 100
    for name, percent in preferment.others.items():
        parts[name] = parts.get(name, 0.0) + percent / 100
    return parts


def _builds(formula: Formula, used: Grams) -> tuple[Build, ...]:
    """Return the builds, each large enough for the dough, for what it seeds, and for what is kept back."""
    waiting = {preferment.name: preferment for preferment in formula.preferments}
    needed, builds = dict(used), []
    while waiting:
        last = next((p for p in waiting.values() if not any(o.seed_from == p.name for o in waiting.values())), None)
        if last is None:
            raise Impossible(f"The preferments {', '.join(waiting)} seed one another in a circle.")
        del waiting[last.name]
        build = _build(formula, last, needed[last.name])
        if build.seed_from:
            needed[build.seed_from] = needed.get(build.seed_from, 0.0) + build.seed
        builds.append(build)
    return tuple(reversed(builds))


def _build(formula: Formula, preferment: Preferment, use: float) -> Build:
    """Return one build. Seed is counted by its fresh flour: 20 g of seed, 100 g flour and 100 g water are 20 %."""
    seed_of = next((p for p in formula.preferments if p.name == preferment.seed_from), preferment)
    make_up, seed_make_up = _make_up(formula, preferment), _make_up(formula, seed_of)
    share, seed_total = preferment.seed_percent / 100, sum(seed_make_up.values())
    all_flour = (use + preferment.hold_back_grams) / sum(make_up.values())
    seed = share * all_flour / (1 + share / seed_total)
    fresh = {name: all_flour * part for name, part in make_up.items()}
    for name, part in seed_make_up.items():
        fresh[name] = fresh.get(name, 0.0) - seed * part / seed_total
    _all_there(fresh, f'the build of "{preferment.name}"')
    fresh = {name: grams for name, grams in fresh.items() if grams > 1e-9}
    return Build(preferment.name, fresh, seed, preferment.seed_from or "", use, preferment.hold_back_grams)


def _all_there(parts: Grams, where: str) -> None:
    for name, grams in parts.items():
        if grams < -1e-6:
            raise Impossible(
                f"{where[0].upper()}{where[1:]} would need {grams:.0f} g of {name}: what ferments before already holds "
                f"more. Raise {name} in the formula, which counts all of it, or lower it in the preferment."
            )


def dough_yield(flour: float, liquid: float) -> float:
    """Return the net dough yield: flour and liquid by flour, times 100 (A06)."""
    return (flour + liquid) / flour * 100


def dough_for(baked: float, *losses_percent: float) -> float:
    """Return the dough needed for a mass of baked bread, given losses in per cent of the dough (A09)."""
    return baked / (1 - sum(losses_percent) / 100)


def water_degc(dough_degc: float, friction_degc: float, *others_degc: float) -> float:
    """Return the water's temperature for a wanted dough temperature; others: room, flour, and preferment (A10, A13).

    Works in any one scale of degrees.
    """
    return (len(others_degc) + 1) * dough_degc - sum(others_degc) - friction_degc
