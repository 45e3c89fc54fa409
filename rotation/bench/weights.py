"""What is weighed at which step of a bake, and how warm its water is by a balance of heat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rotation.bakers_math import (
    FLOUR_KJ_PER_KG_K,
    WATER,
    WATER_KJ_PER_KG_K,
    Build,
    Grams,
    Soaked,
    Weighed,
    water_by_heat,
)
from rotation.bench.notes import Mass, Part
from rotation.fermentation import minutes_to_peak
from rotation.household.formulas import Formula


def ripening(formula: Formula, room_degc: float) -> dict[str, float]:
    """Return the minutes that each preferment with a seed takes to its peak, by its name."""
    found = {}
    for each in formula.preferments:
        seed = next((other for other in formula.preferments if other.name == each.seed_from), each)
        if each.seed_percent:
            share = 1 / (1 + seed.hydration_percent / 100)
            found[each.name] = minutes_to_peak(each.seed_percent, room_degc, share)
    return found


def masses(
    weighed: Weighed, steps: Sequence[str], inclusions_at: str, ripe: Mapping[str, float]
) -> dict[str, tuple[Mass, ...]]:
    """Return what is weighed at each step: builds and soakers at the step of their name, else at the first before the
    mix, else at the mix, and then how long before. ripe: minutes of each build to its peak.
    """
    before = steps[: steps.index("mix")]
    found: dict[str, list[Mass]] = {}
    seeds = {build.seed_from: _place(build.name, before) for build in weighed.builds}
    for build in weighed.builds:
        at = _place(build.name, before)
        early = at == "mix" or seeds.get(build.name) == at  # ripe before what it goes into is mixed
        found.setdefault(at, []).append(_build(build, weighed.flour, ripe.get(build.name, 0.0) if early else None))
    for soaker in weighed.soakers:
        found.setdefault(_place(soaker.name, before), []).append(_soaker(soaker, weighed.flour))
    ready = [Part(name, grams) for name, grams in {**weighed.prefermented, **weighed.soaked}.items()]
    mixed = Mass("dough", (*ready, *_parts(weighed.final, weighed.flour)))
    found.setdefault("mix", []).append(mixed)
    if weighed.inclusions:
        at = inclusions_at if inclusions_at in steps else "mix"
        found.setdefault(at, []).append(Mass("then", _parts(weighed.inclusions, weighed.flour)))
    return {step: tuple(several) for step, several in found.items()}


def _place(name: str, before: Sequence[str]) -> str:
    return name if name in before else before[0] if before else "mix"


def _parts(grams: Grams, flour: float) -> tuple[Part, ...]:
    return tuple(Part(name, each, 100 * each / flour) for name, each in grams.items())


def _build(build: Build, flour: float, early: float | None) -> Mass:
    seed = (Part(f"ripe {build.seed_from or build.name}", build.seed),) if build.seed else ()
    when = "" if early is None else f"fed about {early / 60:.0f} h before" if early else "ripe by then"
    return Mass(build.name, (*seed, *_parts(build.fresh, flour)), build.keep, when)


def _soaker(soaker: Soaked, flour: float) -> Mass:
    how = "boiling water over it" if soaker.hot else "cold water over it"
    return Mass(soaker.name, _parts(soaker.parts, flour), 0.0, f"{how}, {soaker.hours:g} h before the mix")


def by_heat(weighed: Weighed, wanted_degc: float, room_degc: float, warms: float) -> float | None:
    """Return the degC of the mix's water by a balance of heat; None where the mix has no water of its own.

    All else is as warm as the room. warms: kelvins that kneading adds.
    """
    water = weighed.final.get(WATER, 0.0)
    if water <= 0:
        return None
    dry = sum(weighed.final.values()) - water
    wet = sum(weighed.prefermented.values()) + sum(weighed.soaked.values())
    mean = (FLOUR_KJ_PER_KG_K + WATER_KJ_PER_KG_K) / 2  # half flour, half water
    return water_by_heat(wanted_degc, water, [(dry, room_degc, FLOUR_KJ_PER_KG_K), (wet, room_degc, mean)], warms)
