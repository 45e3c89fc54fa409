"""A formula weighed out: preferments and the kept starter built backwards from the dough, soakers, the final dough."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rotation.bakers_math.shares import total_percent
from rotation.errors import RotationError
from rotation.household.formulas import Formula, Preferment, Soaker

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
class Soaked:
    """A soaker weighed out, all of which goes into the dough. hours: it stands, at least; hot: scalded."""

    name: str
    parts: Grams
    hours: float
    hot: bool

    @property
    def total(self) -> float:
        """Grams of the whole soaker."""
        return sum(self.parts.values())


@dataclass(frozen=True)
class Weighed:
    """A bake weighed out, in grams: builds in the order they are made, soakers, and the final dough.

    flour: all of it, the preferments' too. whole: of every ingredient, wherever it goes in. prefermented: of each
    preferment in the dough. final: what else is weighed at the mix. inclusions: what goes in when the dough is made.
    """

    flour: float
    whole: Grams
    builds: tuple[Build, ...]
    final: Grams
    prefermented: Grams
    soakers: tuple[Soaked, ...]
    inclusions: Grams

    @property
    def soaked(self) -> Grams:
        """Grams of each soaker in the final dough."""
        return {soaker.name: soaker.total for soaker in self.soakers}

    @property
    def dough(self) -> float:
        """Grams of the whole dough."""
        return sum(sum(part.values()) for part in (self.final, self.prefermented, self.soaked, self.inclusions))


def weigh(formula: Formula, pieces: int, piece_grams: float, process_loss_percent: float = 0.0) -> Weighed:
    """Return grams for a bake of pieces of dough, and for what sticks to bowls and hands.

    Raises Impossible if something would be less than nothing.
    """
    flour = pieces * piece_grams / (1 - process_loss_percent / 100) / total_percent(formula) * 100
    final = {name: flour * share / sum(formula.flours.values()) for name, share in formula.flours.items()}
    final |= {WATER: flour * formula.water_percent / 100}
    final |= {name: flour * percent / 100 for name, percent in formula.others.items()}
    inclusions = {name: flour * percent / 100 for name, percent in formula.inclusions.items()}
    whole = final | {name: final.get(name, 0.0) + grams for name, grams in inclusions.items()}
    used: dict[str, float] = {}
    for preferment in formula.preferments:
        own = flour * preferment.flour_percent / 100
        parts = {name: own * share for name, share in _make_up(formula, preferment).items()}
        used[preferment.name] = sum(parts.values())
        _taken(final, parts)
    soakers = tuple(
        Soaked(soaker.name, _there(_soaker_parts(soaker, flour)), soaker.hours, soaker.hot)
        for soaker in formula.soakers
    )
    for soaked in soakers:
        _taken(final, soaked.parts)
    _all_there(final, "the final dough")
    return Weighed(flour, _there(whole), _builds(formula, used), _there(final), used, soakers, _there(inclusions))


LEAST_SEED = 5.0
"""Grams of ripe starter below which a kitchen scale tells little (common practice, no published source)."""


def feed(formula: Formula, preferment: Preferment, grams: float) -> Build:
    """Return the build that gives at least so many grams of a preferment and nothing more, made from the kept starter.

    It is larger where its seed could not be weighed. Raises Impossible as `weigh` does.
    """
    alone = preferment.model_copy(update={"hold_back_grams": 0, "seed_from": None})
    build = _build(formula, alone, grams)
    return build if build.seed >= LEAST_SEED else _build(formula, alone, grams * LEAST_SEED / build.seed)


def _taken(whole: dict[str, float], parts: Grams) -> None:
    """Take what goes in before from the whole."""
    for name, grams in parts.items():
        whole[name] = whole.get(name, 0.0) - grams


def _there(parts: Grams) -> dict[str, float]:
    return {name: grams for name, grams in parts.items() if grams > 1e-9}


def _soaker_parts(soaker: Soaker, flour: float) -> dict[str, float]:
    parts = {name: flour * percent / 100 for name, percent in soaker.parts.items()}
    return parts | {WATER: flour * soaker.water_percent / 100}


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
    return Build(preferment.name, _there(fresh), seed, preferment.seed_from or "", use, preferment.hold_back_grams)


def _all_there(parts: Grams, where: str) -> None:
    for name, grams in parts.items():
        if grams < -1e-6:
            raise Impossible(
                f"{where[0].upper()}{where[1:]} would need {grams:.0f} g of {name}: what is made before already holds "
                f"more. Raise {name} in the formula, which counts all of it, or lower it there."
            )
